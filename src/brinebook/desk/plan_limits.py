"""``plan limits``: what plans are held to, whose number it is, and taking a suggestion over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brinebook.desk.describing import Described, describe, with_keys
from brinebook.desk.opening import OpenSystem, open_system
from brinebook.desk.plan_numbers import PlanNumber, plan_numbers
from brinebook.measure import Measure
from brinebook.planning.limits import BANDS, PER_DAY, limits_for
from brinebook.report.numbers import plain_text
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure
from brinebook.texts import say
from brinebook.units import QUANTITIES, find_quantity


@dataclass(frozen=True, slots=True)
class LimitLine:
    """What holds of one quantity, in the keeper's unit; ``own`` names what is the keeper's."""

    quantity: str
    unit: str
    per_day: float
    band: tuple[float, float]
    own: frozenset[str]
    says: str

    @property
    def limit_text(self) -> str:
        """“1 dKH”: the most in a day."""
        return f"{_short(self.per_day)} {unit_label(self.unit)}"

    @property
    def band_text(self) -> str:
        """“7.5 to 9 dKH”."""
        low, high = (_short(edge) for edge in self.band)
        return say("{low} to {high} {unit}", low=low, high=high, unit=unit_label(self.unit))


@dataclass(frozen=True, slots=True)
class LimitsTold:
    """All limits of a system, and of single pours and changes."""

    lines: tuple[LimitLine, ...]
    numbers: tuple[PlanNumber, ...]


def limits_told(address: str, name: str | None = None) -> LimitsTold:
    """The limits in force. Raises what opening a book raises."""
    opened = open_system(address, name)
    lines = [_line(opened, quantity) for quantity in PER_DAY if quantity in BANDS]
    return LimitsTold(tuple(lines), plan_numbers(opened.system.planning))


def _short(value: float) -> str:
    return plain_text(value, digits=4)


def _unit(opened: OpenSystem, quantity: str) -> str:
    usual = {"alkalinity": "dKH"}
    return opened.system.units.get(quantity) or usual.get(quantity, QUANTITIES[quantity].unit)


def _line(opened: OpenSystem, quantity: str) -> LimitLine:
    found = limits_for(quantity, opened.system, target=1.0)
    unit = _unit(opened, quantity)

    def shown(value: float, *, difference: bool = False) -> float:
        measure = Measure(value, 0.0, "")
        return shown_measure(quantity, measure, unit, difference=difference).value

    return LimitLine(
        quantity,
        unit,
        shown(found.per_day, difference=True),
        (shown(found.band[0]), shown(found.band[1])),
        found.own,
        say(PER_DAY[quantity].says),
    )


def take(
    address: str,
    quantities: Sequence[str],
    name: str | None = None,
    *,
    now: datetime,
    by: str = "",
) -> Described:
    """Write the suggested limit a day of these quantities into the description, as the keeper's.

    What the keeper has set already is left. Raises what describing a system raises.
    """
    opened = open_system(address, name)
    keys = []
    for text in quantities:
        quantity = find_quantity(text).name
        line = _line(opened, quantity)
        if "per_day" not in line.own and quantity in PER_DAY:
            # As the description spells it, in whatever language it is shown.
            unit = "dC" if quantity == "temperature" else line.unit
            keys.append(f'limits_per_day.{quantity}="{line.per_day:.4g} {unit}"')
    text = with_keys(opened.text, keys) if keys else opened.text
    return describe(opened, text, now=now, by=by, through="plan limits --take")
