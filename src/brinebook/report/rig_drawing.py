"""A drawing of the described rig, made from its measures: a page of a field notebook, as SVG.

Side view to scale for the vessels, their water and their walls; pipes, valves, pumps and bottles
where there is room for them. Parts carry a numeral, the words stand in the list below.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brinebook.report.rig_drawing_gear import (
    bottles,
    display_gear,
    lamps,
    left_of,
    sump_gear,
    words_of,
)
from brinebook.report.rig_sheet import (
    CORALLINE,
    FADED,
    INK,
    LEFT,
    PAPER,
    RIGHT,
    SLATE,
    TOP,
    WIDTH,
    Sheet,
    opening,
    page,
)
from brinebook.rig import Device, Nozzle, Pipe, Rig, Vessel
from brinebook.texts import Spoken, say

__all__ = ["WIDTH", "Drawn", "rig_drawn", "rig_svg"]

#: Between the stand and a vessel that stands by itself, m.
_APART = 0.12
#: How drains run, in words.
_KINDS = Spoken({"siphon": "siphon", "standpipe": "standpipe", "emergency": "emergency"})


def rig_svg(rig: Rig, told: Mapping[str, str] | None = None, *, title: str = "The rig") -> str:
    """The drawing; ``told`` adds words (a flow, a level) behind the names of parts.

    Needs at least one vessel; without, it says so on an empty sheet.
    """
    return page(_sheet_of(rig, told or {}), rig, title)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawing alone, and the list that its numerals stand for, from 1 on."""

    svg: str
    legend: tuple[str, ...]


def rig_drawn(rig: Rig, told: Mapping[str, str] | None = None, *, title: str = "The rig") -> Drawn:
    """The same for a page that has a heading and a list of its own."""
    sheet = _sheet_of(rig, told or {})
    high = sheet.ground + 12
    parts = [opening(rig, title, TOP - 6, high), *sheet.parts, *sheet.numerals, "</svg>"]
    return Drawn("\n".join(parts), tuple(sheet.legend))


def _sheet_of(rig: Rig, said: Mapping[str, str]) -> Sheet:
    display, sump = rig.vessel("display"), rig.vessel("sump")
    vessels = [one for one in (display, sump) if one is not None]
    others = [one for one in rig.vessels if one not in vessels]
    tallest = max([one.floor + one.height for one in rig.vessels], default=1.0) + 0.18
    longest = max([one.length for one in vessels], default=0.6) + 0.34
    beside = sum(one.length + _APART for one in others)
    scale = min((RIGHT - LEFT) / (longest + beside), 300.0 / tallest)
    sheet = Sheet(scale, TOP + scale * tallest)
    _room(sheet)
    if display is not None:
        _stand(sheet, display)
        _vessel(sheet, display, said, left=left_of(display))
        lamps(sheet, rig, display)
        display_gear(sheet, rig, display, said)
    if sump is not None:
        _vessel(sheet, sump, said, left=left_of(sump))
        sump_gear(sheet, rig, sump)
    foot = sump or display
    if foot is not None:
        bottles(sheet, rig, foot, said)
    if display is not None and sump is not None:
        _weir_and_drains(sheet, rig, display, sump, said)
        _ways_up(sheet, rig, display, sump, said)
    x = LEFT + scale * longest
    for one in others:
        _stand(sheet, one, left=x)
        _vessel(sheet, one, said, left=x)
        x += scale * (one.length + _APART)
    return sheet


def _room(sheet: Sheet) -> None:
    sheet.line([(LEFT - 8, sheet.ground), (RIGHT + 8, sheet.ground)], kind="floor", width=1.0)
    for at in range(int(LEFT), int(RIGHT), 14):
        sheet.line([(at, sheet.ground + 6), (at + 6, sheet.ground)], kind="floor", width=0.6,
                   colour=FADED)  # fmt: skip


def _stand(sheet: Sheet, vessel: Vessel, *, left: float = LEFT) -> None:
    right, top = left + sheet.scale * vessel.length, sheet.y(vessel.floor)
    sheet.line([(left, top), (left, sheet.ground)], kind="stand", colour=FADED, width=1.0)
    sheet.line([(right, top), (right, sheet.ground)], kind="stand", colour=FADED, width=1.0)


def _vessel(sheet: Sheet, vessel: Vessel, said: Mapping[str, str], *, left: float) -> None:
    wide = sheet.scale * vessel.length
    bottom, top = sheet.y(vessel.floor), sheet.y(vessel.floor + vessel.height)
    x = left
    depths = [(one.length, one.water, one.baffle) for one in vessel.sections]
    rest = vessel.length - sum(length for length, _, _ in depths)
    if rest > 0.01 * vessel.length:
        depths.append((rest, None, None))
    for length, water, baffle in depths:
        depth = vessel.water if water is None else water
        if depth is not None:
            surface = sheet.y(vessel.floor + depth)
            sheet.box(x, surface, sheet.scale * length, bottom - surface, kind="water",
                      fill=SLATE, opacity=0.18)  # fmt: skip
            sheet.line([(x, surface), (x + sheet.scale * length, surface)], kind="surface",
                       colour=SLATE, width=1.0)  # fmt: skip
        x += sheet.scale * length
        if baffle is not None:
            sheet.line([(x, bottom), (x, sheet.y(vessel.floor + baffle))], kind="baffle")
    sheet.line([(left, top), (left, bottom), (left + wide, bottom), (left + wide, top)], width=2.0)
    if vessel.lid > 0:
        covered = left + wide * min(vessel.lid, 1.0)
        sheet.line([(left, top - 2), (covered, top - 2)], kind="lid", dashed=True)
    middle = (top + bottom) / 2 if vessel.role == "display" else bottom - 6
    measures = f"{100 * vessel.length:.0f} × {100 * vessel.width:.0f} × {100 * vessel.height:.0f}"
    sheet.name(left + wide / 2 - 4, middle, words_of(vessel.name, f"{measures} cm", said))
    x = left
    for section in vessel.sections:
        at = x + sheet.scale * section.length / 2 - 4
        sheet.name(
            at,
            bottom - 18,
            words_of(say("{section} section", section=section.name), "", said, section.name),
        )
        x += sheet.scale * section.length


def _return_x(sheet: Sheet, rig: Rig, sump: Vessel) -> float:
    """The middle of the section that the return pump stands in."""
    x = left_of(sump)
    place = next((p.place.partition("/")[2] for p in rig.pumps if p.role == "return"), "")
    for section in sump.sections:
        wide = sheet.scale * section.length
        if section.name == place or (not place and section.role == "return"):
            return x + wide / 2
        x += wide
    return left_of(sump) + sheet.scale * sump.length * 0.8


def _ways_up(
    sheet: Sheet, rig: Rig, display: Vessel, sump: Vessel, said: Mapping[str, str]
) -> None:
    """The return pumps, the pipe up beside the display and down to its mouths, and branches."""
    pumps = [one for one in rig.pumps if one.role == "return"]
    if not pumps:
        return
    x, floor = _return_x(sheet, rig, sump), sheet.y(sump.floor)
    for at, pump in enumerate(pumps):
        left = x - 7 - 18 * at
        sheet.box(left, floor - 13, 14, 12, kind="pump", fill=PAPER, stroke=INK)
        if at:
            sheet.line([(left + 14, floor - 10), (x, floor - 24)], kind="pipe", colour=SLATE)
        sheet.name(left + 16 if not at else left - 9, floor - 4, words_of(pump.name, "", said))
    side = LEFT + sheet.scale * display.length + 9
    over = sheet.y(display.floor + display.height) - 8
    turn = sheet.y(display.floor) + 12
    sheet.line([(x, floor - 13), (x, turn), (side, turn), (side, over)], kind="pipe", colour=SLATE,
               width=2.4)  # fmt: skip
    _mouths(sheet, rig, display, side=side, over=over, said=said)
    up = [pipe for pipe in rig.pipes if pipe.end == display.name]
    if up and up[0].valve is not None:
        sheet.valve((x + side) / 2, turn)
    sheet.name(
        side + 4, (over + sheet.y(display.floor)) / 2, words_of(say("the way up"), "", said, "up")
    )
    for at, pipe in enumerate(_other_ways_up(rig, up)):
        _branch_up(sheet, pipe, display, riser=x, at=at, said=said)
    for at, pipe in enumerate(_back_to_sump(rig, sump)):
        _branch(sheet, pipe, sump, riser=x, at=at, said=said)
    _devices(sheet, rig, display, riser=x, said=said)


def _mouths(
    sheet: Sheet, rig: Rig, display: Vessel, *, side: float, over: float, said: Mapping[str, str]
) -> None:
    """Where the way up ends in the display, with its siphon-break holes."""
    nozzles: tuple[Nozzle | None, ...] = rig.nozzles or (None,)
    running = sheet.y(display.floor + (display.water or 0.9 * display.height))
    for at, nozzle in enumerate(nozzles):
        inner = LEFT + sheet.scale * display.length - 16 - 26 * at
        mouth = running + sheet.scale * (nozzle.mouth if nozzle else 0.0)
        sheet.line([(side, over), (inner, over), (inner, mouth)], kind="pipe", colour=SLATE,
                   width=2.4)  # fmt: skip
        if nozzle is None:
            continue
        depth = say("mouth {mouth:.0f} mm deep", mouth=1000 * nozzle.mouth)
        if nozzle.hole is not None:
            depth += say(", hole {hole:.0f} mm", hole=1000 * nozzle.hole)
            hole = running + sheet.scale * nozzle.hole
            sheet.line([(inner - 3, hole), (inner + 3, hole)], kind="hole", colour=CORALLINE,
                       width=2.0)  # fmt: skip
        sheet.name(inner - 14, mouth + 4, words_of(nozzle.name, depth, said))


def _other_ways_up(rig: Rig, up: list[Pipe]) -> list[Pipe]:
    """Pipes into the display beside the way up that carry no nozzle: branches at dead corners."""
    ended = {nozzle.pipe for nozzle in rig.nozzles}
    pumps = {pump.name for pump in rig.pumps}
    return [one for one in up[1:] if one.name not in ended and one.begin not in pumps]


def _branch_up(
    sheet: Sheet, pipe: Pipe, display: Vessel, *, riser: float, at: int, said: Mapping[str, str]
) -> None:
    """A thin line from the riser up behind the display, to the depth that it ends at."""
    running = display.floor + (display.water or 0.9 * display.height)
    x = LEFT + sheet.scale * display.length * (0.62 - 0.14 * at)
    turn = sheet.y(display.floor) + 18 + 6 * at
    end = sheet.y(running - (pipe.mouth or 0.0))
    sheet.line([(riser, turn), (x, turn), (x, end)], kind="pipe", colour=SLATE, width=1.4)
    if pipe.valve is not None:
        sheet.valve((riser + x) / 2, turn)
    sheet.name(x + 4, end + 12, words_of(pipe.name, "", said))


def _back_to_sump(rig: Rig, sump: Vessel) -> list[Pipe]:
    """Branches that feed no device and end in the sump."""
    devices = {device.name for device in rig.devices}
    return [p for p in rig.pipes if p.end.startswith(sump.name) and p.begin not in devices]


def _branch(
    sheet: Sheet, pipe: Pipe, sump: Vessel, *, riser: float, at: int, said: Mapping[str, str]
) -> None:
    x, middle = left_of(sump), left_of(sump) + sheet.scale * sump.length / 2
    for section in sump.sections:
        if pipe.end == f"{sump.name}/{section.name}":
            middle = x + sheet.scale * section.length * 0.7
        x += sheet.scale * section.length
    high = sheet.y(sump.floor + sump.height) - 6 - 7 * at
    sheet.line([(riser, high), (middle, high), (middle, sheet.y(sump.floor + 0.9 * sump.height))],
               kind="pipe", colour=SLATE, width=1.4)  # fmt: skip
    if pipe.valve is not None:
        sheet.valve(riser + 0.3 * (middle - riser), high)
    sheet.name(middle - 12, high - 3, words_of(pipe.name, "", said))


#: Devices stand so far apart, beside and over each other, and the first so far from the riser.
_BESIDE, _OVER, _FROM_RISER = 36, 52, 44


def _devices(
    sheet: Sheet, rig: Rig, display: Vessel, *, riser: float, said: Mapping[str, str]
) -> None:
    """Devices beside the riser, as many in a row as fit in the stand, at their height or over it.

    All their pipes first, so that none runs across a device.
    """
    room = riser - _FROM_RISER - (LEFT + 18 + 9 * len(rig.drains))
    in_a_row = max(int(room / _BESIDE) + 1, 1)
    rows = (len(rig.devices) - 1) // in_a_row
    over = _OVER
    if rows > 0 and rig.devices:  # under the display, whatever it takes
        free = sheet.y(rig.devices[0].height) - sheet.y(display.floor) - 34
        over = min(_OVER, max(int(free / rows), 12))
    placed = []
    for at, device in enumerate(rig.devices):
        row, column = divmod(at, in_a_row)
        x, y = riser - _FROM_RISER - _BESIDE * column, sheet.y(device.height) - over * row
        placed.append((device, x, y))
        sheet.line([(riser, y + 8), (x + 9, y + 8)], kind="pipe", colour=SLATE, width=1.4)
        sheet.line([(x, y + 14), (x, y + 30)], kind="pipe", colour=SLATE, width=1.4)
    for device, x, y in placed:
        _device(sheet, rig, device, x=x, y=y, said=said)


def _device(
    sheet: Sheet, rig: Rig, device: Device, *, x: float, y: float, said: Mapping[str, str]
) -> None:
    """A device, each of its pipes with a valve where it has one."""
    sheet.box(x - 9, y - 20, 18, 34, kind="device", fill=PAPER, stroke=INK)
    if any(p.end == device.name and p.valve is not None for p in rig.pipes):
        sheet.valve(x + 15, y + 8)
    if any(p.begin == device.name and p.valve is not None for p in rig.pipes):
        sheet.valve(x, y + 22, standing=True)
    sheet.name(x - 4, y + 1, words_of(device.name, "", said))


def _weir_and_drains(
    sheet: Sheet, rig: Rig, display: Vessel, sump: Vessel, said: Mapping[str, str]
) -> None:
    left = LEFT
    running = display.water or 0.9 * display.height
    box = 0.0
    for weir in rig.weirs:
        if weir.vessel != display.name:
            continue
        box = sheet.scale * max(weir.box_area / display.width, 0.07)
        crest = sheet.y(display.floor + (weir.crest or running))
        sheet.line([(left + box, sheet.y(display.floor)), (left + box, crest + 3)], kind="weir")
        for tooth in range(4):
            sheet.line([(left + box - 3, crest + 3 * tooth), (left + box + 3, crest + 3 * tooth)],
                       kind="weir", width=0.9)  # fmt: skip
        teeth = (
            say(", {open_share:.0f} % open", open_share=100 * weir.open_share)
            if weir.open_share < 1
            else ""
        )
        sheet.name(left + box + 6, crest + 22, words_of(
            weir.name, f"{100 * weir.length:.0f} cm{teeth}", said))  # fmt: skip
    for at, drain in enumerate(rig.drains):
        x = left + 7 + 9 * at
        spare = drain.kind == "emergency"
        top = sheet.y(display.floor + running + (drain.above_running if spare else -0.08))
        end = sheet.y(sump.floor + (sump.water or 0.1) - 0.03)
        sheet.line([(x, top), (x, end)], kind="drain", colour=SLATE, width=2.4,
                   dashed=spare)  # fmt: skip
        sheet.name(x + 4, sheet.y(display.floor) + 26 + 14 * at, words_of(
            drain.name, f"{_KINDS[drain.kind]}, {1000 * drain.bore:.0f} mm", said))  # fmt: skip
