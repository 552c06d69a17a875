"""Causes and candidates: what could explain the tests, as columns that can be weighed.

Every candidate is a column ``u`` of effects on the rows with a normal coefficient, mean ``a0`` and
standard deviation ``tau``, and prior odds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brinebook.balance.season import Floats, Ints


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that could have happened in the window.

    ``rows`` are the tests that it explains; ``columns`` the window's columns that it adds up.
    """

    kind: str  # wrong, order, spell, jump, exchange, dilution, fall, step, stop, refill
    what: str
    begins: float
    ends: float
    rows: tuple[int, ...] = ()
    columns: tuple[int, ...] = ()

    @property
    def wrong_rows(self) -> tuple[int, ...]:
        """The tests that it calls wrong: one that was read after a dose is sound."""
        return () if self.kind == "order" else self.rows


@dataclass(frozen=True, slots=True)
class Field:
    """All causes of a window as arrays: candidates may share a cause, with other coefficients."""

    causes: tuple[Cause, ...]
    U: Floats  # rows x causes
    cause: Ints  # candidate -> cause
    a0: Floats
    tau: Floats
    odds: Floats  # log prior odds of each candidate

    def of(self, members: Sequence[int]) -> list[Cause]:
        """The causes of some candidates."""
        return [self.causes[self.cause[member]] for member in members]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A cause, what one unit of it does to the rows, its coefficient's options and its chance.

    Each option (mean, standard deviation) becomes a candidate with an equal part of the chance.
    """

    cause: Cause
    effect: Floats
    options: Sequence[tuple[float, float]]
    chance: float


def gathered(proposals: Iterable[Proposal], *, rows: int) -> Field:
    """The field of all proposals over so many rows."""
    causes, vectors, cause, a0, tau, odds = [], [], [], [], [], []
    for position, each in enumerate(proposals):
        causes.append(each.cause)
        vectors.append(each.effect)
        log_odds = math.log(each.chance / (1.0 - each.chance) / len(each.options))
        for mean, spread in each.options:
            cause.append(position)
            a0.append(mean)
            tau.append(spread)
            odds.append(log_odds)
    return Field(
        tuple(causes),
        np.array(vectors).T.copy() if vectors else np.zeros((rows, 0)),
        np.array(cause, dtype=np.int64),
        np.array(a0),
        np.array(tau),
        np.array(odds),
    )


def rescaled_field(field: Field, ratio: Floats) -> Field:
    """The same field where the noise of each row (as a standard deviation) is so many times."""
    scale = np.array([ratio[cause.rows[0]] if cause.rows else 1.0 for cause in field.causes])
    return replace(field, tau=field.tau * scale[field.cause]) if scale.size else field
