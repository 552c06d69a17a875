"""How a system is spoken to: its language, its decimal mark, the order of its dates.

The manner in use is a context variable, as the precision of ``decimal`` is: whoever opens a system
at a door (the command line, a page, a worker) says it once, and everything below follows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from types import MappingProxyType

_NO_TEXTS: Mapping[str, str] = MappingProxyType({})
_NO_FORMS: Mapping[str, tuple[str, ...]] = MappingProxyType({})

#: The decimal marks and the orders of a date that a description may ask for.
DECIMAL_MARKS = ("point", "comma")
DATE_ORDERS = ("day first", "month first", "year first")


def one_or_many(count: int) -> int:
    """Which of the two English forms goes with a count."""
    return 0 if count == 1 else 1


@dataclass(frozen=True, slots=True)
class Language:
    """The texts of one language; what it lacks is said in English.

    ``pages`` by key; ``sentences`` and ``counted`` by their English templates, a counted one with
    as many forms as ``form_of`` tells apart.
    """

    tag: str
    pages: Mapping[str, str] = field(default_factory=lambda: _NO_TEXTS)
    sentences: Mapping[str, str] = field(default_factory=lambda: _NO_TEXTS)
    counted: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: _NO_FORMS)
    form_of: Callable[[int], int] = one_or_many


ENGLISH = Language("en")


@dataclass(frozen=True, slots=True)
class Manner:
    """A language with the settings of numbers and dates."""

    language: Language = ENGLISH
    decimal_mark: str = "point"
    date_order: str = "day first"


_PLAIN = Manner()
_TYPED = re.compile(r"(?<![\w.])(\d+)\.(\d+)(?![\w.])")
_IN_USE: ContextVar[Manner] = ContextVar("manner", default=_PLAIN)


def in_use() -> Manner:
    """The manner in use."""
    return _IN_USE.get()


def speak(manner: Manner) -> None:
    """Speak so from here on, in this context."""
    _IN_USE.set(manner)


@contextmanager
def speaking(manner: Manner) -> Iterator[None]:
    """Speak so for the length of a block."""
    before = _IN_USE.set(manner)
    try:
        yield
    finally:
        _IN_USE.reset(before)


def as_marked(number: str) -> str:
    """A number's text, made with a point, with the decimal mark in use."""
    return number.replace(".", ",") if _IN_USE.get().decimal_mark == "comma" else number


def typed_as_marked(text: str) -> str:
    """What was typed, its numbers with the decimal mark in use: “24.3 C”, but not “CaCl2.2H2O”."""
    return _TYPED.sub(r"\1,\2", text) if _IN_USE.get().decimal_mark == "comma" else text


def date_order() -> str:
    """The order of a date in use."""
    return _IN_USE.get().date_order
