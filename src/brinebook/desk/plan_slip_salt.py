"""``plan slip``, salt and water: salt water topped off, a flood, a drying, a change with fresh."""

from __future__ import annotations

import numpy as np

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text
from brinebook.desk.slip_ways_back import (
    Shift,
    evaporation_of,
    salt_top_off_days,
    way_back,
)
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason, Step
from brinebook.planning import cautions, slips
from brinebook.planning.limits import limits_for
from brinebook.planning.spread import Floats, told
from brinebook.report.numbers import plain_text
from brinebook.texts import say

#: A change whose new water would need more than this isn't worth naming: PSU, common practice.
_STRONGEST = 45.0
#: Departures from the goal that nobody can measure: PSU, common practice.
_NO_MATTER = 0.3


class SlipImpossible(UsageProblem):
    """What is said to have happened can't have happened to this much water."""

    code = "E-SLIP"

    def __init__(self, about: str, hint: str) -> None:
        super().__init__(about, hint)


def salt_top_off_slip(
    now: WaterNow, litres: float, *, salinity: float | None = None, seen: bool = False
) -> Plan:
    """Salt water of ``salinity`` (else the system's) put in for what evaporated: litres of it.

    ``seen``: the belief about salinity already has it (it was tested since), so before is reckoned
    back.
    """
    _check(litres, now)
    poured = salinity if salinity is not None else _goal(now)
    rise = poured * litres / now.drawn.litres
    level = _level(now)
    before = level - rise if seen else level
    shift = _shift(
        now,
        before,
        before + rise,
        text=say(
            "{litres} of salt water went in where fresh belongs", litres=amount_text(litres, "L")
        ),
        equation=say(
            "S after = S before + S poured × litres / V: the water evaporates, its salt stays"
        ),
    )
    figures = (Figure("poured_salinity", poured, "PSU"),)
    return _plan(now, shift, figures)


def flood_slip(now: WaterNow, litres: float) -> Plan:
    """So much fresh water on top of a full system, such as by a top-off that stuck."""
    _check(litres, now)
    level, volume = _level(now), now.drawn.litres
    shift = _shift(
        now,
        level,
        slips.salinity_after_flood(level, volume, litres),
        text=say("{litres} of fresh water too much went in", litres=amount_text(litres, "L")),
        equation=say("S after = S before × V / (V + litres)"),
        extra=litres,
    )
    return _plan(now, shift)


def dried_slip(now: WaterNow, litres: float) -> Plan:
    """So much water evaporated and not replaced."""
    _check(litres, now, most=0.5)
    level, volume = _level(now), now.drawn.litres
    shift = _shift(
        now,
        level,
        slips.salinity_after_drying(level, volume, litres),
        text=say("{litres} of water is missing", litres=amount_text(litres, "L")),
        equation=say("S after = S before × V / (V − litres)"),
        missing=litres,
        goal=float(np.median(level)),
    )
    return _plan(now, shift)


def fresh_change_slip(now: WaterNow, litres: float) -> Plan:
    """A water change of so many litres that was made with fresh water."""
    _check(litres, now, most=0.95)
    level, volume = _level(now), now.drawn.litres
    share = litres / volume
    shift = _shift(
        now,
        level,
        slips.after_change_with(level, 0.0, share),
        text=say("{litres} of salt water was changed for fresh", litres=amount_text(litres, "L")),
        equation=say("S after = S before × (1 − litres / V)"),
    )
    thinned = told(100.0 * share, "%")
    return _plan(
        now,
        shift,
        (Figure("everything_thinned_by", thinned.value, "%", thinned.low, thinned.high),),
    )


def skimmate_slip(now: WaterNow, a_day: float, days: float) -> Plan:
    """So many litres a day of system water thrown away as wet skimmate and made up with fresh."""
    _check(a_day, now, most=0.5)
    if not 0.0 < days <= 3650.0:
        raise SlipImpossible(
            say("{days:g} days can't be.", days=days), say("Say for how long: --days 30.")
        )
    if a_day * days > 1.5 * now.litres.value:
        raise SlipImpossible(
            say(
                "{gone} L in all is more than the system holds: somebody would have seen it.",
                gone=plain_text(a_day * days, digits=3),
            ),
            say("Say the litres that are thrown away in a day, and for how many days."),
        )
    level, volume = _level(now), now.drawn.litres
    left = np.exp(-a_day * days / volume)
    shift = _shift(
        now,
        level,
        level * left,
        text=say(
            "{a_day} of skimmate a day for {days} days, made up with fresh water",
            a_day=amount_text(a_day, "L"),
            days=plain_text(days),
        ),
        equation=say("S after = S before × exp(−litres a day × days / V)"),
    )
    loss = told(level * a_day / volume, "PSU/day")
    return _plan(now, shift, (Figure("loss_a_day", loss.value, loss.unit, loss.low, loss.high),))


def off_slip(now: WaterNow) -> Plan:
    """Salinity is off, whatever the cause: from where it stands to the keeper's target."""
    level = _level(now)
    shift = _shift(
        now,
        level,
        level,
        text=say("Whatever the cause"),
        equation=say(
            "every way back: V (1 − S wanted / S) of fresh; ΔS V / (S poured × evaporation)"
        ),
        goal=now.system.targets.get("salinity", 35.0),
    )
    return _plan(now, shift)


def _check(litres: float, now: WaterNow, *, most: float = 2.0) -> None:
    if not 0.0 < litres <= most * now.litres.value:
        raise SlipImpossible(
            say(
                "{litres} L can't have gone that way in {litres_value:.0f} L of water.",
                litres=plain_text(litres),
                litres_value=now.litres.value,
            ),
            say(
                "Say the litres that went in or are missing, and see that the net volume is right."
            ),
        )


def _level(now: WaterNow) -> Floats:
    if "salinity" in now.drawn.quantities:
        return now.drawn.level("salinity")
    return np.full(now.drawn.count, now.middle("salinity"))


def _goal(now: WaterNow) -> float:
    return now.system.targets.get("salinity", now.middle("salinity"))


def _shift(
    now: WaterNow,
    before: Floats,
    after: Floats,
    *,
    text: str,
    equation: str,
    missing: float = 0.0,
    extra: float = 0.0,
    goal: float | None = None,
) -> Shift:
    limits = limits_for("salinity", now.system, target=35.0)
    start = told(before, "PSU")
    return Shift(
        start,
        told(after, "PSU"),
        after,
        now.system.targets.get("salinity", start.value) if goal is None else goal,
        limits.per_day,
        limits.origin("per_day"),
        text,
        equation,
        missing,
        extra,
    )


def _plan(now: WaterNow, shift: Shift, figures: tuple[Figure, ...] = ()) -> Plan:
    away = shift.after.value - shift.goal
    nothing = abs(away) < _NO_MATTER and not shift.missing
    steps = () if nothing else way_back(now, shift)
    return Plan(
        kind="slip",
        about=("salinity",),
        at=now.at,
        verdict="nothing" if nothing else "do",
        headline=_headline(now, shift, steps),
        steps=steps,
        figures=(
            Figure(
                "salinity_before",
                shift.before.value,
                "PSU",
                shift.before.low,
                shift.before.high,
                "estimated",
            ),
            Figure("salinity_after", shift.after.value, "PSU", shift.after.low, shift.after.high),
            Figure("goal", shift.goal, "PSU"),
            Figure("limit_per_day", shift.per_day, "PSU/day", origin=shift.origin),
            *figures,
            *_ways_figures(now, shift),
        ),
        reasons=(
            Reason(
                say(
                    "{shift}, in {litres:.0f} L of water.",
                    shift=shift.text,
                    litres=now.litres.value,
                ),
                inputs=(
                    Figure(
                        "volume",
                        now.litres.value,
                        "L",
                        now.litres.low,
                        now.litres.high,
                        "estimated",
                    ),
                ),
                equation=shift.equation,
                sources=("levenspiel1999",),
            ),
        ),
        stops=(
            say(
                "a test of salinity is more than 1 PSU from what is expected: "
                "then the litres or the volume are not what was thought."
            ),
        )
        if steps
        else (),
        cautions=cautions.cautions(
            *(("flood",) if shift.extra or shift.missing else ()), "mains", "hoses"
        )
        if steps
        else (),
        notes=(*_notes(shift), *now.assumed_of("salinity")),
    )


def _headline(now: WaterNow, shift: Shift, steps: tuple[Step, ...]) -> str:
    after = now.text("salinity", shift.after)
    before = now.text("salinity", shift.before)
    first = say(
        "{shift}: salinity goes from {before} to about {after}.",
        shift=shift.text,
        before=before,
        after=after,
    )
    if shift.before.value == shift.after.value:
        first = say("Salinity stands at {after}.", after=after)
    if not steps:
        return say(
            "{first} That near to where you want it nobody can tell; nothing to do.", first=first
        )
    days = len({step.when for step in steps[:-1]})
    goal = now.text("salinity", shift.goal)
    how = (
        say("in {days} days, not at once", days=days)
        if days > 1
        else say("over a day, not in one go")
    )
    return say("{first} Take it back to {goal} {how}.", first=first, goal=goal, how=how)


def _ways_figures(now: WaterNow, shift: Shift) -> tuple[Figure, ...]:
    """What each way back would take as one go, for the keeper who asks."""
    after, goal, volume = shift.after.value, shift.goal, now.litres.value
    if abs(after - goal) < 1e-9:
        return ()
    if after > goal:
        return (Figure("fresh_swap", slips.fresh_swap(after, goal, volume), "L"),)
    tenth = slips.change_salinity_for(after, goal, 0.1)
    found = [Figure("one_change_of_a_tenth_needs", tenth, "PSU")]
    evaporation = evaporation_of(now)
    if evaporation:
        found.append(
            Figure("evaporation", evaporation, "L/day", origin=say("top-off of two weeks"))
        )
        found.append(Figure("salt_top_off_days", salt_top_off_days(now, shift), "days"))
    return tuple(found)


def _notes(shift: Shift) -> list[str]:
    found = []
    if shift.after.value > shift.goal and not shift.missing:
        share = 100.0 * (1.0 - shift.goal / shift.after.value)
        found.append(
            say(
                "Each litre taken out takes its alkalinity and calcium along: about "
                "{share:.0f} % less of all by the end, so watch alkalinity in those "
                "days.",
                share=share,
            )
        )
    if shift.after.value < shift.goal:
        tenth = slips.change_salinity_for(shift.after.value, shift.goal, 0.1)
        if tenth > _STRONGEST:
            found.append(
                say(
                    "One change of a tenth can't do it: its water would need {tenth:.0f} PSU.",
                    tenth=tenth,
                )
            )
        found.append(
            say(
                "What not to do: no dry salt and no brine into the tank. Salt water "
                "in place of top-off, or changes with somewhat saltier water, take "
                "days and hurt nobody."
            )
        )
    elif abs(shift.after.value - shift.goal) > shift.per_day:
        found.append(
            say(
                "What not to do: no big fresh change at once. Animals follow a fall "
                "better than a rise, but not one of hours."
            )
        )
    return found
