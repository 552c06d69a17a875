"""What comes down when the return pump stops: by every path to its break or its mouth.

The display falls by the head over its weir, or as far as a siphon reaches, whichever is more; the
box behind the weir and the pipes empty. A hole that should break a siphon is tried clear and
blocked, for the blocked one is the test. Lengths in m, volumes in L, flows in L/h.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brinebook.lifesupport.basins import Basin, basin, return_section
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.weirs import WEIR_SPREAD, weir_head
from brinebook.rig import Pipe, Rig
from brinebook.texts import say

_PER_LITRE_AN_HOUR = 1 / 3.6e6
#: A siphon-break hole under this bore closes easily, m: common practice, no source.
SMALL_HOLE = 0.004
#: How far litres may be off that were reckoned from a tape measure: common practice, no source.
TAPE_OFF = 0.05


@dataclass(frozen=True, slots=True)
class Opening:
    """Where air can get into a path: a hole that may be blocked, or the mouth itself."""

    name: str
    depth: float  # below the running level
    is_hole: bool


@dataclass(frozen=True, slots=True)
class Path:
    """Pipes joined between the display and the sump, through which water can run back."""

    name: str
    pipes: tuple[Pipe, ...]
    openings: tuple[Opening, ...]
    held: bool  # by a check valve that is believed tight

    def falls(self, blocked: frozenset[str]) -> float:
        """How far the display falls below its running level until air gets in.

        With every hole blocked that is the deepest mouth: air at one mouth needn't stop another.
        """
        holes = [o.depth for o in self.openings if o.is_hole and o.name not in blocked]
        mouths = [o.depth for o in self.openings if not o.is_hole]
        deepest = max(mouths, default=0.0)
        return min([*holes, deepest]) if holes else deepest


@dataclass(frozen=True, slots=True)
class DrainBack:
    """One case: which holes are blocked, what comes down and where that leaves the sump."""

    name: str
    blocked: tuple[str, ...]
    display_falls: float
    litres: Range
    sump_depth: float  # of its fullest part's surface, above its floor
    freeboard: float  # to the rim; negative where it runs over
    over_mark: float  # litres past the margin that is kept dry
    over_rim: float  # litres on the floor


@dataclass(frozen=True, slots=True)
class DrainBacks:
    """Every case, the sump's room, and the highest running depth at which the worst still fits."""

    cases: tuple[DrainBack, ...]
    weir_head: Range
    pipes: float
    box: float
    room_to_mark: float
    room_to_rim: float
    running_depth: float  # of the return section
    highest_depth: float | None  # None: no depth is low enough
    notes: tuple[str, ...]


def paths(rig: Rig) -> tuple[Path, ...]:
    """The ways back from the display: each a set of joined pipes that end in it."""
    display = rig.vessel("display")
    if display is None:
        return ()
    vessels = {v.name for v in rig.vessels}
    vessels |= {f"{v.name}/{s.name}" for v in rig.vessels for s in v.sections}
    ours = {display.name, *(f"{display.name}/{s.name}" for s in display.sections)}
    found, left = [], list(rig.pipes)
    while left:
        group, nodes = [left.pop(0)], set[str]()
        nodes |= {group[0].begin, group[0].end} - vessels
        grew = True
        while grew:
            joined = [p for p in left if {p.begin, p.end} & nodes]
            grew = bool(joined)
            for pipe in joined:
                left.remove(pipe)
                group.append(pipe)
                nodes |= {pipe.begin, pipe.end} - vessels
        mouths = [pipe for pipe in group if pipe.end in ours]
        if mouths and any(pipe.end not in ours or pipe.begin not in ours for pipe in group):
            found.append(_path(rig, tuple(group), mouths))
    return tuple(found)


def _path(rig: Rig, group: tuple[Pipe, ...], mouths: list[Pipe]) -> Path:
    openings = []
    for pipe in mouths:
        nozzles = [nozzle for nozzle in rig.nozzles if nozzle.pipe == pipe.name]
        for nozzle in nozzles:
            openings.append(Opening(nozzle.name, nozzle.mouth, is_hole=False))
            if nozzle.hole is not None:
                openings.append(
                    Opening(say("hole of {nozzle}", nozzle=nozzle.name), nozzle.hole, is_hole=True)
                )
        if not nozzles and pipe.height is None and pipe.mouth is not None:
            openings.append(Opening(pipe.name, pipe.mouth, is_hole=False))
    held = any(pipe.check_valve == "tight" for pipe in group)
    return Path(mouths[0].name, group, tuple(openings), held)


def drain_backs(rig: Rig, flow: Range, *, check_valves_hold: bool = False) -> DrainBacks | None:
    """Every case of the pump's stopping at a return flow in L/h; None without display and sump.

    Check valves are believed to leak unless ``check_valves_hold``, and then only those that the
    keeper calls tight.
    """
    display, sump = rig.vessel("display"), rig.vessel("sump")
    held, lower = (basin(one) if one else None for one in (display, sump))
    if held is None or lower is None:
        return None
    back = [one for one in paths(rig) if not (check_valves_hold and one.held)]
    heads = weir_heads(rig, flow)
    pipes = pipe_litres(rig, tuple(back))
    box = 1000.0 * sum(weir.box_area * weir.box_drains for weir in rig.weirs)
    cases = tuple(
        _case(name, blocked, back, heads=heads, display=held, rest=pipes + box, sump=lower,
              margin=rig.margin)
        for name, blocked in _cases(back)
    )  # fmt: skip
    mark = lower.rim - rig.margin
    worst = max(case.litres.value for case in cases)
    section = return_section(rig)
    depth = section.depth if section else lower.depths[0]
    highest = _highest(lower, mark, worst, depth)
    # Over its wall it would run back into the section before it, and no longer be one.
    if highest is not None and section is not None and section.baffle is not None:
        highest = min(highest, max(section.baffle, depth))
    # Where the pump would already draw air is no depth to run at.
    if highest is not None and section is not None and highest <= section.intake:
        highest = None
    return DrainBacks(
        cases, heads, pipes, box, lower.room(mark), lower.room(lower.rim), depth,
        highest, tuple(_notes(rig, back)),
    )  # fmt: skip


def weir_heads(rig: Rig, flow: Range) -> Range:
    """Head over the display's weir; several share by what they pass. Nothing without a weir."""
    weirs = [weir for weir in rig.weirs if _is_displays(rig, weir.vessel)]
    if not weirs:
        return Range(0.0, 0.0, 0.0)
    length = sum(weir.length for weir in weirs)
    open_share = sum(weir.length * weir.open_share for weir in weirs) / length
    teeth = [weir.tooth_height for weir in weirs if weir.tooth_height is not None]

    def head(litres: float) -> float:
        return weir_head(
            max(litres, 0.0) * _PER_LITRE_AN_HOUR,
            length,
            open_share=open_share,
            tooth_height=min(teeth) if teeth else None,
        )

    low, high = flow.low / (1 + WEIR_SPREAD), flow.high / (1 - WEIR_SPREAD)
    return Range(head(flow.value), head(low), head(high))


def _is_displays(rig: Rig, vessel: str) -> bool:
    display = rig.vessel("display")
    return display is not None and vessel == display.name


def pipe_litres(rig: Rig, back: tuple[Path, ...]) -> float:
    """What the pipes of those paths, and the drains, hold."""
    runs = [(pipe.bore, pipe.length) for path in back for pipe in path.pipes]
    runs += [(drain.bore, drain.length) for drain in rig.drains if drain.kind != "emergency"]
    return 1000.0 * sum(math.pi * bore**2 / 4 * length for bore, length in runs)


def _cases(back: list[Path]) -> Iterator[tuple[str, frozenset[str]]]:
    holes = [o.name for path in back for o in path.openings if o.is_hole]
    yield (say("every hole clear") if holes else say("to the mouths"), frozenset())
    if len(holes) > 1:
        for hole in holes:
            yield say("{hole} blocked", hole=hole), frozenset({hole})
    if holes:
        yield (
            say("every hole blocked") if len(holes) > 1 else say("{holes} blocked", holes=holes[0]),
            frozenset(holes),
        )


def _case(
    name: str,
    blocked: frozenset[str],
    back: list[Path],
    *,
    heads: Range,
    display: Basin,
    rest: float,
    sump: Basin,
    margin: float,
) -> DrainBack:
    siphon = max((path.falls(blocked) for path in back), default=0.0)
    falls = [max(head, siphon) for head in (heads.value, heads.low, heads.high)]
    litres = [1000.0 * display.area * fall + rest for fall in falls]
    depth = sump.after(litres[0])
    return DrainBack(
        name, tuple(sorted(blocked)), falls[0],
        Range(litres[0], litres[1] * (1 - TAPE_OFF), litres[2] * (1 + TAPE_OFF)), depth,
        sump.rim - depth, sump.over(litres[0], sump.rim - margin), sump.over(litres[0], sump.rim),
    )  # fmt: skip


def _highest(sump: Basin, mark: float, litres: float, depth: float) -> float | None:
    """The highest depth of the return section at which so much more still fits under the mark."""
    floating = [area for area, one in zip(sump.areas, sump.depths, strict=True) if one == depth]
    held = [(area, one) for area, one in zip(sump.areas, sump.depths, strict=True) if one != depth]
    room = 1000.0 * sum(area * max(mark - one, 0.0) for area, one in held)
    found = mark - max(litres - room, 0.0) / (1000.0 * sum(floating))
    return found if found > 0 else None


def _notes(rig: Rig, back: list[Path]) -> Iterator[str]:
    for path in back:
        if not path.openings and all(pipe.height is None for pipe in path.pipes):
            yield (
                say(
                    "Of {path} no nozzle's depth is told: it is taken to end at the "
                    "surface. Measure how far its mouth lies below the running level.",
                    path=path.name,
                )
            )
        if path.held:
            yield (
                say(
                    "The check valve in {path} is called tight. Sooner or later a snail "
                    "or a grain keeps it open, so the cases here leave it out. A guard "
                    "keeps snails out of the return section (common practice, no source).",
                    path=path.name,
                )
            )
    for nozzle in rig.nozzles:
        if nozzle.hole_bore is not None and nozzle.hole_bore < SMALL_HOLE:
            yield (
                say(
                    "The hole of {nozzle} is {hole_bore:.0f} mm wide: a few algae close it.",
                    nozzle=nozzle.name,
                    hole_bore=1000 * nozzle.hole_bore,
                )
            )
    if not rig.weirs:
        yield say(
            "No weir is described: the display is taken to stop falling at its running level."
        )
