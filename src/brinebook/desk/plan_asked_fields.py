"""What was typed into the fields of a plan's form, read as the plan needs it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.desk.plan_now import Said, Source, WaterNow, water_now
from brinebook.errors import UsageProblem
from brinebook.plan import Plan
from brinebook.texts import say

if TYPE_CHECKING:
    from brinebook.desk.plan_start import Start


class FieldMissing(UsageProblem):
    """A plan was asked for without something that it can't do without."""

    code = "E-PLAN-FIELD"

    def __init__(self, label: str) -> None:
        super().__init__(
            say("The plan needs the field “{label}”.", label=label),
            say("Fill it in and ask again."),
        )
        self.field = label


class FieldNoNumber(UsageProblem):
    """A field that takes a plain number holds something else."""

    code = "E-PLAN-FIELD-NUMBER"

    def __init__(self, label: str, text: str, *, least: float, most: float) -> None:
        super().__init__(
            say("{text!r} can't be the {label}.", text=text[:40], label=label),
            say("Write a number from {least:g} to {most:g}.", least=least, most=most),
        )


@dataclass(frozen=True, slots=True)
class Asked:
    """A book, or the answer made of it; a system with its zone, an instant, and the filled fields.

    Where it is an answer, the instant is the answer's own.
    """

    source: Source
    name: str
    zone: ZoneInfo
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
        return water_now(self.source, self.name, said=Said(), at=self.at)


@dataclass(frozen=True, slots=True)
class PlanForm:
    """The fields of a plan in order; ``needed`` are those that it can't do without.

    ``slip``: it tells of something that went wrong. Its answer comes with what it started from,
    or None where no book was needed: then it can't be accepted either.
    """

    answer: Callable[[Asked], tuple[Plan, WaterNow | Start | None]]
    fields: tuple[str, ...] = ()
    needed: tuple[str, ...] = ()
    slip: bool = False
