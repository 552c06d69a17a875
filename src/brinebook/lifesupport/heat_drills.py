"""Drills of heat: heaters that stick, a lid, a heat wave, a fan or a chiller that stops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
from brinebook.lifesupport.heat import Body, settled_temperature, vapour_leaving, with_lid
from brinebook.lifesupport.heat_answer import (
    ACT_ABOVE,
    ACT_BELOW,
    FAN_SPEED,
    Stuck,
    faulty_course,
    heatings,
    stuck_heater,
)
from brinebook.lifesupport.heat_course import (
    Blowing,
    Chilling,
    Course,
    Lighting,
    Regime,
    course,
    daily_weather,
)
from brinebook.lifesupport.heat_model import (
    USUAL_LID,
    Bodies,
    bodies_of,
    coldest_air,
    mean_gains,
    months_of,
    range_over,
    room_of,
    steady_gains,
)
from brinebook.lifesupport.humid_air import Air, humidity_of_ratio, humidity_ratio
from brinebook.lifesupport.ranges import Range
from brinebook.rig import Heater, Rig

#: A heat wave: so many K above the warmest month at its afternoons, so many days, going up and down
#: by so much about its mean (common practice, no source).
_WAVE_ABOVE, _WAVE_DAYS, _WAVE_SWING = 8.0, 5, 4.0
#: Where a fan or a chiller starts when nothing is said: 25 °C is in good standing, and a fan starts
#: above it (common practice, no source).
_FAN_STARTS = 0.5
_LIGHTS_MIDDLE = 15.0  # hour of the clock around which lamps are on
_SHOWN_HOURS = 48


def heat_drills(rig: Rig, litres: float, *, month: int) -> Iterator[Drill]:
    """Every failure of heating and cooling that the rig can have; ``month`` is 1 to 12."""
    months = months_of(rig)
    now = months[month - 1]
    bodies = bodies_of(rig, litres, air=now)
    for heater in rig.heaters:
        yield _stuck_on(rig, bodies, heater, now, lid=False)
        if not _is_covered(rig):
            yield _stuck_on(rig, bodies, heater, now, lid=True)
        yield _stuck_off(rig, litres, heater)
    if rig.vessels and not _is_covered(rig):
        yield _lid_added(rig, litres)
    yield from _wave_drills(rig, litres)


def _stuck_on(rig: Rig, bodies: Bodies, heater: Heater, air: Air, *, lid: bool) -> Drill:
    found = stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=air, lid=lid)
    covered = bodies if not lid else _covered(bodies)
    courses = [
        faulty_course(rig, body, heater=heater, fault="stuck on", air=air)
        for body in covered.each()
    ]
    alarm = within_of([one.hours_until(rig.temperature + 1.5) for one in courses])
    end = found.ends_at
    under = " under a lid" if lid else ""
    return Drill(
        id=f"heater-stuck-on{'-with-lid' if lid else ''}/{heater.name}",
        fault="heater stuck on",
        parts=(heater.name, *(("lid",) if lid else ())),
        title=f"{heater.name} sticks on{under}",
        told=_told_stuck(end, found.hours is not None, "hot"),
        harm=harm_of_heat(end.high),
        within=within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        figures=(
            ranged("ends_at", end, "C"),
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
    half = replace(heater, name=f"half of {heater.name}", power=heater.power / 2.0)
    others = tuple(one for one in rig.heaters if one is not heater)
    halved = replace(rig, heaters=(half, replace(half, name=f"other half of {heater.name}"),
                                   *others))  # fmt: skip
    cut = replace(heater, cut_out=rig.temperature + 1.0)
    guarded = replace(rig, heaters=(cut, *others))
    yield _as_remedy(
        stuck_heater(halved, bodies, heater=half, fault="stuck on", air=air, lid=lid),
        f"two heaters of {half.power:.0f} W instead of one of {heater.power:.0f} W",
        effort=2,
    )
    if heater.cut_out is None:
        yield _as_remedy(
            stuck_heater(guarded, bodies, heater=cut, fault="stuck on", air=air, lid=lid),
            f"a controller of its own that cuts it off at {cut.cut_out:.1f} °C",
            effort=2,
        )
    if lid:
        yield _as_remedy(
            stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=air, lid=False),
            "leave the lid off",
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
    end = f"{found.ends_at.value:.1f} °C ({found.ends_at.low:.1f} to {found.ends_at.high:.1f})"
    return Remedy(text, effort, harm, within, f"it would end at {end}")  # type: ignore[arg-type]


def _stuck_off(rig: Rig, litres: float, heater: Heater) -> Drill:
    air = coldest_air(rig)
    bodies = bodies_of(rig, litres, air=air)
    found = stuck_heater(rig, bodies, heater=heater, fault="stuck off", air=air, lid=False)
    courses = [
        faulty_course(rig, body, heater=heater, fault="stuck off", air=air)
        for body in bodies.each()
    ]
    half = replace(heater, name=f"half of {heater.name}", power=heater.power / 2.0)
    others = tuple(one for one in rig.heaters if one is not heater)
    halved = replace(rig, heaters=(half, replace(half, name=f"other half of {heater.name}"),
                                   *others))  # fmt: skip
    after = stuck_heater(halved, bodies, heater=half, fault="stuck off", air=air, lid=False)
    alarm = within_of([one.hours_until(rig.temperature - 1.5) for one in courses])
    return Drill(
        id=f"heater-stuck-off/{heater.name}",
        fault="heater stuck off",
        parts=(heater.name,),
        title=f"{heater.name} stays cold in the coldest room",
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
                f"two heaters of {half.power:.0f} W instead of one of {heater.power:.0f} W",
                effort=2,
            ),
        ),
        cautions=("mains",),
    )


def _told_stuck(end: Range, reaches: bool, side: str) -> str:
    worse = "warm" if side == "hot" else "cold"
    if reaches:
        return f"The water ends at {end.value:.1f} °C ({end.low:.1f} to {end.high:.1f})."
    return (
        f"The water ends at {end.value:.1f} °C ({end.low:.1f} to {end.high:.1f}), which is "
        f"not {worse} enough to harm within four days."
    )


def _thermometer(at: float, alarm: Within | None) -> tuple[str, ...]:
    if alarm is None or alarm.short is None:
        return ("a thermometer shows it, though slowly",)
    return (f"a thermometer that calls at {at:.1f} °C, after {alarm.short:.1f} h at the earliest",)


def _lid_added(rig: Rig, litres: float) -> Drill:
    """A lid on in the warmest month: less evaporates, less heat leaves, and less top-off runs."""
    air = max(months_of(rig), key=lambda one: one.temperature)
    bodies = bodies_of(rig, litres, air=air)
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
        fault="lid added",
        parts=("lid",),
        title="a lid is put on in the warmest month",
        told=(
            f"Without heating the water would settle at {after.value:.1f} °C ({after.low:.1f} to "
            f"{after.high:.1f}) instead of {before.value:.1f}. Less top-off runs, and with it less "
            "of whatever is dissolved in it. A heater that sticks gets worse, and in an outage no "
            "air comes in."
        ),
        harm=harm,
        within=None,
        figures=(
            ranged("settles_at", after, "C"),
            ranged("settled_before", before, "C"),
            ranged("evaporation", litres_of(covered), "L/day"),
            ranged("evaporation_before", litres_of(bodies), "L/day"),
        ),
        warns=("the top-off can lasts longer than before",),
        remedies=(Remedy("leave a third of the surface open", 0, 1, None),),
    )


def _wave_drills(rig: Rig, litres: float) -> Iterator[Drill]:
    plain = _wave(rig, litres)
    yield plain
    surface = [fan for fan in rig.fans if fan.kind == "surface"]
    for fan in surface:
        without = replace(rig, fans=tuple(one for one in rig.fans if one is not fan))
        yield _wave(without, litres, stopped=fan.name, part="fan")
    for cooler in rig.coolers:
        without = replace(rig, coolers=tuple(one for one in rig.coolers if one is not cooler))
        yield _wave(without, litres, stopped=cooler.name, part="chiller")
    for heater in rig.heaters:
        yield _wave(rig, litres, stuck=heater)


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
    own = next((fan for fan in rig.fans if fan.kind == "surface"), None)
    fan = None
    if fan_speed is not None:
        fan = Blowing(fan_speed, rig.temperature + _FAN_STARTS)
    elif own is not None:
        starts = rig.temperature + _FAN_STARTS if own.starts_at is None else own.starts_at
        fan = Blowing(FAN_SPEED if own.air_speed is None else own.air_speed, starts)
    cooler = rig.coolers[0] if rig.coolers else None
    chiller = None
    if cooler is not None:
        starts = rig.temperature + _FAN_STARTS if cooler.starts_at is None else cooler.starts_at
        chiller = Chilling(sum(one.cooling for one in rig.coolers), starts)
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
        fan=fan,
        chiller=chiller,
        gains=steady_gains(rig),
    )
    return [
        course(
            body,
            rig.temperature,
            hours=24.0 * _WAVE_DAYS,
            weather=weather,
            regime=regime,
            step=900.0,
        )
        for body in bodies
    ]


def _wave(
    rig: Rig, litres: float, *, stopped: str = "", part: str = "", stuck: Heater | None = None
) -> Drill:
    air = wave_air(rig)
    bodies = bodies_of(rig, litres, air=air)
    courses = wave_courses(rig, bodies.each(), stuck=stuck)
    highest = _highest(courses)
    above = [_hours_above(one, ACT_ABOVE) for one in courses]
    with_what = f" and {stopped} stops" if stopped else ""
    with_what += f" and {stuck.name} sticks on" if stuck else ""
    name = stopped or (stuck.name if stuck else "")
    kind = f"{part}-stops" if stopped else "heater-stuck-on" if stuck else ""
    return Drill(
        id=f"heat-wave{f'+{kind}/{name}' if name else ''}",
        fault=f"heat wave{f' and {part} stopped' if stopped else ''}"
        f"{' and heater stuck on' if stuck else ''}",
        parts=tuple(one for one in ("room", name) if one),
        title=f"five days of {air.temperature + _WAVE_SWING:.0f} °C afternoons{with_what}",
        told=(
            f"The water gets to {highest.value:.1f} °C ({highest.low:.1f} to {highest.high:.1f}) "
            f"in a room of {air.temperature - _WAVE_SWING:.0f} to "
            f"{air.temperature + _WAVE_SWING:.0f} °C."
        ),
        harm=harm_of_heat(highest.high),
        within=within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        figures=(
            ranged("highest", highest, "C"),
            ranged("hours_above_28_5", Range(above[1], min(above), max(above)), "h"),
            ranged("evaporated", _evaporated(courses), "L/day"),
        ),
        courses=(course_of("temperature", courses, hours=24 * _WAVE_DAYS, limit=ACT_ABOVE),),
        warns=("the forecast, and a thermometer that calls at 27 °C",),
        remedies=tuple(_against_wave(rig, bodies, stuck=stuck)),
        cautions=("mains",),
        assumed=()
        if room_of(rig).heat_wave is not None
        else (
            f"afternoons {_WAVE_ABOVE:.0f} K above the warmest month (common practice, no source)",
        ),
    )


def _against_wave(rig: Rig, bodies: Bodies, *, stuck: Heater | None) -> Iterator[Remedy]:
    if stuck is not None:
        yield _wave_remedy(
            wave_courses(replace(rig, heaters=()), bodies.each()),
            "unplug the heaters for the summer",
            effort=0,
        )
    has_fan = any(fan.kind == "surface" for fan in rig.fans)
    if not has_fan:
        yield _wave_remedy(
            wave_courses(rig, bodies.each(), stuck=stuck, fan_speed=FAN_SPEED),
            f"a fan over the water ({FAN_SPEED:.1f} m/s)",
            effort=1,
        )
    if rig.lamps:
        yield _wave_remedy(
            wave_courses(rig, bodies.each(), stuck=stuck, lamps=0.5),
            "half the hours of light",
            effort=0,
        )


def _wave_remedy(courses: Sequence[Course], text: str, *, effort: int) -> Remedy:
    highest = _highest(courses)
    return Remedy(
        text,
        effort,  # type: ignore[arg-type]
        harm_of_heat(highest.high),
        within_of([one.hours_until(ACT_ABOVE) for one in courses]),
        f"{highest.value:.1f} °C ({highest.low:.1f} to {highest.high:.1f}) at the most, for "
        f"{_evaporated(courses).value:.1f} L a day",
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


def _covered(bodies: Bodies) -> Bodies:
    little, middle, much = (with_lid(body, open_share=USUAL_LID) for body in bodies.each())
    return Bodies(little, middle, much)


def _is_covered(rig: Rig) -> bool:
    display = rig.vessel("display")
    return display is not None and 1.0 - display.lid <= USUAL_LID
