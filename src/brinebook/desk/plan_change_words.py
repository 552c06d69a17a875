"""A series of water changes in words: the fixed point of the habit first, then what would do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from brinebook.desk.plan_change_figures import (
    end_of,
    habit_course,
    plan_figures,
    runs_out,
    series_courses,
    series_figures,
    series_steps,
)
from brinebook.desk.plan_change_notes import continuous_note, every_text, large_notes, often_notes
from brinebook.desk.plan_change_once import (
    caution_ids,
    salt_figures,
    share_text,
    shock_figures,
    shock_notes,
)
from brinebook.desk.plan_change_series import Habit, Series
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text, with_range_text
from brinebook.plan import Chance, Course, Figure, Plan, Reason
from brinebook.planning.cautions import cautions
from brinebook.planning.changes import (
    MOST_DAYS,
    SHARE_A_WEEK,
    ChangeImpossible,
    ChangePlan,
    fixed_point,
    share_to_hold,
)
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: A sign that is less sure than this isn't told as one.
_SURE = 0.85
#: Of the water, where nobody said and no habit is known: common practice, no source.
_USUAL_SHARE = 0.10


def series_worded(series: Series) -> Plan:
    """The plan that brings a quantity to its target, the fixed point of the habit said first."""
    first = _fixed_sentence(series)
    if not series.asked:
        return _habit_worded(series, first or say("Nothing is made or used, so nothing piles up."))
    if series.plan is None:
        headline = f"{first} {_cannot(series)}".strip()
        return _plain(series, headline, series_figures(series), cannot=True)
    return _planned(series, series.plan, first)


def _planned(series: Series, plan: ChangePlan, first: str) -> Plan:
    start = series.start
    return Plan(
        kind="water_change",
        about=(series.quantity,),
        at=start.at,
        verdict="do",
        headline=f"{first} {_headline(series, plan)}".strip(),
        steps=series_steps(series, plan),
        courses=series_courses(series, plan),
        chances=(
            Chance(
                say("has brought {quantity} there after the last change", quantity=series.quantity),
                plan.reaches,
            ),
            *runs_out(plan),
        ),
        figures=(
            *series_figures(series),
            *plan_figures(series, plan),
            *salt_figures(start, series.new, plan.litres, series.moisture),
            *shock_figures(start, series.new, plan.share),
        ),
        reasons=_reasons(series),
        stops=(
            say(
                "a test reads {told} or past it earlier: the rest can wait.",
                told=series.told(series.target),
            ),
            say("new water is cloudy, cold or not the salinity it should be: put it right first."),
        ),
        cautions=cautions(*caution_ids(plan.litres)),
        notes=(
            *large_notes(series, plan),
            *shock_notes(start, series.new, plan.share),
            *continuous_note(series),
            *often_notes(series),
        ),
    )


def _habit_worded(series: Series, headline: str) -> Plan:
    habit = series.habit
    figures = series_figures(series)
    courses: tuple[Course, ...] = ()
    if habit is not None:
        each = habit.share * series.litres
        figures += salt_figures(series.start, series.new, each, series.moisture)
        courses = (habit_course(series, habit),)
    return _plain(series, headline, figures, courses=courses)


def _plain(
    series: Series,
    headline: str,
    figures: list[Figure],
    *,
    courses: tuple[Course, ...] = (),
    cannot: bool = False,
) -> Plan:
    return Plan(
        kind="water_change",
        about=(series.quantity,),
        at=series.start.at,
        verdict="cannot" if cannot else "told",
        headline=headline,
        courses=courses,
        figures=tuple(figures),
        reasons=_reasons(series),
        notes=tuple(often_notes(series) if cannot else ()),
    )


# ---- sentences ----------------------------------------------------------------------------------


def _fixed_sentence(series: Series) -> str:
    habit, made = series.habit, series.made
    if habit is None or abs(made) < 1e-9:
        return ""
    trough, peak = fixed_point(
        made=made, every=habit.every, share=habit.share, incoming=series.incoming
    )
    often = say("{share} {often}", share=share_text(habit.share), often=every_text(habit.every))
    if min(trough, peak) < 0.0 and series.sureness < _SURE:
        return say(
            "Where {often} leads can't be told yet: the tests don't say whether the "
            "system makes or uses {quantity}.",
            often=often,
            quantity=series.quantity,
        )
    if min(trough, peak) < 0.0:
        return say(
            "With {often} {quantity} is used up faster than the new water brings it.",
            often=often,
            quantity=series.quantity,
        )
    if series.start.stated:
        amount = quantity_text(series.quantity, abs(made), series.start.units, difference=True)
        return say(
            "{often} leads to {highest} just after a change and {lowest} just before, "
            "however long it goes on: the system {word} {amount} a day.",
            often=often,
            highest=series.told(trough),
            lowest=series.told(peak),
            word=say("makes") if made > 0 else say("uses"),
            amount=amount,
        )
    after, before = _ends(series, habit)
    text = say(
        "{often} leads to about {after} just after a change, however long it goes on.",
        often=often,
        after=after,
    )
    if before == after:
        text = say("{often} leads to about {after}, however long it goes on.", often=often,
                   after=after)  # fmt: skip
    if series.sureness < _SURE:
        text += " " + say(
            "Whether the system makes or uses {quantity} can't be told yet.",
            quantity=series.quantity,
        )
    return text


def _made_text(series: Series) -> str:
    """What the system makes or uses a day, with its doubt."""
    made = replace(middle_of(series.made_draws), value=abs(series.made))
    amount = quantity_text(series.quantity, made, series.start.units, difference=True)
    return (
        say("The system makes about {amount} a day.", amount=amount)
        if series.made > 0
        else say("The system uses about {amount} a day.", amount=amount)
    )


def _ends(series: Series, habit: Habit) -> tuple[str, str]:
    """Where the habit leads, just after a change and just before, by all draws of the rate."""
    ends = fixed_point(
        made=series.made_draws, every=habit.every, share=habit.share, incoming=series.incoming
    )
    after, before = (
        with_range_text(series.quantity, middle_of(np.maximum(end, 0.0)), series.start.units)
        for end in ends
    )
    return after, before


def _salinity(series: Series) -> str:
    """Equal changes are a poor way to bring salinity back, and which is a better one."""
    share = series.habit.share if series.habit else _USUAL_SHARE
    needed = series.now + (series.target - series.now) / share
    return say(
        "Water changes are a poor way to bring salinity from {now} to {target}: one of {share} "
        "would need water of {needed}. Salt water in place of what evaporates, or fresh water for "
        "some of the salt water, takes days and no such mix: ask for the plan of salinity.",
        now=series.told(series.now),
        target=series.told(series.target),
        share=share_text(share),
        needed=series.told(needed),
    )


def _cannot(series: Series) -> str:
    if series.quantity == "salinity":
        return _salinity(series)
    if (series.now - series.target) * (series.incoming - series.target) >= 0.0:
        return say(
            "A water change can't win here: the new water itself holds {told}.",
            told=series.told(series.incoming),
        )
    share = series.share
    if not series.stated_share:
        share = min(share, SHARE_A_WEEK * series.every / 7.0)
    held, _ = fixed_point(
        made=series.made, every=series.every, share=share, incoming=series.incoming
    )
    often = every_text(series.every)
    if (series.now - series.target) * (series.target - held) > 0.0:
        text = say(
            "Within {most_days} days water changes don't bring it to {told}: even "
            "{share} {often} takes longer.",
            most_days=MOST_DAYS,
            told=series.told(series.target),
            share=share_text(share),
            often=often,
        )
        if series.quantity not in ("nitrate", "phosphate"):
            return text
        return f"{text} " + say("What goes in is the better lever: see the plan of nutrients.")
    text = say(
        "A water change can't win here: even {share} {often} settles at {told}.",
        share=share_text(share),
        often=often,
        told=series.told(max(held, 0.0)),
    )
    try:
        needed = share_to_hold(
            series.target, made=series.made, every=series.every, incoming=series.incoming
        )
    except ChangeImpossible:
        return text
    return say(
        "{first} To hold {told} it would take {needed} {often} for good. "
        "What goes in is the better lever.",
        first=text,
        told=series.told(series.target),
        needed=share_text(needed),
        often=often,
    )


def _headline(series: Series, plan: ChangePlan) -> str:
    units = series.start.units
    courses = plan.of(plan.quantity)
    level = with_range_text(plan.quantity, middle_of(courses[end_of(plan)]), units)
    now = with_range_text(plan.quantity, middle_of(courses[0]), units)
    amount = f"{amount_text(plan.litres, 'L')} ({share_text(plan.share)})"
    many = (
        say("once")
        if plan.times == 1
        else say("{times} times, {often}", times=plan.times, often=every_text(plan.every))
    )
    return say(
        "Change {amount} {many}: {quantity} goes from about {now} to about {level}.",
        amount=amount,
        many=many,
        quantity=plan.quantity,
        now=now,
        level=level,
    )


def _reasons(series: Series) -> tuple[Reason, ...]:
    unit = QUANTITIES[series.quantity].unit
    use = middle_of(series.start.drawn.use(series.quantity))
    return (
        Reason(
            say(
                "Between changes the system goes on making or using it; a change "
                "takes its share of what is there then."
            )
            + ("" if series.start.stated or not series.made else f" {_made_text(series)}"),
            (
                Figure("made_a_day", series.made, unit),
                Figure("use_a_day", use.value, f"{unit}/day", use.low, use.high, "estimated"),
            ),
            say(
                "c ← (c + made × days)(1 − f) + f × new water; in the end, just "
                "after a change, new water + made × days × (1 − f)/f"
            ),
            ("levenspiel1999",),
        ),
    )
