"""Why a part of the rig's answer says so: equations and sources, and what stands in for figures."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.desk.rig_parts import RigAsked
from brinebook.report.rig_reasons import REASONS, Reason
from brinebook.rig import Assumed, Missing
from brinebook.sources import Source, load_sources
from brinebook.texts import worded


@dataclass(frozen=True, slots=True)
class Why:
    """The steps of a part, its doubt, the publications, and the figures that aren't described."""

    steps: tuple[Reason, ...]
    doubt: str
    sources: tuple[Source, ...]
    assumed: tuple[Assumed, ...]
    missing: tuple[Missing, ...]


def why(asked: RigAsked, part: str) -> Why:
    """What a part rests on. Raises KeyError where there is no such part."""
    reasons, known = worded(REASONS[part]), load_sources()
    keys = dict.fromkeys(key for step in reasons.steps for key in step.sources)

    def counts(where: str) -> bool:
        return any(where == one or where.startswith((f"{one}.", f"{one}[", f"{one} ("))
                   for one in reasons.counts)  # fmt: skip

    return Why(
        tuple(worded(step) for step in reasons.steps),
        reasons.doubt,
        tuple(known[key] for key in keys),
        tuple(one for one in asked.rig.assumed.values() if counts(one.where)),
        tuple(one for one in asked.rig.missing if counts(one.where)),
    )
