"""Any plan by its name and by what was typed into its fields: what a page of forms asks for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.desk.plan_now import Said, WaterNow, water_now
from brinebook.errors import UsageProblem
from brinebook.plan import Plan
from brinebook.report.plan_json import named

if TYPE_CHECKING:
    from brinebook.desk.plan_start import Start


class FieldMissing(UsageProblem):
    """A plan was asked for without something that it can't do without."""

    code = "E-PLAN-FIELD"

    def __init__(self, label: str) -> None:
        super().__init__(f"The plan needs the field “{label}”.", "Fill it in and ask again.")
        self.field = label


class FieldNoNumber(UsageProblem):
    """A field that takes a plain number holds something else."""

    code = "E-PLAN-FIELD-NUMBER"

    def __init__(self, label: str, text: str, *, least: float, most: float) -> None:
        super().__init__(
            f"{text[:40]!r} can't be the {label}.",
            f"Write a number from {least:g} to {most:g}.",
        )


@dataclass(frozen=True, slots=True)
class Asked:
    """A book, a system, an instant, and the filled fields by name."""

    address: str
    name: str
    at: datetime
    typed: Mapping[str, str]

    def get(self, field: str) -> str | None:
        """What was typed; None where nothing was."""
        return self.typed.get(field) or None

    def need(self, field: str) -> str:
        """What was typed. Raises FieldMissing."""
        found = self.get(field)
        if found is None:
            raise FieldMissing(field.replace("_", " "))
        return found

    def number(self, field: str, *, least: float, most: float) -> float | None:
        """A plain number, decimal comma or point. Raises FieldNoNumber."""
        text = self.get(field)
        if text is None:
            return None
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            value = float("nan")
        if not least <= value <= most:
            raise FieldNoNumber(field.replace("_", " "), text, least=least, most=most)
        return value

    def water(self) -> WaterNow:
        """The water by the book. Raises what `water_now` raises."""
        return water_now(self.address, self.name, said=Said(), at=self.at)


@dataclass(frozen=True, slots=True)
class Answered:
    """A plan under its id, and the zone and units that it is told in."""

    plan: Plan
    zone: ZoneInfo
    units: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class PlanForm:
    """The fields of a plan in order; ``needed`` are those that it can't do without."""

    answer: Callable[[Asked], tuple[Plan, WaterNow | Start]]
    fields: tuple[str, ...] = ()
    needed: tuple[str, ...] = ()


def asked_plan(kind: str, asked: Asked) -> Answered:
    """The plan of that kind (a key of `FORMS`). Nothing is written.

    Raises FieldMissing, FieldNoNumber, and what the plan itself raises.
    """
    form = FORMS[kind]
    for field in form.needed:
        asked.need(field)
    plan, start = form.answer(asked)
    return Answered(named(plan), start.zone, start.units)


def _dose(asked: Asked) -> tuple[Plan, Start]:
    from brinebook.desk.plan_dose import dosing_plan

    return dosing_plan(asked.address, asked.name, at=asked.at)


def _correct(asked: Asked) -> tuple[Plan, Start]:
    from brinebook.desk.plan_correct import correction_plan

    return correction_plan(
        asked.address,
        asked.need("quantity"),
        asked.name,
        said=Said(),
        to=asked.get("to"),
        substance=asked.get("substance"),
        days=int(asked.number("days", least=1, most=14) or 1),
        at=asked.at,
    )


def _change(asked: Asked) -> tuple[Plan, Start]:
    from brinebook.desk.plan_change import Change, change_plan

    times = asked.number("times", least=1, most=60)
    return change_plan(
        asked.address,
        asked.get("quantity"),
        asked.name,
        said=Said(),
        typed=Change(
            to=asked.get("to"),
            amount=asked.get("amount"),
            every=asked.number("every", least=0.5, most=60),
            times=None if times is None else int(times),
            temperature=asked.get("new_temperature"),
        ),
        at=asked.at,
    )


#: Every plan that a page has a form for, by its name, in the order in which they are offered.
FORMS: Mapping[str, PlanForm] = MappingProxyType(
    {
        "dose": PlanForm(_dose),
        "correct": PlanForm(_correct, ("quantity", "to", "substance", "days"), ("quantity",)),
        "change": PlanForm(
            _change, ("quantity", "to", "amount", "every", "times", "new_temperature")
        ),
    }
)
