"""What keepers have learnt about where lines end: common practice, no source, and said so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brinebook.lifesupport.exchange import Place
from brinebook.rig import Rig
from brinebook.texts import say


def habits(rig: Rig, places: Sequence[Place]) -> Iterator[str]:
    """Where a line of the described rig ends otherwise than most would let it."""
    yield from _outlets(rig)
    slow = {place.name for place in places if place.is_slow}
    for doser in rig.dosers:
        if doser.place in slow:
            yield say(
                "{doser} drips into {place}, where the water stays long: most let it drip where "
                "the flow is high, so that nothing falls out (common practice, no source).",
                doser=doser.name,
                place=doser.place,
            )


def _outlets(rig: Rig) -> Iterator[str]:
    """Reactors that give back behind the skimmer, where there is a section for it."""
    sump = rig.vessel("sump")
    if sump is None:
        return
    sections = [f"{sump.name}/{one.name}" for one in sump.sections]
    skimmer = next((i for i, one in enumerate(sump.sections) if one.role == "skimmer"), None)
    if skimmer is None:
        return
    reactors = {device.name for device in rig.devices if device.kind == "reactor"}
    for pipe in rig.pipes:
        behind = pipe.end in sections and sections.index(pipe.end) > skimmer
        if pipe.begin in reactors and behind:
            yield say(
                "{device} gives back into {place}: most lead it back to the skimmer's section, so "
                "that fines and gas are caught there (common practice, no source).",
                device=pipe.begin,
                place=pipe.end,
            )
