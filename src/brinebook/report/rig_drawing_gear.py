"""What stands in and beside the vessels of a drawn rig: heaters, pumps, fans, lamps, bottles."""

from __future__ import annotations

from collections.abc import Mapping

from brinebook.report.rig_sheet import CORALLINE, INK, LEFT, PAPER, SLATE, Sheet
from brinebook.rig import Heater, Pump, Rig, Vessel
from brinebook.texts import say


def left_of(vessel: Vessel) -> float:
    """Where a vessel's left wall stands."""
    return LEFT if vessel.role == "display" else LEFT + 8


def words_of(name: str, more: str, said: Mapping[str, str], key: str = "") -> str:
    """The name of a part with what is told of it: “sump: 80 × 40 × 36 cm”."""
    extra = [one for one in (more, said.get(key or name, "")) if one]
    return f"{name}: {', '.join(extra)}" if extra else name


def bottles(sheet: Sheet, rig: Rig, beside: Vessel, said: Mapping[str, str]) -> None:
    """The top-off's reservoir and the dosing bottles, on the floor beside a vessel."""
    x = left_of(beside) + sheet.scale * beside.length + 12
    if rig.top_off is not None:
        high = sheet.scale * 0.30
        wide = max(min(sheet.scale * rig.top_off.reservoir / 1000 / 0.30 / 0.25, 60.0), 14.0)
        sheet.box(x, sheet.ground - high - 4, wide, high, kind="reservoir", fill=SLATE,
                  opacity=0.10, stroke=INK)  # fmt: skip
        sheet.name(x + wide / 2 - 4, sheet.ground - 12, words_of(
            say("top-off"), f"{rig.top_off.reservoir:.0f} L", said, "top-off"))  # fmt: skip
        x += wide + 8
    for doser in rig.dosers:
        high = sheet.scale * 0.16
        sheet.box(x, sheet.ground - high - 4, 12, high, kind="bottle", fill=PAPER, stroke=INK)
        holds = say(
            "{container:g} L of {additive}", container=doser.container, additive=doser.additive
        )
        sheet.name(x + 2, sheet.ground - 10, words_of(doser.name, holds, said))
        x += 26


def sump_gear(sheet: Sheet, rig: Rig, sump: Vessel) -> None:
    """Heaters, other pumps and exhaust fans, in or over the sump."""
    starts, x = {"": left_of(sump)}, left_of(sump)
    for section in sump.sections:
        starts[f"{sump.name}/{section.name}"] = x
        x += sheet.scale * section.length
    used: dict[str, int] = {}
    floor = sheet.y(sump.floor)

    def place(where: str) -> float:
        key = where if where in starts else ""
        used[key] = used.get(key, 0) + 1
        return starts[key] + 14.0 * used[key]

    display = rig.vessel("display")
    elsewhere = display.name if display is not None else ""
    for heater in rig.heaters:
        if heater.place != elsewhere or not elsewhere:
            _heater(sheet, heater, place(heater.place), floor)
    for pump in rig.pumps:
        if pump.role != "return" and pump.place.startswith(sump.name):
            _pump(sheet, pump, place(pump.place), floor)
    fans = [fan for fan in rig.fans if fan.kind == "exhaust"]
    for at, fan in enumerate(fans):
        y = sheet.y(sump.floor + sump.height + 0.12 + 0.08 * at)
        sheet.line([(LEFT - 6, y), (LEFT + 6, y)], kind="fan", width=2.0)
        sheet.name(
            LEFT + 8,
            y + 4,
            say("{fan}: {flow:.0f} m³/h out of the stand", fan=fan.name, flow=fan.flow / 1000),
        )


def display_gear(sheet: Sheet, rig: Rig, display: Vessel, said: Mapping[str, str]) -> None:
    """Pumps on the display's right wall (without a sump, all of them), and the heaters in it."""
    right = LEFT + sheet.scale * display.length
    alone = rig.vessel("sump") is None
    middle = sheet.y(display.floor + 0.55 * display.height)
    here = [
        pump
        for pump in rig.pumps
        if (pump.role not in ("return", "air") or (alone and pump.role == "return"))
        and (pump.place.partition("/")[0] == display.name or (alone and not pump.place))
    ]
    for at, pump in enumerate(here):
        y = middle + 20 * at
        sheet.box(right - 13, y - 5, 11, 10, kind="pump", fill=PAPER, stroke=INK)
        flow = f"{pump.flow:.0f} L/h" if pump.flow and pump.name not in said else ""
        sheet.name(right - 28, y + 4, words_of(pump.name, flow, said))
    bottom = sheet.y(display.floor)
    starts, x = {"": LEFT + 0.6 * sheet.scale * display.length}, LEFT
    for section in display.sections:
        starts[f"{display.name}/{section.name}"] = x + 5.0
        x += sheet.scale * section.length
    heaters = [one for one in rig.heaters if one.place == display.name or alone]
    for at, heater in enumerate(heaters):
        _heater(sheet, heater, starts.get(heater.place, starts[""]) + 14.0 * at, bottom)


def lamps(sheet: Sheet, rig: Rig, display: Vessel) -> None:
    """The lamps over the display."""
    top = sheet.y(display.floor + display.height) - 24
    for at, lamp in enumerate(rig.lamps):
        left = LEFT + 20 + 80 * at
        sheet.line([(left, top), (left + 60, top)], kind="lamp", width=3.0)
        words = say(
            "{lamp}: {power:.0f} W, {hours:g} h a day",
            lamp=lamp.name, power=lamp.power, hours=lamp.hours,
        )  # fmt: skip
        sheet.name(left + 64, top + 4, words)


def _heater(sheet: Sheet, heater: Heater, x: float, floor: float) -> None:
    top = floor - 0.18 * sheet.scale
    sheet.line([(x, floor - 6), (x, top)], kind="heater", colour=CORALLINE, width=2.6)
    sheet.name(x + 3, top, f"{heater.name}: {heater.power:.0f} W")


def _pump(sheet: Sheet, pump: Pump, x: float, floor: float) -> None:
    sheet.box(x - 5, floor - 10, 10, 9, kind="pump", fill=PAPER, stroke=INK)
    flow = f": {pump.flow:.0f} L/h" if pump.flow else ""
    sheet.name(x + 6, floor - 24, f"{pump.name}{flow}")
