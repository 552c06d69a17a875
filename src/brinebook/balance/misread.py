"""How a test may read what wasn't in the water: wrong, in a spell, or read after a dose.

Proposals for `brinebook.balance.explain`, from a window's rows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.field import Cause, Proposal
from brinebook.balance.season import Exchange, Floats, Pour, Season
from brinebook.balance.steps import Mover
from brinebook.balance.sudden import exchanged
from brinebook.balance.window import Window

#: Replicates of one occasion that agree are water as a rule; two to four occasions in a row are
#: what one bottle spoils before somebody notices (common practice, no source).
_SPELL_SHARE = {1: 0.3, 2: 0.4, 3: 0.7, 4: 0.6, 5: 0.25, 6: 0.05}
_WRONG_SCALES = (6.0, 18.0, 60.0)
_SPELL_SCALES = (6.0, 20.0, 60.0)
#: A test that was read after a dose of its own minute shows the dose, give or take (mean, sd).
_READ_AFTER = [(1.0, 0.1)]


def wrong_tests(window: Window) -> Iterator[Proposal]:
    """Each row alone may be wrong by anything."""
    for i, row in enumerate(window.rows):
        if row.test is not None and row.test.verdict == "sound":
            continue
        sd = math.sqrt(window.noise[i, i])
        yield Proposal(
            Cause("wrong", "", row.t, row.t, rows=(i,)),
            _at(window, (i,)),
            [(0.0, scale * sd) for scale in _WRONG_SCALES],
            beliefs.CHANCE_WRONG,
        )


def spells(window: Window) -> Iterator[Proposal]:
    """Some occasions in a row of one method and lot may be wrong by the same."""
    series: dict[tuple[str, str, str], list[list[int]]] = {}
    for i, row in enumerate(window.rows):
        if row.test is None or row.test.target or row.test.verdict == "sound":
            continue
        runs = series.setdefault((row.test.quantity, row.test.method, row.test.lot), [])
        if runs and row.t - window.rows[runs[-1][0]].t < 1 / 24:
            runs[-1].append(i)
        else:
            runs.append([i])
    for (quantity, _, _), occasions in series.items():
        for length, share in _SPELL_SHARE.items():
            for first in range(len(occasions) - length + 1):
                rows = tuple(i for group in occasions[first : first + length] for i in group)
                if len(rows) > 1:
                    yield _spell(window, quantity, rows, beliefs.CHANCE_SPELL * share)


def _spell(window: Window, quantity: str, rows: tuple[int, ...], chance: float) -> Proposal:
    sd = math.sqrt(float(np.mean(np.diag(window.noise)[list(rows)])))
    begins, ends = window.rows[rows[0]].t, window.rows[rows[-1]].t
    cause = Cause("spell", quantity, begins, ends, rows=rows)
    return Proposal(
        cause, _at(window, rows), [(0.0, scale * sd) for scale in _SPELL_SCALES], chance
    )


def read_after(window: Window, season: Season) -> Iterator[Proposal]:
    """A test of the very minute of a dose or a water change is read before it, or else after.

    Who tests first and doses then writes one time for both, and "this morning" stands for all.
    """
    at_once: dict[int, list[Pour | Exchange]] = {}
    for event in season.events_in(window.start.t, window.end.t):
        if isinstance(event, Pour | Exchange):
            at_once.setdefault(_minute(event.t), []).append(event)
    if not at_once:
        return
    for i, row in enumerate(window.rows):
        if row.test is None or row.test.target:
            continue
        position = season.quantities.index(row.test.quantity)
        moved = math.fsum(
            _brings(event, window.mover)[position] for event in at_once.get(_minute(row.t), ())
        )
        if abs(moved) > math.sqrt(window.noise[i, i]):
            cause = Cause("order", row.test.quantity, row.t, row.t, rows=(i,))
            yield Proposal(cause, moved * _at(window, (i,)), _READ_AFTER, beliefs.CHANCE_READ_AFTER)


def _brings(event: Pour | Exchange, mover: Mover) -> Floats:
    """By how much an event moves each level."""
    if isinstance(event, Pour):
        return event.brings / mover.litres
    return exchanged(mover, event) * (event.incoming - mover.path(event.t))


def _minute(t: float) -> int:
    return round(t * 1440.0)


def _at(window: Window, rows: tuple[int, ...]) -> Floats:
    vector = np.zeros(len(window.rows))
    vector[list(rows)] = 1.0
    return vector
