"""What was typed into the fields of a plan's form, read as the plan needs it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.desk.plan_now import BookOrAnswer, Said, WaterNow, water_now
from brinebook.errors import UsageProblem
from brinebook.plan import Plan
from brinebook.texts import say

if TYPE_CHECKING:
    from brinebook.desk.plan_start import Start


#: What the fields of another water begin with.
OF_WATER = "water_"
_SAID = tuple(field.name for field in fields(Said) if field.name != "use")


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

    source: BookOrAnswer
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

    def said(self) -> Said:
        """What was typed of another water than the book's."""
        use = self.get(f"{OF_WATER}use")
        named = {name: self.get(f"{OF_WATER}{name}") for name in _SAID}
        return Said(**named, use=() if use is None else (use,))

    def level(self) -> str | None:
        """Where the level stands in that other water."""
        return self.get(f"{OF_WATER}level")

    def water(self) -> WaterNow:
        """The water by the book, or as it was typed. Raises what `water_now` raises."""
        return water_now(self.source, self.name, said=self.said(), at=self.at)


@dataclass(frozen=True, slots=True)
class PlanForm:
    """The fields of a plan in order; ``needed`` are those that it can't do without.

    ``water`` is what may be said of another water than the book's: names of `Said`, or “level”.
    ``slip``: it tells of something that went wrong. Its answer comes with what it started from,
    or None where no book was needed: then it can't be accepted either.
    """

    answer: Callable[[Asked], tuple[Plan, WaterNow | Start | None]]
    fields: tuple[str, ...] = ()
    needed: tuple[str, ...] = ()
    slip: bool = False
    water: tuple[str, ...] = ("volume",)

    @property
    def of_water(self) -> tuple[str, ...]:
        """The fields of the other water."""
        return tuple(f"{OF_WATER}{name}" for name in self.water)

    @property
    def every_field(self) -> tuple[str, ...]:
        """All fields, those of the other water last."""
        return (*self.fields, *self.of_water)
