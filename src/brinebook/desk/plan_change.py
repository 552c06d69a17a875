"""``plan change``: water changes that bring a quantity to a value, or what a change would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

import numpy as np

from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.described import find_mix, mix_water
from brinebook.balance.drawn import ahead
from brinebook.desk.plan_change_once import change_worded, gentle_share
from brinebook.desk.plan_change_series import Habit, Series
from brinebook.desk.plan_change_words import series_worded
from brinebook.desk.plan_dose import target_of
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, known_or_raise, start_of
from brinebook.desk.plan_test_first import test_first
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.errors import UsageProblem
from brinebook.plan import Plan
from brinebook.planning.changes import (
    SHARE_A_WEEK,
    SHARE_AT_ONCE,
    NewWater,
    plan_changes,
)
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import convert_amount, find_quantity

_EVERY = 7.0


class ChangeUnclear(UsageProblem):
    """What change is meant can't be told from what was typed."""

    code = "E-PLAN-CHANGE-WORDS"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("Which change is meant isn't clear: {why}.", why=why),
            say(
                "Say a quantity and what to bring it to, such as nitrate to 10 mg/L, or how "
                "much to change, such as 15 %."
            ),
        )


class MixUnknown(UsageProblem):
    """A salt mix was named that the system doesn't have."""

    code = "E-PLAN-MIX"

    def __init__(self, text: str, known: Sequence[str]) -> None:
        listed = ", ".join(known) or say("none is described")
        super().__init__(
            say("No mix of the system is called “{text}”.", text=text),
            say(
                "Mixes: {listed}. Describe one under [[mixes]] in system.toml, or leave it out.",
                listed=listed,
            ),
        )


@dataclass(frozen=True, slots=True)
class Change:
    """What was typed of the change and its new water; None where nothing was."""

    to: str | None = None
    amount: str | None = None
    every: float | None = None
    times: int | None = None
    made: str | None = None
    incoming: str | None = None
    mix: str = ""
    salinity: str | None = None
    temperature: str | None = None
    moisture: float | None = None


def change_plan(
    source: BookOrAnswer,
    quantity: str | None,
    name: str | None = None,
    *,
    said: Said,
    typed: Change,
    level: str | None = None,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """The plan, and what it started from. Nothing is written.

    Raises ChangeUnclear, ChangeImpossible, QuantityUntested, FromNeedsVolume, and what opening a
    book and reading amounts raise.
    """
    wanted = None if quantity is None else find_quantity(quantity).name
    stated = {wanted: level} if wanted is not None and level is not None else None
    start = start_of(source, name, said=said, stated=stated, at=at, known=known)
    new = new_water(start, typed, about=wanted)
    if wanted is None:
        if typed.amount is None:
            raise ChangeUnclear(say("neither a quantity nor an amount was named"))
        litres = litres_of_change(start, typed.amount)
        return change_worded(start, new, litres=litres, moisture=_moisture(start, typed)), start
    known_or_raise(start, wanted)
    if not start.stated and start.water.too_old(wanted) is not None:
        why = say("how much to change depends on where it stands")
        return test_first(start.water, "water_change", (wanted,), why), start
    return series_worded(_series(start, wanted, typed, new)), start


def _series(start: Start, quantity: str, typed: Change, new: NewWater) -> Series:
    made = _made(start, quantity, typed)
    start = _with_made(start, quantity, typed, made)
    habit = _habit_typed(start, typed) or habit_of(start.water.facts, start)
    share = min(start.planning.change_share or SHARE_AT_ONCE, gentle_share(start, new))
    if typed.amount is not None and habit is not None:
        share = habit.share  # so much at once was asked for
    target = _target(start, quantity, typed)
    asked = typed.amount is None or typed.to is not None
    plan, every = None, typed.every or (habit.every if habit else _EVERY)
    for pause in _pauses(typed, every) if asked else ():
        every = pause
        plan = plan_changes(
            start.drawn,
            quantity,
            target,
            new=new,
            every=pause,
            most_share=_most(share, pause, typed),
            times=typed.times,
        )
        if plan is not None:
            break
    return Series(
        start, quantity, target, made, new, habit, plan, every, share, typed.times,
        _moisture(start, typed), asked, typed.amount is not None,
    )  # fmt: skip


def _pauses(typed: Change, every: float) -> tuple[float, ...]:
    """Days between changes to try: as typed, else as usual, weekly, twice a week."""
    if typed.every is not None:
        return (typed.every,)
    return tuple(dict.fromkeys((every, *(p for p in (_EVERY, _EVERY / 2.0) if p < every))))


def _most(share: float, every: float, typed: Change) -> float:
    """The largest share at once: the keeper's, and no more than half of the water in a week."""
    if typed.times is not None:
        return 0.95  # so many changes were asked for, however large they come out
    if typed.amount is not None:
        return share
    return min(share, SHARE_A_WEEK * every / 7.0) if every < 7.0 else share


def _target(start: Start, quantity: str, typed: Change) -> float:
    if typed.to is not None:
        return read_quantity(quantity, typed.to, conditions=start.conditions)
    return target_of(start, quantity)


def _made(start: Start, quantity: str, typed: Change) -> float:
    """What the system makes a day with everything but the changes: typed, else as believed."""
    if typed.made is not None:
        text = typed.made.removesuffix("/day").removesuffix("/d")
        sign = -1.0 if text.strip()[:1] in "-−" else 1.0
        return sign * read_quantity(quantity, text.strip().lstrip("-−"))
    if start.stated:
        return 0.0
    levels = ahead(start.drawn, 7.0).of(quantity)
    return float(np.median(levels[7] - levels[0])) / 7.0


def _with_made(start: Start, quantity: str, typed: Change, made: float) -> Start:
    """The start with what was typed of the day's production in its draws."""
    if typed.made is None or start.drawn.mover is not None:
        return start
    uses = start.drawn.uses.copy()
    uses[:, start.drawn.quantities.index(quantity)] = -made
    return replace(start, drawn=replace(start.drawn, uses=uses))


def litres_of_change(start: Start, amount: str) -> float:
    """“15 %” of the water, or litres. Raises ChangeUnclear."""
    value, unit = number_and_unit(amount)
    litres = float(np.median(start.drawn.litres))
    if unit == "%":
        share = value / 100.0
    else:
        share = convert_amount(value, unit, "L", dimension="volume") / litres
    if not 0.0 < share <= 1.0:
        raise ChangeUnclear(
            say(
                "{amount} isn't between nothing and all of {litres:.0f} L",
                amount=amount,
                litres=litres,
            )
        )
    return share * litres


def _habit_typed(start: Start, typed: Change) -> Habit | None:
    if typed.amount is None:
        return None
    litres = float(np.median(start.drawn.litres))
    return Habit(litres_of_change(start, typed.amount) / litres, typed.every or _EVERY)


def habit_of(facts: Sequence[Fact], start: Start) -> Habit | None:
    """The last half a year's changes: the middle share, the middle pause; None under three."""
    litres = float(np.median(start.drawn.litres))
    recent = sorted(
        (fact for fact in facts if fact.kind == "water_change" and "/" not in fact.unit
         and 0 <= (start.at - fact.when).days <= 183),
        key=lambda fact: fact.when,
    )[-8:]  # fmt: skip
    if len(recent) < 3:
        return None
    shares = [
        float(fact.value) / 100.0
        if fact.unit == "%"
        else convert_amount(float(fact.value), fact.unit, "L") / litres
        for fact in recent
    ]
    pauses = [(b.when - a.when).total_seconds() / 86400.0 for a, b in pairwise(recent)]
    return Habit(float(np.median(shares)), max(float(np.median(pauses)), 0.5))


def new_water(start: Start, typed: Change, *, about: str | None) -> NewWater:
    """What the new water holds: the mix by its label at its salinity, and what was typed."""
    system = start.water.system
    names = tuple(n for n in BELIEFS if n in start.drawn.quantities and BELIEFS[n].has_mass)
    salinity = (
        read_quantity("salinity", typed.salinity)
        if typed.salinity is not None
        else system.targets.get(
            "salinity", 35.0 if about == "salinity" else start.conditions.salinity
        )
    )
    mix = find_mix(system, typed.mix)
    if typed.mix and mix is None:
        raise MixUnknown(typed.mix, [each.name for each in system.mixes])
    values, spreads = mix_water(mix, names, salinity)
    levels = dict(zip(names, (float(each) for each in values), strict=True))
    spread = dict(zip(names, (float(each) for each in spreads), strict=True))
    if start.stated:
        spread = dict.fromkeys(names, 0.0)
    if typed.incoming is not None and about is not None:
        levels[about] = read_quantity(about, typed.incoming)
        spread[about] = 0.0
    temperature = (
        None if typed.temperature is None else read_quantity("temperature", typed.temperature)
    )
    return NewWater(levels, spread, temperature)


def _moisture(start: Start, typed: Change) -> float:
    from brinebook.planning.mixing import MOISTURE

    return typed.moisture or start.planning.salt_moisture or MOISTURE
