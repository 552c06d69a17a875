"""Drills for programs; docs/rig-json.md says what each key means."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.desk.drill import ALWAYS, Drilled
from brinebook.desk.rig_figures import Json
from brinebook.lifesupport.cautions import cautions
from brinebook.lifesupport.drill import HARMS, Drill, DrillCourse, Within
from brinebook.plan import Figure


def drilled_json(found: Drilled) -> Json:
    """The whole answer."""
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
        "cautions": _cautions_json(ALWAYS),
    }  # fmt: skip


def drill_json(one: Drill) -> Json:
    """One drill."""
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
