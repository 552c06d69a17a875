"""Drills of dosing: each pump stuck on with its container full, and the pair of the two parts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from brinebook.balance.described import bottle_of
from brinebook.lifesupport.dosing_course import (
    AIR_HOURS,
    PouredHour,
    Pouring,
    WaterNow,
    most_for,
    pouring_course,
    rise,
)
from brinebook.lifesupport.drill import Drill, DrillCourse, DrillPoint, Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import ranged
from brinebook.lifesupport.ranges import Range, exactly, spread
from brinebook.rig import Doser, Rig
from brinebook.system import Additive
from brinebook.texts import say
from brinebook.water.salts import SALTS, read_formula

#: Rises that are held against when the keeper set no limit a day: common practice, no source.
USUAL_LIMITS: Mapping[str, float] = {"alkalinity": 1.0 / 2.80385, "calcium": 30.0,
                                     "magnesium": 100.0}  # fmt: skip
_UNITS: Mapping[str, str] = {"alkalinity": "meq/L"}
#: From this saturation on much of it falls out again, and from this pH on animals suffer
#: (common practice, no source).
FALLS_OUT_FROM, HIGH_PH = 12.0, 8.8
_SHOWN_HOURS = 24
#: Where an old balance leaves room for none at all, chemistry starts here: meq/L and mg/L.
_LEAST_ALKALINITY, _LEAST_CALCIUM = 0.3, 50.0


def dosing_drills(
    rig: Rig,
    additives: Sequence[Additive],
    *,
    water: WaterNow,
    limits: Mapping[str, float],
    flow_off: float = 0.2,
) -> Iterator[Drill]:
    """Each dosing pump stuck on until its container is empty, then every pair of the two parts.

    ``limits`` are the keeper's own for a day, canonical units; ``flow_off`` the share by which a
    pump's flow may be off.
    """
    found = [
        (doser, bottle)
        for doser in rig.dosers
        if (bottle := pouring_of(doser, additives)) is not None
    ]
    for doser, bottle in found:
        yield _stuck(doser, bottle, water=water, limits=limits, flow_off=flow_off)
    raises = {
        what: [one for one in found if one[1].per_ml.get(what)]
        for what in ("alkalinity", "calcium")
    }
    for first in raises["alkalinity"]:
        for second in raises["calcium"]:
            if first[0] is not second[0]:
                yield _both(first[1], second[1], water=water)


def pouring_of(doser: Doser, additives: Sequence[Additive]) -> Pouring | None:
    """What the pump's bottle brings; None where nothing described says so."""
    wanted = doser.additive.casefold()
    found = next((one for one in additives if one.name.casefold() == wanted), None)
    if found is None:
        return None
    bottle = bottle_of(found)
    if not bottle.per_unit or not doser.flow:
        return None
    formula = read_formula(found.salt) if found.salt else None
    carbon = None
    if formula is not None and found.grams_per_litre:
        carbon = SALTS[formula].carbon * found.grams_per_litre / 1000.0
    elif not bottle.per_unit.get("alkalinity"):
        carbon = 0.0
    holds = doser.container if doser.holds is None else doser.holds
    return Pouring(doser.name, bottle.per_unit, carbon, holds * 1000.0, doser.flow * 1000.0)


@dataclass(frozen=True, slots=True)
class _Emptied:
    """What a whole container does: by quantity what a mL brings, the rise, and what is borne."""

    brings: Mapping[str, float]
    rises: Mapping[str, Range]
    allowed: Mapping[str, float]

    @property
    def over(self) -> tuple[str, ...]:
        """The quantities whose rise may pass what is borne in a day."""
        return tuple(n for n, found in self.rises.items() if abs(found.high) > self.allowed[n])

    def times_allowed(self, quantity: str) -> float:
        """How many times what is borne the rise may come to; 0 where it has none."""
        limit = self.allowed.get(quantity)
        return abs(self.rises[quantity].high) / limit if limit else 0.0


def _emptied(bottle: Pouring, water: WaterNow, limits: Mapping[str, float]) -> _Emptied:
    brings = {
        name: per_ml
        for name, per_ml in bottle.per_ml.items()
        if name in USUAL_LIMITS or name in limits
    }
    return _Emptied(
        brings,
        {name: _rise_range(one, bottle.holds, water.litres) for name, one in brings.items()},
        {name: limits.get(name, USUAL_LIMITS.get(name, math.inf)) for name in brings},
    )


def _stuck(
    doser: Doser,
    bottle: Pouring,
    *,
    water: WaterNow,
    limits: Mapping[str, float],
    flow_off: float,
) -> Drill:
    found = _emptied(bottle, water, limits)
    courses = _courses(water, (bottle,))
    times = [
        _hours_range(found.brings[name], found.allowed[name], bottle, water.litres, flow_off)
        for name in found.over
    ]
    ph, omega = _highest(courses, "ph_nbs"), _highest(courses, "omega_aragonite")
    rises = [ranged(f"{n}_rise", one, _UNITS.get(n, "mg/L")) for n, one in found.rises.items()]
    return Drill(
        id=f"doser-stuck-on/{doser.name}",
        fault=say("doser stuck on"),
        parts=(doser.name, doser.additive),
        title=say(
            "{doser} doesn't stop and empties {holds} into the water",
            doser=doser.name,
            holds=_amount(bottle.holds),
        ),
        told=_told(bottle, found.rises, omega.high),
        harm=_harm(found, ph.high, omega.high),
        within=min(times, key=lambda one: one.short or 0.0) if times else None,
        figures=(
            *rises,
            ranged("empty_after", _empty_after(bottle, flow_off), "h"),
            ranged("highest_ph", ph, "NBS"),
            ranged("highest_saturation", omega, ""),
        ),
        courses=_shown(courses, found.allowed, water),
        warns=_warns(doser, bottle),
        remedies=_remedies(bottle, _keeps(found, water.litres.low)),
        cautions=("mains",),
        assumed=() if bottle.carbon is not None else (say("its alkalinity is taken as carbonate"),),
    )


def _keeps(found: _Emptied, litres: float) -> float:
    """The most mL whose every rise is borne, in the least water that is believed."""
    return min(
        (most_for(one, found.allowed[name], litres=litres) for name, one in found.brings.items()),
        default=math.inf,
    )


def _both(first: Pouring, second: Pouring, *, water: WaterNow) -> Drill:
    courses = _courses(water, (first, second))
    omega = _highest(courses, "omega_aragonite")
    return Drill(
        id=f"dosers-stuck-on/{first.name}+{second.name}",
        fault=say("both dosers stuck on"),
        parts=(first.name, second.name),
        title=say(
            "{first} and {second} both run on, as a controller that hangs makes them",
            first=first.name,
            second=second.name,
        ),
        told=(
            say(
                "Saturation of aragonite goes to {omega:.1f} ({omega_low:.1f} to {omega_high:.1f})",
                omega=omega.value,
                omega_low=omega.low,
                omega_high=omega.high,
            )
            + (
                say(", from where much of both falls out as a white cloud.")
                if omega.high > FALLS_OUT_FROM
                else "."
            )
        ),
        harm=3 if omega.high > FALLS_OUT_FROM else 2,
        within=_until(courses, FALLS_OUT_FROM),
        figures=(ranged("highest_saturation", omega, ""),),
        courses=_shown(courses, {}, water),
        cautions=("mains",),
        warns=(say("a white haze in the water"), say("both containers are lower than their marks")),
        remedies=(
            Remedy(
                say("two timers instead of one controller, so that one fault can't run both"),
                1,
                2,
                None,
            ),
        ),
    )


def _courses(water: WaterNow, bottles: tuple[Pouring, ...]) -> list[tuple[PouredHour, ...]]:
    """The middle of everything first; then the ends: how much water, how it starts, how it airs.

    Fast airing is the worse one after bicarbonate and the better one after hydroxide, so that both
    stand with either end of the water.
    """

    def course(litres: float, start: tuple[float, float], airs: float) -> tuple[PouredHour, ...]:
        alkalinity, calcium = start
        begins = replace(
            water,
            alkalinity=exactly(max(alkalinity, _LEAST_ALKALINITY)),
            calcium=exactly(max(calcium, _LEAST_CALCIUM)),
        )
        return pouring_course(begins, bottles, hours=_SHOWN_HOURS, litres=litres, air_hours=airs)

    fast, middle, slow = AIR_HOURS
    low = water.alkalinity.low, water.calcium.low
    high = water.alkalinity.high, water.calcium.high
    return [
        course(water.litres.value, (water.alkalinity.value, water.calcium.value), middle),
        *(course(water.litres.high, low, airs) for airs in (fast, slow)),
        *(course(water.litres.low, high, airs) for airs in (fast, slow)),
    ]


def _around(values: Iterable[float]) -> Range:
    """The first with the ends of all."""
    told = list(values)
    return Range(told[0], min(told), max(told))


def _rise_range(per_ml: float, holds: float, litres: Range) -> Range:
    return spread(
        rise(per_ml, holds, litres=one) for one in (litres.high, litres.value, litres.low)
    )


def _hours_range(
    per_ml: float, limit: float, bottle: Pouring, litres: Range, flow_off: float
) -> Within:
    """Hours until the rise is at the limit: in little water with a fast pump, and so on."""

    def hours(volume: float, faster: float) -> float | None:
        needed = most_for(per_ml, limit, litres=volume)
        return needed / (bottle.flow * faster) if needed <= bottle.holds else None

    return Within(
        hours(litres.low, 1.0 + flow_off),
        hours(litres.value, 1.0),
        hours(litres.high, 1.0 - flow_off),
    )


def _empty_after(bottle: Pouring, flow_off: float) -> Range:
    hours = bottle.runs_for
    return Range(hours, hours / (1.0 + flow_off), hours / (1.0 - flow_off))


def _highest(courses: Sequence[tuple[PouredHour, ...]], what: str) -> Range:
    return _around(max(float(getattr(one, what)) for one in each) for each in courses)


def _until(courses: Sequence[tuple[PouredHour, ...]], omega: float) -> Within | None:
    reached = [
        next((one.hour for one in each if one.omega_aragonite >= omega), None) for each in courses
    ]
    hours = [hour for hour in reached if hour is not None]
    if not hours:
        return None
    return Within(min(hours), reached[0], None if None in reached else max(hours))


def _shown(
    courses: Sequence[tuple[PouredHour, ...]], allowed: Mapping[str, float], water: WaterNow
) -> tuple[DrillCourse, ...]:
    starts = {"alkalinity": water.alkalinity.value, "calcium": water.calcium.value}

    def course(name: str, unit: str, attribute: str) -> DrillCourse:
        points = []
        for hours in zip(*courses, strict=True):
            at = _around(float(getattr(one, attribute)) for one in hours)
            points.append(DrillPoint(hours[0].hour, at.value, at.low, at.high))
        limit = starts[name] + allowed[name] if name in starts and name in allowed else None
        return DrillCourse(name, unit, tuple(points), limit)

    return (
        course("alkalinity", "meq/L", "alkalinity"),
        course("calcium", "mg/L", "calcium"),
        course("ph", "NBS", "ph_nbs"),
        course("saturation", "", "omega_aragonite"),
    )


def _harm(found: _Emptied, ph: float, omega: float) -> Harm:
    """Losses by alkalinity, pH or a white cloud; other salts stress, however much of them."""
    if found.times_allowed("alkalinity") >= 6.0 or ph >= HIGH_PH or omega >= FALLS_OUT_FROM:
        return 3
    worst = max((found.times_allowed(name) for name in found.brings), default=0.0)
    if worst >= 2.0:
        return 2
    return 1 if worst > 1.0 else 0


def _told(bottle: Pouring, rises: Mapping[str, Range], omega: float) -> str:
    parts = []
    for name, found in rises.items():
        unit = _UNITS.get(name, "mg/L")
        shown = (
            say(
                "{alkalinity:+.1f} dKH ({found_low:+.1f} to {found_high:+.1f})",
                alkalinity=found.value * 2.80385,
                found_low=found.low * 2.80385,
                found_high=found.high * 2.80385,
            )
            if name == "alkalinity"
            else say(
                "{value:+.0f} {unit} ({found_low:+.0f} to {found_high:+.0f})",
                value=found.value,
                unit=unit,
                found_low=found.low,
                found_high=found.high,
            )
        )
        parts.append(f"{name} {shown}")
    what = ", ".join(parts) or say("nothing that is followed here")
    cloud = say(" Much of it may fall out as a white cloud.") if omega > FALLS_OUT_FROM else ""
    return say(
        "It is empty after {runs_for:.1f} h: {what}.{cloud}",
        runs_for=bottle.runs_for,
        what=what,
        cloud=cloud,
    )


def _warns(doser: Doser, bottle: Pouring) -> tuple[str, ...]:
    mark = say("the container of {additive} is far lower than its mark", additive=doser.additive)
    return (mark, say("a test of alkalinity")) if bottle.per_ml.get("alkalinity") else (mark,)


def _remedies(bottle: Pouring, keeps: float) -> tuple[Remedy, ...]:
    if keeps >= bottle.holds:
        return ()
    return (
        Remedy(
            say(
                "fill the container of {bottle} with no more than {keeps} at a time",
                bottle=bottle.name,
                keeps=_amount(keeps),
            ),
            0,
            1,
            None,
            say("then the whole of it stays within your limit for a day"),
        ),
        Remedy(
            say("a timer before the pump that gives it only the minutes it needs"),
            1,
            1,
            None,
            say("then a pump that hangs gives no more than its usual day"),
        ),
    )


def _amount(millilitres: float) -> str:
    """“150 mL”, “5 L”: as a bottle is marked."""
    if millilitres < 1000.0:
        return f"{millilitres:.0f} mL"
    return f"{round(millilitres / 1000.0, 1):g} L"
