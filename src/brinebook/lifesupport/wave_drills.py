"""Drills of a heat wave: as it is, with a fan or a chiller stopped, with a heater stuck on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brinebook.lifesupport.drill import Drill, Remedy
from brinebook.lifesupport.drill_figures import course_of, harm_of_heat, ranged, within_of
from brinebook.lifesupport.heat import Body
from brinebook.lifesupport.heat_answer import ACT_ABOVE, FAN_SPEED, heatings
from brinebook.lifesupport.heat_course import (
    Blowing,
    Chilling,
    Course,
    Lighting,
    Regime,
    course,
    daily_weather,
)
from brinebook.lifesupport.heat_model import Bodies, months_of, room_of, steady_gains
from brinebook.lifesupport.humid_air import Air, humidity_of_ratio, humidity_ratio
from brinebook.lifesupport.ranges import Range
from brinebook.rig import Heater, Rig
from brinebook.texts import say

#: A heat wave: so many K above the warmest month at its afternoons, so many days, going up and down
#: by so much about its mean (common practice, no source).
_WAVE_ABOVE, _WAVE_DAYS, _WAVE_SWING = 8.0, 5, 4.0
#: Where a fan or a chiller starts when nothing is said: 25 °C is in good standing, and a fan starts
#: above it (common practice, no source).
_FAN_STARTS = 0.5
_STEP = 1800.0  # s; a course takes smaller ones where a thermostat asks for them
_LIGHTS_MIDDLE = 15.0  # hour of the clock around which lamps are on


def wave_drills(rig: Rig, bodies: Bodies) -> Iterator[Drill]:
    """The described rig through a heat wave, and every single failure that makes it worse."""
    plain = _wave(rig, bodies)
    yield plain
    surface = [fan for fan in rig.fans if fan.kind == "surface"]
    for fan in surface:
        without = replace(rig, fans=tuple(one for one in rig.fans if one is not fan))
        yield _wave(without, bodies, stopped=fan.name, part="fan")
    for cooler in rig.coolers:
        without = replace(rig, coolers=tuple(one for one in rig.coolers if one is not cooler))
        yield _wave(without, bodies, stopped=cooler.name, part="chiller")
    for heater in rig.heaters:
        yield _wave(rig, bodies, stuck=heater)


def wave_air(rig: Rig) -> Air:
    """The mean air of a heat wave: afternoons as described, vapour of the warmest month."""
    warmest = max(months_of(rig), key=lambda one: one.temperature)
    peak = room_of(rig).heat_wave
    if peak is None:
        peak = warmest.temperature + _WAVE_ABOVE
    mean = max(peak - _WAVE_SWING, warmest.temperature)
    share = humidity_of_ratio(mean, humidity_ratio(warmest), pressure=warmest.pressure)
    return Air(mean, min(share, 1.0), warmest.pressure)


def wave_courses(
    rig: Rig,
    bodies: Sequence[Body],
    *,
    stuck: Heater | None = None,
    fan_speed: float | None = None,
    lamps: float = 1.0,
) -> list[Course]:
    """The water through a heat wave, for each body; ``lamps`` is the part of their hours kept."""
    weather = daily_weather(wave_air(rig), swing=_WAVE_SWING)
    regime = Regime(
        heaters=heatings(rig, faulty=stuck, fault="stuck on"),
        lamps=tuple(
            Lighting(
                lamp.power * lamp.heat_to_water,
                _LIGHTS_MIDDLE - lamp.hours * lamps / 2.0,
                lamp.hours * lamps,
            )
            for lamp in rig.lamps
        ),
        fan=_fan_of(rig, fan_speed),
        chiller=_chiller_of(rig),
        gains=steady_gains(rig),
    )
    hours = 24.0 * _WAVE_DAYS
    return [
        course(body, rig.temperature, hours=hours, weather=weather, regime=regime, step=_STEP)
        for body in bodies
    ]


def _fan_of(rig: Rig, speed: float | None) -> Blowing | None:
    """A fan over the water at this speed, else the described one, else none."""
    usual = rig.temperature + _FAN_STARTS
    if speed is not None:
        return Blowing(speed, usual)
    own = next((fan for fan in rig.fans if fan.kind == "surface"), None)
    if own is None:
        return None
    return Blowing(
        FAN_SPEED if own.air_speed is None else own.air_speed,
        usual if own.starts_at is None else own.starts_at,
    )


def _chiller_of(rig: Rig) -> Chilling | None:
    """All chillers as one, from where the first starts."""
    if not rig.coolers:
        return None
    starts = rig.coolers[0].starts_at
    return Chilling(
        sum(one.cooling for one in rig.coolers),
        rig.temperature + _FAN_STARTS if starts is None else starts,
    )


def _wave(
    rig: Rig, bodies: Bodies, *, stopped: str = "", part: str = "", stuck: Heater | None = None
) -> Drill:
    air = wave_air(rig)
    courses = wave_courses(rig, bodies.each(), stuck=stuck)
    highest = _highest(courses)
    above = [_hours_above(one, ACT_ABOVE) for one in courses]
    with_what = say(" and {stopped} stops", stopped=stopped) if stopped else ""
    with_what += say(" and {stuck} sticks on", stuck=stuck.name) if stuck else ""
    name = stopped or (stuck.name if stuck else "")
    kind = f"{part}-stops" if stopped else "heater-stuck-on" if stuck else ""
    return Drill(
        id=f"heat-wave{f'+{kind}/{name}' if name else ''}",
        fault=say(
            "heat wave{part}{and_heater}",
            part=say(" and {part} stopped", part=part) if stopped else "",
            and_heater=say(" and heater stuck on") if stuck else "",
        ),
        parts=tuple(one for one in ("room", name) if one),
        title=say(
            "five days of {temperature:.0f} °C afternoons{with_what}",
            temperature=air.temperature + _WAVE_SWING,
            with_what=with_what,
        ),
        told=(
            say(
                "The water gets to {highest:.1f} °C ({highest_low:.1f} to "
                "{highest_high:.1f}) in a room of {temperature:.0f} to "
                "{air_temperature:.0f} °C.",
                highest=highest.value,
                highest_low=highest.low,
                highest_high=highest.high,
                temperature=air.temperature - _WAVE_SWING,
                air_temperature=air.temperature + _WAVE_SWING,
            )
        ),
        harm=harm_of_heat(highest.high),
        within=within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        figures=(
            ranged("highest", highest, "C"),
            ranged("hours_above_28_5", Range(above[1], min(above), max(above)), "h"),
            ranged("evaporated", _evaporated(courses), "L/day"),
        ),
        courses=(course_of("temperature", courses, hours=24 * _WAVE_DAYS, limit=ACT_ABOVE),),
        warns=(say("the forecast, and a thermometer that calls at 27 °C"),),
        remedies=tuple(_against_wave(rig, bodies, stuck=stuck)),
        cautions=("mains",),
        assumed=()
        if room_of(rig).heat_wave is not None
        else (
            say(
                "afternoons {wave_above:.0f} K above the warmest month (common "
                "practice, no source)",
                wave_above=_WAVE_ABOVE,
            ),
        ),
    )


def _against_wave(rig: Rig, bodies: Bodies, *, stuck: Heater | None) -> Iterator[Remedy]:
    if stuck is not None:
        yield _wave_remedy(
            wave_courses(replace(rig, heaters=()), bodies.each()),
            say("unplug the heaters for the summer"),
            effort=0,
        )
    has_fan = any(fan.kind == "surface" for fan in rig.fans)
    if not has_fan:
        yield _wave_remedy(
            wave_courses(rig, bodies.each(), stuck=stuck, fan_speed=FAN_SPEED),
            say("a fan over the water ({fan_speed:.1f} m/s)", fan_speed=FAN_SPEED),
            effort=1,
        )
    if rig.lamps:
        yield _wave_remedy(
            wave_courses(rig, bodies.each(), stuck=stuck, lamps=0.5),
            say("half the hours of light"),
            effort=0,
        )


def _wave_remedy(courses: Sequence[Course], text: str, *, effort: int) -> Remedy:
    highest = _highest(courses)
    return Remedy(
        text,
        effort,  # type: ignore[arg-type]
        harm_of_heat(highest.high),
        within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        say(
            "{highest:.1f} °C ({highest_low:.1f} to {highest_high:.1f}) at the most, "
            "for {evaporated:.1f} L a day",
            highest=highest.value,
            highest_low=highest.low,
            highest_high=highest.high,
            evaporated=_evaporated(courses).value,
        ),
    )


def _highest(courses: Sequence[Course]) -> Range:
    peaks = [one.highest.temperature for one in courses]
    return Range(peaks[1], min(peaks), max(peaks))


def _evaporated(courses: Sequence[Course]) -> Range:
    a_day = [one.moments[-1].litres / _WAVE_DAYS for one in courses]
    return Range(a_day[1], min(a_day), max(a_day))


def _hours_above(went: Course, limit: float) -> float:
    step = went.moments[1].hour - went.moments[0].hour
    return step * sum(1 for moment in went.moments[1:] if moment.temperature > limit)
