"""A pause of dosing in words, where a quantity stands too high."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import (
    amount_text,
    measurable,
    middle_of,
    quantity_text,
    typed,
    with_range_text,
)
from brinebook.plan import Chance, Course, CoursePoint, Expected, Figure, Plan, Reason, Step
from brinebook.planning.corrections import Correction
from brinebook.planning.lowering import MOST_DAYS, Pause
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES


def lowered(start: Start, found: Correction, paused: Pause) -> Plan:
    """Less of the pump for some days, then as before."""
    ask = found.ask
    unit = QUANTITIES[ask.quantity].unit
    end = paused.levels[paused.days if paused.days is not None else MOST_DAYS]
    limit = quantity_text(ask.quantity, ask.limits.per_day, start.units, difference=True)
    return Plan(
        kind="correction",
        about=(ask.quantity,),
        at=start.at,
        verdict="do" if paused.days is not None else "cannot",
        headline=_headline(start, found, paused),
        steps=_steps(start, found, paused) if paused.days is not None else (),
        courses=tuple(
            Course(ask.quantity, unit, label, _points(start, levels, paused.days or MOST_DAYS))
            for label, levels in (
                (say("with the plan"), paused.levels),
                ("without it", found.without),
            )
        ),
        chances=(
            Chance(
                say("falls by more than {limit} in a day", limit=limit),
                float(np.mean(paused.falls > ask.limits.per_day)),
            ),
        ),
        figures=(
            Figure("target", ask.target, unit),
            Figure("days", float(paused.days or 0), ""),
            Figure("setting", paused.setting, f"{paused.pump.substance.unit}/day"),
            Figure("set_now", paused.pump.setting, f"{paused.pump.substance.unit}/day"),
            _figure("now", found.without[0], unit),
            _figure("expected", end, unit),
        ),
        reasons=(
            Reason(
                say(
                    "Nothing needs taking out: what is used brings it down, held to "
                    "{limit} a day ({origin}).",
                    limit=limit,
                    origin=ask.limits.origin("per_day"),
                ),
            ),
        ),
        stops=(say("a test reads at the target earlier: set the pump back then."),),
    )


def _figure(name: str, draws: object, unit: str) -> Figure:
    measure = middle_of(draws)
    return Figure(name, measure.value, unit, measure.low, measure.high, "estimated")


def _headline(start: Start, found: Correction, paused: Pause) -> str:
    ask, part = found.ask, paused.pump.substance
    now = with_range_text(ask.quantity, middle_of(found.without[0]), start.units)
    target = quantity_text(ask.quantity, ask.target, start.units)
    if paused.days is None:
        return say(
            "{quantity} is about {now}, over the {target} wanted. Even without the "
            "{part} it takes longer than {most_days} days: a water change may help: "
            "see the plan of water changes.",
            quantity=ask.quantity.capitalize(),
            now=now,
            target=target,
            part=part.name,
            most_days=MOST_DAYS,
            ask_quantity=ask.quantity,
        )
    how = (
        say("Stop the {part}", part=part.name)
        if paused.setting <= 0.0
        else say(
            "Set the {part} to {setting} a day",
            part=part.name,
            setting=amount_text(paused.setting, part.unit),
        )
    )
    days = "a day" if paused.days == 1 else say("{days} days", days=paused.days)
    return say(
        "{how} for {days}: {quantity} comes down from about {now} to about {target}.",
        how=how,
        days=days,
        quantity=ask.quantity,
        now=now,
        target=target,
    )


def _steps(start: Start, found: Correction, paused: Pause) -> tuple[Step, ...]:
    assert paused.days is not None
    part, days = paused.pump.substance, paused.days
    detail = {"hours": paused.pump.hours} if paused.pump.hours else {}
    level = middle_of(paused.levels[days])
    back = start.at + timedelta(days=days)
    expects = (Expected(found.ask.quantity, back, level.value, level.low, level.high),)
    low = measurable(paused.setting, part.unit)
    now = amount_text(paused.pump.setting, part.unit)
    shown = with_range_text(found.ask.quantity, level, start.units)

    def setting(when_days: int, value: float, text: str) -> Step:
        when = start.at + timedelta(days=when_days)
        return Step(
            when, when + timedelta(days=1), "dosing", part.name, typed(value),
            f"{part.unit}/day", text, detail,
        )  # fmt: skip

    first = say(
        "set the {part} from {now} to {low} {unit} a day.",
        part=part.name,
        now=now,
        low=plain_text(low),
        unit=part.unit,
    )
    return (
        setting(0, low, first),
        Step(
            back - timedelta(hours=2),
            back + timedelta(days=1),
            "test",
            found.ask.quantity,
            "",
            "",
            say(
                "test {quantity}: about {shown} is expected.",
                quantity=found.ask.quantity,
                shown=shown,
            ),
            expects=expects,
        ),
        setting(
            days,
            paused.pump.setting,
            say("set the {part} back to {now} a day.", part=part.name, now=now),
        ),
    )


def _points(start: Start, levels: object, last: int) -> tuple[CoursePoint, ...]:
    points = []
    for day in range(min(last + 1, len(np.asarray(levels)))):
        level = middle_of(np.asarray(levels)[day])
        when = start.at + timedelta(days=day)
        points.append(CoursePoint(when, level.value, level.low, level.high))
    return tuple(points)
