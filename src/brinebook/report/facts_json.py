"""A fact for programs, as history.csv has its columns."""

from __future__ import annotations

from brinebook.timeline import Fact


def fact_object(fact: Fact) -> dict[str, object]:
    """The fact with its id; ``value`` is text, since it may be ``<0.02``."""
    return {
        "fact": fact.id,
        "when": fact.when.isoformat(),
        "kind": fact.kind,
        "what": fact.what,
        "value": fact.value,
        "unit": fact.unit,
        "detail": {key: fact.detail[key] for key in sorted(fact.detail)},
    }
