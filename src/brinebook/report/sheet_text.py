"""The sheet of one quantity: ruled lines for a person, an object for a program."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from brinebook.balance.sheet import Line, Sheet
from brinebook.measure import Measure
from brinebook.report.dates import date_text
from brinebook.report.numbers import measure_text
from brinebook.report.shown import shown_measure
from brinebook.texts import say

_NAME_WIDTH = 34


def sheet_lines(page: Sheet, zone: ZoneInfo, unit: str) -> list[str]:
    """Opening, what came and went, closing and the remainder, as concentration and as mass."""
    begins, ends = (date_text(when, page.ends, zone) for when in (page.begins, page.ends))
    rule = "-" * 78
    lines = [
        say("{quantity}, {begins} to {ends}", quantity=page.quantity, begins=begins, ends=ends),
        rule,
    ]
    lines.append(_row(page, say("there at the start"), page.opening, unit, stock=True))
    lines += [_row(page, line.name, _measure(page, line), unit) for line in page.lines]
    lines.append(_row(page, say("remainder that nothing explains"), page.remainder, unit))
    lines.append(rule)
    lines.append(_row(page, say("there at the end"), page.closing, unit, stock=True))
    return lines


def _measure(page: Sheet, line: Line) -> Measure:
    return Measure(line.change, line.sd, page.unit)


def _row(page: Sheet, name: str, measure: Measure, unit: str, *, stock: bool = False) -> str:
    shown = shown_measure(page.quantity, measure, unit, difference=not stock)
    mass = Measure(measure.value * page.litres, measure.sd * page.litres, page.mass_unit())
    return f"{name:<{_NAME_WIDTH}}{measure_text(shown):>22}{measure_text(mass):>22}"


def sheet_json(page: Sheet) -> dict[str, object]:
    """The sheet for programs: every line in the canonical unit and as mass."""
    return {
        "quantity": page.quantity,
        "from": page.begins.isoformat(),
        "to": page.ends.isoformat(),
        "unit": page.unit,
        "mass_unit": page.mass_unit(),
        "volume": page.litres,
        "opening": _object(page, page.opening.value, page.opening.sd),
        "lines": [{"what": line.name} | _object(page, line.change, line.sd) for line in page.lines],
        "remainder": _object(page, page.remainder.value, page.remainder.sd),
        "closing": _object(page, page.closing.value, page.closing.sd),
    }


def _object(page: Sheet, value: float, sd: float) -> dict[str, object]:
    return {"value": value, "sd": sd, "mass": value * page.litres, "mass_sd": sd * page.litres}
