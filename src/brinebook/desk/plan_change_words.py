"""A series of water changes in words: the fixed point of the habit first, then what would do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from brinebook.desk.plan_change_once import (
    caution_ids,
    change_step,
    level_text,
    salt_figures,
    share_text,
    shock_figures,
    shock_notes,
)
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text, with_range_text
from brinebook.plan import Chance, Course, CoursePoint, Expected, Figure, Plan, Reason, Step
from brinebook.planning.cautions import cautions
from brinebook.planning.changes import (
    MOST_DAYS,
    SHARE_A_WEEK,
    ChangeImpossible,
    ChangePlan,
    NewWater,
    batch_series,
    continuous_share,
    fixed_point,
    play,
    share_each,
    share_once,
    share_to_hold,
    smaller_or_rarer,
)
from brinebook.report.numbers import plain_text
from brinebook.units import QUANTITIES

_INTERVALS = (3.5, 7.0, 14.0, 28.0)
#: Under these a nutrient counts as run out, mg/L: common practice, no source.
_RUN_OUT = {"nitrate": 0.5, "phosphate": 0.01}
_HABIT_DAYS = 56.0


@dataclass(frozen=True, slots=True)
class Habit:
    """What the keeper does as a rule: the share at once, and days between changes."""

    share: float
    every: float


@dataclass(frozen=True, slots=True)
class Series:
    """What was asked of a series and what was found; levels canonical, ``made`` a day.

    ``plan`` is None where no series does it; ``asked`` False where only the habit's own end was
    asked about.
    """

    start: Start
    quantity: str
    target: float
    made: float
    new: NewWater
    habit: Habit | None
    plan: ChangePlan | None
    every: float
    share: float
    times: int | None
    moisture: float
    asked: bool

    @property
    def incoming(self) -> float:
        """The quantity in the new water."""
        return self.new.levels[self.quantity]

    @property
    def now(self) -> float:
        """The middle of belief."""
        return float(np.median(self.start.drawn.level(self.quantity)))

    @property
    def litres(self) -> float:
        """The middle of belief about the net volume."""
        return float(np.median(self.start.drawn.litres))

    def told(self, value: float) -> str:
        """A level in the keeper's unit."""
        return level_text(self.quantity, value, self.start)


def series_worded(series: Series) -> Plan:
    """The plan that brings a quantity to its target, the fixed point of the habit said first."""
    first = _fixed_sentence(series)
    if not series.asked:
        return _habit_worded(series, first or "Nothing is made or used, so nothing piles up.")
    if series.plan is None:
        headline = f"{first} {_cannot(series)}".strip()
        return _plain(series, headline, _figures(series), cannot=True)
    return _planned(series, series.plan, first)


def _planned(series: Series, plan: ChangePlan, first: str) -> Plan:
    start = series.start
    return Plan(
        kind="water_change",
        about=(series.quantity,),
        at=start.at,
        verdict="do",
        headline=f"{first} {_headline(series, plan)}".strip(),
        steps=_steps(series, plan),
        courses=_courses(series, plan),
        chances=(
            Chance(f"has brought {series.quantity} there after the last change", plan.reaches),
            *_runs_out(plan),
        ),
        figures=(
            *_figures(series),
            *_plan_figures(series, plan),
            *salt_figures(start, series.new, plan.litres, series.moisture),
            *shock_figures(start, series.new, plan.share),
        ),
        reasons=_reasons(series),
        stops=(
            f"a test reads {series.told(series.target)} or past it earlier: the rest can wait.",
            "new water is cloudy, cold or not the salinity it should be: put it right first.",
        ),
        cautions=cautions(*caution_ids(plan.litres)),
        notes=(
            *shock_notes(start, series.new, plan.share),
            *_often_notes(series),
        ),
    )


def _habit_worded(series: Series, headline: str) -> Plan:
    habit = series.habit
    figures = _figures(series)
    courses: tuple[Course, ...] = ()
    if habit is not None:
        each = habit.share * series.litres
        figures += salt_figures(series.start, series.new, each, series.moisture)
        courses = (_habit_course(series, habit),)
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
        notes=tuple(_often_notes(series) if cannot else ()),
    )


# ---- sentences ----------------------------------------------------------------------------------


def _days(days: float) -> str:
    return plain_text(float(f"{days:.2g}"))


def _fixed_sentence(series: Series) -> str:
    habit, made = series.habit, series.made
    if habit is None or abs(made) < 1e-9:
        return ""
    trough, peak = fixed_point(
        made=made, every=habit.every, share=habit.share, incoming=series.incoming
    )
    often = f"{share_text(habit.share)} every {_days(habit.every)} days"
    if min(trough, peak) < 0.0:
        return f"With {often} {series.quantity} is used up faster than the new water brings it."
    amount = quantity_text(series.quantity, abs(made), series.start.units, difference=True)
    word = "makes" if made > 0 else "uses"
    return (
        f"{often} leads to {series.told(trough)} just after a change and {series.told(peak)} just "
        f"before, however long it goes on: the system {word} {amount} a day."
    )


def _cannot(series: Series) -> str:
    if (series.now - series.target) * (series.incoming - series.target) > 0.0:
        return (
            f"A water change can't win here: the new water itself holds "
            f"{series.told(series.incoming)}."
        )
    share = min(series.share, SHARE_A_WEEK * series.every / 7.0)
    held, _ = fixed_point(
        made=series.made, every=series.every, share=share, incoming=series.incoming
    )
    days = _days(series.every)
    if (series.now - series.target) * (series.target - held) > 0.0:
        return (
            f"Within {MOST_DAYS} days water changes don't bring it to {series.told(series.target)}:"
            f" even {share_text(share)} every {days} days takes longer."
        )
    text = (
        f"A water change can't win here: even {share_text(share)} every {days} days "
        f"settles at {series.told(max(held, 0.0))}."
    )
    try:
        needed = share_to_hold(
            series.target, made=series.made, every=series.every, incoming=series.incoming
        )
    except ChangeImpossible:
        return text
    return (
        f"{text} To hold {series.told(series.target)} it would take {share_text(needed)} every "
        f"{days} days for good. What goes in is the better lever."
    )


def _headline(series: Series, plan: ChangePlan) -> str:
    units = series.start.units
    courses = plan.of(plan.quantity)
    level = with_range_text(plan.quantity, middle_of(courses[_end(plan)]), units)
    now = with_range_text(plan.quantity, middle_of(courses[0]), units)
    amount = f"{amount_text(plan.litres, 'L')} ({share_text(plan.share)})"
    many = "once" if plan.times == 1 else f"{plan.times} times, every {_days(plan.every)} days"
    return f"Change {amount} {many}: {plan.quantity} goes from about {now} to about {level}."


def _often_notes(series: Series) -> list[str]:
    """More often, or larger: the same level just after a change, told in litres and in peaks."""
    told = smaller_or_rarer(
        made=series.made,
        trough=series.target,
        incoming=series.incoming,
        litres=series.litres,
        intervals=_INTERVALS,
    )
    parts = [
        f"every {plain_text(every)} days {share_text(share)} (up to {series.told(peak)} in "
        f"between, {amount_text(month, 'L')} a month)"
        for every, share, peak, month in told
        if share < 0.8
    ]
    if not parts:
        return []
    return [f"To hold {series.told(series.target)} afterwards: {'; '.join(parts)}."]


def _reasons(series: Series) -> tuple[Reason, ...]:
    unit = QUANTITIES[series.quantity].unit
    use = middle_of(series.start.drawn.use(series.quantity))
    return (
        Reason(
            "Between changes the system goes on making or using it; a change takes its share of "
            "what is there then.",
            (
                Figure("made_a_day", series.made, unit),
                Figure("use_a_day", use.value, f"{unit}/day", use.low, use.high, "estimated"),
            ),
            "c ← (c + made × days)(1 − f) + f × new water; in the end, just after a change, "
            "new water + made × days × (1 − f)/f",
            ("levenspiel1999",),
        ),
    )


# ---- figures, steps, courses --------------------------------------------------------------------


def _figures(series: Series) -> list[Figure]:
    unit = QUANTITIES[series.quantity].unit
    figures = [
        Figure("now", series.now, unit, origin="" if series.start.stated else "estimated"),
        Figure("target", series.target, unit),
        Figure("made_a_day", series.made, unit),
        Figure("new_water", series.incoming, unit),
        *_at_once(series),
        *_habit_figures(series, unit),
    ]
    try:
        hold = share_to_hold(
            series.target, made=series.made, every=series.every, incoming=series.incoming
        )
        figures.append(Figure("share_to_hold", 100.0 * hold, "%"))
    except ChangeImpossible:
        pass
    return figures


def _at_once(series: Series) -> list[Figure]:
    """One change, so many equal ones, or a continuous one, with nothing made meanwhile."""
    now, target, incoming = series.now, series.target, series.incoming
    try:
        once = share_once(now, target, incoming=incoming)
    except ChangeImpossible:
        return []
    continuous = continuous_share(now, target, incoming=incoming)
    found = [
        Figure("share_once", 100.0 * once, "%"),
        Figure("litres_once", once * series.litres, "L"),
    ]
    if np.isfinite(continuous):
        found.append(Figure("litres_continuous", continuous * series.litres, "L"))
    if series.times:
        each = share_each(now, target, incoming=incoming, times=series.times)
        found += [
            Figure("share_each", 100.0 * each, "%"),
            Figure("litres_each", each * series.litres, "L"),
            Figure("litres_total", series.times * each * series.litres, "L"),
        ]
    return found


def _habit_figures(series: Series, unit: str) -> list[Figure]:
    habit = series.habit
    if habit is None:
        return []
    trough, peak = fixed_point(
        made=series.made, every=habit.every, share=habit.share, incoming=series.incoming
    )
    levels = batch_series(
        series.now,
        made=series.made,
        every=habit.every,
        share=habit.share,
        incoming=series.incoming,
        times=series.times or 8,
    )
    return [
        Figure("habit_share", 100.0 * habit.share, "%"),
        Figure("habit_every", habit.every, "day"),
        Figure("fixed_trough", trough, unit),
        Figure("fixed_peak", peak, unit),
        *(Figure(f"after_{k}", level, unit) for k, level in enumerate(levels, start=1)),
    ]


def _plan_figures(series: Series, plan: ChangePlan) -> list[Figure]:
    return [
        Figure("changes", float(plan.times), ""),
        Figure("every", plan.every, "day"),
        Figure("plan_litres", plan.litres, "L"),
        Figure("plan_share", 100.0 * plan.share, "%"),
        Figure("plan_total", plan.times * plan.litres, "L"),
        Figure("volume", series.litres, "L"),
    ]


def _end(plan: ChangePlan) -> int:
    return min(int(np.ceil((plan.times - 1) * plan.every + 1e-6)) or 1, len(plan.levels) - 1)


def _steps(series: Series, plan: ChangePlan) -> tuple[Step, ...]:
    start, steps = series.start, []
    for k in range(plan.times):
        day = min(int(k * plan.every) + 1, len(plan.levels) - 1)
        told = {name: middle_of(plan.of(name)[day]) for name in plan.quantities}
        steps.append(change_step(start, series.new, plan.litres, day=k * plan.every, levels=told))
    last = steps[-1].when + timedelta(days=1)
    end = middle_of(plan.of(plan.quantity)[_end(plan)])
    shown = with_range_text(plan.quantity, end, start.units)
    return (
        *steps,
        Step(
            when=last,
            until=last + timedelta(days=4),
            kind="test",
            what=plan.quantity,
            value="",
            unit="",
            text=f"test {plan.quantity}: about {shown} is expected.",
            expects=(Expected(plan.quantity, last, end.value, end.low, end.high),),
        ),
    )


def _habit_course(series: Series, habit: Habit) -> Course:
    levels = play(
        series.start.drawn,
        series.new,
        litres=habit.share * series.litres,
        times=min(int(_HABIT_DAYS / habit.every) + 1, 20),
        every=habit.every,
        days=_HABIT_DAYS,
    )
    place = series.start.drawn.quantities.index(series.quantity)
    return _course(series, levels[:, :, place], "as it is done now")


def _course(series: Series, levels: object, label: str) -> Course:
    array = np.asarray(levels)
    points = []
    for day in range(0, len(array), 7):
        level = middle_of(array[day])
        when = series.start.at + timedelta(days=day)
        points.append(CoursePoint(when, level.value, level.low, level.high))
    return Course(series.quantity, QUANTITIES[series.quantity].unit, label, tuple(points))


def _courses(series: Series, plan: ChangePlan) -> tuple[Course, ...]:
    place = plan.quantities.index(plan.quantity)
    return (
        _course(series, plan.of(plan.quantity), "with the plan"),
        _course(series, plan.without[:, :, place], "with no change at all"),
    )


def _runs_out(plan: ChangePlan) -> tuple[Chance, ...]:
    """Nutrients that run out are as bad as too many."""
    floor = _RUN_OUT.get(plan.quantity)
    if floor is None:
        return ()
    last = _end(plan)
    low = float(np.mean((plan.of(plan.quantity)[: last + 1] < floor).any(axis=0)))
    text = f"falls under {floor:g} mg/L of {plan.quantity} on the way, which is no goal"
    return (Chance(text, low),)
