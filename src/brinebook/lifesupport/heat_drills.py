"""Drills of heat: heaters that stick, a lid, a heat wave, a fan or a chiller that stops."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brinebook.lifesupport.drill import Drill, Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import (
    course_of,
    harm_of_cold,
    harm_of_heat,
    ranged,
    within_of,
)
from brinebook.lifesupport.evaporation import SECONDS_A_DAY
from brinebook.lifesupport.heat import settled_temperature, vapour_leaving, with_lid
from brinebook.lifesupport.heat_answer import (
    ACT_ABOVE,
    ACT_BELOW,
    Stuck,
    faulty_course,
    stuck_heater,
)
from brinebook.lifesupport.heat_model import (
    USUAL_LID,
    Bodies,
    bodies_of,
    coldest_air,
    factors_of,
    mean_gains,
    months_of,
    range_over,
)
from brinebook.lifesupport.humid_air import Air
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.wave_drills import wave_drills
from brinebook.rig import Heater, Rig
from brinebook.texts import say

_SHOWN_HOURS = 48


def heat_drills(rig: Rig, litres: float, *, month: int) -> Iterator[Drill]:
    """Every failure of heating and cooling that the rig can have; ``month`` is 1 to 12."""
    months = months_of(rig)
    now = months[month - 1]
    bodies = bodies_of(rig, litres, factors=factors_of(rig, air=now))
    for heater in rig.heaters:
        yield _stuck_on(rig, bodies, heater, now, lid=False)
        if not _is_covered(rig):
            yield _stuck_on(rig, bodies, heater, now, lid=True)
        yield _stuck_off(rig, bodies, heater)
    if rig.vessels and not _is_covered(rig):
        yield _lid_added(rig, bodies)
    yield from wave_drills(rig, bodies)


def _stuck_on(rig: Rig, bodies: Bodies, heater: Heater, now: Air, *, lid: bool) -> Drill:
    """A heater that sticks on in the warmest month, when it does most; and what it would do now."""
    air = max(months_of(rig), key=lambda one: one.temperature)
    found = stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=air, lid=lid)
    today = stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=now, lid=lid)
    covered = bodies if not lid else _covered(bodies)
    courses = [
        faulty_course(rig, body, heater=heater, fault="stuck on", air=air)
        for body in covered.each()
    ]
    alarm = within_of([one.hours_until(rig.temperature + 1.5) for one in courses])
    end = found.ends_at
    under = say(" under a lid") if lid else ""
    return Drill(
        id=f"heater-stuck-on{'-with-lid' if lid else ''}/{heater.name}",
        fault=say("heater stuck on"),
        parts=(heater.name, *(("lid",) if lid else ())),
        title=say(
            "{heater} sticks on{under} in the warmest month", heater=heater.name, under=under
        ),
        told=_told_stuck(end, found.hours is not None, "hot")
        + say(
            " In this month's room it would end at {ends_at:.1f} °C.", ends_at=today.ends_at.value
        ),
        harm=harm_of_heat(end.high),
        within=within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        figures=(
            ranged("ends_at", end, "C"),
            ranged("ends_at_this_month", today.ends_at, "C"),
            *((ranged("hours_to_28_5", found.hours, "h"),) if found.hours else ()),
        ),
        courses=(course_of("temperature", courses, hours=_SHOWN_HOURS, limit=ACT_ABOVE),),
        warns=_thermometer(rig.temperature + 1.5, alarm),
        remedies=tuple(_against_stuck_on(rig, bodies, heater, air, lid=lid)),
        cautions=("mains",),
    )


def _against_stuck_on(
    rig: Rig, bodies: Bodies, heater: Heater, air: Air, *, lid: bool
) -> Iterator[Remedy]:
    half = replace(
        heater, name=say("half of {heater}", heater=heater.name), power=heater.power / 2.0
    )
    others = tuple(one for one in rig.heaters if one is not heater)
    halved = replace(
        rig,
        heaters=(
            half,
            replace(half, name=say("other half of {heater}", heater=heater.name)),
            *others,
        ),
    )
    cut = replace(heater, cut_out=rig.temperature + 1.0)
    guarded = replace(rig, heaters=(cut, *others))
    yield _as_remedy(
        stuck_heater(halved, bodies, heater=half, fault="stuck on", air=air, lid=lid),
        say(
            "two heaters of {power:.0f} W instead of one of {heater_power:.0f} W",
            power=half.power,
            heater_power=heater.power,
        ),
        effort=2,
    )
    if heater.cut_out is None:
        yield _as_remedy(
            stuck_heater(guarded, bodies, heater=cut, fault="stuck on", air=air, lid=lid),
            say(
                "a controller of its own that cuts it off at {cut_out:.1f} °C", cut_out=cut.cut_out
            ),
            effort=2,
        )
    if lid:
        yield _as_remedy(
            stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=air, lid=False),
            say("leave the lid off"),
            effort=0,
        )


def _as_remedy(found: Stuck, text: str, *, effort: int) -> Remedy:
    hot = found.fault == "stuck on"
    harm = harm_of_heat(found.ends_at.high) if hot else harm_of_cold(found.ends_at.low)
    within: Within | None = None
    if found.hours is not None:
        within = Within(
            found.hours.low, found.hours.value, None if found.never else found.hours.high
        )
    end = say(
        "{ends_at:.1f} °C ({ends_at_low:.1f} to {ends_at_high:.1f})",
        ends_at=found.ends_at.value,
        ends_at_low=found.ends_at.low,
        ends_at_high=found.ends_at.high,
    )
    return Remedy(text, effort, harm, within, say("it would end at {end}", end=end))  # type: ignore[arg-type]


def _stuck_off(rig: Rig, bodies: Bodies, heater: Heater) -> Drill:
    air = coldest_air(rig)
    found = stuck_heater(rig, bodies, heater=heater, fault="stuck off", air=air, lid=False)
    courses = [
        faulty_course(rig, body, heater=heater, fault="stuck off", air=air)
        for body in bodies.each()
    ]
    half = replace(
        heater, name=say("half of {heater}", heater=heater.name), power=heater.power / 2.0
    )
    others = tuple(one for one in rig.heaters if one is not heater)
    halved = replace(
        rig,
        heaters=(
            half,
            replace(half, name=say("other half of {heater}", heater=heater.name)),
            *others,
        ),
    )
    after = stuck_heater(halved, bodies, heater=half, fault="stuck off", air=air, lid=False)
    alarm = within_of([one.hours_until(rig.temperature - 1.5) for one in courses])
    return Drill(
        id=f"heater-stuck-off/{heater.name}",
        fault=say("heater stuck off"),
        parts=(heater.name,),
        title=say("{heater} stays cold in the coldest room", heater=heater.name),
        told=_told_stuck(found.ends_at, found.hours is not None, "cold"),
        harm=harm_of_cold(found.ends_at.low),
        within=within_of([one.hours_until(ACT_BELOW) for one in courses]),
        figures=(
            ranged("ends_at", found.ends_at, "C"),
            *((ranged("hours_to_22", found.hours, "h"),) if found.hours else ()),
        ),
        courses=(course_of("temperature", courses, hours=_SHOWN_HOURS, limit=ACT_BELOW),),
        warns=_thermometer(rig.temperature - 1.5, alarm),
        remedies=(
            _as_remedy(
                after,
                say(
                    "two heaters of {power:.0f} W instead of one of {heater_power:.0f} W",
                    power=half.power,
                    heater_power=heater.power,
                ),
                effort=2,
            ),
        ),
        cautions=("mains",),
    )


def _told_stuck(end: Range, reaches: bool, side: str) -> str:
    worse = say("warm") if side == "hot" else say("cold")
    if reaches:
        return say(
            "The water ends at {end:.1f} °C ({end_low:.1f} to {end_high:.1f}).",
            end=end.value,
            end_low=end.low,
            end_high=end.high,
        )
    return say(
        "The water ends at {end:.1f} °C ({end_low:.1f} to {end_high:.1f}), which is "
        "not {worse} enough to harm within four days.",
        end=end.value,
        end_low=end.low,
        end_high=end.high,
        worse=worse,
    )


def _thermometer(at: float, alarm: Within | None) -> tuple[str, ...]:
    if alarm is None or alarm.short is None:
        return (say("a thermometer shows it, though slowly"),)
    return (
        say(
            "a thermometer that calls at {at:.1f} °C, after {short:.1f} h at the earliest",
            at=at,
            short=alarm.short,
        ),
    )


def _lid_added(rig: Rig, bodies: Bodies) -> Drill:
    """A lid on in the warmest month: less evaporates, less heat leaves, and less top-off runs."""
    air = max(months_of(rig), key=lambda one: one.temperature)
    covered = _covered(bodies)
    gains = mean_gains(rig)
    before = range_over(bodies, lambda body: settled_temperature(body, air=air, heat=gains))
    after = range_over(covered, lambda body: settled_temperature(body, air=air, heat=gains))

    def litres_of(each: Bodies) -> Range:
        return range_over(
            each, lambda body: vapour_leaving(body, rig.temperature, air=air) * SECONDS_A_DAY
        )

    end = Range(*(max(value, rig.temperature) for value in (after.value, after.low, after.high)))
    harm: Harm = max(harm_of_heat(end.high), 1)
    return Drill(
        id="lid-added",
        fault=say("lid added"),
        parts=("lid",),
        title=say("a lid is put on in the warmest month"),
        told=(
            say(
                "Without heating the water would settle at {after:.1f} °C "
                "({after_low:.1f} to {after_high:.1f}) instead of {before:.1f}. Less "
                "top-off runs, and with it less of whatever is dissolved in it. A heater "
                "that sticks gets worse, and in an outage no air comes in.",
                after=after.value,
                after_low=after.low,
                after_high=after.high,
                before=before.value,
            )
        ),
        harm=harm,
        within=None,
        figures=(
            ranged("settles_at", after, "C"),
            ranged("settled_before", before, "C"),
            ranged("evaporation", litres_of(covered), "L/day"),
            ranged("evaporation_before", litres_of(bodies), "L/day"),
        ),
        warns=(say("the top-off can lasts longer than before"),),
        remedies=(Remedy(say("leave a third of the surface open"), 0, 1, None),),
    )


def _covered(bodies: Bodies) -> Bodies:
    little, middle, much = (with_lid(body, open_share=USUAL_LID) for body in bodies.each())
    return Bodies(little, middle, much)


def _is_covered(rig: Rig) -> bool:
    display = rig.vessel("display")
    return display is not None and 1.0 - display.lid <= USUAL_LID
