"""One thing to do, as Today lists it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brinebook.report.short_id import short_id
from brinebook.texts import say


@dataclass(frozen=True, slots=True)
class Act:
    """The line, its reasons, and by when. ``asks`` is the id that a verdict on it names.

    ``kind`` is one of the contract's; ``about`` a quantity, ``top-off`` or ``volume``. An act that
    puts something in names the ``substance`` with ``amount`` and ``unit``; a step of an accepted
    plan names ``plan`` and ``step``. ``works_out`` names the plan that would say how much.
    ``cause`` is the one that a verdict would settle, in words: “dosing that doesn't arrive”.
    """

    kind: str
    about: str
    text: str
    why: str
    by: datetime
    asks: str = ""
    danger: bool = False
    substance: str = ""
    amount: float | None = None
    unit: str = ""
    plan: str = ""
    step: int = 0
    works_out: str = ""
    cause: str = ""


def was_it(cause: str) -> str:
    """What a verdict's yes and no answer, beside other questions with the opposite answer, such as
    “Has the bottle gone down?”."""
    return say("Was it {cause}?", cause=cause)


def how_to_answer(act: Act) -> str:
    """How a keeper settles what an act asks, on the command line; empty where it asks nothing."""
    if not act.asks or act.kind not in ("check", "retest"):
        return ""
    fact = short_id(act.asks)
    if act.cause:
        return say("To settle it: brinebook add verdict {fact} yes, or no.", fact=fact)
    return say("To settle it: brinebook add verdict {fact} wrong, or sound.", fact=fact)


def how_to_plan(act: Act) -> str:
    """Which command works out how much, and how slowly; empty where none would."""
    return (
        say("To work out how much: brinebook plan {works_out}", works_out=act.works_out)
        if act.works_out
        else ""
    )


def how_to_do(act: Act) -> str:
    """Which command writes a step of an accepted plan down, or gives the plan up."""
    if not act.plan:
        return ""
    if act.kind == "wait":
        return say("To give it up: brinebook plan drop {plan}", plan=act.plan)
    return say("When it is done: brinebook plan done {plan} {step}", plan=act.plan, step=act.step)


def listed(names: Sequence[str]) -> str:
    """“calcium, nitrate and phosphate”."""
    if len(names) < 2:
        return "".join(names)
    return say("{names} and {last}", names=", ".join(names[:-1]), last=names[-1])
