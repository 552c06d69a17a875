"""``plan ferric --load``: the isotherm's arithmetic for figures that were stated."""

from __future__ import annotations

import math

from brinebook.desk.plan_food import share_of
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text
from brinebook.desk.typed import read_quantity
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning import ferric
from brinebook.planning.ferric import PHOSPHATE_PER_P
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import convert_amount, parse_amount


class LoadUnreadable(UsageProblem):
    """A figure for the arithmetic of media that can't be one."""

    code = "E-LOAD"


def flow_of(text: str) -> float:
    """A typed flow in L/h; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension="flow", decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "L/h")


def stated_plan(
    now: WaterNow,
    load: str,
    *,
    grams: float | None,
    others: str | None = None,
    held: str | None = None,
    factor: float = 1.0,
    down_to: str | None = None,
) -> Plan:
    """Days that so many grams last against a load of phosphorus at the level now.

    Raises LoadUnreadable where there is no level or no load.
    """
    amount = parse_amount(load, dimension=say("mass a day"), decimal_comma=True)
    rate = convert_amount(amount.value, amount.unit, "mg/day")
    if not (rate > 0.0 and 0.0 < factor <= 100.0):
        raise LoadUnreadable(
            say("A load and a factor have to be more than nothing."),
            say("Give --load “27 mg/day”."),
        )
    if "phosphate" not in now.levels:
        raise LoadUnreadable(
            say("How much media hold depends on the phosphate level."),
            say("Give --phosphate “0.09 mg/L”."),
        )
    if now.levels["phosphate"].value <= 0.0:
        raise LoadUnreadable(
            say("At no phosphate at all media hold none, and there is nothing for them to take."),
            say("Give --phosphate “0.09 mg/L”."),
        )
    level = now.levels["phosphate"].value / PHOSPHATE_PER_P
    left = rate * (1.0 - (0.0 if others is None else share_of(others)))
    mass = 100.0 if grams is None else grams
    days = ferric.days_until_full(
        mass, level, left, held_so_far=0.0 if held is None else _milligrams(held), factor=factor
    )
    holds = ferric.held_golterman_1995(level, factor=factor)
    figures = [
        Figure("grams", mass, "g"),
        Figure("phosphate", level * PHOSPHATE_PER_P, "mg/L"),
        Figure("holds_a_gram", holds, "mg P/g"),
        Figure("capacity", mass * holds, "mg P"),
        Figure("load", left, "mg P/day"),
    ]
    if math.isfinite(days):
        figures.append(Figure("days", days, "days", days / 2.0, 2.0 * days))
    figures += _falls(now, down_to, level, factor)
    return _told(now, mass, level, holds=holds, left=left, days=days, figures=figures)


def _told(
    now: WaterNow,
    mass: float,
    level: float,
    *,
    holds: float,
    left: float,
    days: float,
    figures: list[Figure],
) -> Plan:
    lasts = (
        say("{days:.0f} days, half or twice that", days=days)
        if math.isfinite(days)
        else say("for good")
    )
    return Plan(
        kind="ferric",
        about=("phosphate",),
        at=now.at,
        verdict="told",
        headline=say(
            "{mass} of ferric media at {level} mg/L of phosphate hold about "
            "{phosphorus:.0f} mg of phosphorus: against {left} mg a day they last "
            "{lasts}.",
            mass=amount_text(mass, "g"),
            level=plain_text(level * PHOSPHATE_PER_P, digits=3 if now.answer is None else 2),
            phosphorus=mass * holds,
            left=plain_text(left, digits=3),
            lasts=lasts,
        ),
        figures=tuple(figures),
        reasons=(
            Reason(
                say("Capacity at today's level over what has to be taken up in a day."),
                equation=say("days = grams × factor × 10 × (C_P / 0.3)^(1/3) / load"),
                sources=("golterman1995", "chitrakar2006"),
            ),
        ),
        notes=(
            say(
                "The isotherm is carried down from higher levels: life differs by a "
                "factor of two, and a lower level makes the same media full sooner."
            ),
        ),
    )


def _milligrams(text: str) -> float:
    amount = parse_amount(text, dimension="mass", decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "mg")


def _falls(now: WaterNow, down_to: str | None, level: float, factor: float) -> list[Figure]:
    if down_to is None:
        return []
    end = read_quantity("phosphate", down_to) / PHOSPHATE_PER_P
    if not 0.0 < end < level:
        raise LoadUnreadable(
            say("{down_to} isn't below the level now.", down_to=down_to),
            say("Give --down-to a lower level than there is."),
        )
    litres = now.litres.value
    grams = ferric.grams_for_fall(litres, start=level, end=end, factor=factor)
    return [
        Figure("phosphorus_in_the_fall", litres * (level - end), "mg P"),
        Figure("grams_for_the_fall", grams, "g"),
    ]
