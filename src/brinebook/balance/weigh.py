"""Weighing what could explain the tests against one another.

With P the inverse covariance of the rows and r their departure from expectation, the evidence for
any set of explanations follows from u'Pu and u'Pr alone (auxiliary residuals: de Jong & Penzer
1998, JASA 93:796; for a set, the matrix form of the same), so thousands can be weighed without
walking the season again. The best set is found by adding, dropping and swapping; its neighbours
keep their share of the belief.
Source: dejong1998
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
import numpy.typing as npt

from brinebook.balance.field import Field
from brinebook.balance.season import Floats, Ints

_MOST = 60
#: Changes of the water that may be one tale of wrong tests stand no further apart.
_CLOSE_DAYS = 14.0

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Story:
    """A set of candidates taken together, with its log weight and what it makes of them."""

    members: tuple[int, ...]
    weight: float  # log
    coefficients: Floats
    covariance: Floats


def _claims(field: Field) -> Bools:
    """What each cause uses up: a row can be wrong once, a pump stand still once at a time."""
    rows = [cause.rows for cause in field.causes]
    stops = [cause.columns if cause.kind == "stop" else () for cause in field.causes]
    count = field.U.shape[0]
    claimed = np.concatenate([_flat(rows), count + _flat(stops)])
    claims = np.zeros((len(rows), int(claimed.max(initial=count)) + 1), dtype=bool)
    sizes = np.array([len(places) for places in (*rows, *stops)], dtype=np.int64)
    claims[np.repeat(np.tile(np.arange(len(rows)), 2), sizes), claimed] = True
    return claims


def _flat(groups: Sequence[tuple[int, ...]]) -> Ints:
    return np.fromiter(chain.from_iterable(groups), dtype=np.int64)


class Weigher:
    """Evidence of any set of candidates, from the field's Gram matrix."""

    def __init__(self, field: Field, precision: Floats, departure: Floats) -> None:
        self.field = field
        self.PU = precision @ field.U
        self.Pr = precision @ departure
        self.t = field.U.T @ self.Pr
        self.s = np.einsum("ij,ij->j", field.U, self.PU)
        self._gram: dict[int, Floats] = {}
        self._stories: dict[tuple[int, ...], Story] = {}
        self.claims = _claims(field)

    def gram(self, cause: int) -> Floats:
        """Column of U'PU for one cause."""
        if cause not in self._gram:
            self._gram[cause] = self.field.U.T @ self.PU[:, cause]
        return self._gram[cause]

    def story(self, members: tuple[int, ...]) -> Story:
        """Log weight of a set (0 for none), with the coefficients' mean and covariance."""
        members = tuple(sorted(members))
        if members in self._stories:
            return self._stories[members]
        if not members:
            story = Story((), 0.0, np.zeros(0), np.zeros((0, 0)))
        else:
            chosen = np.array(members)
            cause = self.field.cause[chosen]
            a0, tau2 = self.field.a0[chosen], self.field.tau[chosen] ** 2
            S = np.array([self.gram(int(c))[cause] for c in cause])
            S = (S + S.T) / 2.0
            K = S + np.diag(1.0 / tau2)
            rhs = self.t[cause] + a0 / tau2
            cholesky = np.linalg.cholesky(K)
            half = np.linalg.solve(cholesky, rhs)
            inverse = np.linalg.inv(K)
            log_det = 2.0 * float(np.sum(np.log(np.diag(cholesky)))) + float(np.sum(np.log(tau2)))
            weight = 0.5 * float(half @ half) - 0.5 * float(np.sum(a0**2 / tau2)) - 0.5 * log_det
            weight += float(np.sum(self.field.odds[chosen]))
            story = Story(members, weight, inverse @ rhs, inverse)
        self._stories[members] = story
        return story

    def scan(self, members: tuple[int, ...], barred: Bools | None = None) -> Floats:
        """Log odds of adding each candidate to the set, but for those of barred causes."""
        field = self.field
        s, t = self.s, self.t
        if members:
            story = self.story(members)
            cause = field.cause[np.array(story.members)]
            G = np.array([self.gram(int(c)) for c in cause])
            s = s - np.einsum("ki,ki->i", G, story.covariance @ G)
            t = t - G.T @ story.coefficients
        s = np.maximum(s, 0.0)[field.cause]
        t = t[field.cause]
        tau2 = field.tau**2
        gain = 0.5 * (t + field.a0 / tau2) ** 2 / (s + 1.0 / tau2)
        gain -= 0.5 * field.a0**2 / tau2 + 0.5 * np.log1p(tau2 * s)
        gain += field.odds
        if members:
            taken = field.cause[np.array(members)]
            claimed = np.flatnonzero(self.claims[taken].any(axis=0))
            blocked = self.claims[:, claimed].any(axis=1)
            blocked = np.asarray(blocked)
            blocked[taken] = True
            gain[blocked[field.cause]] = -np.inf
        if barred is not None:
            gain[barred[field.cause]] = -np.inf
        return np.asarray(gain)


def search(weigher: Weigher) -> tuple[int, ...]:
    """The likeliest set of candidates: add, drop, swap until nothing gains, and think again."""
    members = _climb(weigher, ())
    for _ in range(_MOST):
        other = _thought_again(weigher, members)
        if other is None:
            break
        members = other
    return members


def _climb(
    weigher: Weigher, members: tuple[int, ...], barred: Bools | None = None
) -> tuple[int, ...]:
    """Add what gains most, drop and swap, until nothing gains."""
    best = weigher.story(members).weight
    for _ in range(_MOST):
        gain = weigher.scan(members, barred)
        top = int(np.argmax(gain)) if gain.size else -1
        if top >= 0 and gain[top] > 0.0:
            members = tuple(sorted((*members, top)))
            best = weigher.story(members).weight
            members, best = _improve(weigher, members, best, barred)
            continue
        better, value = _improve(weigher, members, best, barred)
        if better == members:
            break
        members, best = better, value
    return members


def _thought_again(weigher: Weigher, members: tuple[int, ...]) -> tuple[int, ...] | None:
    """A likelier set without some changes that stand close together, where there is one.

    Two wrong tests in a row look like a fall until the second of them is called wrong as well, and
    what was sound between two wrong ones like a spell: no single move leads from there to them.
    """
    best = weigher.story(members).weight
    for first, last, together in _close_changes(weigher.field, members):
        rest = tuple(m for m in members if m not in together)
        causes = weigher.field.causes
        barred = np.array(
            [not c.rows and c.begins <= last and c.ends >= first for c in causes], dtype=bool
        )
        other = _climb(weigher, _climb(weigher, rest, barred))
        if weigher.story(other).weight > best + 1e-6:
            return other
    return None


def _close_changes(
    field: Field, members: tuple[int, ...]
) -> list[tuple[float, float, frozenset[int]]]:
    """Changes and spells that stand close together: from when, to when, and which they are."""
    changes = [(field.causes[field.cause[m]], m) for m in members]
    spans = sorted((c.begins, c.ends, m) for c, m in changes if len(c.rows) != 1)
    found: list[tuple[float, float, frozenset[int]]] = []
    for begins, ends, member in spans:
        if found and begins <= found[-1][1] + _CLOSE_DAYS:
            first, last, before = found[-1]
            found[-1] = (first, max(last, ends), before | {member})
        else:
            found.append((begins, ends, frozenset((member,))))
    return found


def _improve(
    weigher: Weigher, members: tuple[int, ...], best: float, barred: Bools | None
) -> tuple[tuple[int, ...], float]:
    """Drop or swap one member where that gains."""
    for member in members:
        rest = tuple(m for m in members if m != member)
        value = weigher.story(rest).weight
        if value > best + 1e-9:
            return rest, value
        gain = weigher.scan(rest, barred)
        top = int(np.argmax(gain))
        if top != member and value + gain[top] > best + 1e-6:
            swapped = tuple(sorted((*rest, top)))
            return swapped, weigher.story(swapped).weight
    return members, best


def neighbours(weigher: Weigher, members: tuple[int, ...], most: int = 40) -> list[Story]:
    """The likeliest set with its neighbours, weights normalised to sum to one (as logs)."""
    found: dict[tuple[int, ...], Story] = {members: weigher.story(members)}

    def consider(base: tuple[int, ...], count: int) -> None:
        gain = weigher.scan(base)
        order = np.argsort(-gain, kind="stable")[:count]
        for candidate in order:
            if gain[candidate] < -6.0:
                break
            key = tuple(sorted((*base, int(candidate))))
            found.setdefault(key, weigher.story(key))

    consider(members, 20)
    for member in members:
        rest = tuple(m for m in members if m != member)
        found.setdefault(rest, weigher.story(rest))
        consider(rest, 6)
    top = max(story.weight for story in found.values())
    stories = sorted(found.values(), key=lambda s: (-s.weight, s.members))
    stories = [story for story in stories if story.weight > top - 7.0][:most]
    total = math.log(sum(math.exp(story.weight - top) for story in stories)) + top
    return [
        Story(story.members, story.weight - total, story.coefficients, story.covariance)
        for story in stories
    ]
