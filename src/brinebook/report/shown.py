"""Measures in the units that the keeper reads: those of the system, else of the tests."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.measure import Measure
from brinebook.system import System
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, read_unit
from brinebook.water.quantities import from_canonical


def shown_units(system: System, facts: Sequence[Fact]) -> dict[str, str]:
    """The unit to show each quantity in: ``[units]``, else its last test's, else the canonical."""
    tested: dict[str, str] = {}
    tests = (fact for fact in reversed(facts) if fact.kind == "test" and fact.unit)
    for fact in tests:
        if fact.what in QUANTITIES and fact.what not in tested:
            spelled = read_unit(QUANTITIES[fact.what], fact.unit)
            if spelled not in ("mS/cm", "SG", "% sat"):
                tested[fact.what] = fact.unit
    units = {name: row.unit for name, row in QUANTITIES.items()}
    return units | tested | dict(system.units)


def shown_measure(name: str, measure: Measure, unit: str, *, difference: bool = False) -> Measure:
    """A measure in canonical units, converted to ``unit``; a difference or rate keeps its zero."""

    def convert(value: float) -> float:
        return from_canonical(name, value, unit)

    zero = convert(0.0) if difference else 0.0
    value = convert(measure.value) - zero
    return Measure(
        value,
        abs(convert(measure.value + measure.sd) - zero - value),
        unit,
        convert(measure.low) - zero,
        convert(measure.high) - zero,
    )
