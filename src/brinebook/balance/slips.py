"""Which slip of the pen would explain a test that lies far from what the water should hold.

The expected value is a normal belief; a test adds its own spread. Each candidate is what the keeper
may have meant: another unit, a lost decimal point, mg/L as N, the neighbour's column, last week's
value again. One is proposed only where it is over a hundred times likelier than what was typed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from brinebook.errors import BrinebookError
from brinebook.measure import Measure
from brinebook.units import QUANTITIES, format_number
from brinebook.water.quantities import from_canonical, to_canonical

#: How much likelier a slip has to be before it is spoken of.
ENOUGH = 100.0
#: A test this many standard deviations off is worth a word: common practice, no source.
FAR = 4.0
#: Which of two slips that fit alike is told: common practice, no source.
WEIGHTS: Mapping[str, float] = {"decimal": 1.0, "unit": 1.0, "swapped": 0.3, "repeated": 0.3}
#: Tails of a sound test: a share of them lies this much wider.
_TAIL_SHARE, _TAIL_WIDTH = 0.02, 5.0


@dataclass(frozen=True, slots=True)
class Slip:
    """A likely slip: its kind, what was probably meant, and how much likelier that is.

    ``value`` and ``unit`` are what would be typed instead; for ``swapped`` and ``repeated``
    ``about`` names the other quantity, or is empty.
    """

    kind: str
    value: float
    unit: str
    odds: float
    about: str = ""

    @property
    def sentence(self) -> str:
        """The slip as a question."""
        if self.kind == "swapped":
            return f"Is this the reading of {self.about}, the two exchanged?"
        if self.kind == "repeated":
            return "That is last time's value. Was it read anew?"
        return f"Did you mean {format_number(self.value)} {self.unit}?".replace(" ?", "?")


@dataclass(frozen=True, slots=True)
class _Candidate:
    kind: str
    value: float
    unit: str
    density: float
    about: str = ""


def is_far(canonical: float, expected: Measure, *, test_sd: float = 0.0) -> bool:
    """Whether a reading lies over four standard deviations from what was expected of it."""
    spread = math.hypot(expected.sd, test_sd)
    return abs(canonical - expected.value) > FAR * spread


def likely_slip(
    quantity: str,
    typed_value: float,
    typed_unit: str,
    *,
    expected: Measure,
    test_sd: float = 0.0,
    last_value: float | None = None,
    siblings: Mapping[str, Measure] | None = None,
) -> Slip | None:
    """The slip that best explains a test, or None where none is a hundred times likelier.

    ``expected`` is the belief about the water in canonical units; ``test_sd`` the test's own
    standard deviation there; ``last_value`` the reading before, as typed in the same unit;
    ``siblings`` what other quantities of the same canonical unit are expected to be.
    """
    canonical = to_canonical(quantity, typed_value, typed_unit, detail_temperature=25.0).value
    spread = math.hypot(expected.sd, test_sd)
    if spread <= 0 or not math.isfinite(spread):
        return None
    as_typed = _density(canonical, expected.value, spread, tails=True)
    found = [
        *_decimals(quantity, typed_value, typed_unit, expected.value, spread),
        *_units(quantity, typed_value, expected.value, spread),
        *_swapped(quantity, canonical, siblings or {}, test_sd),
        *_repeated(canonical, typed_value, typed_unit, last_value, spread),
    ]
    if not found:
        return None
    best = max(found, key=lambda one: WEIGHTS[one.kind] * one.density)
    odds = best.density / as_typed
    if odds <= ENOUGH:
        return None
    return Slip(best.kind, best.value, best.unit, odds, best.about)


def _density(value: float, mean: float, spread: float, *, tails: bool = False) -> float:
    """Normal density; with ``tails`` a share of it five times as wide, as tests really are."""

    def normal(width: float) -> float:
        return math.exp(-0.5 * ((value - mean) / width) ** 2) / (width * math.sqrt(2 * math.pi))

    if not tails:
        return normal(spread)
    wide = normal(_TAIL_WIDTH * spread)
    # Beyond even those tails a blunder of any size is about as likely as any other.
    floor = 1e-9 / max(abs(mean), spread)
    return (1 - _TAIL_SHARE) * normal(spread) + _TAIL_SHARE * wide + floor


def _decimals(
    quantity: str, value: float, unit: str, mean: float, spread: float
) -> Iterator[_Candidate]:
    for meant in (value * 10, value / 10, value / 100):
        canonical = _canonical(quantity, meant, unit)
        if canonical is not None:
            # Densities are compared per canonical unit of what was typed: a slip of ten stretches.
            yield _Candidate("decimal", meant, unit, _density(canonical, mean, spread))


def _units(quantity: str, value: float, mean: float, spread: float) -> Iterator[_Candidate]:
    for other in _other_units(quantity):
        canonical = _canonical(quantity, value, other)
        if canonical is not None:
            yield _Candidate("unit", value, other, _density(canonical, mean, spread))


def _other_units(quantity: str) -> Sequence[str]:
    """The units that differ in meaning, each once."""
    seen: dict[float, str] = {}
    for unit in QUANTITIES[quantity].units:
        try:
            size = from_canonical(quantity, 1.0, unit, detail_temperature=25.0)
        except BrinebookError:
            continue
        seen.setdefault(round(size, 9), unit)
    return tuple(seen.values())


def _swapped(
    quantity: str, canonical: float, siblings: Mapping[str, Measure], test_sd: float
) -> Iterator[_Candidate]:
    own = QUANTITIES[quantity].unit
    for name, belief in sorted(siblings.items()):
        if name == quantity or QUANTITIES[name].unit != own:
            continue
        spread = math.hypot(belief.sd, test_sd)
        if spread > 0:
            density = _density(canonical, belief.value, spread)
            yield _Candidate("swapped", canonical, own, density, about=name)


def _repeated(
    canonical: float, value: float, unit: str, last: float | None, spread: float
) -> Iterator[_Candidate]:
    if last is not None and math.isclose(value, last, rel_tol=1e-12):
        # Copied from the line before, the value says nothing of the water: flat over its range.
        del canonical
        yield _Candidate("repeated", value, unit, 1 / spread)


def _canonical(quantity: str, value: float, unit: str) -> float | None:
    try:
        found = to_canonical(quantity, value, unit, detail_temperature=25.0).value
    except BrinebookError:
        return None
    row = QUANTITIES[quantity]
    return found if row.low <= found <= row.high else None
