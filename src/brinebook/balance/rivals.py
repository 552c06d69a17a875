"""Which of several causes fits what was seen: Bayes' rule over a few signs, open to inspection.

A sign is a number that tells causes apart, with its doubt: how far a bottle went down, when a
reagent lot was begun, what salinity did meanwhile. Each cause expects each sign somewhere, more or
less tightly; where it has nothing to do with one, it expects the usual. Shares of belief are then
Bayes' rule, with signs taken as independent of each other and none of them trusted beyond its
tails. The same densities say which signs speak for a cause and which against it, so that no reason
is given that wasn't reckoned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

#: Share of a sign's belief that lies in a Cauchy tail so many times as wide, so that a sign far off
#: everything speaks softly: five deviations are worth some hundreds to one (common practice).
TAIL_SHARE, TAIL_WIDTH = 0.05, 6.0
#: A sign speaks for or against where it is so many times likelier one way: common practice.
SPEAKS = 1.5

#: What a sentence about a sign needs, by name.
Numbers = Mapping[str, float | str]

_NOTHING: Numbers = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Sign:
    """Something seen: a value with its sd, and what is usual for it (mean, sd), in one unit.

    ``numbers`` holds what a sentence about it needs. With ``counted`` False the tests' own weighing
    has used it already: it gives reasons, and doesn't move the shares a second time.
    """

    name: str
    value: float
    sd: float
    usual: tuple[float, float]
    numbers: Numbers = field(default_factory=lambda: _NOTHING)
    counted: bool = True


@dataclass(frozen=True, slots=True)
class Rival:
    """A cause, its share before the signs (any scale), and where it expects them (mean, sd).

    ``asks`` is the id that a keeper's verdict on it names, or empty.
    """

    cause: str
    share: float
    expects: Mapping[str, tuple[float, float]] = field(default_factory=lambda: MappingProxyType({}))
    asks: str = ""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A cause after the signs: its probability, and the signs that speak for and against it."""

    cause: str
    probability: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    asks: str = ""


def weigh(rivals: Sequence[Rival], signs: Sequence[Sign]) -> tuple[Weighed, ...]:
    """The rivals by probability, likeliest first; the probabilities sum to one.

    Takes at least one rival with a share above zero; causes of the same name are weighed apart.
    """
    counted = [sign for sign in signs if sign.counted]
    logs = [
        math.log(rival.share) + sum(log_density(sign, rival) for sign in counted)
        if rival.share > 0.0
        else -math.inf
        for rival in rivals
    ]
    top = max(logs)
    weights = [math.exp(each - top) for each in logs]
    total = math.fsum(weights)
    shares = [weight / total for weight in weights]
    found = [
        _told(rival, share, _leans(position, rivals, shares, signs))
        for position, (rival, share) in enumerate(zip(rivals, shares, strict=True))
    ]
    return tuple(sorted(found, key=lambda one: (-one.probability, one.cause, one.asks)))


def log_density(sign: Sign, rival: Rival) -> float:
    """Log density of a sign under a cause, with tails."""
    mean, spread = rival.expects.get(sign.name, sign.usual)
    width = math.hypot(spread, sign.sd)
    z = (sign.value - mean) / width
    near = (1.0 - TAIL_SHARE) * math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    far = TAIL_SHARE / (math.pi * TAIL_WIDTH * (1.0 + (z / TAIL_WIDTH) ** 2))
    return math.log((near + far) / width)


def _leans(
    position: int, rivals: Sequence[Rival], shares: Sequence[float], signs: Sequence[Sign]
) -> list[tuple[float, str]]:
    """How many times (as a log) likelier each sign is under this cause than under the others."""
    others = [k for k in range(len(rivals)) if k != position and shares[k] > 1e-9]
    rest = math.fsum(shares[k] for k in others)
    if rest <= 0.0:
        return []
    found = []
    for sign in signs:
        usual = math.fsum(shares[k] * math.exp(log_density(sign, rivals[k])) for k in others) / rest
        found.append((log_density(sign, rivals[position]) - math.log(usual), sign.name))
    return found


def _told(rival: Rival, share: float, leans: list[tuple[float, str]]) -> Weighed:
    enough = math.log(SPEAKS)
    speaks_for = [name for lean, name in sorted(leans, key=lambda one: (-one[0], one[1]))
                  if lean > enough]  # fmt: skip
    against = [name for lean, name in sorted(leans) if lean < -enough]
    return Weighed(rival.cause, share, tuple(speaks_for), tuple(against), rival.asks)
