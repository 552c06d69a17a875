"""A plan: what to put in, how much and when, why, what should come of it, what would stop it.

Nouns only. The room ``planning`` reckons, the desk words what it found as a ``Plan``, the book
keeps the accepted ones, and the report shows them. All numbers are in canonical units unless a
``unit`` stands beside them; texts are in the keeper's units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import ClassVar, Literal

from brinebook.timeline import Fact

#: ``do``: here are the steps. ``test first``: one more test would change the act. ``nothing``:
#: there is nothing to put right. ``cannot``: within the limits it can't be done, and the headline
#: says why. ``told``: arithmetic was asked for, and this is its answer.
Verdict = Literal["do", "test first", "nothing", "cannot", "told"]

_NO_DETAIL: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Figure:
    """A named number of a plan with its unit; ``low`` and ``high`` bound 95 % of belief.

    ``origin`` says where it comes from: "estimated", "your own", "common practice, no source", a
    label, or "" where it follows from the others.
    """

    SAID: ClassVar[tuple[str, ...]] = ("origin",)
    NAMED: ClassVar[tuple[str, ...]] = ("name",)

    name: str
    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Expected:
    """What should be in the water at a time, in the canonical unit of the quantity."""

    quantity: str
    when: datetime
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Step:
    """One act, due from ``when`` and no longer meant after ``until``.

    ``kind`` to ``detail`` are the columns of the fact that it becomes when done (``value`` as it
    would be typed; a test or a chore has none). ``text`` tells a person what to do.
    """

    when: datetime
    until: datetime
    kind: str
    what: str
    value: str
    unit: str
    text: str
    detail: Mapping[str, str] = field(default_factory=lambda: _NO_DETAIL)
    expects: tuple[Expected, ...] = ()


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """One point of a course: the middle of belief and its 95 % band."""

    when: datetime
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Course:
    """How one number goes on: ``label`` tells apart courses of the same ``name``."""

    name: str
    unit: str
    label: str
    points: tuple[CoursePoint, ...]


@dataclass(frozen=True, slots=True)
class Chance:
    """How likely something is that the plan was held to: “passes 1 dKH in a day”."""

    what: str
    probability: float


@dataclass(frozen=True, slots=True)
class Reason:
    """Why, unfolded: the sentence, the inputs, the equation, keys of the bibliography."""

    text: str
    inputs: tuple[Figure, ...] = ()
    equation: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Caution:
    """Where an act can hurt someone or something: what to mind, and whom to ask.

    ``lasting``: shown every time, never put away for good.
    """

    SAID: ClassVar[tuple[str, ...]] = ("text", "ask")

    id: str
    text: str
    ask: str = ""
    lasting: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """All that a plan says. ``id`` is empty until the desk has named it by its content."""

    kind: str
    about: tuple[str, ...]
    at: datetime
    verdict: Verdict
    headline: str
    steps: tuple[Step, ...] = ()
    courses: tuple[Course, ...] = ()
    chances: tuple[Chance, ...] = ()
    figures: tuple[Figure, ...] = ()
    reasons: tuple[Reason, ...] = ()
    stops: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    notes: tuple[str, ...] = ()
    id: str = ""


#: ``coming``: not yet due. ``due``: now. ``missed``: its time has passed and nothing was written.
StepState = Literal["coming", "due", "done", "missed", "skipped"]


@dataclass(frozen=True, slots=True)
class Mark:
    """Something said of an accepted plan: ``done`` (with the fact's id), ``skipped``, ``dropped``.

    ``step`` counts from 1; 0 is the whole plan.
    """

    action: Literal["done", "skipped", "dropped"]
    step: int
    fact: str
    entered: datetime
    by: str = ""


@dataclass(frozen=True, slots=True)
class KeptStep:
    """A step of an accepted plan with what became of it, and the fact that it became."""

    number: int
    step: Step
    state: StepState
    fact: Fact | None = None


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan that was accepted: when, by whom, its steps, and when it was dropped, if it was."""

    plan: Plan
    accepted: datetime
    by: str
    steps: tuple[KeptStep, ...]
    dropped: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether a step is still to come or due."""
        return self.dropped is None and any(s.state in ("coming", "due") for s in self.steps)


NOT_AS_PLANNED = "not done as planned"


@dataclass(frozen=True, slots=True)
class Came:
    """What was expected at a time, and what came, by all that is known now.

    ``verdict``: "as expected", "lower", "higher", "can't tell yet"; "not done as planned" where a
    step before it was left out, missed or done otherwise, so that it tells nothing of the plan.
    """

    expected: Expected
    value: float | None
    sd: float | None
    verdict: str
