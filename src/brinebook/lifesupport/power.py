"""What hangs on a circuit: apparent power, current, the share of the breaker, and what shares what.

Powers in W and VA, voltages in V, currents in A. It is arithmetic on nameplates, for a talk with an
electrician; local code and licensed practice decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from brinebook.texts import say

#: Where a circuit runs between these voltages and no region is told, the 80 % rule for hours on end
#: is law; elsewhere a share is the keeper's own. Source: nec2020 (articles 100, 210.19 and 210.20)
_VOLTS_OF_NEC = (110.0, 130.0)
#: Regions by the names that people use for them where that code, or one made from it, is law.
_UNDER_NEC = frozenset({"us", "usa", "u.s.", "united states", "america", "nec", "puerto rico"})
CONTINUOUS_SHARE = 0.8
CONTINUOUS_FROM_HOURS = 3.0

#: Residual current at which additional protection of people trips, mA, and a month between tests.
#: Source: iec2012 (scope), ul2016 (class A)
PROTECTION_AT_MOST, CLASS_A = 30.0, 5.0
TEST_EVERY_DAYS = 31.0  # common practice, no source

Season = Literal["", "winter", "summer"]


@dataclass(frozen=True, slots=True)
class Draw:
    """One load on a circuit: nameplate W, power factor, hours a day, the season that it runs in."""

    name: str
    watts: float
    power_factor: float = 1.0
    hours: float = 24.0
    season: Season = ""

    @property
    def apparent(self) -> float:
        """VA."""
        return self.watts / self.power_factor


@dataclass(frozen=True, slots=True)
class Drawn:
    """The current of several loads together, A.

    ``least`` takes every power factor as 1, ``most`` adds the apparent powers as they stand: the
    truth lies between, since currents out of step with each other partly cancel.
    """

    watts: float
    apparent: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Rule:
    """How much of a breaker may be used for hours on end, and whose rule that is."""

    share: float
    law: bool
    source: str


@dataclass(frozen=True, slots=True)
class Held:
    """A circuit's current against its limit; ``share`` of the limit may pass 1."""

    drawn: Drawn
    limit: float
    rule: Rule
    least_share: float
    most_share: float
    trips: Literal["no", "perhaps", "yes"]


def drawn_by(draws: Iterable[Draw], *, volts: float) -> Drawn:
    """What these loads draw together, all of them running at once."""
    listed = tuple(draws)
    watts = math.fsum(draw.watts for draw in listed)
    apparent = math.fsum(draw.apparent for draw in listed)
    return Drawn(watts, apparent, watts / volts, apparent / volts)


def in_season(draws: Iterable[Draw], season: Season) -> tuple[Draw, ...]:
    """The loads that run in this season; those without one always run."""
    return tuple(draw for draw in draws if draw.season in ("", season))


def continuous_limit_nec_2020(breaker: float) -> float:
    """Current that a breaker may carry for three hours or more, A.

    Source: nec2020 (articles 210.19 and 210.20: 125 % of a continuous load)
    """
    return CONTINUOUS_SHARE * breaker


def rule_for(volts: float, *, share: float, region: str = "") -> Rule:
    """Whose share holds in this region, or else at this voltage: the law's, or the keeper's own."""
    named = region.strip().casefold()
    low, high = _VOLTS_OF_NEC
    if named in _UNDER_NEC or (not named and low <= volts <= high):
        return Rule(
            min(share, CONTINUOUS_SHARE),
            law=True,
            source=say("NEC 210.19 and 210.20: 80 % of the breaker for three hours or more"),
        )
    return Rule(
        share,
        law=False,
        source=say(
            "your own share, or the usual 80 %: no general rule for hours on end is known here "
            "outside the NEC; ask an electrician for yours"
        ),
    )


def held_against(
    draws: Iterable[Draw], *, volts: float, breaker: float, share: float, region: str = ""
) -> Held:
    """These loads against a circuit; a breaker may trip from its rating on, and not below.

    Source: nec2020 (articles 100, 210.19 and 210.20)
    """
    rule = rule_for(volts, share=share, region=region)
    drawn = drawn_by(draws, volts=volts)
    limit = rule.share * breaker
    trips: Literal["no", "perhaps", "yes"] = (
        "yes" if drawn.least > breaker else "perhaps" if drawn.most > breaker else "no"
    )
    return Held(drawn, limit, rule, drawn.least / limit, drawn.most / limit, trips)


def shared_fate(
    groups: Sequence[tuple[str, Sequence[str]]], functions: Sequence[tuple[str, Sequence[str]]]
) -> tuple[tuple[str, str], ...]:
    """Which strip or circuit takes a whole function along when it goes dark.

    ``groups`` are (strip or circuit, what hangs on it), ``functions`` (what it is for, which loads
    do it); the answer lists (group, function) where a group holds every load of a function.
    """
    return tuple(
        (group, function)
        for group, hanging in groups
        for function, doing in functions
        if doing and set(doing) <= set(hanging)
    )
