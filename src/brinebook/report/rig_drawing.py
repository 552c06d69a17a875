"""A drawing of the described rig, made from its measures: a page of a field notebook, as SVG.

Side view to scale for the vessels, their water and their walls; pipes, pumps and bottles where
there is room for them. Parts carry a numeral, the words stand in the list below. Colours are
attributes, so that no style of its own is needed, and each part has a class for a page that has a
dark theme. 390 units wide: readable on a phone without a finger.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from brinebook.rig import Device, Nozzle, Pipe, Rig, Vessel
from brinebook.texts import Spoken, say, say_count

WIDTH = 390.0
_LEFT, _RIGHT, _TOP = 16.0, 374.0, 34.0
_LEGEND_LINE = 17.0
_PAPER, _INK, _FADED, _RULE = "#FAF6EE", "#22272B", "#5A6066", "#D9CFBB"
_CORALLINE, _SLATE = "#97305A", "#2B5F63"
_SERIF = "ui-serif, 'Iowan Old Style', Palatino, Georgia, serif"
_SANS = "ui-sans-serif, system-ui, sans-serif"
_LEGEND_LETTERS = 56


#: How drains run, in words.
_KINDS = Spoken({"siphon": "siphon", "standpipe": "standpipe", "emergency": "emergency"})


@dataclass(slots=True)
class _Sheet:
    """The drawing under way: its scale, what is on it and the list below."""

    scale: float
    ground: float  # y of the room's floor
    parts: list[str] = field(default_factory=list)
    legend: list[str] = field(default_factory=list)
    taken: list[tuple[float, float]] = field(default_factory=list)

    def y(self, height: float) -> float:
        """Where a height above the room's floor lies."""
        return self.ground - self.scale * height

    def line(self, points: list[tuple[float, float]], *, width: float = 1.4, kind: str = "glass",
             colour: str = _INK, dashed: bool = False) -> None:  # fmt: skip
        """Lines through points."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dash = ' stroke-dasharray="4 3"' if dashed else ""
        self.parts.append(
            f'<polyline class="rig-{kind}" points="{path}" fill="none" stroke="{colour}" '
            f'stroke-width="{width:g}" stroke-linejoin="round" stroke-linecap="round"{dash}/>'
        )

    def box(self, x: float, y: float, wide: float, high: float, *, kind: str, fill: str = "none",
            opacity: float = 1.0, stroke: str = "none") -> None:  # fmt: skip
        """A rectangle from its upper left corner."""
        self.parts.append(
            f'<rect class="rig-{kind}" x="{x:.1f}" y="{y:.1f}" width="{max(wide, 0):.1f}" '
            f'height="{max(high, 0):.1f}" fill="{fill}" fill-opacity="{opacity:g}" '
            f'stroke="{stroke}" stroke-width="1.2"/>'
        )

    def name(self, x: float, y: float, words: str) -> None:
        """A numeral at a part, and its words in the list; moved down where another one stands."""
        while any(abs(x - a) < 15 and abs(y - b) < 11 for a, b in self.taken):
            y += 11
        self.taken.append((x, y))
        self.legend.append(words)
        self.parts.append(
            f'<text class="rig-numeral" x="{x:.1f}" y="{y:.1f}" font-family="{_SANS}" '
            f'font-size="11" font-weight="600" fill="{_CORALLINE}" stroke="{_PAPER}" '
            f'stroke-width="3" paint-order="stroke">{len(self.legend)}</text>'
        )


def rig_svg(rig: Rig, told: Mapping[str, str] | None = None, *, title: str = "The rig") -> str:
    """The drawing; ``told`` adds words (a flow, a level) behind the names of parts.

    Needs at least one vessel; without, it says so on an empty sheet.
    """
    return _page(_sheet_of(rig, told or {}), rig, title)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawing alone, and the list that its numerals stand for, from 1 on."""

    svg: str
    legend: tuple[str, ...]


def rig_drawn(rig: Rig, told: Mapping[str, str] | None = None, *, title: str = "The rig") -> Drawn:
    """The same for a page that has a heading and a list of its own."""
    sheet = _sheet_of(rig, told or {})
    high = sheet.ground + 12
    parts = [_opening(rig, title, _TOP - 6, high), *sheet.parts, "</svg>"]
    return Drawn("\n".join(parts), tuple(sheet.legend))


def _sheet_of(rig: Rig, said: Mapping[str, str]) -> _Sheet:
    display, sump = rig.vessel("display"), rig.vessel("sump")
    vessels = [one for one in (display, sump) if one is not None]
    tallest = max([one.floor + one.height for one in vessels], default=1.0) + 0.18
    longest = max([one.length for one in vessels], default=1.0) + 0.34
    scale = min((_RIGHT - _LEFT) / longest, 300.0 / tallest)
    sheet = _Sheet(scale, _TOP + scale * tallest)
    _room(sheet)
    if display is not None:
        _stand(sheet, display)
        _vessel(sheet, display, said)
        _lamps(sheet, rig, display)
    if sump is not None:
        _vessel(sheet, sump, said)
        _top_off(sheet, rig, sump, said)
        _gear(sheet, rig, sump)
    if display is not None and sump is not None:
        _weir_and_drains(sheet, rig, display, sump, said)
        _riser(sheet, rig, display, sump, said)
    return sheet


def _room(sheet: _Sheet) -> None:
    sheet.line([(_LEFT - 8, sheet.ground), (_RIGHT + 8, sheet.ground)], kind="floor", width=1.0)
    for at in range(int(_LEFT), int(_RIGHT), 14):
        sheet.line([(at, sheet.ground + 6), (at + 6, sheet.ground)], kind="floor", width=0.6,
                   colour=_FADED)  # fmt: skip


def _stand(sheet: _Sheet, display: Vessel) -> None:
    left, right, top = _LEFT, _LEFT + sheet.scale * display.length, sheet.y(display.floor)
    sheet.line([(left, top), (left, sheet.ground)], kind="stand", colour=_FADED, width=1.0)
    sheet.line([(right, top), (right, sheet.ground)], kind="stand", colour=_FADED, width=1.0)


def _left_of(vessel: Vessel) -> float:
    return _LEFT if vessel.role == "display" else _LEFT + 8


def _vessel(sheet: _Sheet, vessel: Vessel, said: Mapping[str, str]) -> None:
    left, wide = _left_of(vessel), sheet.scale * vessel.length
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
                      fill=_SLATE, opacity=0.18)  # fmt: skip
            sheet.line([(x, surface), (x + sheet.scale * length, surface)], kind="surface",
                       colour=_SLATE, width=1.0)  # fmt: skip
        x += sheet.scale * length
        if baffle is not None:
            sheet.line([(x, bottom), (x, sheet.y(vessel.floor + baffle))], kind="baffle")
    sheet.line([(left, top), (left, bottom), (left + wide, bottom), (left + wide, top)], width=2.0)
    if vessel.lid > 0:
        covered = left + wide * min(vessel.lid, 1.0)
        sheet.line([(left, top - 2), (covered, top - 2)], kind="lid", dashed=True)
    middle = (top + bottom) / 2 if vessel.role == "display" else bottom - 6
    measures = f"{100 * vessel.length:.0f} × {100 * vessel.width:.0f} × {100 * vessel.height:.0f}"
    sheet.name(left + wide / 2 - 4, middle, _words(vessel.name, f"{measures} cm", said))
    x = left
    for section in vessel.sections:
        at = x + sheet.scale * section.length / 2 - 4
        sheet.name(
            at,
            bottom - 18,
            _words(say("{section} section", section=section.name), "", said, section.name),
        )
        x += sheet.scale * section.length


def _words(name: str, more: str, said: Mapping[str, str], key: str = "") -> str:
    extra = [one for one in (more, said.get(key or name, "")) if one]
    return f"{name}: {', '.join(extra)}" if extra else name


def _return_x(sheet: _Sheet, rig: Rig, sump: Vessel) -> float:
    """The middle of the section that the return pump stands in."""
    x = _left_of(sump)
    place = next((p.place.partition("/")[2] for p in rig.pumps if p.role == "return"), "")
    for section in sump.sections:
        wide = sheet.scale * section.length
        if section.name == place or (not place and section.role == "return"):
            return x + wide / 2
        x += wide
    return _left_of(sump) + sheet.scale * sump.length * 0.8


def _riser(sheet: _Sheet, rig: Rig, display: Vessel, sump: Vessel, said: Mapping[str, str]) -> None:
    """The return pump, its pipe up beside the display and down to the mouth, and its branches."""
    pump = next((one for one in rig.pumps if one.role == "return"), None)
    if pump is None:
        return
    x, floor = _return_x(sheet, rig, sump), sheet.y(sump.floor)
    sheet.box(x - 7, floor - 13, 14, 12, kind="pump", fill=_PAPER, stroke=_INK)
    sheet.name(x + 9, floor - 4, _words(pump.name, "", said))
    side = _LEFT + sheet.scale * display.length + 9
    rim = sheet.y(display.floor + display.height)
    nozzles: tuple[Nozzle | None, ...] = rig.nozzles or (None,)
    over = rim - 8
    path = [(x, floor - 13), (x, sheet.y(display.floor) + 12), (side, sheet.y(display.floor) + 12),
            (side, over)]  # fmt: skip
    sheet.line(path, kind="pipe", colour=_SLATE, width=2.4)
    running = sheet.y(display.floor + (display.water or 0.9 * display.height))
    for at, nozzle in enumerate(nozzles):
        inner = _LEFT + sheet.scale * display.length - 16 - 26 * at
        mouth = running + sheet.scale * (nozzle.mouth if nozzle else 0.0)
        sheet.line([(side, over), (inner, over), (inner, mouth)], kind="pipe", colour=_SLATE,
                   width=2.4)  # fmt: skip
        if nozzle is not None:
            depth = say("mouth {mouth:.0f} mm deep", mouth=1000 * nozzle.mouth)
            if nozzle.hole is not None:
                depth += say(", hole {hole:.0f} mm", hole=1000 * nozzle.hole)
                sheet.line([(inner - 3, running + sheet.scale * nozzle.hole),
                            (inner + 3, running + sheet.scale * nozzle.hole)],
                           kind="hole", colour=_CORALLINE, width=2.0)  # fmt: skip
            sheet.name(inner - 14, mouth + 4, _words(nozzle.name, depth, said))
    sheet.name(
        side + 4, (over + sheet.y(display.floor)) / 2, _words(say("the way up"), "", said, "up")
    )
    for at, pipe in enumerate(_back_to_sump(rig, sump)):
        _branch(sheet, pipe, sump, riser=x, at=at, said=said)
    for at, device in enumerate(rig.devices):
        _device(sheet, device, x=x - 44 - 36 * at, riser=x, said=said)


def _back_to_sump(rig: Rig, sump: Vessel) -> list[Pipe]:
    """Branches that feed no device and end in the sump."""
    devices = {device.name for device in rig.devices}
    return [p for p in rig.pipes if p.end.startswith(sump.name) and p.begin not in devices]


def _branch(
    sheet: _Sheet, pipe: Pipe, sump: Vessel, *, riser: float, at: int, said: Mapping[str, str]
) -> None:
    x, middle = _left_of(sump), _left_of(sump) + sheet.scale * sump.length / 2
    for section in sump.sections:
        if pipe.end == f"{sump.name}/{section.name}":
            middle = x + sheet.scale * section.length * 0.7
        x += sheet.scale * section.length
    high = sheet.y(sump.floor + sump.height) - 6 - 7 * at
    sheet.line([(riser, high), (middle, high), (middle, sheet.y(sump.floor + 0.9 * sump.height))],
               kind="pipe", colour=_SLATE, width=1.4)  # fmt: skip
    sheet.name(middle - 12, high - 3, _words(pipe.name, "", said))


def _device(
    sheet: _Sheet, device: Device, *, x: float, riser: float, said: Mapping[str, str]
) -> None:
    y = sheet.y(device.height)
    sheet.box(x - 9, y - 20, 18, 34, kind="device", fill=_PAPER, stroke=_INK)
    sheet.line([(riser, y + 8), (x + 9, y + 8)], kind="pipe", colour=_SLATE, width=1.4)
    sheet.line([(x, y + 14), (x, y + 30)], kind="pipe", colour=_SLATE, width=1.4)
    sheet.name(x - 4, y + 1, _words(device.name, "", said))


def _weir_and_drains(
    sheet: _Sheet, rig: Rig, display: Vessel, sump: Vessel, said: Mapping[str, str]
) -> None:
    left = _LEFT
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
        sheet.name(left + box + 6, crest + 22, _words(
            weir.name, f"{100 * weir.length:.0f} cm{teeth}", said))  # fmt: skip
    for at, drain in enumerate(rig.drains):
        x = left + 7 + 9 * at
        spare = drain.kind == "emergency"
        top = sheet.y(display.floor + running + (drain.above_running if spare else -0.08))
        end = sheet.y(sump.floor + (sump.water or 0.1) - 0.03)
        sheet.line([(x, top), (x, end)], kind="drain", colour=_SLATE, width=2.4,
                   dashed=spare)  # fmt: skip
        sheet.name(x + 4, sheet.y(display.floor) + 26 + 12 * at, _words(
            drain.name, f"{_KINDS[drain.kind]}, {1000 * drain.bore:.0f} mm", said))  # fmt: skip


def _top_off(sheet: _Sheet, rig: Rig, sump: Vessel, said: Mapping[str, str]) -> None:
    x = _left_of(sump) + sheet.scale * sump.length + 12
    if rig.top_off is not None:
        high = sheet.scale * 0.30
        wide = max(min(sheet.scale * rig.top_off.reservoir / 1000 / 0.30 / 0.25, 60.0), 14.0)
        sheet.box(x, sheet.ground - high - 4, wide, high, kind="reservoir", fill=_SLATE,
                  opacity=0.10, stroke=_INK)  # fmt: skip
        sheet.name(x + wide / 2 - 4, sheet.ground - 12, _words(
            say("top-off"), f"{rig.top_off.reservoir:.0f} L", said, "top-off"))  # fmt: skip
        x += wide + 8
    for doser in rig.dosers:
        high = sheet.scale * 0.16
        sheet.box(x, sheet.ground - high - 4, 12, high, kind="bottle", fill=_PAPER, stroke=_INK)
        sheet.name(
            x + 2,
            sheet.ground - 10,
            _words(
                doser.name,
                say(
                    "{container:g} L of {additive}",
                    container=doser.container,
                    additive=doser.additive,
                ),
                said,
            ),
        )
        x += 20


def _gear(sheet: _Sheet, rig: Rig, sump: Vessel) -> None:
    """Heaters, other pumps and exhaust fans, in or over the sump."""
    starts, x = {"": _left_of(sump)}, _left_of(sump)
    for section in sump.sections:
        starts[f"{sump.name}/{section.name}"] = x
        x += sheet.scale * section.length
    used: dict[str, int] = {}
    floor = sheet.y(sump.floor)

    def place(where: str) -> float:
        key = where if where in starts else ""
        used[key] = used.get(key, 0) + 1
        return starts[key] + 14.0 * used[key]

    for heater in rig.heaters:
        x = place(heater.place)
        sheet.line([(x, floor - 6), (x, floor - 0.18 * sheet.scale)], kind="heater",
                   colour=_CORALLINE, width=2.6)  # fmt: skip
        sheet.name(x + 3, floor - 0.18 * sheet.scale, f"{heater.name}: {heater.power:.0f} W")
    for pump in rig.pumps:
        if pump.role == "return" or not pump.place.startswith(sump.name):
            continue
        x = place(pump.place)
        sheet.box(x - 5, floor - 10, 10, 9, kind="pump", fill=_PAPER, stroke=_INK)
        flow = f": {pump.flow:.0f} L/h" if pump.flow else ""
        sheet.name(x + 6, floor - 24, f"{pump.name}{flow}")
    fans = [fan for fan in rig.fans if fan.kind == "exhaust"]
    for at, fan in enumerate(fans):
        y = sheet.y(sump.floor + sump.height + 0.12 + 0.08 * at)
        sheet.line([(_LEFT - 6, y), (_LEFT + 6, y)], kind="fan", width=2.0)
        sheet.name(
            _LEFT + 8,
            y + 4,
            say("{fan}: {flow:.0f} m³/h out of the stand", fan=fan.name, flow=fan.flow / 1000),
        )


def _lamps(sheet: _Sheet, rig: Rig, display: Vessel) -> None:
    top = sheet.y(display.floor + display.height) - 24
    for at, lamp in enumerate(rig.lamps):
        left = _LEFT + 20 + 80 * at
        sheet.line([(left, top), (left + 60, top)], kind="lamp", width=3.0)
        words = say(
            "{lamp}: {power:.0f} W, {hours:g} h a day",
            lamp=lamp.name, power=lamp.power, hours=lamp.hours,
        )  # fmt: skip
        sheet.name(left + 64, top + 4, words)


def _page(sheet: _Sheet, rig: Rig, title: str) -> str:
    rows = list(_legend_rows(sheet.legend))
    start = sheet.ground + 30
    high = start + _LEGEND_LINE * len(rows) + 10
    words = [
        f'<text class="rig-words" x="{_LEFT:g}" y="{start + _LEGEND_LINE * at:.1f}" '
        f'font-family="{_SERIF}" font-size="12.5" fill="{_INK}">{escape(row)}</text>'
        for at, row in enumerate(rows)
    ]
    empty = "" if rig.vessels else (
        f'<text x="{_LEFT:g}" y="60" font-family="{_SERIF}" font-size="12.5" fill="{_FADED}">'
        "Nothing to draw yet: describe a display and a sump.</text>"
    )  # fmt: skip
    return "\n".join(
        [
            _opening(rig, title, 0, high),
            f'<rect class="rig-paper" width="{WIDTH:g}" height="{high:.0f}" fill="{_PAPER}"/>',
            f'<line class="rig-rule" x1="0" y1="26" x2="{WIDTH:g}" y2="26" stroke="{_RULE}"/>',
            f'<text class="rig-title" x="{_LEFT:g}" y="19" font-family="{_SERIF}" '
            f'font-size="15" fill="{_INK}">{escape(title)}</text>',
            empty,
            *sheet.parts,
            *words,
            "</svg>",
            "",
        ]
    )


def _opening(rig: Rig, title: str, top: float, bottom: float) -> str:
    vessels = say_count(len(rig.vessels), "{count} vessel", "{count} vessels")
    told = say(
        "{title}: a side view of {vessels} with their water, pipes and pumps.",
        title=title,
        vessels=vessels,
    )
    quoted = escape(told, {chr(34): "&quot;"})
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="rig" viewBox="0 {top:.0f} {WIDTH:g} '
        f'{bottom - top:.0f}" role="img" aria-label="{quoted}"><title>{escape(told)}</title>'
    )


def _legend_rows(legend: list[str]) -> Iterator[str]:
    """The list below, long ones over two lines."""
    import textwrap

    for number, words in enumerate(legend, start=1):
        lines = textwrap.wrap(words, _LEGEND_LETTERS) or [""]
        yield f"{number}  {lines[0]}"
        yield from (f"     {line}" for line in lines[1:])
