"""Everything that is told of the described rig's levels, running and when something fails."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.lifesupport.basins import ReturnSection, basin, return_section
from brinebook.lifesupport.burst import Burst, burst
from brinebook.lifesupport.drain_back import DrainBacks, drain_backs, weir_heads
from brinebook.lifesupport.drains import Drains, drains
from brinebook.lifesupport.exchange import branch_flows
from brinebook.lifesupport.flows_answer import return_flow
from brinebook.lifesupport.loop import LITRES_AN_HOUR, flows
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.stuck import (
    BlockedDrain,
    Course,
    blocked_drain,
    top_off_stuck_off,
    top_off_stuck_on,
)
from brinebook.lifesupport.weirs import LEAST_HEAD, WEIR_SPREAD, weir_head
from brinebook.rig import Rig

#: How well a keeper's own litres of top-off are known: common practice, no source.
EVAPORATION_OFF = 0.10
#: How far a depth may be off that was read by a tape, m: common practice, no source.
TAPE = 0.02


@dataclass(frozen=True, slots=True)
class Running:
    """Where the display's water stands while everything runs, in m above its floor."""

    level: float
    crest: float
    weir_head: Range
    freeboard: float
    outside_range: bool  # whether the weir's head is below what any formula was measured at


@dataclass(frozen=True, slots=True)
class SectionLevel:
    """A section held by the wall behind it: as described, and as that wall lets it run, m."""

    name: str
    told: float | None
    by_wall: Range

    @property
    def differs(self) -> bool:
        """Whether the two are further apart than a tape would be."""
        return self.told is not None and abs(self.told - self.by_wall.value) > TAPE


@dataclass(frozen=True, slots=True)
class LevelsAnswer:
    """All of it; parts are None where the description doesn't tell enough."""

    flow: Range
    running: Running | None
    sections: tuple[SectionLevel, ...]
    section: ReturnSection | None
    drains: Drains | None
    drain_back: DrainBacks | None
    blocked: BlockedDrain | None
    stuck_on: Course | None
    stuck_off: Course | None
    evaporation: Range | None
    bursts: tuple[Burst, ...]


def levels_answer(
    rig: Rig, litres: float | None = None, *, evaporation: Range | None = None
) -> LevelsAnswer | None:
    """What can be told of the levels; None without a return flow, but for a tank by itself.

    ``evaporation`` in L/day stands in where the keeper's own isn't described.
    """
    told = return_flow(rig)
    by_itself = rig.vessel("sump") is None and not (rig.pipes or rig.drains or rig.weirs)
    if told is None and not (by_itself and rig.vessel("display")):
        return None
    flow = told[0] if told else Range(0.0, 0.0, 0.0)
    evaporates = evaporation_of(rig, evaporation)
    return LevelsAnswer(
        flow,
        running(rig, flow),
        sections(rig, flow),
        return_section(rig),
        drains(rig, flow.value),
        drain_backs(rig, flow),
        blocked_drain(rig, flow.value),
        top_off_stuck_on(rig, litres=litres),
        top_off_stuck_off(rig, evaporates.value, litres=litres) if evaporates else None,
        evaporates,
        tuple(
            found
            for name in (*(j.name for j in rig.joints), *(d.name for d in rig.devices))
            if (found := burst(rig, name)) is not None
        ),
    )


def evaporation_of(rig: Rig, otherwise: Range | None) -> Range | None:
    """Litres a day as the keeper measures them, else as reckoned."""
    if rig.evaporation is None:
        return otherwise
    off = EVAPORATION_OFF * rig.evaporation
    return Range(rig.evaporation, rig.evaporation - off, rig.evaporation + off)


def running(rig: Rig, flow: Range) -> Running | None:
    """The display's level: with a crest described, from the weir; else as measured."""
    display = rig.vessel("display")
    held = basin(display) if display else None
    if display is None or held is None:
        return None
    head = weir_heads(rig, flow)
    weir = next((one for one in rig.weirs if one.vessel == display.name), None)
    crest = held.depths[0] - head.value if weir is None or weir.crest is None else weir.crest
    level = crest + head.value
    return Running(
        level, crest, head, held.rim - level, weir is not None and head.value < LEAST_HEAD
    )


def sections(rig: Rig, flow: Range) -> tuple[SectionLevel, ...]:
    """Every section of the sump that runs over a wall: the wall and the head over it."""
    sump = rig.vessel("sump")
    loop = flows(rig)
    if sump is None:
        return ()
    added = branch_flows(rig, {one.name: one.flow.value for one in loop.pipes} if loop else {})
    found = []
    for section in sump.sections:
        if section.baffle is None:
            continue
        more = added.get(f"{sump.name}/{section.name}", 0.0)
        heads = [
            weir_head((one + more) / LITRES_AN_HOUR, sump.width_of_sections)
            for one in (flow.value, flow.low / (1 + WEIR_SPREAD), flow.high / (1 - WEIR_SPREAD))
        ]
        level = Range(*(section.baffle + head for head in heads))
        found.append(SectionLevel(section.name, section.water, level))
    return tuple(found)
