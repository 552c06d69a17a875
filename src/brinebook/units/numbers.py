"""Reading a number as typed: one meaning or none."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from brinebook.texts import say
from brinebook.units.problems import NumberUnreadable

_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_COMMA = re.compile(r"[+-]?\d+,\d+", re.ASCII)
_THREE_AFTER_COMMA = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}", re.ASCII)
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[,.'’_\s]\d{3})+(?:[.,]\d+)?", re.ASCII)
_WORDS = re.compile(r"[+-]?(?:nan|inf|infinity|∞)", re.IGNORECASE)
_AMOUNT = re.compile(
    r"\s*(?P<number>[<>]?\s*[+\-−]?[\d.,][\d.,'’_\s]*(?:[eE][+\-−]?\d+)?)(?P<unit>.*)",
    re.ASCII | re.DOTALL,
)
_LONGEST = 64

Censor = Literal["", "<", ">"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading, and whether it is only a bound: ``<`` below the kit's scale, ``>`` above it."""

    value: float
    censor: Censor = ""


def parse_number(
    text: str, *, decimal_comma: bool = False, grouped_impossible: bool = False
) -> float:
    """Read one finite number; refuse whatever has two readings.

    ``decimal_comma`` lets ``8,2`` mean 8.2, as people type it; ``1,320`` is then still refused,
    because it may be thirteen hundred and twenty, unless ``grouped_impossible`` says that thousands
    make no sense there (a specific gravity).

    Raises NumberUnreadable for text, NaN, infinities, thousands marks and overflow.
    """
    stripped = text.strip().replace("−", "-")
    if not stripped:
        raise NumberUnreadable(text, say("it is empty"))
    if len(stripped) > _LONGEST:
        raise NumberUnreadable(text, say("it is {count} characters long", count=len(stripped)))
    if _WORDS.fullmatch(stripped):
        raise NumberUnreadable(text, say("it is not a finite number"))
    if decimal_comma and _COMMA.fullmatch(stripped):
        if _THREE_AFTER_COMMA.fullmatch(stripped) and not grouped_impossible:
            raise _two_readings(text, stripped)
        stripped = stripped.replace(",", ".")
    if not _PLAIN.fullmatch(stripped):
        raise _unreadable(text, stripped)
    value = float(stripped)
    if not math.isfinite(value):
        raise NumberUnreadable(text, say("it is too large to be a number of anything here"))
    return value


def _two_readings(text: str, stripped: str) -> NumberUnreadable:
    point, none = stripped.replace(",", "."), stripped.replace(",", "")
    return NumberUnreadable(
        text,
        say(
            "the comma may be a decimal mark ({point}) or a thousands mark ({none})",
            point=point,
            none=none,
        ),
        say("Write {point} or {none}.", point=point, none=none),
    )


def _unreadable(text: str, stripped: str) -> NumberUnreadable:
    if _GROUPED.fullmatch(stripped):
        return NumberUnreadable(text, say("thousands marks are not read, they have two meanings"))
    if _COMMA.fullmatch(stripped):
        point = stripped.replace(",", ".")
        return NumberUnreadable(
            text, say("files use a decimal point"), say("Write {point}.", point=point)
        )
    return NumberUnreadable(text, say("it is not a plain number"))


def parse_reading_value(
    text: str, *, decimal_comma: bool = False, grouped_impossible: bool = False
) -> Reading:
    """Read a test's value: a number, or ``<0.02`` and ``>100`` for off the kit's scale."""
    stripped = text.strip()
    censor: Censor = ""
    if stripped.startswith("<"):
        censor = "<"
    elif stripped.startswith(">"):
        censor = ">"
    number = stripped[1:] if censor else stripped
    try:
        value = parse_number(
            number, decimal_comma=decimal_comma, grouped_impossible=grouped_impossible
        )
    except NumberUnreadable as problem:
        if not censor:
            raise
        raise NumberUnreadable(
            text,
            say("after {censor} comes a plain number", censor=censor),
            say("Write the end of the kit's scale, such as {censor}0.02.", censor=censor),
        ) from problem
    return Reading(value, censor)


def split_amount(text: str) -> tuple[str, str]:
    """Split ``8.2dKH`` into ``("8.2", "dKH")``: the number as typed, and the unit as typed.

    Nothing is judged here; text without a leading number comes back as the number, to be refused by
    ``parse_number`` with the right sentence.
    """
    match = _AMOUNT.fullmatch(text)
    if match is None:
        number, _, unit = text.strip().partition(" ")
        return number, unit.strip()
    return match["number"].strip(), match["unit"].strip()


def format_number(value: float, *, digits: int = 6) -> str:
    """A number for a sentence: so many significant digits, no exponent in the usual range."""
    if value != 0 and not 1e-4 <= abs(value) < 1e9:  # also NaN and infinities
        return f"{value:.{digits}g}"
    places = digits - 1 - (math.floor(math.log10(abs(value))) if value else 0)
    text = f"{value:.{max(0, places)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
