"""``plan acclimate``: from the water of a bag to that of the system, with its ammonia and pH."""

from __future__ import annotations

from datetime import timedelta

from brinebook.desk.acclimating import Bag, Case, Drip, Way, reckon
from brinebook.desk.plan_acclimate_steps import STARTS, acclimate_steps, tub_text
from brinebook.desk.plan_now import WaterNow
from brinebook.plan import Course, CoursePoint, Figure, Plan, Reason
from brinebook.planning import acclimate, cautions
from brinebook.planning.bag import BagWater, Moment
from brinebook.planning.limits import limits_for
from brinebook.report.numbers import plain_text
from brinebook.texts import say


def acclimate_plan(now: WaterNow, said: Bag, way: Way) -> Plan:
    """The drip in stated steps, with the ammonia and pH of the bag; raises BagImpossible."""
    case = reckon(now, said, way)
    return Plan(
        kind="acclimate",
        about=("salinity", "ammonia", "ph"),
        at=now.at,
        verdict="nothing" if case.alike and not case.toxic else "do",
        headline=_headline(case),
        steps=acclimate_steps(case),
        courses=() if case.alike else _courses(case),
        figures=_figures(case),
        reasons=_reasons(case),
        stops=(
            say(
                "the animals gasp or lie down: then out of that water and into the "
                "system's, by hand or cup, without the bag's water."
            ),
        ),
        cautions=cautions.cautions("zoanthids", "spines", "release"),
        notes=_notes(case),
    )


def _headline(case: Case) -> str:
    said, drip, system = case.said, case.drip, case.system
    bag_text, system_text = plain_text(said.salinity), plain_text(round(system.salinity, 1))
    if case.toxic:
        return say(
            "Don't drip into this water: once the bag is open its CO2 leaves and the "
            "ammonia in it turns toxic. Match the temperature, then take the animals "
            "out of it into clean water of about {bag_text} PSU, and bring that to "
            "{system_text} over days.",
            bag_text=bag_text,
            system_text=system_text,
        )
    if case.alike:
        return say(
            "{bag_text} and {system_text} PSU are near enough: float the bag until "
            "it is as warm, then move the animals over without its water.",
            bag_text=bag_text,
            system_text=system_text,
        )
    if drip.swaps is not None:
        return say(
            "From {bag_text} to {end} PSU: pour out and fill up {many}, then move the animals over "
            "without that water.",
            bag_text=bag_text,
            end=_end(drip),
            many=say("once")
            if drip.swaps == 1
            else say("{swaps} times, a few minutes apart", swaps=drip.swaps),
        )
    return say(
        "From {bag_text} to {end} PSU: drip {flow:.2g} L an hour ({pace}) for "
        "{minutes}, then move the animals over without that water.",
        bag_text=bag_text,
        end=_end(drip),
        flow=drip.flow,
        pace=_pace(drip.flow),
        minutes=_minutes(drip.hours),
    )


def _pace(flow: float) -> str:
    """A flow as one counts or times it at the tube's end."""
    drops = flow / acclimate.flow_of_drops(1.0)
    if drops <= 6.0:
        return say("about {drops:.2g} drops a second", drops=drops)
    return say("a thin stream: a cup of 100 mL fills in {flow:.0f} seconds", flow=360 / flow)


def _end(drip: Drip) -> str:
    return f"{drip.still[-1].water.salinity:.1f}"


def _minutes(hours: float) -> str:
    return (
        say("{hours:.1f} hours", hours=hours)
        if hours >= 3.0
        else say("{hours:.0f} minutes", hours=60 * hours)
    )


def _courses(case: Case) -> tuple[Course, ...]:
    drip = case.drip
    found = [_course(case, "salinity", "", drip.still)]
    for label, moments in (
        (say("standing still"), drip.still),
        (say("with an air stone"), drip.aired),
    ):
        found.append(_course(case, "ph", label, moments))
        if case.worst is not None:
            found.append(_course(case, "ammonia_unionised", label, moments))
    return tuple(found)


def _course(case: Case, name: str, label: str, moments: tuple[Moment, ...]) -> Course:
    points = []
    for moment in (moments[round(k * (len(moments) - 1) / 12)] for k in range(13)):
        value = _told_of(moment.water, name)
        when = case.now.at + STARTS + timedelta(hours=moment.hours)
        points.append(CoursePoint(when, value, value, value))
    unit = {"salinity": "PSU", "ph": "NBS"}.get(name, "mg/L")
    return Course(name, unit, label, tuple(points))


def _told_of(water: BagWater, name: str) -> float:
    if name == "salinity":
        return water.salinity
    return water.state().ph_nbs if name == "ph" else water.unionised()


def _figures(case: Case) -> tuple[Figure, ...]:
    now, said, drip, waters, system = case.now, case.said, case.drip, case.waters, case.system
    middle, low, high, worst = case.opened, waters[0], waters[-1], case.worst
    share = said.salinity / system.salinity
    limits = limits_for("salinity", now.system, target=35.0)
    found = [
        Figure("salinity_bag", said.salinity, "PSU", origin=say("as you say")),
        Figure("salinity_system", system.salinity, "PSU"),
        Figure("salinity_end", drip.still[-1].water.salinity, "PSU"),
        Figure("flow", drip.flow, "L/h"),
        Figure(
            "drops_per_second",
            drip.flow / acclimate.flow_of_drops(1.0),
            "",
            origin=say("20 drops a mL, common practice"),
        ),
        Figure("hours", drip.hours, "h"),
        Figure("system_water", drip.litres, "L"),
        Figure("bag_water_left", 100 * drip.still[-1].kept, "%"),
        Figure(
            "ph_opened",
            middle.state().ph_nbs,
            "NBS",
            *_ends([each.state().ph_nbs for each in waters]),
        ),
        Figure("ph_aired", middle.aired(now.room_pco2).state().ph_nbs, "NBS"),
        Figure("pco2_opened", middle.state().pco2, "uatm"),
        Figure("limit_per_day", limits.per_day, "PSU/day", origin=limits.origin("per_day")),
    ]
    if drip.swaps is not None:
        found.append(Figure("swaps", drip.swaps, ""))
    if share <= 1.0:
        found.append(Figure("fresh_in_ten_litres_alike", 10 * (1 - share), "L"))
    if worst is not None:
        aired = [each.aired(now.room_pco2).unionised() for each in waters]
        found += [
            Figure(
                "ammonia_bag",
                middle.ammonia,
                "mg/L",
                low.ammonia,
                high.ammonia,
                "tested" if said.ammonia is not None else "estimated",
            ),
            Figure(
                "ammonia_unionised_opened",
                middle.unionised(),
                "mg/L",
                *_ends([each.unionised() for each in waters]),
            ),
            Figure("ammonia_unionised_aired", aired[len(aired) // 2], "mg/L", *_ends(aired)),
            Figure("ammonia_unionised_worst", worst, "mg/L"),
            Figure(
                "ammonia_unionised_hurry",
                case.hurry,
                "mg/L",
                origin=say("long-term guideline at pH 8"),
            ),
        ]
    return tuple(found)


def _ends(values: list[float]) -> tuple[float | None, float | None]:
    return (min(values), max(values)) if len(values) > 1 else (None, None)


def _reasons(case: Case) -> tuple[Reason, ...]:
    worst, middle = case.worst, case.opened
    found = [
        Reason(
            say(
                "Drip and overflow wash the bag's water out; a vessel that only "
                "fills needs far more water for the same."
            ),
            equation=say(
                "S = S system + (S bag − S system) × exp(−flow × time / volume), or "
                "× V / (V + flow × time) where it only fills"
            ),
            sources=("levenspiel1999",),
        )
    ]
    if worst is not None:
        found.append(
            Reason(
                say(
                    "A closed bag is sour from the animals' breath, which keeps "
                    "ammonia harmless. Opened, its CO2 leaves: of {ammonia:.2g} mg/L "
                    "ammonia N {unionised:.2g} is toxic at first and up to "
                    "{worst:.2g} on the way; beyond about {hurry:.2g} a drip had "
                    "better be short.",
                    ammonia=middle.ammonia,
                    unionised=middle.unionised(),
                    worst=worst,
                    hurry=case.hurry,
                ),
                equation=say(
                    "NH3 = ammonia × 1 / (1 + 10^(pK − pH)); pH from alkalinity and "
                    "carbon, mixing and airing by the minute"
                ),
                sources=("clegg1995", "lueker2000", "batley2009"),
            )
        )
    if worst is not None and case.said.ammonia is None:
        found.append(
            Reason(
                say(
                    "The ammonia is a guess from the fish's mass and the hours in "
                    "the bag: a test of the bag's water beats it."
                ),
                equation=say(
                    "oxygen = 0.15 to 1.1 mg a gram and hour; N = oxygen atoms / 17 to 104"
                ),
                sources=("ikeda2011",),
            )
        )
    return tuple(found)


def _notes(case: Case) -> tuple[str, ...]:
    now, said, system = case.now, case.said, case.system
    found = []
    if said.ammonia is None and not said.fish_grams:
        found.append(
            say(
                "Nothing is known of the bag's ammonia. Test it as you open the bag, "
                "and ask again with its ammonia and pH: they decide whether a drip is "
                "kind."
            )
        )
    limits = limits_for("salinity", now.system, target=35.0)
    away = abs(said.salinity - system.salinity)
    if not case.alike and away > limits.per_day:
        found.append(
            say(
                "A drip moves {away:.1f} PSU within the hour, where the display is "
                "let move {per_day} a day. Fish take a fall better than a rise; "
                "shrimps, stars and urchins take either badly.",
                away=away,
                per_day=plain_text(limits.per_day),
            )
        )
        found.append(
            say(
                "The slow way: a tub of {tub}, and one PSU a day.",
                tub=tub_text(said, system),
            )
        )
    return (*found, *now.assumed_of("salinity", "temperature", "alkalinity", "ph"))
