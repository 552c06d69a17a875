"""Small figures in text: a row of eight characters that stands beside a number."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

BLOCKS = "▁▂▃▄▅▆▇█"
NO_VALUE = "·"
WIDTH = 8


def text_figure(values: Sequence[float | None], *, least_span: float = 0.0) -> str:
    """Eight characters, lowest block for the smallest value; “·” where there is none.

    More than eight values are averaged in eight equal runs, in order. ``least_span`` is the
    difference that the whole height stands for at least, in the unit of the values (say four
    standard deviations), so that noise is not drawn as a mountain range.
    """
    means = [_mean(run) for run in _runs(values)]
    known = [mean for mean in means if mean is not None]
    if not known:
        return NO_VALUE * len(means)
    low, high = min(known), max(known)
    span = max(high - low, least_span)
    floor = (low + high) / 2 - span / 2
    return "".join(NO_VALUE if mean is None else _block(mean, floor, span) for mean in means)


def _runs(values: Sequence[float | None]) -> list[Sequence[float | None]]:
    count = len(values)
    if count <= WIDTH:
        return [[None]] * (WIDTH - count) + [[value] for value in values]
    edges = [round(index * count / WIDTH) for index in range(WIDTH + 1)]
    return [values[start:end] for start, end in itertools.pairwise(edges)]


def _mean(run: Sequence[float | None]) -> float | None:
    known = [value for value in run if value is not None and math.isfinite(value)]
    return math.fsum(known) / len(known) if known else None


def _block(value: float, floor: float, span: float) -> str:
    if span <= 0:
        return BLOCKS[len(BLOCKS) // 2 - 1]
    height = math.floor((value - floor) / span * len(BLOCKS))
    return BLOCKS[min(max(height, 0), len(BLOCKS) - 1)]
