"""``plan algae``: how fast they grow, what a cut takes out, how much to cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

import numpy as np

from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.desk.ferric_story import grams_of_fact
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning import cautions
from brinebook.planning.algae import (
    FED_GROWTH,
    AlgaeContent,
    cut_holds,
    doubling_days,
    growth_between_cuts,
    growth_if_share_cut,
    relative_growth_of_ball,
)
from brinebook.planning.spread import Spread
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import parse_number

#: What of the crop a cut takes where nobody said what was left (common practice, no source).
_SHARE_CUT = (0.25, 0.5, 0.75)
#: Cuts so far back tell how the algae grow now, and those before them how they grew.
_LATELY = timedelta(days=60)
#: Growth is said to have changed where a cut is worth so much less or more than before.
_CHANGED = 0.7


class AlgaeImpossible(UsageProblem):
    """A growth or a cut that can't be."""

    code = "E-ALGAE"


@dataclass(frozen=True, slots=True)
class Grown:
    """What was typed of growth: widths of a ball in m, or grams left after each cut, and days."""

    before: float | None = None
    after: float | None = None
    days: float | None = None
    left: float | None = None


@dataclass(frozen=True, slots=True)
class _Cuts:
    """Cuts of the book: grams and days between them, lately and before."""

    grams: float  # a cut, the mean lately
    days: float  # between cuts, the mean lately
    a_day: float
    before: float | None  # grams a day in the time before
    last: Fact


def algae_plan(
    now: WaterNow, content: AlgaeContent, *, cut: float | None = None, grown: Grown | None = None
) -> Plan:
    """What a cut of so many wet grams takes out, and how fast the algae grow, each as a range.

    ``cut`` left out is the usual one of the book. Raises AlgaeImpossible.
    """
    told = grown or Grown()
    cuts = _cuts(now)
    grams = cut if cut is not None else None if cuts is None else cuts.grams
    if grams is None and told.before is None:
        raise AlgaeImpossible(
            say("The book holds no harvest, and no cut was said."),
            say("Say --cut 100g, or write cuts down: brinebook add harvest chaetomorpha 60g."),
        )
    if (grams is not None and not grams > 0.0) or (told.left is not None and not told.left > 0.0):
        raise AlgaeImpossible(
            say("A cut, and what is left after it, weigh more than nothing."),
            say("Say --cut 100g --left 80g."),
        )
    rates = _rates(cuts, told, grams)
    return Plan(
        kind="algae",
        about=("nitrate", "phosphate"),
        at=now.at,
        verdict="told",
        headline=_headline(now, content, grams, rates),
        figures=(
            *_held_figures(now, content, grams),
            *_rate_figures(rates),
            *_cut_figures(cuts, content),
        ),
        reasons=_reasons(content, rates),
        cautions=cautions.cautions("release"),
        notes=_notes(cuts, told),
    )


def cuts_a_week(now: WaterNow) -> float:
    """Wet grams cut in a week, of late; 0 where none is written down."""
    cuts = _cuts(now)
    return 0.0 if cuts is None else 7.0 * cuts.a_day


def known_content(now: WaterNow, typed: AlgaeContent) -> AlgaeContent:
    """What algae are made of: as typed, else by the newest cut that says, else the literature."""
    usual = AlgaeContent()
    cuts = sorted((f for f in now.facts if f.kind == "harvest"), key=lambda fact: fact.when)

    def said(key: str, given: Spread, otherwise: Spread, sd: float) -> Spread:
        if given != otherwise:
            return given
        texts = [fact.detail[key] for fact in cuts if fact.detail.get(key)]
        value = parse_number(texts[-1]) if texts else 0.0
        return Spread.about(value, sd) if value > 0.0 else otherwise

    return AlgaeContent(
        said("dry", typed.dry, usual.dry, 0.08),
        said("n", typed.nitrogen, usual.nitrogen, 0.15),
        said("p", typed.phosphorus, usual.phosphorus, 0.15),
    )


def _cuts(now: WaterNow) -> _Cuts | None:
    found = sorted(
        (fact for fact in now.facts if fact.kind == "harvest" and fact.when <= now.at),
        key=lambda fact: fact.when,
    )
    if not found:
        return None
    late = [fact for fact in found if fact.when >= now.at - _LATELY]
    early = [fact for fact in found if fact.when < now.at - _LATELY]
    if len(late) < 2:
        late, early = found[-3:], found[:-3]
    a_day, days = _pace(late)
    return _Cuts(
        float(np.mean([grams_of_fact(fact) for fact in late])),
        days,
        a_day,
        _pace(early)[0] if len(early) >= 3 else None,
        found[-1],
    )


def _pace(facts: Sequence[Fact]) -> tuple[float, float]:
    """Grams a day and days between cuts: the first cut ends a time that nobody knows."""
    if len(facts) < 2:
        return 0.0, float("nan")
    span = (facts[-1].when - facts[0].when) / timedelta(days=1)
    grams = sum(grams_of_fact(fact) for fact in facts[1:])
    gaps = [(later.when - earlier.when) / timedelta(days=1) for earlier, later in pairwise(facts)]
    return (grams / span, float(np.mean(gaps))) if span > 0.0 else (0.0, float("nan"))


def _rates(cuts: _Cuts | None, told: Grown, cut: float | None) -> Spread | None:
    """Relative growth a day: measured where it was, else from what share a cut may be."""
    if told.before is not None and told.after is not None and told.days is not None:
        if not (0.0 < told.before < told.after and 0.0 < told.days <= 400.0):
            raise AlgaeImpossible(
                say("A ball has to have grown over some days for its rate to be told."),
                say("Give --across “43 mm” --to “97 mm” --days 20."),
            )
        return Spread.exactly(relative_growth_of_ball(told.before, told.after, told.days))
    days = told.days if told.days is not None else None if cuts is None else cuts.days
    if days is None or not days > 0.0:
        return None
    if told.left is not None and cut is not None:
        return Spread.exactly(growth_between_cuts(cut, told.left, days))
    return Spread(*(growth_if_share_cut(share, days) for share in _SHARE_CUT))


def _headline(
    now: WaterNow, content: AlgaeContent, grams: float | None, rates: Spread | None
) -> str:
    parts = []
    if grams is not None:
        held = cut_holds(grams, content)
        litres = now.litres.value
        nitrate = held.nitrogen.times(1e3 * NITRATE_PER_N / litres)
        phosphate = held.phosphorus.times(1e3 * PHOSPHATE_PER_P / litres)
        parts.append(
            say(
                "{grams} of wet algae cut takes out {nitrogen} g of nitrogen and "
                "{phosphorus} g of phosphorus: what would be {nitrate} mg/L of "
                "nitrate and {phosphate} mg/L of phosphate here.",
                grams=amount_text(grams, "g"),
                nitrogen=_span(held.nitrogen),
                phosphorus=_span(held.phosphorus),
                nitrate=_span(nitrate),
                phosphate=_span(phosphate),
            )
        )
    if rates is not None:
        parts.append(
            say(
                "They grow by {times} % a day, doubling in {doubling} days.",
                times=_span(rates.times(100.0)),
                doubling=_span(_doubling(rates)),
            )
        )
    return " ".join(parts)


def _doubling(rates: Spread) -> Spread:
    return Spread(*(doubling_days(rate) for rate in (rates.high, rates.middle, rates.low)))


def _span(spread: Spread) -> str:
    low, high = (plain_text(each, digits=2) for each in (spread.low, spread.high))
    return low if low == high else say("{low} to {high}", low=low, high=high)


def _figure(name: str, spread: Spread, unit: str, origin: str = "") -> Figure:
    return Figure(name, spread.middle, unit, spread.low, spread.high, origin)


def _held_figures(now: WaterNow, content: AlgaeContent, grams: float | None) -> list[Figure]:
    if grams is None:
        return []
    held = cut_holds(grams, content)
    litres = now.litres.value
    return [
        Figure("cut", grams, "g"),
        _figure("nitrogen", held.nitrogen, "g"),
        _figure("phosphorus", held.phosphorus, "g"),
        _figure("nitrate", held.nitrogen.times(1e3 * NITRATE_PER_N / litres), "mg/L"),
        _figure("phosphate", held.phosphorus.times(1e3 * PHOSPHATE_PER_P / litres), "mg/L"),
        _figure("dry_share", content.dry.times(100.0), "%"),
    ]


def _rate_figures(rates: Spread | None) -> list[Figure]:
    laboratory = [
        Figure(
            "growth_in_the_laboratory",
            sum(FED_GROWTH) / 2,
            "1/day",
            *FED_GROWTH,
            say("well fed, of one species"),
        ),
    ]
    if rates is None:
        return laboratory
    return [
        _figure("growth", rates, "1/day"),
        _figure("doubling", _doubling(rates), "days"),
        *laboratory,
    ]


def _cut_figures(cuts: _Cuts | None, content: AlgaeContent) -> list[Figure]:
    if cuts is None:
        return []
    week = cut_holds(7.0 * cuts.a_day, content)
    found = [
        Figure("cut_a_week", 7.0 * cuts.a_day, "g/week"),
        _figure("nitrogen_a_week", week.nitrogen, "g/week"),
        _figure("phosphorus_a_week", week.phosphorus, "g/week"),
    ]
    if cuts.before is not None:
        found.append(Figure("cut_a_week_before", 7.0 * cuts.before, "g/week"))
    return found


def _reasons(content: AlgaeContent, rates: Spread | None) -> tuple[Reason, ...]:
    found = [
        Reason(
            say(
                "A cut holds its wet grams times their dry share times what the dry "
                "holds: three figures that each differ two to five times."
            ),
            inputs=(
                _figure("dry_share", content.dry.times(100.0), "%"),
                _figure("nitrogen_of_dry", content.nitrogen.times(100.0), "%"),
                _figure("phosphorus_of_dry", content.phosphorus.times(100.0), "%"),
            ),
            equation=say("grams × dry share × share of the dry"),
            sources=("bjornsater1990", "menendez2005", "menendez2002"),
        )
    ]
    if rates is not None:
        found.append(
            Reason(
                say(
                    "What grows by itself grows in proportion to what is there. In a "
                    "laboratory, well fed, one species made {fed_growth_low} to "
                    "{fed_growth_high} a day.",
                    fed_growth_low=FED_GROWTH[0],
                    fed_growth_high=FED_GROWTH[1],
                ),
                equation=say(
                    "rate = ln(after / before) / days; a ball's volume goes as its "
                    "width cubed; doubling = ln 2 / rate"
                ),
                sources=("menendez2005",),
            )
        )
    return tuple(found)


def _notes(cuts: _Cuts | None, told: Grown) -> tuple[str, ...]:
    found = [
        say(
            "To narrow what a cut holds: shake a handful dry, weigh it, dry it at 60 "
            "°C for a day, weigh it again, and say the dry share."
        ),
    ]
    if cuts is not None and told.left is None and told.before is None:
        found.append(
            say(
                "How much stays after a cut isn't written down, so the growth is a "
                "range: weigh the ball once after a cut and say what was left."
            )
        )
    if cuts is not None and cuts.before is not None:
        part = cuts.a_day / cuts.before if cuts.before > 0.0 else 1.0
        if part < _CHANGED:
            found.append(
                say(
                    "The cuts are down to {part:.0f} % of what they were: an old "
                    "lamp, dirt on it, a ball cut back too far or never turned, or "
                    "too little nitrate, phosphate or iron left to grow on. The "
                    "water can't tell which.",
                    part=100 * part,
                )
            )
        elif part > 1.0 / _CHANGED:
            found.append(say("The cuts are up to {part:.0f} % of what they were.", part=100 * part))
    found.append(say("A ball wants turning and shaking out when it is cut (common practice)."))
    return tuple(found)
