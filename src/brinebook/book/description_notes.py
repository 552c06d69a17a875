"""What the reading of one system.toml finds, and the plain values that its parts are made of."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, TypeVar

from brinebook import units
from brinebook.errors import BrinebookError
from brinebook.texts import say
from brinebook.units import QUANTITIES, Quantity

Part = TypeVar("Part")
_NO_NUMBER = math.nan


@dataclass(slots=True)
class Notes:
    """Where the reading of one file puts what it finds."""

    #: Where, what, and whether it may only come of another.
    faults: list[tuple[str, str, bool]] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)

    def wrong(self, where: str, reason: str, *, follows: bool = False) -> None:
        """Note a fault."""
        self.faults.append((where, reason, follows))

    def refused(self, where: str, error: BrinebookError) -> None:
        """Note a refusal of the units' readers, with what it teaches."""
        self.wrong(where, f"{error.message} {error.hint}".strip())

    def known(self, key: str, names: Sequence[str], *, where: str) -> None:
        """Warn where a key isn't one of these names."""
        if key in names:
            return
        near = get_close_matches(key[:60], names, n=1)
        meant = say(" Did you mean {near}?", near=near[0]) if near else ""
        place = f"[{where}] " if where else ""
        self.warnings.append(
            say(
                "{place}{key!r} is not a key with a meaning here; it is kept.{meant}",
                place=place,
                key=key,
                meant=meant,
            )
        )

    def text(self, where: str, value: object, *, needed: bool = False, default: str = "") -> str:
        """A text value, stripped."""
        if value is None:
            if needed:
                self.wrong(where, say("it is missing"))
            return default
        if not isinstance(value, str) or not value.strip():
            self.wrong(where, say("{shown_value} is not a text", shown_value=shown_value(value)))
            return default
        if not value.strip().isprintable():
            self.wrong(where, say("it holds unprintable characters"))
            return default
        return value.strip()

    def table(
        self, where: str, value: object, read: Callable[[Notes, str, Quantity, object], Part | None]
    ) -> dict[str, Part]:
        """A table by quantity: each value read in its own way."""
        found: dict[str, Part] = {}
        if value is None:
            return found
        if not isinstance(value, Mapping):
            self.wrong(
                where,
                say("{shown_value} is not a table of quantities", shown_value=shown_value(value)),
            )
            return found
        for key, one in value.items():
            quantity = self.quantity(f"{where}.{key}", key)
            if quantity is None:
                continue
            part = read(self, f"{where}.{key}", quantity, one)
            if part is not None:
                found[quantity.name] = part
        return found

    def array(
        self, where: str, value: object, read: Callable[[Notes, str, Mapping[str, Any]], Part]
    ) -> tuple[Part, ...]:
        """An array of tables, `[[…]]` in the file."""
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
            self.wrong(
                where, say("each of them is a table of its own, under [[{where}]]", where=where)
            )
            return ()
        return tuple(read(self, _place(where, index, one), one) for index, one in enumerate(value))

    def quantity(self, where: str, name: object) -> Quantity | None:
        """The quantity of that exact name."""
        if isinstance(name, str) and name in QUANTITIES:
            return QUANTITIES[name]
        near = get_close_matches(str(name)[:60], QUANTITIES, n=1)
        meant = say(" Did you mean {near}?", near=near[0]) if near else ""
        self.wrong(
            where,
            say(
                "{shown_value} is not a quantity.{meant}",
                shown_value=shown_value(name),
                meant=meant,
            ),
        )
        return None

    def unique(self, where: str, names: Sequence[str]) -> None:
        """Note every name that stands twice."""
        for name in sorted({one for one in names if one and names.count(one) > 1}):
            self.wrong(where, say("{name!r} stands twice", name=name))

    def fraction(self, where: str, value: object, default: float) -> float:
        """``"3 %"`` as 0.03."""
        if value is None:
            return default
        number = _NO_NUMBER
        if isinstance(value, str):
            try:
                number = units.parse_amount(value, dimension="fraction").value / 100
            except BrinebookError as error:
                self.refused(where, error)
                return default
        if not 0 <= number <= 1:
            self.wrong(
                where,
                say(
                    '{shown_value} is not a share from 0 to 100 %, such as "3 %"',
                    shown_value=shown_value(value),
                ),
            )
            return default
        return number

    def number(self, where: str, value: object, low: float, high: float) -> float | None:
        """A bare number within bounds."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(
                where,
                say(
                    "{shown_value} is not a number without quotation marks",
                    shown_value=shown_value(value),
                ),
            )
            return None
        if not low <= value <= high:
            self.wrong(
                where,
                say(
                    "{shown_value} is not between {low:g} and {high:g}",
                    shown_value=shown_value(value),
                    low=low,
                    high=high,
                ),
            )
            return None
        return float(value)


def _place(where: str, index: int, part: Mapping[str, Any]) -> str:
    name = part.get("name")
    return f"{where}[{name if isinstance(name, str) and name else index + 1}]"


def shown_value(value: object) -> str:
    """A value of the file, cut to fit a sentence."""
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}…"
