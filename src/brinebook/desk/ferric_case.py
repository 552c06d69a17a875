"""Ferric media as reckoned: what is in, what to put in, and what comes of either."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.desk.ferric_story import (
    FERRIC,
    Story,
    ferric_story,
    flow_of_fact,
    grams_of_fact,
    media_facts,
)
from brinebook.desk.plan_now import WaterNow
from brinebook.planning.ferric_course import (
    TIRED,
    Ahead,
    Bed,
    Draws,
    ahead,
    days_until_tired,
    most_grams,
    sizes,
    strength,
    with_fresh_media,
)
from brinebook.planning.limits import BANDS, CHANCE, Limits, limits_for
from brinebook.planning.nutrients import GONE

#: How far is looked ahead: the longest that media are told to last, and the weeks of a plan.
LONGEST, HORIZON = 120, 28
#: A medium nearer to its end than this is changed when phosphate stands high, days.
_SOON = 7.0
#: Flow where none was ever said, L/h, and grams a litre at most: common practice, no source.
_USUAL_FLOW, _MOST_A_LITRE = 60.0, 0.5
#: How likely the level may be to run out before media are taken out rather than left in.
_TAKE_OUT = 0.3


@dataclass(frozen=True, slots=True)
class Case:
    """Everything that the plan is worded from."""

    now: WaterNow
    story: Story
    goes_on: Ahead  # with what is in now
    without: Ahead
    band: tuple[float, float]
    limits: Limits
    flow: float
    goal: float
    grams: float  # to put in; 0: nothing
    most: float  # that may be put in
    with_new: Ahead | None

    @property
    def draws(self) -> Draws:
        """The draws as of now."""
        return self.story.learned.draws

    @property
    def gone(self) -> float:
        """Chance that phosphate runs out within the horizon if nothing is done."""
        return runs_out(self.goes_on)

    @property
    def verdict(self) -> str:
        """“take out”, “wait”, “change”, “cannot” or “nothing”."""
        works = self.story.grams > 0.0 and float(np.median(strength(self.draws))) > TIRED
        if self.story.grams > 0.0 and self.gone > _TAKE_OUT:
            return "take out"
        high = float(np.mean(self.goes_on.level[HORIZON] > self.band[1])) > 0.5
        if not high:
            return "nothing"
        left = float(np.median(days_until_tired(self.goes_on)))
        if works and left > _SOON:
            return "wait"
        return "change" if self.most > 0.0 else "cannot"


def runs_out(course: Ahead) -> float:
    """Chance that a level is as good as gone at any day of the horizon."""
    return float(np.mean((course.level[: HORIZON + 1] < GONE["phosphate"]).any(axis=0)))


def reckon(now: WaterNow, *, grams: float | None, flow: float | None) -> Case:
    """The case of a system now; ``grams`` are the most to think of, ``flow`` L/h."""
    story = ferric_story(now)
    draws = story.learned.draws
    band = now.system.bands.get("phosphate", BANDS["phosphate"])
    limits = limits_for("phosphate", now.system, target=band[1])
    goal = now.system.targets.get("phosphate", band[1] - 0.25 * (band[1] - band[0]))
    rate = flow or _last_flow(now) or _USUAL_FLOW
    usual = grams or _usual_grams(now)
    most = most_grams(
        draws, rate, limit=limits.per_day, gone=GONE["phosphate"], chance=CHANCE, most=usual
    )
    chosen = _enough(draws, rate, goal, most)
    return Case(
        now, story, ahead(draws, story.learned.bed, LONGEST), ahead(draws, Bed(0.0, rate), HORIZON),
        band, limits, rate, goal, chosen, most,
        ahead(with_fresh_media(draws), Bed(chosen, rate), LONGEST) if chosen > 0.0 else None,
    )  # fmt: skip


def _last_flow(now: WaterNow) -> float | None:
    flows = [flow_of_fact(fact) for fact in media_facts(now.facts, FERRIC)]
    return next((flow for flow in reversed(flows) if flow), None)


def _usual_grams(now: WaterNow) -> float:
    """The most to think of: half as much again as ever went in, at most half a gram a litre."""
    ever = max((grams_of_fact(fact) for fact in media_facts(now.facts, FERRIC)), default=0.0)
    cap = _MOST_A_LITRE * now.litres.value
    return min(1.5 * ever, cap) if ever > 0.0 else cap / 2.0  # a first time begins with half


def _enough(draws: Draws, flow: float, goal: float, most: float) -> float:
    """The least of the sizes whose middle is at the goal within the horizon, else the most."""
    if most <= 0.0:
        return 0.0
    for grams in sizes(most):
        course = ahead(with_fresh_media(draws), Bed(grams, flow), HORIZON)
        if float(np.median(course.level[HORIZON])) <= goal:
            return grams
    return most


def least_grams(case: Case) -> float:
    """The smallest size that is tried."""
    return sizes(_usual_grams(case.now))[0]


def worst_fall(case: Case, grams: float) -> float:
    """The most that so much fresh media take the level down in a day, but for one case in fifty."""
    course = ahead(with_fresh_media(case.draws), Bed(grams, case.flow), HORIZON)
    taken = case.without.level - course.level
    return float(np.quantile(np.diff(taken, axis=0).max(axis=0), 1.0 - CHANCE))
