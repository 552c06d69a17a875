"""Drills in lines for a person: the list, worst first, and one unfolded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brinebook.desk.drill import ALWAYS, Change, Drilled, alike
from brinebook.desk.rig_degrees import course_in_keepers_unit, in_keepers_degrees
from brinebook.desk.rig_figures import hours_range_words, hours_words
from brinebook.lifesupport.cautions import cautions
from brinebook.lifesupport.drill import HARMS, Drill, DrillCourse, Remedy, Within, best_remedies
from brinebook.report.numbers import number_text
from brinebook.system import System
from brinebook.texts import SpokenLine, say, say_count

_SHOWN_CHANGES = 6
#: What each degree of harm stands for, beside its name.
HARM_MEANS = SpokenLine(
    "", "noise, damp, a pump that runs dry", "of animals, or a machine spoilt",
    "of animals, or a floor under water", "",
)  # fmt: skip
COSTS = SpokenLine("costs nothing", "costs little", "costs a machine")


def drilled_lines(found: Drilled) -> Iterator[str]:
    """The list for a person: worst first, with the time there is, and what would help most."""
    return in_keepers_degrees(_list_lines(found), found.asked.system)


def _list_lines(found: Drilled) -> Iterator[str]:
    yield from _caution_lines(ALWAYS)
    yield ""
    harm = -1
    for one, *others in alike(found.drills):
        if one.harm != harm:
            harm = one.harm
            yield f"{harm_words(harm)}:"
        yield f"  {one.title} ({time_words(one.within)}{chance_words(one)})"
        yield f"      {one.told}"
        if others:
            titles = "; ".join(other.title for other in others)
            yield say("      Likewise: {titles}.", titles=titles)
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
