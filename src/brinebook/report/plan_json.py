"""A plan as JSON, and back: what ``--json`` says, and what the book keeps of an accepted one."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from brinebook.plan import (
    Came,
    Caution,
    Chance,
    Course,
    CoursePoint,
    Expected,
    Figure,
    KeptPlan,
    Plan,
    Reason,
    Step,
)

Json = dict[str, object]


def plan_json(plan: Plan) -> Json:
    """The plan as one object; docs/plan-json.md says what each key means."""
    return {
        "id": plan.id or None,
        "kind": plan.kind,
        "about": list(plan.about),
        "at": plan.at.isoformat(),
        "verdict": plan.verdict,
        "headline": plan.headline,
        "steps": [_step(number, step) for number, step in enumerate(plan.steps, start=1)],
        "figures": {figure.name: _figure(figure) for figure in plan.figures},
        "chances": [{"what": c.what, "probability": c.probability} for c in plan.chances],
        "courses": [_course(course) for course in plan.courses],
        "reasons": [_reason(reason) for reason in plan.reasons],
        "stops": list(plan.stops),
        "cautions": [
            {"id": c.id, "text": c.text, "ask": c.ask, "lasting": c.lasting} for c in plan.cautions
        ],
        "notes": list(plan.notes),
    }


def named(plan: Plan) -> Plan:
    """The plan under the id that its content gives it: the same plan has the same id anywhere."""
    content = plan_json(replace(plan, id=""))
    text = json.dumps({key: content[key] for key in ("kind", "about", "at", "headline", "steps")},
                      sort_keys=True)  # fmt: skip
    return replace(plan, id=hashlib.sha256(text.encode()).hexdigest()[:8])


def kept_json(kept: KeptPlan, came: Sequence[Came] = ()) -> Json:
    """An accepted plan: the plan itself, what became of each step, and what came of it."""
    return {
        "plan": plan_json(kept.plan),
        "accepted": kept.accepted.isoformat(),
        "by": kept.by,
        "dropped": kept.dropped.isoformat() if kept.dropped else None,
        "open": kept.is_open,
        "steps": [
            {"number": s.number, "state": s.state, "fact": s.fact.id if s.fact else None}
            for s in kept.steps
        ],
        "came": [
            {
                "quantity": c.expected.quantity,
                "when": c.expected.when.isoformat(),
                "expected": {
                    "value": c.expected.value,
                    "low": c.expected.low,
                    "high": c.expected.high,
                },
                "value": c.value,
                "sd": c.sd,
                "verdict": c.verdict,
            }
            for c in came
        ],
    }


def _step(number: int, step: Step) -> Json:
    return {
        "number": number,
        "when": step.when.isoformat(),
        "until": step.until.isoformat(),
        "kind": step.kind,
        "what": step.what,
        "value": step.value,
        "unit": step.unit,
        "detail": {key: step.detail[key] for key in sorted(step.detail)},
        "text": step.text,
        "expects": [
            {
                "quantity": e.quantity,
                "when": e.when.isoformat(),
                "value": e.value,
                "low": e.low,
                "high": e.high,
            }
            for e in step.expects
        ],
    }


def _figure(figure: Figure) -> Json:
    return {
        "value": figure.value,
        "unit": figure.unit,
        "low": figure.low,
        "high": figure.high,
        "origin": figure.origin,
    }


def _course(course: Course) -> Json:
    return {
        "name": course.name,
        "unit": course.unit,
        "label": course.label,
        "points": [
            {"when": p.when.isoformat(), "value": p.value, "low": p.low, "high": p.high}
            for p in course.points
        ],
    }


def _reason(reason: Reason) -> Json:
    return {
        "text": reason.text,
        "inputs": [{"name": each.name, **_figure(each)} for each in reason.inputs],
        "equation": reason.equation,
        "sources": list(reason.sources),
    }


def plan_from_json(found: Mapping[str, Any]) -> Plan:
    """The plan that ``plan_json`` wrote. Raises KeyError or ValueError for anything else."""
    return Plan(
        kind=found["kind"],
        about=tuple(found["about"]),
        at=_instant(found["at"]),
        verdict=found["verdict"],
        headline=found["headline"],
        steps=tuple(_read_step(one) for one in found["steps"]),
        courses=tuple(_read_course(one) for one in found["courses"]),
        chances=tuple(Chance(one["what"], one["probability"]) for one in found["chances"]),
        figures=tuple(_read_figure(name, one) for name, one in found["figures"].items()),
        reasons=tuple(_read_reason(one) for one in found["reasons"]),
        stops=tuple(found["stops"]),
        cautions=tuple(Caution(**one) for one in found["cautions"]),
        notes=tuple(found["notes"]),
        id=found["id"] or "",
    )


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _read_step(one: Mapping[str, Any]) -> Step:
    return Step(
        when=_instant(one["when"]),
        until=_instant(one["until"]),
        kind=one["kind"],
        what=one["what"],
        value=one["value"],
        unit=one["unit"],
        text=one["text"],
        detail=dict(one["detail"]),
        expects=tuple(
            Expected(e["quantity"], _instant(e["when"]), e["value"], e["low"], e["high"])
            for e in one["expects"]
        ),
    )


def _read_course(one: Mapping[str, Any]) -> Course:
    points = tuple(
        CoursePoint(_instant(p["when"]), p["value"], p["low"], p["high"]) for p in one["points"]
    )
    return Course(one["name"], one["unit"], one["label"], points)


def _read_figure(name: str, one: Mapping[str, Any]) -> Figure:
    return Figure(name, one["value"], one["unit"], one["low"], one["high"], one["origin"])


def _read_reason(one: Mapping[str, Any]) -> Reason:
    inputs = tuple(_read_figure(each["name"], each) for each in one["inputs"])
    return Reason(one["text"], inputs, one["equation"], tuple(one["sources"]))
