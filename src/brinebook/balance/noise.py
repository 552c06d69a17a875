"""How noisy each method turns out to be: learned from the tests that nothing calls wrong.

Source: shumway1982
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from brinebook.balance.field import Field
from brinebook.balance.observe import Row, noise_key
from brinebook.balance.season import Floats
from brinebook.balance.weigh import Story
from brinebook.balance.window import Window

_FIRM_DESCRIBED = 14.0
_FIRM_GUESSED = 3.0
_FIRMEST = 400.0
_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class NoiseBelief:
    """What is known of a method's noise: a factor on its variance, and from how many tests."""

    factor: float
    firm: float


def inverse(matrix: Floats) -> Floats:
    """Inverse of a covariance, kept symmetric."""
    if matrix.size == 0:
        return matrix
    found = np.linalg.inv(matrix)
    return np.asarray((found + found.T) / 2.0)


def noise_ratio(
    window: Window, before: Mapping[str, NoiseBelief], after: Mapping[str, NoiseBelief]
) -> Floats:
    """How many times its old standard deviation each row's noise is now believed to be."""
    ratio = np.ones(len(window.rows))
    for i, row in enumerate(window.rows):
        key = noise_key(row)
        was = before[key].factor if key in before else 1.0
        ratio[i] = math.sqrt(after[key].factor / was) if key in after else 1.0
    return ratio


def rescaled(window: Window, ratio: Floats) -> Window:
    """The same window with the noise of its rows so many times as large."""
    noise = window.noise * np.outer(ratio, ratio)
    return replace(window, noise=noise, covariance=window.covariance - window.noise + noise)


def _firmness(row: Row) -> float:
    described = row.test is not None and row.test.described
    return _FIRM_DESCRIBED if described else _FIRM_GUESSED


def learn_noise(
    window: Window,
    before: Mapping[str, NoiseBelief],
    causes: Field,
    story: Story,
    departure: Floats,
) -> dict[str, NoiseBelief]:
    """Factors on the methods' variances, from the tests that nothing calls wrong.

    Expectation-maximisation for variance components (Shumway & Stoffer 1982) with a scaled inverse
    chi-square belief. Source: shumway1982
    """
    rows = window.rows
    if not rows:
        return dict(before)
    keys = [noise_key(row) for row in rows]
    start = {key: before.get(key, NoiseBelief(1.0, _firmness(row)))
             for key, row in zip(keys, rows, strict=True)}  # fmt: skip
    base = np.diag(window.noise).copy()
    factor = dict.fromkeys(start, 1.0)
    extra = np.zeros_like(window.covariance)
    shift = departure.copy()
    wrong: set[int] = set()
    for member in story.members:
        cause = causes.cause[member]
        u = causes.U[:, cause]
        wrong |= set(causes.causes[cause].wrong_rows)
        extra += causes.tau[member] ** 2 * np.outer(u, u)
        shift -= causes.a0[member] * u
    signal = window.covariance - window.noise + extra
    good = np.array([i not in wrong for i in range(len(rows))])
    for _ in range(_ROUNDS):
        ratio = np.sqrt(np.array([factor[key] for key in keys]))
        noise = window.noise * np.outer(ratio, ratio)
        precision = inverse(signal + noise)
        mean = noise @ (precision @ shift)
        variance = np.diag(noise) - np.einsum("ij,ji->i", noise @ precision, noise)
        quotient = (mean**2 + variance) / base
        for key, known in start.items():
            mine = good & np.array([k == key for k in keys])
            total = known.firm + quotient[mine].sum()
            factor[key] = total / (known.firm + mine.sum())
    learned = dict(before)
    for key, known in start.items():
        count = sum(k == key for k in keys)
        learned[key] = NoiseBelief(
            float(np.clip(known.factor * factor[key], 0.15, 12.0)), known.firm + count
        )
    return learned


def settled_noise(
    rows: tuple[Row, ...],
    before: Mapping[str, NoiseBelief],
    learned: Mapping[str, NoiseBelief],
    *,
    decided: int,
) -> dict[str, NoiseBelief]:
    """What is known after the first ``decided`` rows, where all of them taught the factors."""
    noise = dict(before)
    counts = Counter(noise_key(row) for row in rows)
    for key, count in Counter(noise_key(row) for row in rows[:decided]).items():
        known = before.get(key)
        firm = known.firm if known else learned[key].firm - counts[key]
        noise[key] = NoiseBelief(learned[key].factor, min(firm + count, _FIRMEST))
    return noise
