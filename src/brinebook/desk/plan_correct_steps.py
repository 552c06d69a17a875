"""The steps of a correction: each pour as the fact that it becomes, and the test after the last."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_start import Start, first_hour
from brinebook.desk.plan_words import (
    amount_text,
    expected_test,
    measurable,
    stock_text,
    typed,
    with_range_text,
)
from brinebook.measure import Measure
from brinebook.plan import Expected, Step
from brinebook.planning.corrections import Correction
from brinebook.planning.substances import Substance
from brinebook.texts import say
from brinebook.water.dissolving import solubility


def times_of(start: Start, found: Correction) -> list[list[datetime]]:
    """The clock times of each day's pours."""
    pours = found.parting.pours if found.parting else 1
    gap = found.ask.gap
    first = first_hour(start, pours=pours, gap=gap)
    return [
        [first + timedelta(days=day, hours=gap * number) for number in range(pours)]
        for day in range(found.days)
    ]


def correction_steps(start: Start, found: Correction) -> tuple[Step, ...]:
    """Every pour with what it should bring, and the test after the last."""
    steps = []
    times = times_of(start, found)
    for day, moments in enumerate(times):
        for number, when in enumerate(moments):
            for part, units in zip(found.ask.parts, found.amounts, strict=True):
                each = units / len(moments)
                fact = _as_fact(start, part, each)
                last = number == len(moments) - 1 and part is found.ask.parts[-1]
                text = say("pour {measured}.", measured=_measured(part, each))
                steps.append(
                    Step(
                        when=when,
                        until=when + timedelta(hours=12),
                        kind="dose",
                        what=fact[0],
                        value=typed(fact[1]),
                        unit=fact[2],
                        text=text,
                        expects=_expected(start, found, day + 1) if last else (),
                    )
                )
    steps.append(test_step(start, found, times[-1][-1] + timedelta(days=1), at_once=False))
    return tuple(steps)


def _as_fact(start: Start, part: Substance, units: float) -> tuple[str, float, str]:
    """What is written down of a pour: the salt in it, where no bottle of the system is poured."""
    amount = measurable(units, part.unit)
    own = any(one.name == part.name for one in start.water.system.additives)
    if own or part.unit == "g" or part.salt is None or part.grams_per_litre is None:
        return part.name, amount, part.unit
    return part.salt, amount * part.grams_per_litre / 1000.0, "g"


def _measured(part: Substance, units: float) -> str:
    amount = say("{units} of {part}", units=amount_text(units, part.unit), part=part.name)
    stock = stock_text(units, part.name) if part.unit == "g" else ""
    return (
        say("{amount}, which is {stock}", amount=amount, stock=stock)
        if stock
        else f"{amount}{_how(part, units)}"
    )


def _how(part: Substance, units: float) -> str:
    if part.unit != "g":
        return say(", slowly into strong flow")
    # No more than 50 g in a litre, nor four fifths of what it holds: common practice, no source.
    holds = None if part.salt is None else solubility(part.salt, 25.0)
    most = 50.0 if holds is None else min(50.0, 0.8 * holds.grams_per_litre)
    litres = max(math.ceil(units / most), 1)
    water = say("a litre") if litres == 1 else f"{litres} L"
    return say(", dissolved in {water} of fresh water, slowly into strong flow", water=water)


def _expected(start: Start, found: Correction, day: int) -> tuple[Expected, ...]:
    draws = found.levels[day]
    low, middle, high = (float(each) for each in np.quantile(draws, [0.025, 0.5, 0.975]))
    # Just before the next day's pour, so that it isn't in what came.
    when = start.at + timedelta(days=day) - timedelta(minutes=30 if day else 0)
    return (Expected(found.ask.quantity, when, middle, low, high),)


def test_step(start: Start, found: Correction, when: datetime, *, at_once: bool) -> Step:
    """The test that tells what came, or that comes before anything else."""
    quantity = found.ask.quantity
    day = 0 if at_once else found.days
    expects = _expected(start, found, day)
    one = expects[0]
    shown = with_range_text(quantity, Measure(one.value, 0.0, "", one.low, one.high), start.units)
    return expected_test(quantity, shown, expects, when=when, days=3)
