"""The sheet of a quantity as rows of a ruled page: each line as concentration and as mass."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.balance.sheet import Sheet
from brinebook.measure import Measure
from brinebook.report.numbers import measure_text
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One ruled line. ``kind`` is ``stock``, ``line``, ``remainder``; ``name`` is empty for the
    first two stocks, which the page names."""

    kind: str
    name: str
    level: str
    mass: str


def sheet_rows(found: Sheet, unit: str) -> list[SheetRow]:
    """Opening, what came and went, the remainder, closing: as the page rules them."""
    lines = [
        _row(found, "line", line.name, Measure(line.change, line.sd, found.unit), unit)
        for line in found.lines
    ]
    return [
        _row(found, "opening", "", found.opening, unit, stock=True),
        *lines,
        _row(found, "remainder", "", found.remainder, unit),
        _row(found, "closing", "", found.closing, unit, stock=True),
    ]


def _row(
    found: Sheet, kind: str, name: str, measure: Measure, unit: str, *, stock: bool = False
) -> SheetRow:
    shown = shown_measure(found.quantity, measure, unit, difference=not stock)
    litres = found.litres
    mass = Measure(measure.value * litres, measure.sd * litres, found.mass_unit())
    text = measure_text(shown)
    return SheetRow(kind, name, text.replace(unit, unit_label(unit)), measure_text(mass))
