"""The described rig and everything that is told of it: the use cases behind ``brinebook rig``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.desk import clock
from brinebook.desk.opening import Loaded, aware, load
from brinebook.desk.rig_cautions import caution_lines, cautions_json
from brinebook.desk.rig_degrees import in_keepers_degrees
from brinebook.desk.rig_figures import Json
from brinebook.desk.rig_parts import PARTS, RigAsked
from brinebook.errors import UsageProblem
from brinebook.report.numbers import number_text
from brinebook.rig import Assumed, Missing, Rig
from brinebook.system import System
from brinebook.texts import say

if TYPE_CHECKING:
    from brinebook.report.rig_drawing import Drawn

#: Volume that a system whose volume nobody told is reckoned with, L, and said so.
UNTOLD_LITRES = 300.0
#: How many of the missing figures are named at once to a person.
_NAMED_AT_ONCE = 6


class RigNotDescribed(UsageProblem):
    """Nothing of the rig is in the description of the system."""

    code = "E-RIG"

    def __init__(self, system: str) -> None:
        super().__init__(
            say(
                "The description of {system} holds no vessels, pumps, plumbing, heat or power.",
                system=system,
            ),
            say(
                "Put them into its system.toml and say “brinebook system --from "
                "FILE”; docs/rig.md shows every key, and the display's and sump's "
                "sizes are a start."
            ),
        )


class RigPartUnknown(UsageProblem):
    """There is no such part of the rig's answer, or no such place in the rig."""

    code = "E-RIG-PLACE"

    def __init__(self, place: str, known: tuple[str, ...]) -> None:
        listed = ", ".join(known) or say("nothing of the kind")
        super().__init__(
            say("The rig has no “{place}” there.", place=place),
            say("Described are: {listed}.", listed=listed),
        )


def ask(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    file: Path | None = None,
) -> RigAsked:
    """The rig of a system as its book describes it, or as a file does.

    Raises RigNotDescribed, and what opening a book or reading a file raises.
    """
    if file is None:
        return asked_by(load(address, name, now=clock.now(), at=at))
    from brinebook.book.description import read_description
    from brinebook.desk.describing import read_text

    system = read_description(read_text(file)).system
    zone = ZoneInfo(system.timezone)
    return asked_of(system, at=(aware(at, zone) or clock.now()).astimezone(zone))


def asked_by(loaded: Loaded, system: System | None = None) -> RigAsked:
    """The rig of a loaded system as of its moment; ``system`` is another description of it.

    What evaporates is read off the marks of its top-off. Raises RigNotDescribed.
    """
    marked = _with_marks(loaded, system or loaded.system)
    return asked_of(marked, at=loaded.at.astimezone(loaded.zone))


def _with_marks(loaded: Loaded, system: System) -> System:
    """The system, with what evaporates as the marks of its top-off show it, if they do.

    A figure that the keeper described goes before the marks.
    """
    from brinebook.desk.slip_ways_back import evaporation_by_marks

    rig = system.rig
    if rig is None or rig.evaporation is not None:
        return system
    found = evaporation_by_marks(loaded.facts, loaded.at)
    if found is None:
        return system
    where = "heat.evaporation"
    told = Assumed(where, f"{found:.3g} L/day", say("by the marks of your top-off over two weeks"))
    assumed = MappingProxyType({**rig.assumed, where: told})
    return replace(system, rig=replace(rig, evaporation=found, assumed=assumed))


def asked_of(system: System, *, at: datetime) -> RigAsked:
    """The rig of a system in the month of ``at``. Raises RigNotDescribed."""
    rig, volume = system.rig, system.net_volume
    if rig is None:
        raise RigNotDescribed(system.name)
    litres = volume.value if volume is not None else (rig.litres or UNTOLD_LITRES)
    spread = volume.sd if volume is not None else 0.2 * litres
    told = volume is not None or rig.litres is not None
    return RigAsked(system, rig, litres, spread, told, at.month)


def part_json(asked: RigAsked, name: str) -> Json:
    """One part with its name, the system and its cautions."""
    return {
        "system": asked.name,
        name: PARTS[name].as_json(asked),
        "cautions": cautions_json(name),
    }


def part_lines(asked: RigAsked, name: str) -> Iterator[str]:
    """One part for a person, its cautions first."""
    yield from caution_lines(name)
    yield ""
    yield from in_keepers_degrees(PARTS[name].as_lines(asked), asked.system)


def described_json(asked: RigAsked) -> Json:
    """What is described, what is at a default and what is missing."""
    return {
        "system": asked.name,
        "volume": {
            "value": asked.litres,
            "sd": asked.litres_sd,
            "unit": "L",
            "told": asked.volume_told,
        },
        "described": dict(described_counts(asked.rig)),
        "assumed": [
            {"where": one.where, "value": one.value, "reason": one.reason}
            for one in asked.rig.assumed.values()
        ],
        "missing": [
            {"where": one.where, "wanted_for": one.wanted_for} for one in asked.rig.missing
        ],
    }


def whole_json(asked: RigAsked) -> Json:
    """Everything at once: what is described, assumed and missing, and every part."""
    return {
        **described_json(asked),
        **{name: part.as_json(asked) for name, part in PARTS.items()},
        "cautions": cautions_json(*PARTS),
    }


def described_counts(rig: Rig) -> dict[str, int]:
    """How many of each kind of part are described."""
    kinds = (
        "vessels", "pumps", "pipes", "joints", "devices", "weirs", "drains", "nozzles", "dosers",
        "heaters", "fans", "coolers", "lamps", "circuits", "sockets", "loads",
    )  # fmt: skip
    return {kind: len(getattr(rig, kind)) for kind in kinds}


def overview_lines(asked: RigAsked) -> Iterator[str]:
    """What is described and what isn't, the most valuable first; the first lines of each part."""
    rig = asked.rig
    yield say("{asked}: the rig as described", asked=asked.name)
    counts = [(kind, count) for kind, count in described_counts(rig).items() if count]
    parts = ", ".join(f"{count} {_counted(kind, count)}" for kind, count in counts)
    yield say("  {parts}", parts=parts or say("no vessel, pump or pipe yet"))
    yield (
        say("  about {litres} L of water", litres=number_text(asked.litres, 0))
        + ("" if asked.volume_told else say(", a guess, since neither volume nor depths are told"))
    )
    yield from missing_lines(rig.missing)
    if rig.assumed:
        yield say(
            "{count} figures are at a default; “brinebook rig assumed” lists them.",
            count=len(rig.assumed),
        )
    yield ""
    yield from caution_lines("flows", "levels")
    for name in ("flows", "levels"):
        yield ""
        yield name.capitalize()
        yield from PARTS[name].as_lines(asked)
    yield ""
    yield say("More: brinebook rig heat, damp, power, outage, floor; what if: brinebook drill.")


def _counted(kind: str, count: int) -> str:
    singular = {"vessels": "vessel", "devices": "device", "fans": "fan"}
    return singular.get(kind, kind[:-1]) if count == 1 else kind


def missing_lines(missing: tuple[Missing, ...]) -> Iterator[str]:
    """The figures that would tell the most, named."""
    if not missing:
        return
    yield say("Not described, the most valuable first:")
    for one in missing[:_NAMED_AT_ONCE]:
        yield f"  {one.where}: {one.wanted_for}"
    if len(missing) > _NAMED_AT_ONCE:
        yield say(
            "  and {count} more; “brinebook rig missing” lists them.",
            count=len(missing) - _NAMED_AT_ONCE,
        )


def assumed_lines(asked: RigAsked) -> Iterator[str]:
    """Every default that stands in for a figure, with what it rests on."""
    if not asked.rig.assumed:
        yield say("Nothing stands in for anything: every figure is your own.")
    for one in asked.rig.assumed.values():
        yield f"{one.where} = {one.value}  ({one.reason})"


def all_missing_lines(asked: RigAsked) -> Iterator[str]:
    """Every figure without a default that isn't told."""
    if not asked.rig.missing:
        yield say("Nothing is missing that an answer here waits for.")
    for one in asked.rig.missing:
        yield f"{one.where}: {one.wanted_for}"


def drawing(asked: RigAsked) -> str:
    """The rig drawn, with its flows and levels in the list below, as SVG."""
    from brinebook.report.rig_drawing import rig_svg

    return rig_svg(asked.rig, _beside_names(asked), title=asked.name)


def drawn(asked: RigAsked) -> Drawn:
    """The drawing alone, and the list of what its numerals stand for."""
    from brinebook.report.rig_drawing import rig_drawn

    return rig_drawn(asked.rig, _beside_names(asked), title=asked.name)


def _beside_names(asked: RigAsked) -> dict[str, str]:
    """The flow or level of each part, for the list under a drawing."""
    from brinebook.lifesupport.flows_answer import flows_answer

    told: dict[str, str] = {}
    found = flows_answer(asked.rig, asked.litres)
    if found is not None:
        told["up"] = f"{number_text(found.to_display.value, -1)} L/h"
        for pump in found.loop.pumps if found.loop else ():
            told[pump.name] = f"{number_text(pump.flow.value, -1)} L/h"
        for pipe in found.loop.pipes if found.loop else ():
            told.setdefault(pipe.name, f"{number_text(pipe.flow.value, -1)} L/h")
        for device in found.devices:
            told[device.name] = f"{number_text(device.flow.value, 0)} L/h"
    for vessel in asked.rig.vessels:
        for section in vessel.sections:
            if section.water is not None:
                told[section.name] = say(
                    "{water} cm deep", water=number_text(100 * section.water, 0)
                )
    return told
