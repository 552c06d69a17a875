"""The plan of daily dosing in words: settings, chances, the pair, the hours, the bottles."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import numpy as np

from brinebook.desk.plan_dose_figures import Pair, dose_chances, dose_courses, dose_figures
from brinebook.desk.plan_dose_notes import bottle_notes, hours_notes, pair_notes, swing_notes
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_surprise import Stale, Surprise
from brinebook.desk.plan_words import (
    amount_text,
    expected_test,
    middle_of,
    quantity_text,
    typed,
    with_range_text,
)
from brinebook.plan import Expected, Figure, Plan, Reason, Step
from brinebook.planning.cautions import cautions, of_part
from brinebook.planning.dosing import Container, Setting
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: Steady is what holds its band for two weeks as likely as this, and moves by less than this share
#: of its width: common practice, no source.
_STEADY_CHANCE, _STEADY_SHARE = 0.9, 0.1


def worded(
    start: Start,
    settings: Sequence[Setting],
    bottles: Sequence[Container],
    pair: Pair | None,
    odd: Sequence[Surprise | Stale] = (),
) -> Plan:
    """The plan from what was reckoned; ``odd`` are tests that have to be made again first."""
    changed = [one for one in settings if one.changes]
    headline = " ".join(one.sentence(start) for one in odd)
    if changed or not odd:
        headline = f"{headline} {_headline(start, settings, changed)}".strip()
    return Plan(
        kind="dosing",
        about=tuple(dict.fromkeys(one.pump.quantity for one in settings)),
        at=start.at,
        verdict="do" if changed else "test first" if odd else "nothing",
        headline=headline,
        steps=(*_again(start, settings, odd), *_steps(start, changed)),
        courses=dose_courses(start, settings),
        chances=dose_chances(settings),
        figures=tuple(dose_figures(start, settings, bottles, pair)),
        reasons=tuple(_reasons(start, settings)),
        stops=_stops(start, changed),
        cautions=cautions(
            *(
                each
                for one in settings
                for each in of_part(one.pump.substance.salt, one.pump.substance.unit)
            )
        ),
        notes=tuple(
            [
                *(
                    say(
                        "The {name} stays as it is set: {why}.",
                        name=one.pump.substance.name,
                        why=_stays(one),
                    )
                    for one in settings
                    if changed and not one.changes and one.pump.setting > 0.0
                ),
                *pair_notes(start, settings, pair),
                *swing_notes(start, settings),
                *hours_notes(start, settings),
            ]
            + [note for one in bottles for note in bottle_notes(start, one)]
        ),
    )


# ---- headline, steps ----------------------------------------------------------------------------


def _setting_text(one: Setting) -> str:
    now = amount_text(one.pump.setting, one.pump.substance.unit)
    new = amount_text(one.new, one.pump.substance.unit)
    name = one.pump.substance.name
    if one.pump.setting <= 0.0:
        return say("start the {name} at {new} a day", name=name, new=new)
    return say("set the {name} from {now} to {new} a day", name=name, now=now, new=new)


def _stays(one: Setting) -> str:
    """Why a knob isn't turned."""
    return {
        "noise": say("whether more or less is needed can't be told from the tests' own noise"),
        "evaporates": say("it goes in as water evaporates"),
        "odd": say("one test alone says otherwise"),
        "stale": say("its last test is too long ago"),
        "waits": say("the tests above come first"),
    }.get(one.because, say("a turn of the knob would gain nothing"))


def _headline(start: Start, settings: Sequence[Setting], changed: Sequence[Setting]) -> str:
    if changed:
        text = say(" and ").join(_setting_text(one) for one in changed)
        return f"{text[0].upper()}{text[1:]}."
    first = settings[0]
    name = first.pump.quantity
    used = quantity_text(name, middle_of(start.drawn.use(name)), start.units, difference=True)
    hold = chance_text(first.holds[14][0])
    holds = say("the band holds for 14 days with a chance of {hold}.", hold=hold)
    if _is_steady(first):
        each = amount_text(first.pump.setting, first.pump.substance.unit)
        return say(
            "Leave the dosing as it is: {name} is steady. About {used} is used a "
            "day, and {each} of {substance} a day brings as much; {holds}",
            name=name,
            used=used,
            each=each,
            substance=first.pump.substance.name,
            holds=holds,
        )
    why = _stays(first)
    return say(
        "Leave the dosing as it is. About {used} of {name} is used a day, and {why}; {holds}",
        used=used,
        name=name,
        why=why,
        holds=holds,
    )


def _is_steady(one: Setting) -> bool:
    """Whether two weeks as it is set hold the band and leave the level where it is."""
    if one.because not in ("steady", "noise") or one.pump.setting <= 0.0:
        return False
    low, high = one.limits.band
    moved = float(np.median(one.without[14] - one.without[0]))
    return one.holds[14][0] >= _STEADY_CHANCE and abs(moved) <= _STEADY_SHARE * (high - low)


def _steps(start: Start, changed: Sequence[Setting]) -> tuple[Step, ...]:
    steps = []
    for one in changed:
        unit = one.pump.substance.unit
        text = _setting_text(one)
        if one.bounded:
            text += say(", as far as a knob is turned at once; look again in two weeks")
        steps.append(
            Step(
                when=start.at,
                until=start.at + timedelta(days=3),
                kind="dosing",
                what=one.pump.substance.name,
                value=typed(one.new),
                unit=f"{unit}/day",
                text=f"{text}.",
                detail={"hours": one.pump.hours} if one.pump.hours else {},
                expects=(_expected(start, one, 7), _expected(start, one, 14)),
            )
        )
    if changed:
        steps.append(_test_step(start, changed[0]))
    return tuple(steps)


def _again(
    start: Start, settings: Sequence[Setting], odd: Sequence[Surprise | Stale]
) -> tuple[Step, ...]:
    """The tests that come before the knob."""
    held = {one.pump.quantity: one for one in settings}
    return tuple(
        Step(
            when=start.at,
            until=start.at + timedelta(days=2),
            kind="test",
            what=one.quantity,
            value="",
            unit="",
            text=say("test {quantity}, then ask again.", quantity=one.quantity)
            if isinstance(one, Stale)
            else say("test {quantity} again, then ask again.", quantity=one.quantity),
            expects=(_expected(start, held[one.quantity], 0),),
        )
        for one in odd
    )


def _expected(start: Start, one: Setting, days: int) -> Expected:
    level = middle_of(one.levels[days])
    when = start.at + timedelta(days=days)
    return Expected(one.pump.quantity, when, level.value, level.low, level.high)


def _test_step(start: Start, one: Setting) -> Step:
    when = start.at + timedelta(days=7)
    name = one.pump.quantity
    shown = with_range_text(name, middle_of(one.levels[7]), start.units)
    return expected_test(name, shown, (_expected(start, one, 7),), when=when, days=4)


def _stops(start: Start, changed: Sequence[Setting]) -> tuple[str, ...]:
    stops = []
    for one in changed:
        if one.pump.quantity not in ("alkalinity", "calcium"):
            continue
        low, high = (
            quantity_text(one.pump.quantity, edge, start.units) for edge in one.limits.band
        )
        stops.append(
            say(
                "a test of {quantity} reads under {low} or over {high}: plan again.",
                quantity=one.pump.quantity,
                low=low,
                high=high,
            )
        )
    return tuple(stops)


# ---- words --------------------------------------------------------------------------------------


def _reasons(start: Start, settings: Sequence[Setting]) -> list[Reason]:
    found = []
    for one in settings:
        quantity, part = one.pump.quantity, one.pump.substance
        use = middle_of(start.drawn.use(quantity))
        used = quantity_text(quantity, use, start.units, difference=True)
        brings = one.pump.setting * part.brings(quantity) / start.drawn.litres
        given = quantity_text(
            quantity, middle_of(brings * start.drawn.delivery(part.name)), start.units,
            difference=True,
        )  # fmt: skip
        now = with_range_text(quantity, middle_of(one.without[0]), start.units)
        target = quantity_text(quantity, one.target, start.units)
        needed = middle_of(one.needed)
        text = say(
            "{quantity} is about {now}; {target} is wanted. The system uses about "
            "{used} a day and the {part} brings {given}. The target asks for "
            "{needed} {unit} a day, give or take {needed_sd}.",
            quantity=quantity.capitalize(),
            now=now,
            target=target,
            used=used,
            part=part.name,
            given=given,
            needed=plain_text(needed.value, digits=3),
            unit=part.unit,
            needed_sd=plain_text(needed.sd, digits=1),
        )
        unit = QUANTITIES[quantity].unit
        inputs = (
            Figure("use_a_day", use.value, f"{unit}/day", use.low, use.high, "estimated"),
            Figure("needed", needed.value, f"{part.unit}/day", needed.low, needed.high),
            Figure(f"{quantity}_per_{part.unit}", part.brings(quantity), "", origin="label"),
        )
        found.append(
            Reason(
                text,
                inputs,
                say(
                    "the setting that brings the next 21 days nearest to the target over all draws"
                ),
                ("smith1975",),
            )
        )
    return found
