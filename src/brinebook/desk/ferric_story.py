"""What the book's facts say of ferric media: put in when, what was tested before and after them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from brinebook.balance.beliefs import BELIEFS
from brinebook.desk.plan_food import phosphate_from_food
from brinebook.desk.plan_now import WaterNow
from brinebook.planning.ferric_course import (
    UNKNOWN_FLOW,
    WANDERS,
    Bed,
    Draws,
    Happened,
    Learned,
    Reading,
    learn,
    prior_draws,
    with_wandering_gain,
)
from brinebook.planning.spread import Floats, Spread, deviates
from brinebook.timeline import Fact
from brinebook.units import convert_amount, parse_reading_value
from brinebook.water.quantities import to_canonical

FERRIC = "ferric"
#: So much of the past is held against the model: some lives of media, days.
LOOKED_BACK = timedelta(days=120)
#: Nothing at all known of the level: mg/L of PO4, common practice.
_ANY_LEVEL = Spread(0.01, 0.06, 0.4)
#: The days are counted in steps of an hour, so that two tests of one sitting are one mark.
_PER_DAY = 24


@dataclass(frozen=True, slots=True)
class Story:
    """The media in now, since when, and what was learned; ``pairs`` counts tests of its outflow."""

    learned: Learned
    bed: Fact | None
    tests: int
    pairs: int

    @property
    def grams(self) -> float:
        """Grams in now; 0 where none is."""
        return 0.0 if self.bed is None else grams_of_fact(self.bed)


def grams_of_fact(fact: Fact) -> float:
    """The mass of a fact, g."""
    return convert_amount(float(fact.value), fact.unit, "g")


def flow_of_fact(fact: Fact) -> float | None:
    """The flow through media in L/h, if it was said."""
    text = fact.detail.get("flow", "")
    return float(text) if text else None


def media_facts(facts: Sequence[Fact], name: str) -> list[Fact]:
    """The facts about media of this name, in time."""
    found = [f for f in facts if f.kind == "media" and f.what.casefold() == name]
    return sorted(found, key=lambda fact: fact.when)


def media_now(facts: Sequence[Fact], name: str, at: datetime) -> Fact | None:
    """The media of this name that are in at a time; None where none are."""
    past = [fact for fact in media_facts(facts, name) if fact.when <= at]
    return past[-1] if past and grams_of_fact(past[-1]) > 0.0 else None


def ferric_story(now: WaterNow) -> Story:
    """What phosphate tests, media and changes of the last months say of the media."""
    start = _start(now)

    def day(when: datetime) -> float:
        return round((when - start) / timedelta(days=1) * _PER_DAY) / _PER_DAY

    tests = _tests(now, start, day=day)
    count = sum(not each.outflow for each in tests)
    draws = prior_draws(
        *_levels(tests), now.drawn.litres, gain=phosphate_from_food(now.facts, now.at)
    )
    flow = np.asarray(UNKNOWN_FLOW.drawn(deviates(97, draws.level.size)))
    learned = learn(
        draws,
        Bed(0.0, flow),
        tests=tests,
        happened=_happened(now, start, flow=flow, day=day),
        until=day(now.at),
    )
    draws = _with_the_levels_of_the_balance(now, with_wandering_gain(learned.draws))
    learned = replace(learned, draws=draws)
    return Story(
        learned, media_now(now.facts, FERRIC, now.at), count, sum(each.outflow for each in tests)
    )


def _start(now: WaterNow) -> datetime:
    """The last time that media went in before the stretch that is looked at, else its begin."""
    begins = now.at - LOOKED_BACK
    before = [f.when for f in media_facts(now.facts, FERRIC) if f.when <= begins]
    return max(before) if before and begins - before[-1] < LOOKED_BACK else begins


def _tests(now: WaterNow, start: datetime, *, day: Callable[[datetime], float]) -> list[Reading]:
    suspect = set() if now.answer is None else {each.fact for each in now.answer.suspects}
    belief = BELIEFS["phosphate"]
    noise = (
        {m.method: m.sd for m in now.answer.methods if m.quantity == "phosphate"}
        if (now.answer)
        else {}
    )
    found = []
    for fact in now.facts:
        if fact.kind != "test" or fact.what != "phosphate" or not start <= fact.when <= now.at:
            continue
        of = fact.detail.get("of", "")
        if fact.id in suspect or of not in ("", "effluent"):
            continue
        reading = parse_reading_value(fact.value)
        value = to_canonical("phosphate", reading.value, fact.unit).value
        sd = noise.get(fact.detail.get("method", ""), belief.noise)
        found.append(Reading(day(fact.when), value, sd, outflow=bool(of), edge=reading.censor))
    return found


def _levels(tests: Sequence[Reading]) -> tuple[Spread, Spread]:
    """The level at the start, and where it would settle without media, before the tests speak."""
    water = [each for each in tests if not each.outflow]
    if not water:
        return _ANY_LEVEL, _ANY_LEVEL
    first = max(float(np.median([each.value for each in water[:3]])), 0.01)
    usual = max(float(np.median([each.value for each in water])), 0.01)
    return (
        Spread(first / 2.5, first, first * 2.5),
        Spread(usual / 2.0, usual * 1.3, usual * 5.0),
    )


def _happened(
    now: WaterNow, start: datetime, *, flow: Floats, day: Callable[[datetime], float]
) -> list[Happened]:
    found = []
    litres = now.litres.value
    for fact in now.facts:
        if not start <= fact.when <= now.at:
            continue
        if fact.kind == "media" and fact.what.casefold() == FERRIC:
            said = flow_of_fact(fact)
            bed = Bed(grams_of_fact(fact), flow if said is None else said)
            found.append(Happened(day(fact.when), bed=bed))
        elif fact.kind == "water_change" and "/" not in fact.unit:
            share = (
                float(fact.value) / 100.0
                if fact.unit == "%"
                else convert_amount(float(fact.value), fact.unit, "L") / litres
            )
            new = float(fact.detail.get("phosphate", 0.0) or 0.0)
            found.append(Happened(day(fact.when), changed=min(share, 1.0), incoming=new))
    return found


def _with_the_levels_of_the_balance(now: WaterNow, draws: Draws) -> Draws:
    """The balance knows the level of today best: its draws, in the order of ours by size.

    Ours were learned by a model without day-to-day wandering; putting the balance's lowest level
    where ours is lowest keeps what goes together.
    """
    if "phosphate" not in now.drawn.quantities:
        wander = np.exp(WANDERS * deviates(98, draws.level.size))
        return replace(draws, level=np.asarray(draws.level * wander))
    known = np.sort(now.drawn.level("phosphate"))
    picked = known[
        ((np.arange(draws.level.size) + 0.5) * known.size / draws.level.size).astype(int)
    ]
    level = np.empty_like(draws.level)
    level[np.argsort(draws.level, kind="stable")] = picked
    return replace(draws, level=np.maximum(level, 1e-4))
