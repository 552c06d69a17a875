"""Every failure of the described rig, worst first, and the changes that take most harm away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.desk.rig_parts import RigAsked
from brinebook.errors import UsageProblem
from brinebook.lifesupport.dosing_course import WaterNow
from brinebook.lifesupport.drill import Drill, Remedy, ranked
from brinebook.lifesupport.ranges import Range
from brinebook.rig import Doser, Rig
from brinebook.texts import phrase, say

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer

#: The water where no test tells: 8 dKH and the calcium that most keepers aim at, with wide ends.
#: Common practice, no source.
USUAL_ALKALINITY = Range(2.85, 2.3, 3.4)
USUAL_CALCIUM = Range(420.0, 380.0, 460.0)
USUAL_WATER = phrase("water of about 8 dKH and 420 mg/L calcium, since no test tells")
#: Shown with every list of drills.
ALWAYS = ("no_alarm", "animals_first", "mains", "flood")


class DrillUnknown(UsageProblem):
    """No drill of the described rig has that id."""

    code = "E-DRILL"
    http_status = 404

    def __init__(self, asked: str, known: Sequence[str]) -> None:
        import difflib

        near = difflib.get_close_matches(asked, known, n=2)
        hint = say("The list of drills shows what can be drilled with what is described.")
        if near:
            hint = say(
                "Did you mean {ones}? {hint}",
                ones=say(" or ").join(f"“{one}”" for one in near),
                hint=hint,
            )
        super().__init__(say("There is no drill called “{asked}”.", asked=asked), hint)


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the rig, with every drill that it makes less bad."""

    text: str
    effort: int
    gain: int  # steps of harm taken away, over all drills
    drills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drilled:
    """All drills of a rig, worst first, and the changes that take most harm away."""

    asked: RigAsked
    drills: tuple[Drill, ...]
    changes: tuple[Change, ...]
    water_told: bool  # whether alkalinity and calcium come from the balance


def drill(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    file: Path | None = None,
) -> Drilled:
    """Drill everything that is described. Raises what ``rig.ask`` raises."""
    from brinebook.desk.rig import ask

    asked = ask(address, name, at=at, file=file)
    water = None if file is not None or not asked.rig.dosers else _from_balance(address, name, at)
    return drilled(asked, water)


def drilled(asked: RigAsked, water: tuple[Range, Range] | None = None) -> Drilled:
    """Every drill of a rig; ``water`` is alkalinity and calcium as the balance has them."""
    found = ranked(_with_chance(one, asked.rig) for one in _all(asked, water))
    return Drilled(asked, found, changes_of(found), water is not None)


def _all(asked: RigAsked, water: tuple[Range, Range] | None) -> Iterator[Drill]:
    from brinebook.desk.rig_parts import evaporation_told
    from brinebook.lifesupport.dark_drills import dark_drills
    from brinebook.lifesupport.dosing_drills import dosing_drills
    from brinebook.lifesupport.heat_drills import heat_drills
    from brinebook.lifesupport.water_drills import water_drills

    rig, litres = asked.rig, asked.litres
    yield from water_drills(rig, litres, evaporation=evaporation_told(asked))
    if rig.vessels:
        yield from heat_drills(rig, litres, month=asked.month)
    yield from dark_drills(rig, litres, month=asked.month)
    alkalinity, calcium = water or (USUAL_ALKALINITY, USUAL_CALCIUM)
    spread = 2.0 * asked.litres_sd
    now = WaterNow(
        Range(litres, max(litres - spread, 0.3 * litres), litres + spread),
        alkalinity, calcium, rig.salinity, rig.temperature,
    )  # fmt: skip
    for one in dosing_drills(
        _with_limewater(rig), asked.system.additives, water=now,
        limits=asked.system.limits_per_day,
    ):  # fmt: skip
        yield one if water is not None else replace(one, assumed=(*one.assumed, say(USUAL_WATER)))


def _with_chance(one: Drill, rig: Rig) -> Drill:
    """The drill with the keeper's own chance of it: by its id, else by its kind."""
    chance = rig.chances.get(one.id, rig.chances.get(one.id.partition("/")[0]))
    return one if chance is None else replace(one, chance=chance, chance_origin="your own")


def _with_limewater(rig: Rig) -> Rig:
    """A top-off that holds an additive is a doser too."""
    if rig.top_off is None or not rig.top_off.holds:
        return rig
    lime = Doser(
        "top-off", rig.top_off.holds, rig.top_off.reservoir, flow=rig.top_off.flow
    )  # fmt: skip
    return replace(rig, dosers=(*rig.dosers, lime))


def _from_balance(
    address: str, name: str | None, at: datetime | None
) -> tuple[Range, Range] | None:
    """Alkalinity and calcium now, by the balance; None where neither was ever tested."""
    from brinebook.desk.assess import assess

    return water_of(assess(address, name, at=at).answer)


def water_of(answer: Answer) -> tuple[Range, Range] | None:
    """Alkalinity and calcium of an answer, with what is usual for the one that was never tested.

    None where alkalinity wasn't.
    """
    quantities = answer.quantities
    found = []
    for what, usual in (("alkalinity", USUAL_ALKALINITY), ("calcium", USUAL_CALCIUM)):
        told = quantities.get(what)
        found.append(usual if told is None else Range(told.now.value, told.now.low, told.now.high))
    return (found[0], found[1]) if "alkalinity" in quantities else None


def changes_of(drills: Sequence[Drill]) -> tuple[Change, ...]:
    """The changes that take most harm away over all drills; among equals the cheaper first."""
    gains: dict[str, list[tuple[Drill, Remedy]]] = {}
    for one in drills:
        for remedy in one.remedies:
            if remedy.harm < one.harm:
                gains.setdefault(remedy.text, []).append((one, remedy))
    found = [
        Change(
            text,
            max(remedy.effort for _, remedy in helped),
            sum(one.harm - remedy.harm for one, remedy in helped),
            tuple(one.id for one, _ in helped),
        )
        for text, helped in gains.items()
    ]
    return tuple(sorted(found, key=lambda one: (-one.gain, one.effort, one.text)))


def one_of(found: Drilled, asked: str) -> Drill:
    """The drill of that id. Raises DrillUnknown."""
    for one in found.drills:
        if one.id == asked:
            return one
    raise DrillUnknown(asked, [one.id for one in found.drills])


def alike(drills: Sequence[Drill]) -> list[list[Drill]]:
    """Drills of one kind and one harm that come to the very same words, in one breath."""
    groups: dict[tuple[int, str, str], list[Drill]] = {}
    for one in drills:
        kind = one.id.partition("/")[0]
        groups.setdefault((one.harm, kind, one.told), []).append(one)
    return list(groups.values())
