"""Steps without duration: doses, water changes, losses, new settings, new media, refills."""

from __future__ import annotations

import math

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.season import (
    Event,
    Exchange,
    Floats,
    Loss,
    Mark,
    MediaSwap,
    Pour,
    Setting,
)
from brinebook.balance.state import FERRIC
from brinebook.balance.steps import Mover, Step

_MEDIA_UPTAKE = 0.08  # of the level, a day, when fresh: common practice, no source


def at_once(mover: Mover, event: Event) -> Step:
    """The step that an event makes."""
    step = _still(mover)
    if isinstance(event, Pour):
        _pour(mover, event, step)
    elif isinstance(event, Exchange):
        _exchange(mover, event, step)
    elif isinstance(event, Loss):
        share = min(event.litres / mover.litres, 0.95)
        _dilute(mover, step, share, np.zeros(mover.nq), event.t, by_volume=True)
    elif isinstance(event, Setting) and "growth" in mover.index:
        _set_anew(mover, event, step)
    elif isinstance(event, MediaSwap) and "media" in mover.index:
        _swap_media(mover, event, step)
    return step


def _pour(mover: Mover, event: Pour, step: Step) -> None:
    strength = mover.constant_now(f"strength|{event.additive}")
    share = (1.0 + strength) / mover.litres
    slopes = {f"strength|{event.additive}": 1.0 / mover.litres, "volume": -share}
    base, row = mover.linear(share, slopes)
    step.u[: mover.nq] += event.brings * base
    step.B[: mover.nq] += event.brings[:, None] * row
    left = mover.index.get(f"left|{event.additive}")
    if left is not None:
        step.u[left] -= event.volume_ml


def exchanged(mover: Mover, event: Exchange) -> float:
    """The share of the water that a change renews."""
    by_volume = not math.isnan(event.litres)
    return min(event.litres / mover.litres if by_volume else event.fraction, 1.0)


def _exchange(mover: Mover, event: Exchange, step: Step) -> None:
    share = exchanged(mover, event)
    by_volume = not math.isnan(event.litres)
    _dilute(mover, step, share, event.incoming, event.t, by_volume=by_volume)
    for position, name in enumerate(mover.season.quantities):
        spread = event.incoming_sd[position]
        column = mover.index.get(f"mix|{event.mix}|{name}")
        if column is not None and not event.measured[position]:
            step.B[position, column - mover.moving] += share * event.incoming[position]
            spread *= 0.8
        step.Q[position, position] += (share * spread) ** 2


def _dilute(
    mover: Mover, step: Step, share: float, incoming: Floats, t: float, *, by_volume: bool
) -> None:
    for position in range(mover.nq):
        step.A[position, position] = 1.0 - share
        step.u[position] = share * incoming[position]
    if by_volume and "volume" in mover.index:
        slope = -share * (incoming - mover.path(t))
        step.B[: mover.nq, mover.index["volume"] - mover.moving] += slope
        step.u[: mover.nq] -= slope * mover.mean[mover.index["volume"]]


def _set_anew(mover: Mover, event: Setting, step: Step) -> None:
    """A keeper doses more because the reef uses more: the setting itself proves nothing."""
    flow = next(f for f in mover.season.flows if f.name == event.additive)
    growth = mover.index["growth"]
    for name, (coefficient, _) in beliefs.SKELETON.items():
        if name in ("alkalinity", "calcium") and name in mover.season.quantities:
            brought = flow.brings[mover.season.quantities.index(name)]
            change = event.change * brought / mover.litres / coefficient
            step.Q[growth, growth] += (0.5 * change) ** 2


def _swap_media(mover: Mover, event: MediaSwap, step: Step) -> None:
    if event.name != FERRIC:
        return
    media = mover.index["media"]
    step.A[media, :] = 0.0
    if event.grams > 0.0:
        scale = mover.scale[mover.index["level|phosphate"]]
        step.u[media] = _MEDIA_UPTAKE * scale
        step.Q[media, media] = (_MEDIA_UPTAKE * scale) ** 2


def refilled(mover: Mover, mark: Mark, spread: float) -> Step:
    """The container was filled again: what is left is what was read."""
    step = _still(mover)
    left = mover.index[f"left|{mark.additive}"]
    step.A[left, :] = 0.0
    step.u[left] = mark.left_ml
    step.Q[left, left] = spread**2
    return step


def _still(mover: Mover) -> Step:
    """The step at which nothing happens."""
    D, C = mover.moving, mover.constants
    return Step(np.eye(D), np.zeros((D, C)), np.zeros(D), np.zeros((D, D)))
