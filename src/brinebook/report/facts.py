"""One fact as a line of a page: when, what, how much, and what else was said of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.report.dates import instant_text
from brinebook.texts import Spoken, say, typed_as_marked
from brinebook.texts.names import quantity_label
from brinebook.timeline import Fact

#: How the kinds are called in a sentence.
KIND_LABELS = Spoken({
    "test": "test", "dose": "dose", "dosing": "daily dosing", "water_change": "water change",
    "level": "level", "top_off": "top-off", "removed": "water removed", "feed": "feeding",
    "media": "media", "harvest": "harvest", "done": "chore", "event": "event",
    "verdict": "verdict", "note": "note",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class FactLine:
    """The parts of the line; each may be empty but ``when`` and ``kind``."""

    id: str
    when: str
    kind: str
    what: str
    amount: str
    said: str


def fact_line(fact: Fact, now: datetime, zone: ZoneInfo) -> FactLine:
    """The line of a fact, its time in the system's zone."""
    what = quantity_label(fact.what) if fact.kind == "test" else fact.what
    text = fact.detail.get("text", "")
    rest = [
        f"{say(key)} {typed_as_marked(value)}"
        for key, value in fact.detail.items()
        if key != "text"
    ]
    return FactLine(
        fact.id,
        instant_text(fact.when, now, zone),
        KIND_LABELS.get(fact.kind, fact.kind),
        what,
        f"{typed_as_marked(fact.value)} {fact.unit}".strip(),
        "; ".join([*([text] if text else []), *rest]),
    )


def local_minute(when: datetime, zone: ZoneInfo) -> str:
    """The instant as a form's field for date and time has it, in the system's zone."""
    return f"{when.astimezone(zone):%Y-%m-%dT%H:%M}"
