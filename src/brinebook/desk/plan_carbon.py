"""``plan carbon``: when to change it, and whether the water meets it at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from brinebook.desk.ferric_story import flow_of_fact, grams_of_fact, media_facts, media_now
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text, measurable, typed
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason, Step
from brinebook.planning import cautions
from brinebook.planning.carbon import (
    CAUGHT_FRESH,
    GRAMS_PER_GRAM,
    USUAL_DAYS,
    clearing_days,
    grams_for_organics,
)
from brinebook.planning.packed_bed import (
    BULK_CARBON,
    bed_depth,
    contact_minutes,
    face_velocity,
    flow_through_bag,
    pressure_gradient_ergun_1952,
)
from brinebook.report.dates import ago_text, day_text
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.timeline import Fact

CARBON = "carbon"
#: Widths, grain and current where nobody said: m and m/s, common practice, no source.
_ACROSS, _BAG_ACROSS, _BAG_THICK, _GRAIN, _SLOW = 0.07, 0.12, 0.03, 1.5e-3, 0.02
#: Grams a litre of net volume where carbon was never put in: common practice, no source.
_A_LITRE = 0.3
#: The share of colour that is left when water is called clear: common practice, no source.
_CLEAR = 1.0 / 3.0
#: A bed that takes longer than this to clear the water hardly meets it, days: common practice.
_LONG = 7.0


class BedImpossible(UsageProblem):
    """A bed or bag of carbon that can't be."""

    code = "E-BED"


@dataclass(frozen=True, slots=True)
class Bed:
    """What was said of it: lengths in m, current in m/s, flow in L/h; ``bag``: it lies in one."""

    grams: float | None = None
    flow: float | None = None
    across: float | None = None
    grain: float = _GRAIN
    bag: bool = False
    current: float = _SLOW
    thick: float = _BAG_THICK


@dataclass(frozen=True, slots=True)
class _Case:
    now: WaterNow
    last: Fact | None
    habit: float | None
    grams: float
    flow: float | None  # through the bed as described
    bed: Bed
    bag_flow: float

    @property
    def across(self) -> float:
        return self.bed.across or (_BAG_ACROSS if self.bed.bag else _ACROSS)

    @property
    def through(self) -> float:
        """What really flows through it, L/h."""
        return self.bag_flow if self.bed.bag or self.flow is None else self.flow

    @property
    def age(self) -> float | None:
        return None if self.last is None else (self.now.at - self.last.when) / timedelta(days=1)

    def clears(self, flow: float) -> tuple[float, float]:
        """Days to clear the water, from the best catch to the worst."""
        low, high = CAUGHT_FRESH
        litres = self.now.litres.value
        quick, slow = (
            clearing_days(litres, flow, caught=each, share_left=_CLEAR) for each in (high, low)
        )
        return quick, slow


def carbon_plan(now: WaterNow, bed: Bed) -> Plan:
    """When to change the carbon, how long water is in touch with it, and what a bag would do.

    Raises BedImpossible.
    """
    case = _case(now, bed)
    due = _due(case)
    overdue = due is not None and due <= now.at
    hardly = case.clears(case.through)[0] > _LONG
    stated = now.answer is None and not now.facts
    doing = not stated and (overdue or case.last is None or hardly)
    return Plan(
        kind="carbon",
        about=(),
        at=now.at,
        verdict="told" if stated else "do" if doing else "nothing",
        headline=_headline(case, due, hardly=hardly),
        steps=_steps(case) if doing else (),
        figures=_figures(case),
        reasons=_reasons(case),
        cautions=cautions.cautions("mains") if doing else (),
        notes=(
            say(
                "Nothing that a hobby can test tells when carbon is spent. Look down "
                "a white cup of your water beside one of new salt water: when yours "
                "turns yellow again, it is."
            ),
            say(
                "Fresh carbon makes water clearer and so the light stronger: a "
                "smaller amount more often is kinder than a lot at once."
            ),
        ),
    )


def _case(now: WaterNow, bed: Bed) -> _Case:
    last = media_now(now.facts, CARBON, now.at)
    grams = bed.grams
    if grams is None:
        grams = grams_of_fact(last) if last else round(_A_LITRE * now.litres.value)
    flow = bed.flow or (flow_of_fact(last) if last else None)
    _check(grams, flow, bed)
    bag = flow_through_bag(
        current=bed.current,
        across=bed.across or _BAG_ACROSS,
        thick=bed.thick,
        grain=bed.grain,
    )
    return _Case(now, last, _habit(now), grams, flow, bed, bag)


def _check(grams: float, flow: float | None, bed: Bed) -> None:
    across = bed.across or _ACROSS
    if not (0.5 <= grams <= 1e5 and 0.005 <= across <= 2.0 and 1e-4 <= bed.grain <= 0.02):
        raise BedImpossible(
            say(
                "{grams} g of carbon in a bed {across} mm across of {grain} mm "
                "grains can't be reckoned with.",
                grams=plain_text(grams),
                across=plain_text(1000 * across),
                grain=plain_text(1000 * bed.grain),
            ),
            say("Give --grams, --across (mm) and --grain (mm) as they are."),
        )
    if flow is not None and not 0.0 < flow <= 1e5:
        raise BedImpossible(
            say("{flow} L/h isn't a flow.", flow=plain_text(flow)),
            say("Time a jug: --flow “80 L/h”."),
        )


def _habit(now: WaterNow) -> float | None:
    """The median of days between the times it was put in."""
    puts = [f.when for f in media_facts(now.facts, CARBON) if grams_of_fact(f) > 0.0]
    gaps = [(later - earlier) / timedelta(days=1) for earlier, later in pairwise(puts)]
    return float(np.median(gaps)) if gaps else None


def _due(case: _Case) -> datetime | None:
    if case.last is None:
        return None
    days = case.habit if case.habit is not None else USUAL_DAYS[1]
    return case.last.when + timedelta(days=days)


def _headline(case: _Case, due: datetime | None, *, hardly: bool) -> str:
    now = case.now
    if hardly:
        quick, slow = case.clears(case.through)
        return say(
            "The water hardly meets this carbon: {through} L an hour at the most go "
            "through it, so it would take {quick} to clear the water. Put it where "
            "water has to go through.",
            through=_litres(case.through),
            quick=_span(quick, slow),
        )
    quick, slow = case.clears(case.through)
    meets = say("it takes two thirds of the colour out in {quick}", quick=_span(quick, slow))
    if case.last is None:
        return say(
            "{grams} of carbon with {through} L an hour through it: {meets}.",
            grams=amount_text(case.grams, "g"),
            through=_litres(case.through),
            meets=meets,
        )
    assert due is not None
    since = ago_text(case.last.when, now.at, now.zone)
    habit = (
        say("you change it about every {habit:.0f} days", habit=case.habit)
        if case.habit is not None
        else say(
            "it is usually changed after {usual_days_low:.0f} to {usual_days_high:.0f} days",
            usual_days_low=USUAL_DAYS[0],
            usual_days_high=USUAL_DAYS[1],
        )
    )
    when = (
        say("so it is due")
        if due <= now.at
        else say("so by {due}", due=day_text(due, now.at, now.zone))
    )
    return say(
        "The carbon went in {since}; {habit}, {when}. With this flow {meets}.",
        since=since,
        habit=habit,
        when=when,
        meets=meets,
    )


def _litres(flow: float) -> str:
    return plain_text(flow, digits=2)


def _span(quick: float, slow: float) -> str:
    if slow < 2.0:
        return say("{quick:.0f} to {slow:.0f} hours", quick=24 * quick, slow=24 * slow)
    if quick > 365.0:
        return say("more than a year")
    return say("{quick:g} to {slow:g} days", quick=float(f"{quick:.2g}"), slow=float(f"{slow:.2g}"))


def _steps(case: _Case) -> tuple[Step, ...]:
    now = case.now
    soon = now.at + timedelta(days=3)
    grams = measurable(case.grams, "g", digits=2)
    detail = {} if case.flow is None else {"flow": typed(case.flow)}
    through = (
        ""
        if case.flow is None
        else say(" with {flow} L/h through it", flow=plain_text(round(case.flow)))
    )
    steps = [
        Step(
            now.at,
            soon,
            "media",
            CARBON,
            typed(grams),
            "g",
            say(
                "Put {grams} of fresh carbon in, rinsed until no dust runs, where "
                "water has to go through it{through}; the old one out.",
                grams=amount_text(grams, "g"),
                through=through,
            ),
            detail=detail,
        )
    ]
    days = case.habit if case.habit is not None else USUAL_DAYS[1]
    later = now.at + timedelta(days=days)
    steps.append(
        Step(
            later,
            later + timedelta(days=7),
            "done",
            say("look at the carbon"),
            "",
            "",
            say(
                "Compare the water with new salt water in a white cup; change the "
                "carbon if it is yellower."
            ),
        )
    )
    return tuple(steps)


def _figures(case: _Case) -> tuple[Figure, ...]:
    litres = case.grams / 1000.0 / BULK_CARBON
    origin = say("common practice, no source")
    found = [
        Figure("grams", case.grams, "g"),
        Figure(
            "bed_litres",
            litres,
            "L",
            origin=say(
                "{bulk_carbon} kg a litre, {origin}", bulk_carbon=BULK_CARBON, origin=origin
            ),
        ),
        Figure("usual_interval_low", USUAL_DAYS[0], "days", origin=origin),
        Figure("usual_interval_high", USUAL_DAYS[1], "days", origin=origin),
    ]
    if case.habit is not None:
        found.append(Figure("your_interval", case.habit, "days", origin=say("your own")))
    if case.age is not None:
        found.append(Figure("days_in", case.age, "days"))
    if case.flow is not None:
        velocity = face_velocity(case.flow, case.across)
        pressure = pressure_gradient_ergun_1952(velocity / 3600.0, case.bed.grain)
        found += [
            Figure("flow", case.flow, "L/h"),
            Figure("contact_minutes", contact_minutes(litres, case.flow), "min"),
            Figure("face_velocity", velocity, "m/h"),
            Figure("bed_depth", bed_depth(litres, case.across), "m"),
            Figure("pressure", pressure * bed_depth(litres, case.across) / 1000.0, "kPa"),
            _clears("bed_clears_in", case.clears(case.flow)),
            Figure("passes_a_day", 24.0 * case.flow / case.now.litres.value, ""),
        ]
    found += [
        Figure("flow_through_a_bag", case.bag_flow, "L/h", 0.0, case.bag_flow, say("at the most")),
        _clears("bag_clears_in", case.clears(case.bag_flow)),
        *(
            Figure(f"grams_per_gram_{kind}", grams_for_organics(1.0, kind), "g/g")
            for kind in GRAMS_PER_GRAM
        ),
    ]
    return tuple(found)


def _clears(name: str, days: tuple[float, float]) -> Figure:
    quick, slow = (min(each, 1e5) for each in days)
    return Figure(name, float(np.sqrt(quick * slow)), "days", quick, slow, say("10 to 60 % caught"))


def _reasons(case: _Case) -> tuple[Reason, ...]:
    quick, slow = case.clears(case.bag_flow)
    return (
        Reason(
            say(
                "Water goes round a bag: what a slow current can press through its "
                "grains is {bag_flow} L an hour at the most ({quick} to clear the "
                "water); a bed with a pump behind it gets all of its flow.",
                bag_flow=_litres(case.bag_flow),
                quick=_span(quick, slow),
            ),
            inputs=(
                Figure("current", 100.0 * case.bed.current, "cm/s"),
                Figure("grain", 1000.0 * case.bed.grain, "mm"),
            ),
            equation=say(
                "pressure = ρ u² / 2 over the thickness; 150 μ (1−ε)² v / (ε³ d²) + "
                "1.75 ρ (1−ε) v² / (ε³ d)"
            ),
            sources=("ergun1952",),
        ),
        Reason(
            say(
                "What a gram takes depends on what it is made of: to take a gram of "
                "dissolved organic carbon out took 84 g of one kind and 837 g of "
                "another."
            ),
            equation=say("C = C0 exp(−caught × flow × time / volume) while it is fresh"),
            sources=("spotte1984", "levenspiel1999"),
        ),
    )
