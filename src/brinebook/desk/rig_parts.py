"""The parts of what is told of a rig: each answer once for programs and once for people."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from brinebook.desk.rig_figures import Json
from brinebook.rig import Rig
from brinebook.system import System

if TYPE_CHECKING:
    from brinebook.lifesupport.levels_answer import LevelsAnswer
    from brinebook.lifesupport.ranges import Range


@dataclass(frozen=True, slots=True)
class RigAsked:
    """A rig to be told about: the net volume that is believed, and the month."""

    system: System
    rig: Rig
    litres: float
    litres_sd: float
    volume_told: bool
    month: int

    @property
    def name(self) -> str:
        """What the keeper calls the system."""
        return self.system.name


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the answer: for programs, and for people."""

    as_json: Callable[[RigAsked], Json | None]
    as_lines: Callable[[RigAsked], Iterator[str]]


def _flows(asked: RigAsked) -> Json | None:
    from brinebook.desk.rig_flows import flows_json
    from brinebook.lifesupport.flows_answer import flows_answer

    return flows_json(flows_answer(asked.rig, asked.litres))


def _flows_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_flows_words import alone_lines, flows_lines
    from brinebook.lifesupport.flows_answer import flows_answer

    answer = flows_answer(asked.rig, asked.litres)
    return alone_lines(asked.rig, asked.litres) if answer is None else flows_lines(answer)


def _levels(asked: RigAsked) -> Json | None:
    from brinebook.desk.rig_levels import levels_json

    return levels_json(levels_of(asked))


def _levels_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_levels_words import levels_lines

    return levels_lines(levels_of(asked))


def levels_of(asked: RigAsked) -> LevelsAnswer | None:
    """The levels, with the evaporation that the heat tells where the keeper's own isn't."""
    from brinebook.lifesupport.levels_answer import levels_answer

    return levels_answer(asked.rig, asked.litres, evaporation=evaporation_told(asked))


def evaporation_told(asked: RigAsked) -> Range | None:
    """What evaporates in L/day: the keeper's own litres, else as the heat tells; None without."""
    from brinebook.lifesupport.heat_answer import heat_answer
    from brinebook.lifesupport.levels_answer import evaporation_of

    reckoned = None
    if asked.rig.evaporation is None and asked.rig.vessels:
        reckoned = heat_answer(asked.rig, asked.litres, month=asked.month).now.litres_a_day
    return evaporation_of(asked.rig, reckoned)


def _loses_heat(rig: Rig) -> bool:
    """Whether anything described says how fast the water cools."""
    return bool(rig.vessels) or rig.heat_loss is not None


def _heat(asked: RigAsked) -> Json | None:
    from brinebook.desk.rig_heat import heat_json
    from brinebook.lifesupport.heat_answer import heat_answer

    if not _loses_heat(asked.rig):
        return None
    return heat_json(heat_answer(asked.rig, asked.litres, month=asked.month))


def _heat_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_heat import UNTOLD, heat_lines
    from brinebook.lifesupport.heat_answer import heat_answer

    if not _loses_heat(asked.rig):
        return iter((UNTOLD,))
    return heat_lines(heat_answer(asked.rig, asked.litres, month=asked.month))


def _damp(asked: RigAsked) -> Json:
    from brinebook.desk.rig_damp import damp_json
    from brinebook.lifesupport.damp_answer import damp_answer

    return damp_json(damp_answer(asked.rig, asked.litres, month=asked.month))


def _damp_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_damp_words import damp_lines
    from brinebook.lifesupport.damp_answer import damp_answer

    return damp_lines(damp_answer(asked.rig, asked.litres, month=asked.month))


def _power(asked: RigAsked) -> Json:
    from brinebook.desk.rig_power import power_json
    from brinebook.lifesupport.power_answer import power_answer

    return power_json(power_answer(asked.rig))


def _power_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_power import power_lines
    from brinebook.lifesupport.power_answer import power_answer

    return power_lines(power_answer(asked.rig))


def _outage(asked: RigAsked) -> Json:
    from brinebook.desk.rig_outage import outage_json
    from brinebook.lifesupport.outage_answer import outage_answer

    return outage_json(outage_answer(asked.rig, asked.litres, month=asked.month))


def _outage_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_outage import outage_lines
    from brinebook.lifesupport.outage_answer import outage_answer

    return outage_lines(outage_answer(asked.rig, asked.litres, month=asked.month))


def _floor(asked: RigAsked) -> Json | None:
    from brinebook.desk.rig_floor import floor_json
    from brinebook.lifesupport.floor_answer import floor_answer

    return floor_json(floor_answer(asked.rig, asked.litres, litres_sd=asked.litres_sd))


def _floor_lines(asked: RigAsked) -> Iterator[str]:
    from brinebook.desk.rig_floor import floor_lines
    from brinebook.lifesupport.floor_answer import floor_answer

    return floor_lines(floor_answer(asked.rig, asked.litres, litres_sd=asked.litres_sd))


#: Every part of the answer, in the order in which it is told.
PARTS: Mapping[str, Part] = MappingProxyType(
    {
        "flows": Part(_flows, _flows_lines),
        "levels": Part(_levels, _levels_lines),
        "heat": Part(_heat, _heat_lines),
        "damp": Part(_damp, _damp_lines),
        "power": Part(_power, _power_lines),
        "outage": Part(_outage, _outage_lines),
        "floor": Part(_floor, _floor_lines),
    }
)
