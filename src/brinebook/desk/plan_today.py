"""The due steps of accepted plans among what Today lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from brinebook.desk.opening import Loaded
from brinebook.desk.plan_keep import due_steps, open_plans
from brinebook.measure import Measure
from brinebook.plan import KeptPlan, KeptStep
from brinebook.planning.keeping import as_planned
from brinebook.report.act import Act
from brinebook.report.dates import day_text
from brinebook.report.today import Today
from brinebook.texts import say
from brinebook.texts.names import quantity_label

#: Kind of a step's fact -> kind of the act; what else a step may be is a chore.
_KINDS = {"dose": "correct", "dosing": "dose", "water_change": "change", "test": "test"}
#: Kinds of acts that put something in.
_PUTS_IN = ("correct", "dose")
#: Kinds of plans that move what they are about.
_MOVES = ("correction", "dosing", "water_change")
#: Acts that come before any dose, where they ask about a test or a line and not only show a level.
_FIRST = ("check", "retest")


def with_plans(loaded: Loaded, page: Today, levels: Mapping[str, Measure]) -> Today:
    """The page with the due steps after danger and checks, and its headline with them.

    A pour waits where the same page asks to test or check that quantity first, and where it has
    come by now (``levels``) to what the plan wanted. That a level is out of its band isn't said
    again while a plan of the keeper's is about it.
    """
    plans = open_plans(loaded)
    if not plans:
        return page
    before = [act for act in page.acts if act.danger or (act.kind in _FIRST and act.asks)]
    doubted = {act.about for act in before}
    steps = [
        _arrived(kept, step, levels) or _act(kept, step, doubted) for kept, step in due_steps(plans)
    ]
    planned = {(act.kind, act.about) for act in steps}
    under_way = {name for kept in plans for name in kept.plan.about if kept.plan.kind in _MOVES}
    after = [
        act
        for act in page.acts
        if act not in before
        and (act.kind, act.about) not in planned
        and not (act.kind == "check" and act.about in under_way)
    ]
    acts = (*before, *steps, *after)
    headline = page.headline if before or not steps else steps[0].text
    return replace(
        page, acts=acts, headline=headline, sentences=(*page.sentences, *_coming(loaded, plans))
    )


def _coming(loaded: Loaded, plans: Sequence[KeptPlan]) -> list[str]:
    """What a plan asks for next, where nothing of it is due now."""
    told = []
    for kept in plans:
        if any(step.state == "due" for step in kept.steps):
            continue
        following = next(step for step in kept.steps if step.state == "coming")
        day = day_text(following.step.when, loaded.at, loaded.zone)
        text = following.step.text.rstrip(".")
        told.append(say("Of the plan that you accepted, {day}: {step}.", day=day, step=text))
    return told


def _arrived(kept: KeptPlan, one: KeptStep, levels: Mapping[str, Measure]) -> Act | None:
    """Hold a pour of a correction back where its quantity stands at the target by now."""
    plan = kept.plan
    figures = {figure.name: figure.value for figure in plan.figures}
    if (
        plan.kind != "correction"
        or one.step.kind != "dose"
        or not {"now", "target"} <= set(figures)
    ):
        return None
    about = plan.about[0]
    if about not in levels or levels[about].value < figures["target"]:
        return None
    return Act(
        "wait",
        about,
        say("Hold back the planned {what}: {about} is there already.", what=one.step.what,
            about=about),
        say(
            "By all that is known now it stands where this plan wanted it. Give the plan up, or "
            "plan again."
        ),
        one.step.until,
        plan=plan.id,
        step=one.number,
    )  # fmt: skip


def _act(kept: KeptPlan, one: KeptStep, doubted: set[str]) -> Act:
    step, plan = one.step, kept.plan
    about = _about(kept, one)
    kind = _KINDS.get(step.kind, "chore")
    if kind in _PUTS_IN and about in doubted:
        return Act(
            "wait",
            about,
            say("Hold back the planned {what}: {about} is in doubt.", what=step.what, about=about),
            say("First what is asked of it above; then do this step, or give the plan up."),
            step.until,
            plan=plan.id,
            step=one.number,
        )
    puts_in = bool(step.value)
    text = f"{step.text[:1].upper()}{step.text[1:]}"
    if step.kind == "test" and not as_planned(kept.steps, before=one.number):
        text = say(
            "Test {quantity}: not all of the plan was done, so it expects nothing.",
            quantity=quantity_label(step.what),
        )
    return Act(
        kind,
        about,
        text,
        say(
            "Step {number} of {count} of a plan that you accepted.",
            number=one.number,
            count=len(kept.steps),
        ),
        step.until,
        substance=step.what if puts_in else "",
        amount=float(step.value) if puts_in else None,
        unit=step.unit if puts_in else "",
        plan=plan.id,
        step=one.number,
    )


def _about(kept: KeptPlan, one: KeptStep) -> str:
    """The quantity that a step is about: what is tested, else what it is expected to move."""
    step = one.step
    if step.kind == "test":
        return step.what
    named = [*(each.quantity for each in step.expects), *kept.plan.about]
    return named[0] if named else step.what
