"""Drills of a top-off that runs on, and of one that stays off."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.lifesupport.basins import return_section
from brinebook.lifesupport.changes import with_reservoir
from brinebook.lifesupport.drill import Drill, DrillCourse, DrillPoint, Harm, Remedy, Within
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.stuck import (
    Course,
    filled_vessel,
    top_off_stuck_off,
    top_off_stuck_on,
)
from brinebook.lifesupport.water_harm import (
    SALT_STRESS,
    harm_of_salinity,
    harm_on_floor,
    reservoir_litres,
)
from brinebook.plan import Figure
from brinebook.rig import Rig
from brinebook.texts import say


def top_off_sticks(rig: Rig, litres: float, evaporation: Range | None) -> Iterator[Drill]:
    on = top_off_stuck_on(rig, litres=litres)
    if on is not None and rig.top_off is not None:
        yield _stuck_on(rig, litres, on)
    if rig.top_off is None or evaporation is None:
        return
    if return_section(rig) is None and rig.vessel("sump") is None and rig.vessel("display"):
        yield _saltier(rig, litres, evaporation)
        return
    ends = [
        top_off_stuck_off(rig, each, litres=litres)
        for each in (evaporation.high, evaporation.value, evaporation.low)
    ]
    if ends[1] is not None:
        yield _stuck_off(rig, ends)


def _stuck_on(rig: Rig, litres: float, on: Course) -> Drill:
    change = on.salinity - rig.salinity
    harm = max(harm_of_salinity(change), harm_on_floor(on.spilt))
    room = reservoir_litres(rig)
    ends = on.ends_at or 0.0
    filled = filled_vessel(rig)
    of = say("sump") if filled is None else filled.name
    spills = (
        say(" and {spilt:.0f} L go over the {of}'s rim", spilt=on.spilt, of=of)
        if on.spilt > 0
        else ""
    )
    return Drill(
        id="top-off-stuck-on",
        fault=say("top-off stuck on"),
        parts=("top-off",),
        title=say("the top-off doesn't stop"),
        told=(
            say(
                "Its {room:.0f} L are in after {ends}: {salinity:.1f} PSU instead of "
                "{rig_salinity:.1f}{spills}.",
                room=room,
                ends=_hours(ends),
                salinity=on.salinity,
                rig_salinity=rig.salinity,
                spills=spills,
            )
        ),
        harm=harm,
        within=Within(0.7 * ends, ends, None) if harm > 1 else None,
        figures=(
            Figure("salinity", on.salinity, "PSU"),
            Figure("over_rim", on.spilt, "L"),
            Figure("empty_after", ends, "h"),
        ),
        courses=(_salinity_course(on),),
        warns=(
            say("the return section stands over its mark")
            if rig.vessel("sump")
            else say("the water stands over its mark"),
            say("the reservoir falls faster than usual"),
        ),
        remedies=(
            *_smaller_reservoir(rig, litres, on, harm),
            Remedy(say("a second float above the first, that only ever stops it"), 1, 0, None),
        ),
        cautions=("flood", "mains", "people_below"),
    )


def _smaller_reservoir(rig: Rig, litres: float, on: Course, harm: Harm) -> Iterator[Remedy]:
    """The largest reservoir that dilutes by less than what is stress, and fits in the sump."""
    least = rig.salinity - 0.95 * SALT_STRESS
    fits = min(rig.salinity * litres / least - litres, reservoir_litres(rig) - on.spilt)
    if harm < 2 or fits <= 0:
        return
    after = top_off_stuck_on(with_reservoir(rig, fits), litres=litres)
    if after is not None:
        left = max(harm_of_salinity(after.salinity - rig.salinity), harm_on_floor(after.spilt))
        told = say("it ends at {salinity:.1f} PSU", salinity=after.salinity)
        yield Remedy(say("a reservoir of {fits:.0f} L", fits=fits), 1, left, None, told)


def _stuck_off(rig: Rig, ends: list[Course | None]) -> Drill:
    told = [one for one in ends if one is not None]
    hours = [one.ends_at or 0.0 for one in told]
    middle = told[len(told) // 2]
    change = middle.salinity - rig.salinity
    return Drill(
        id="top-off-stuck-off",
        fault=say("top-off stuck off"),
        parts=("top-off",),
        title=say("the top-off doesn't start"),
        told=(
            say(
                "The return pump draws air after {hours}, at {salinity:.1f} PSU, and then runs "
                "dry.",
                hours=_between(min(hours), max(hours)),
                salinity=middle.salinity,
            )
        ),
        harm=max(harm_of_salinity(change), 2),
        within=Within(min(hours), hours[len(hours) // 2], max(hours)),
        figures=(Figure("salinity", middle.salinity, "PSU"),),
        courses=(_salinity_course(middle),),
        warns=(
            say("the return section is under its mark"),
            say("bubbles in the display"),
            say("a hum"),
        ),
        remedies=(Remedy(say("look at the return section's mark each time you feed"), 0, 1, None),),
        cautions=("mains",),
    )


def _saltier(rig: Rig, litres: float, evaporation: Range) -> Drill:
    """One vessel by itself: nothing runs dry, but the water gets saltier and lower."""
    display = rig.vessel("display")
    limit = rig.salinity + SALT_STRESS
    gone = litres * (1.0 - rig.salinity / limit)
    hours = [24.0 * gone / max(one, 1e-9) for one in (evaporation.high, evaporation.value,
                                                      evaporation.low)]  # fmt: skip
    lower = gone / (10.0 * display.surface) if display else 0.0
    points = tuple(
        DrillPoint(
            float(hour),
            *(_salinity_after(rig.salinity, litres, one * hour / 24.0)
              for one in (evaporation.value, evaporation.low, evaporation.high)),
        )
        for hour in range(0, 97, 4)
    )  # fmt: skip
    return Drill(
        id="top-off-stuck-off",
        fault=say("top-off stuck off"),
        parts=("top-off",),
        title=say("the top-off doesn't start"),
        told=(
            say(
                "{limit:.1f} PSU are reached after {hours}, with the water {lower:.0f} cm lower. "
                "Heaters and pumps that hang near the surface come dry.",
                limit=limit,
                hours=_between(hours[0], hours[2]),
                lower=lower,
            )
        ),
        harm=2,
        within=Within(*hours),
        figures=(Figure("lower", lower, "cm"),),
        courses=(DrillCourse("salinity", "PSU", points, limit),),
        warns=(say("the water is under its mark"), say("a line of salt above it")),
        remedies=(Remedy(say("look at the water's mark each time you feed"), 0, 1, None),),
        cautions=("mains",),
    )


def _salinity_after(salinity: float, litres: float, gone: float) -> float:
    return salinity * litres / max(litres - gone, 0.5 * litres)


def _salinity_course(course: Course) -> DrillCourse:
    points = tuple(
        DrillPoint(hour.hours, hour.salinity, hour.salinity, hour.salinity) for hour in course.hours
    )
    return DrillCourse("salinity", "PSU", points)


def _between(low: float, high: float) -> str:
    """“2 to 3 days”, or “34 hours to 4 days”."""
    if low >= 48:
        return say("{low:.0f} to {high:.0f} days", low=low / 24, high=high / 24)
    return say("{low} to {high}", low=_hours(low), high=_hours(high))


def _hours(hours: float) -> str:
    if hours < 0.95:
        return say("{hours:.0f} minutes", hours=60 * hours)
    if hours < 1.5:
        return say("an hour")
    return (
        say("{hours:.0f} hours", hours=hours)
        if hours < 48
        else say("{hours:.0f} days", hours=hours / 24)
    )
