"""A series of water changes in figures, steps and courses."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from brinebook.desk.plan_change_once import change_step
from brinebook.desk.plan_change_series import Habit, Series
from brinebook.desk.plan_words import middle_of, with_range_text
from brinebook.plan import Chance, Course, CoursePoint, Expected, Figure, Step
from brinebook.planning.changes import (
    ChangeImpossible,
    ChangePlan,
    batch_series,
    continuous_share,
    fixed_point,
    play,
    share_each,
    share_once,
    share_to_hold,
)
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: Under these a nutrient counts as run out, mg/L: common practice, no source.
_RUN_OUT = {"nitrate": 0.5, "phosphate": 0.01}
_HABIT_DAYS = 56.0


def series_figures(series: Series) -> list[Figure]:
    """What was asked and what arithmetic says of it, in canonical units."""
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


def plan_figures(series: Series, plan: ChangePlan) -> list[Figure]:
    """The changes of the plan in numbers."""
    return [
        Figure("changes", float(plan.times), ""),
        Figure("every", plan.every, "day"),
        Figure("plan_litres", plan.litres, "L"),
        Figure("plan_share", 100.0 * plan.share, "%"),
        Figure("plan_total", plan.times * plan.litres, "L"),
        Figure("volume", series.litres, "L"),
    ]


def end_of(plan: ChangePlan) -> int:
    """The day after the last change, as far as the plan was followed."""
    return min(int(np.ceil((plan.times - 1) * plan.every + 1e-6)) or 1, len(plan.levels) - 1)


def series_steps(series: Series, plan: ChangePlan) -> tuple[Step, ...]:
    """The changes, and the test after them."""
    start, steps = series.start, []
    for k in range(plan.times):
        day = min(int(k * plan.every) + 1, len(plan.levels) - 1)
        told = {name: middle_of(plan.of(name)[day]) for name in plan.quantities}
        steps.append(change_step(start, series.new, plan.litres, day=k * plan.every, levels=told))
    last = steps[-1].when + timedelta(days=1)
    end = middle_of(plan.of(plan.quantity)[end_of(plan)])
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
            text=say(
                "test {quantity}: about {shown} is expected.", quantity=plan.quantity, shown=shown
            ),
            expects=(Expected(plan.quantity, last, end.value, end.low, end.high),),
        ),
    )


def habit_course(series: Series, habit: Habit) -> Course:
    """The level to come with changes as they are done now."""
    levels = play(
        series.start.drawn,
        series.new,
        litres=habit.share * series.litres,
        times=min(int(_HABIT_DAYS / habit.every) + 1, 20),
        every=habit.every,
        days=_HABIT_DAYS,
    )
    place = series.start.drawn.quantities.index(series.quantity)
    return _course(series, levels[:, :, place], say("as it is done now"))


def _course(series: Series, levels: object, label: str) -> Course:
    array = np.asarray(levels)
    points = []
    for day in range(0, len(array), 7):
        level = middle_of(array[day])
        when = series.start.at + timedelta(days=day)
        points.append(CoursePoint(when, level.value, level.low, level.high))
    return Course(series.quantity, QUANTITIES[series.quantity].unit, label, tuple(points))


def series_courses(series: Series, plan: ChangePlan) -> tuple[Course, ...]:
    """The level to come with the plan and with no change at all."""
    place = plan.quantities.index(plan.quantity)
    return (
        _course(series, plan.of(plan.quantity), say("with the plan")),
        _course(series, plan.without[:, :, place], say("with no change at all")),
    )


def runs_out(plan: ChangePlan) -> tuple[Chance, ...]:
    """Nutrients that run out are as bad as too many."""
    floor = _RUN_OUT.get(plan.quantity)
    if floor is None:
        return ()
    last = end_of(plan)
    low = float(np.mean((plan.of(plan.quantity)[: last + 1] < floor).any(axis=0)))
    text = say(
        "falls under {floor:g} mg/L of {quantity} on the way, which is no goal",
        floor=floor,
        quantity=plan.quantity,
    )
    return (Chance(text, low),)
