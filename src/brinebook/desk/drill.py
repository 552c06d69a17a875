"""Every failure of the described rig, worst first, and the changes that take most harm away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.desk.rig_degrees import course_in_keepers_unit, in_keepers_degrees
from brinebook.desk.rig_figures import Json, hours_range_words, hours_words
from brinebook.desk.rig_parts import RigAsked
from brinebook.errors import UsageProblem
from brinebook.lifesupport.cautions import cautions
from brinebook.lifesupport.dosing_course import WaterNow
from brinebook.lifesupport.drill import (
    HARMS,
    Drill,
    DrillCourse,
    Remedy,
    Within,
    best_remedies,
    ranked,
)
from brinebook.lifesupport.ranges import Range
from brinebook.plan import Figure
from brinebook.report.numbers import number_text
from brinebook.rig import Doser, Rig
from brinebook.system import System
from brinebook.texts import SpokenLine, phrase, say, say_count

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer

#: The water where no test tells: 8 dKH and the calcium that most keepers aim at, with wide ends.
#: Common practice, no source.
USUAL_ALKALINITY = Range(2.85, 2.3, 3.4)
USUAL_CALCIUM = Range(420.0, 380.0, 460.0)
USUAL_WATER = phrase("water of about 8 dKH and 420 mg/L calcium, since no test tells")
#: Shown with every list of drills.
_ALWAYS = ("no_alarm", "animals_first", "mains", "flood")
_SHOWN_CHANGES = 6
#: What each degree of harm stands for, beside its name.
HARM_MEANS = SpokenLine(
    "", "noise, damp, a pump that runs dry", "of animals, or a machine spoilt",
    "of animals, or a floor under water", "",
)  # fmt: skip
COSTS = SpokenLine("costs nothing", "costs little", "costs a machine")


class DrillUnknown(UsageProblem):
    """No drill of the described rig has that id."""

    code = "E-DRILL"
    http_status = 404

    def __init__(self, asked: str, known: Sequence[str]) -> None:
        import difflib

        near = difflib.get_close_matches(asked, known, n=2)
        hint = say("The list of drills shows what can be drilled with what is described.")
        if near:
            hint = say(
                "Did you mean {ones}? {hint}",
                ones=say(" or ").join(f"“{one}”" for one in near),
                hint=hint,
            )
        super().__init__(say("There is no drill called “{asked}”.", asked=asked), hint)


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the rig, with every drill that it makes less bad."""

    text: str
    effort: int
    gain: int  # steps of harm taken away, over all drills
    drills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drilled:
    """All drills of a rig, worst first, and the changes that take most harm away."""

    asked: RigAsked
    drills: tuple[Drill, ...]
    changes: tuple[Change, ...]
    water_told: bool  # whether alkalinity and calcium come from the balance


def drill(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    file: Path | None = None,
) -> Drilled:
    """Drill everything that is described. Raises what ``rig.ask`` raises."""
    from brinebook.desk.rig import ask

    asked = ask(address, name, at=at, file=file)
    water = None if file is not None or not asked.rig.dosers else _from_balance(address, name, at)
    return drilled(asked, water)


def drilled(asked: RigAsked, water: tuple[Range, Range] | None = None) -> Drilled:
    """Every drill of a rig; ``water`` is alkalinity and calcium as the balance has them."""
    found = ranked(_with_chance(one, asked.rig) for one in _all(asked, water))
    return Drilled(asked, found, changes_of(found), water is not None)


def _all(asked: RigAsked, water: tuple[Range, Range] | None) -> Iterator[Drill]:
    from brinebook.desk.rig_parts import evaporation_told
    from brinebook.lifesupport.dark_drills import dark_drills
    from brinebook.lifesupport.dosing_drills import dosing_drills
    from brinebook.lifesupport.heat_drills import heat_drills
    from brinebook.lifesupport.water_drills import water_drills

    rig, litres = asked.rig, asked.litres
    yield from water_drills(rig, litres, evaporation=evaporation_told(asked))
    if rig.vessels:
        yield from heat_drills(rig, litres, month=asked.month)
    yield from dark_drills(rig, litres, month=asked.month)
    alkalinity, calcium = water or (USUAL_ALKALINITY, USUAL_CALCIUM)
    spread = 2.0 * asked.litres_sd
    now = WaterNow(
        Range(litres, max(litres - spread, 0.3 * litres), litres + spread),
        alkalinity, calcium, rig.salinity, rig.temperature,
    )  # fmt: skip
    for one in dosing_drills(
        _with_limewater(rig), asked.system.additives, water=now,
        limits=asked.system.limits_per_day,
    ):  # fmt: skip
        yield one if water is not None else replace(one, assumed=(*one.assumed, say(USUAL_WATER)))


def _with_chance(one: Drill, rig: Rig) -> Drill:
    """The drill with the keeper's own chance of it: by its id, else by its kind."""
    chance = rig.chances.get(one.id, rig.chances.get(one.id.partition("/")[0]))
    return one if chance is None else replace(one, chance=chance, chance_origin="your own")


def _with_limewater(rig: Rig) -> Rig:
    """A top-off that holds an additive is a doser too."""
    if rig.top_off is None or not rig.top_off.holds:
        return rig
    lime = Doser(
        "top-off", rig.top_off.holds, rig.top_off.reservoir, flow=rig.top_off.flow
    )  # fmt: skip
    return replace(rig, dosers=(*rig.dosers, lime))


def _from_balance(
    address: str, name: str | None, at: datetime | None
) -> tuple[Range, Range] | None:
    """Alkalinity and calcium now, by the balance; None where neither was ever tested."""
    from brinebook.desk.assess import assess

    return water_of(assess(address, name, at=at).answer)


def water_of(answer: Answer) -> tuple[Range, Range] | None:
    """Alkalinity and calcium of an answer, with what is usual for the one that was never tested.

    None where alkalinity wasn't.
    """
    quantities = answer.quantities
    found = []
    for what, usual in (("alkalinity", USUAL_ALKALINITY), ("calcium", USUAL_CALCIUM)):
        told = quantities.get(what)
        found.append(usual if told is None else Range(told.now.value, told.now.low, told.now.high))
    return (found[0], found[1]) if "alkalinity" in quantities else None


def changes_of(drills: Sequence[Drill]) -> tuple[Change, ...]:
    """The changes that take most harm away over all drills; among equals the cheaper first."""
    gains: dict[str, list[tuple[Drill, Remedy]]] = {}
    for one in drills:
        for remedy in one.remedies:
            if remedy.harm < one.harm:
                gains.setdefault(remedy.text, []).append((one, remedy))
    found = [
        Change(
            text,
            max(remedy.effort for _, remedy in helped),
            sum(one.harm - remedy.harm for one, remedy in helped),
            tuple(one.id for one, _ in helped),
        )
        for text, helped in gains.items()
    ]
    return tuple(sorted(found, key=lambda one: (-one.gain, one.effort, one.text)))


def one_of(found: Drilled, asked: str) -> Drill:
    """The drill of that id. Raises DrillUnknown."""
    for one in found.drills:
        if one.id == asked:
            return one
    raise DrillUnknown(asked, [one.id for one in found.drills])


def drilled_json(found: Drilled) -> Json:
    """The whole answer for programs; docs/rig-json.md says what each key means."""
    return {
        "system": found.asked.name,
        "volume": {"value": found.asked.litres, "sd": found.asked.litres_sd, "unit": "L",
                   "told": found.asked.volume_told},
        "water_from_balance": found.water_told,
        "drills": [drill_json(one) for one in found.drills],
        "changes": [
            {"text": one.text, "effort": one.effort, "gain": one.gain, "drills": list(one.drills)}
            for one in found.changes
        ],
        "missing": [
            {"where": one.where, "wanted_for": one.wanted_for} for one in found.asked.rig.missing
        ],
        "cautions": _cautions_json(_ALWAYS),
    }  # fmt: skip


def drill_json(one: Drill) -> Json:
    """One drill for programs."""
    return {
        "id": one.id,
        "fault": one.fault,
        "parts": list(one.parts),
        "title": one.title,
        "told": one.told,
        "harm": one.harm,
        "harm_words": HARMS[one.harm],
        "within": _within_json(one.within),
        "figures": [_figure_json(figure) for figure in one.figures],
        "courses": [_course_json(course) for course in one.courses],
        "warns": list(one.warns),
        "remedies": [
            {"text": remedy.text, "effort": remedy.effort, "harm": remedy.harm,
             "within": _within_json(remedy.within), "told": remedy.told}
            for remedy in one.remedies
        ],
        "cautions": _cautions_json(one.cautions),
        "assumed": list(one.assumed),
        "chance": one.chance,
        "chance_origin": one.chance_origin,
    }  # fmt: skip


def _cautions_json(ids: Sequence[str]) -> list[Json]:
    return [
        {"id": one.id, "text": one.text, "ask": one.ask, "lasting": one.lasting}
        for one in cautions(*ids)
    ]


def _within_json(within: Within | None) -> Json | None:
    if within is None:
        return None
    return {"short": within.short, "middle": within.middle, "long": within.long, "unit": "h"}


def _figure_json(figure: Figure) -> Json:
    return {"name": figure.name, "value": figure.value, "low": figure.low, "high": figure.high,
            "unit": figure.unit}  # fmt: skip


def _course_json(course: DrillCourse) -> Json:
    return {
        "name": course.name,
        "unit": course.unit,
        "limit": course.limit,
        "points": [
            {"hour": at.hour, "value": at.value, "low": at.low, "high": at.high}
            for at in course.points
        ],
    }


def drilled_lines(found: Drilled) -> Iterator[str]:
    """The list for a person: worst first, with the time there is, and what would help most."""
    return in_keepers_degrees(_list_lines(found), found.asked.system)


def _list_lines(found: Drilled) -> Iterator[str]:
    yield from _caution_lines(_ALWAYS)
    yield ""
    harm = -1
    for one, *alike in _alike(found.drills):
        if one.harm != harm:
            harm = one.harm
            yield f"{harm_words(harm)}:"
        yield f"  {one.title} ({time_words(one.within)}{chance_words(one)})"
        yield f"      {one.told}"
        if alike:
            yield say("      Likewise: {titles}.", titles="; ".join(other.title for other in alike))
    if not found.drills:
        yield say("Nothing can be drilled yet: describe the display, the sump and the return pump.")
    shown = [one for one in found.changes if one.effort < 2][:_SHOWN_CHANGES]
    if shown:
        yield ""
        yield say("What takes most harm away for little:")
        yield from (f"  {one.text} ({gain_words(one)})" for one in shown)
        yield say("  A step leads to the next milder of the words above, as from losses to stress.")
    if found.asked.rig.missing:
        yield ""
        from brinebook.desk.rig import missing_lines

        yield from missing_lines(found.asked.rig.missing)
    yield ""
    yield say("Unfold one with “brinebook drill ID”; “brinebook drill --ids” lists the ids.")


def _alike(drills: Sequence[Drill]) -> list[list[Drill]]:
    """Drills of one kind and one harm that come to the very same words, in one breath."""
    groups: dict[tuple[int, str, str], list[Drill]] = {}
    for one in drills:
        kind = one.id.partition("/")[0]
        groups.setdefault((one.harm, kind, one.told), []).append(one)
    return list(groups.values())


def harm_words(harm: int) -> str:
    """“Losses (of animals, or a floor under water)”: a degree of harm as a heading."""
    if not harm:
        return say("Nothing to speak of")
    means = f" ({HARM_MEANS[harm]})" if HARM_MEANS[harm] else ""
    return f"{HARMS[harm].capitalize()}{means}"


def harm_name(harm: int) -> str:
    """“losses”: a degree of harm within a sentence."""
    return HARMS[harm] if harm else say("nothing to speak of")


def gain_words(one: Change) -> str:
    """“milder in 4 drills, by 4 steps in all; costs little”."""
    where = say_count(len(one.drills), "{count} drill", "{count} drills")
    steps = say_count(one.gain, "{count} step", "{count} steps")
    return say(
        "milder in {where}, by {steps}{in_all}; {cost}",
        where=where,
        steps=steps,
        in_all=say(" in all") if len(one.drills) > 1 else "",
        cost=cost(one),
    )


def cost(one: Change | Remedy) -> str:
    """“costs little”."""
    return COSTS[one.effort]


def id_lines(found: Drilled) -> Iterator[str]:
    """Every id with its harm and title."""
    width = max((len(one.id) for one in found.drills), default=0)
    for one in found.drills:
        yield f"{one.id:<{width}}  {HARMS[one.harm]}: {one.title}"


def drill_lines(one: Drill, system: System) -> Iterator[str]:
    """One drill for a person: cautions, what happens, by the hour, what warns, what helps."""
    courses = tuple(course_in_keepers_unit(course, system) for course in one.courses)
    return in_keepers_degrees(_unfolded_lines(replace(one, courses=courses)), system)


def _unfolded_lines(one: Drill) -> Iterator[str]:
    yield from _caution_lines(one.cautions)
    yield ""
    yield f"{one.title[:1].upper()}{one.title[1:]}: {HARMS[one.harm]}, {time_words(one.within)}."
    yield one.told
    for course in one.courses:
        if moves(course):
            yield from _course_lines(course)
    if one.warns:
        yield say("What would show it first: {warns}.", warns="; ".join(one.warns))
    helping = best_remedies(one)
    if helping:
        yield say("What would help, reckoned anew:")
        for remedy in helping:
            told = f": {remedy.told}" if remedy.told else ""
            yield f"  {remedy.text}{told} ({HARMS[remedy.harm]}, {time_words(remedy.within)})"
    yield from (say("Assumed: {said}.", said=said) for said in one.assumed)


def moves(course: DrillCourse) -> bool:
    """Whether a course goes anywhere: what stays as it is is left to the JSON."""
    values = [point.value for point in course.points]
    return max(values) - min(values) > 1e-3 * max(abs(value) for value in values)


def course_decimals(course: DrillCourse) -> int:
    """How finely the values of a course are told."""
    return 2 if abs(course.points[0].value) < 20 else 1 if course.unit != "mg/L" else 0


def _course_lines(course: DrillCourse) -> Iterator[str]:
    printed = {"C": "°C", "F": "°F"}.get(course.unit, course.unit)
    unit = f" {printed}" if printed else ""
    decimals = course_decimals(course)
    limit = (
        ""
        if course.limit is None
        else say(", act at {limit}{unit}", limit=number_text(course.limit, decimals), unit=unit)
    )
    yield say("{course} by the hour{limit}:", course=course.name, limit=limit)
    marks = [p for p in course.points if p.hour in (0, 1, 2, 4, 8, 12, 24, 48)]
    yield (
        "  "
        + "  ".join(
            f"{number_text(p.hour, 0)} h {number_text(p.value, decimals)}"
            + (
                ""
                if p.low == p.high
                else say(
                    " ({p_low} to {p_high})",
                    p_low=number_text(p.low, decimals),
                    p_high=number_text(p.high, decimals),
                )
            )
            for p in marks
        )
        + unit
    )


def chance_words(one: Drill) -> str:
    """“; 2 % a year, your own”, or nothing."""
    if one.chance is None:
        return ""
    return say(
        "; {chance} % a year, {chance_origin}",
        chance=number_text(100 * one.chance, 1),
        chance_origin=one.chance_origin,
    )


def time_words(within: Within | None) -> str:
    """“1 to 4 minutes to act”: how long there is, the short end first."""
    if within is None or within.short is None:
        return say("no hurry")
    if within.long == 0.0:
        return say("at once, before a hand goes in")
    if within.middle is None:
        return say(
            "at the worst {short} to act, perhaps no hurry at all", short=hours_words(within.short)
        )
    if within.long is None:
        short, middle = hours_words(within.short), hours_words(within.middle)
        likely = say("perhaps longer") if short == middle else say("likely {middle}", middle=middle)
        return say("at the worst {short} to act, {likely}", short=short, likely=likely)
    found = hours_range_words(within.short, within.long)
    return say(
        "{found} to act", found=found if say(" to ") in found else say("about {found}", found=found)
    )


def _caution_lines(ids: Sequence[str]) -> Iterator[str]:
    for one in cautions(*ids):
        yield f"! {one.text}" + (say(" (Ask: {ask}.)", ask=one.ask) if one.ask else "")
