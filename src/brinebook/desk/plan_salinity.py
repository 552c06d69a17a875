"""``plan salinity``: ways to bring salinity back, each in days, litres and steps."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.evaporated import evaporated
from brinebook.desk.plan_dose import target_of
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, known_or_raise, start_of
from brinebook.desk.plan_words import (
    amount_text,
    measurable,
    middle_of,
    quantity_text,
    typed,
    with_range_text,
)
from brinebook.desk.typed import read_quantity
from brinebook.plan import Expected, Figure, Plan, Reason, Step
from brinebook.planning.cautions import cautions
from brinebook.planning.limits import limits_for
from brinebook.planning.mixing import (
    days_of_salt_top_off,
    fresh_swap,
    mixing_salinity,
    salt_grams,
)
from brinebook.report.numbers import plain_text
from brinebook.texts import say

_NEAR = 0.2
_SHARE = 0.1
#: Salinity of salt water for topping off or for a change: no stronger than is mixed anyway.
_STRONGEST = 40.0


def salinity_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    to: str | None = None,
    level: str | None = None,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """The plan to bring salinity to a value. Nothing is written."""
    stated = None if level is None else {"salinity": level}
    start = start_of(source, name, said=said, stated=stated, at=at, known=known)
    known_or_raise(start, "salinity")
    target = read_quantity("salinity", to) if to is not None else target_of(start, "salinity")
    return _worded(start, target), start


def _evaporation(start: Start) -> float | None:
    if start.water.evaporation is not None:
        return start.water.evaporation
    found = evaporated(start.water.facts, start.at)
    return None if found is None else found.now


def _worded(start: Start, target: float) -> Plan:
    now = middle_of(start.drawn.level("salinity"))
    litres = float(np.median(start.drawn.litres))
    shown = with_range_text("salinity", now, start.units)
    wanted = quantity_text("salinity", target, start.units)
    figures = _figures(start, now.value, target, litres)
    if abs(now.value - target) <= (_NEAR if not start.stated else 1e-9):
        return _plain(start, say("Nothing to do: salinity is about {shown}.", shown=shown), figures)
    if not start.stated and now.low < target < now.high:
        return _read_again(start, shown, wanted, target, figures)
    if target > now.value:
        return _raised(start, shown, wanted, target, figures)
    return _lowered(start, shown, wanted, target, figures)


def _figures(start: Start, now: float, target: float, litres: float) -> list[Figure]:
    figures = [
        Figure("now", now, "PSU"),
        Figure("target", target, "PSU"),
        Figure("volume", litres, "L"),
        Figure(
            "one_change_salinity",
            mixing_salinity(now, target, share=_SHARE),
            "PSU",
            origin=say("for one change of 10 %"),
        ),
    ]
    flow = _evaporation(start)
    if target > now:
        at = start.conditions.temperature
        grams = salt_grams(litres, start=now, target=target, temperature=at)
        figures.append(Figure("salt_in_all", grams, "g"))
        if flow:
            days = days_of_salt_top_off(now, target, litres=litres, flow=flow, salinity=35.0)
            figures += [Figure("top_off_days", days, "day"), Figure("evaporation", flow, "L/day")]
    elif target < now:
        figures.append(Figure("fresh_swap", fresh_swap(now, target, litres=litres), "L"))
    return figures


def _plain(start: Start, headline: str, figures: list[Figure]) -> Plan:
    return Plan(
        kind="salinity", about=("salinity",), at=start.at, verdict="nothing", headline=headline,
        figures=tuple(figures),
    )  # fmt: skip


def _read_again(
    start: Start, shown: str, wanted: str, target: float, figures: list[Figure]
) -> Plan:
    """What is wanted lies within what is believed: a reading comes before any litre."""
    return Plan(
        kind="salinity",
        about=("salinity",),
        at=start.at,
        verdict="test first",
        headline=say(
            "Read the salinity first: it is about {shown}, and {wanted} lies within that.",
            shown=shown,
            wanted=wanted,
        ),
        steps=(replace(_test(start, target, 0), text=say("read the salinity, then ask again.")),),
        figures=tuple(figures),
    )


def _raised(start: Start, shown: str, wanted: str, target: float, figures: list[Figure]) -> Plan:
    now = float(np.median(start.drawn.level("salinity")))
    litres = float(np.median(start.drawn.litres))
    per_day = limits_for("salinity", start.water.system, target=target).per_day
    flow = _evaporation(start)
    absurd = mixing_salinity(now, target, share=_SHARE)
    why = (
        say(
            "One change of 10 % would need water of {absurd} PSU.", absurd=plain_text(round(absurd))
        )
        if absurd > _STRONGEST
        else say(
            "One change of 10 % at {absurd} PSU would do it too.",
            absurd=plain_text(round(absurd, 1)),
        )
    )
    if not flow:
        return Plan(
            kind="salinity",
            about=("salinity",),
            at=start.at,
            verdict="cannot",
            headline=say(
                "Salinity is about {shown} and {wanted} is wanted: top off with salt "
                "water instead of fresh until it is there. How long that takes isn't "
                "known, for nobody says what evaporates.",
                shown=shown,
                wanted=wanted,
            ),
            figures=tuple(figures),
            notes=(why,),
        )
    days = days_of_salt_top_off(now, target, litres=litres, flow=flow, salinity=35.0)
    slow = (target - now) / days
    strength = 35.0 if slow <= per_day else 35.0 * per_day / slow
    days = days_of_salt_top_off(now, target, litres=litres, flow=flow, salinity=strength)
    whole = math.ceil(days)
    steps = [_top_off(start, flow, strength, day, whole) for day in range(whole)]
    steps.append(_test(start, target, whole))
    return Plan(
        kind="salinity",
        about=("salinity",),
        at=start.at,
        verdict="do",
        headline=say(
            "Top off with salt water of {strength} PSU for about {days} days: "
            "salinity goes from about {shown} to {wanted}.",
            strength=plain_text(round(strength, 1)),
            days=plain_text(round(days, 1)),
            shown=shown,
            wanted=wanted,
        ),
        steps=tuple(steps),
        figures=tuple(figures),
        reasons=(_reason(),),
        stops=(say("a reading is at the target earlier: back to fresh water at once."),),
        cautions=cautions("mains"),
        notes=(why,),
    )


def _top_off(start: Start, flow: float, strength: float, day: int, days: int) -> Step:
    when = start.at + timedelta(days=day)
    litres = measurable(flow, "L")
    return Step(
        when=when,
        until=when + timedelta(days=1),
        kind="event",
        what="salt_top_off",
        value=typed(litres),
        unit="L",
        text=say(
            "day {day} of {days}: top off with about {flow} of salt water of "
            "{strength} PSU instead of fresh.",
            day=day + 1,
            days=days,
            flow=amount_text(flow, "L"),
            strength=plain_text(round(strength, 1)),
        ),
        detail={"salinity": typed(round(strength, 1))},
    )


def _test(start: Start, target: float, day: int) -> Step:
    when = start.at + timedelta(days=day)
    spread = float(start.drawn.level("salinity").std())
    return Step(
        when=when,
        until=when + timedelta(days=2),
        kind="test",
        what="salinity",
        value="",
        unit="",
        text=say("read the salinity, then go back to fresh water."),
        expects=(Expected("salinity", when, target, target - 2 * spread, target + 2 * spread),),
    )


def _lowered(start: Start, shown: str, wanted: str, target: float, figures: list[Figure]) -> Plan:
    now = float(np.median(start.drawn.level("salinity")))
    litres = float(np.median(start.drawn.litres))
    per_day = limits_for("salinity", start.water.system, target=target).per_day
    days = max(math.ceil((now - target) / per_day - 1e-9), 1)
    steps, level = [], now
    for day in range(days):
        following = now + (target - now) * (day + 1) / days
        swap = fresh_swap(level, following, litres=litres)
        when = start.at + timedelta(days=day)
        steps.append(
            Step(
                when=when,
                until=when + timedelta(days=1),
                kind="removed",
                what="",
                value=typed(measurable(swap, "L")),
                unit="L",
                text=say(
                    "take {swap} out and let fresh water replace it, slowly.",
                    swap=amount_text(swap, "L"),
                ),
                expects=(
                    Expected(
                        "salinity",
                        when + timedelta(hours=23),
                        following,
                        following - 0.5,
                        following + 0.5,
                    ),
                ),
            )
        )
        level = following
    steps.append(_test(start, target, days))
    total = amount_text(fresh_swap(now, target, litres=litres), "L")
    many = "" if days == 1 else say(", spread over {days} days", days=days)
    return Plan(
        kind="salinity",
        about=("salinity",),
        at=start.at,
        verdict="do",
        headline=say(
            "Replace about {total} by fresh water{many}: salinity goes from about "
            "{shown} to {wanted}.",
            total=total,
            many=many,
            shown=shown,
            wanted=wanted,
        ),
        steps=tuple(steps),
        figures=tuple(figures),
        reasons=(_reason(),),
        stops=(say("a reading is at the target earlier."),),
        cautions=cautions("mains", "heater_dry", "hoses"),
    )


def _reason() -> Reason:
    return Reason(
        say("Fresh water that replaces what evaporates keeps the salt; salt water adds its own."),
        equation=say("ΔS = litres × salinity ÷ volume; fresh swap = V (1 − target ÷ now)"),
        sources=("levenspiel1999",),
    )
