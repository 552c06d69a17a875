"""One water change in words: what it does to every number, its salt, and whether it shocks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import amount_text, measurable, quantity_text, typed
from brinebook.measure import Measure
from brinebook.plan import Expected, Figure, Plan, Reason, Step
from brinebook.planning.cautions import cautions
from brinebook.planning.changes import NewWater, after_change
from brinebook.planning.limits import limits_for
from brinebook.planning.mixing import salt_grams
from brinebook.planning.pours import water_of
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.texts.names import quantity_label
from brinebook.units import QUANTITIES

#: °C that the water may move at once: common practice, no source.
_WARMTH = 1.0
_SHOCKING = ("alkalinity", "calcium", "magnesium", "salinity")


def change_worded(start: Start, new: NewWater, *, litres: float, moisture: float) -> Plan:
    """What one change of so many litres does to every number."""
    share = litres / float(np.median(start.drawn.litres))
    old = [name for name in new.levels if start.water.too_old(name) is not None]
    told = [
        (name, float(np.median(start.drawn.level(name))), value)
        for name, value in new.levels.items()
        if name not in old
    ]
    moved = "; ".join(
        say(
            "{name} from {level} to {level_name}",
            name=name,
            level=level_text(name, now, start),
            level_name=level_text(name, after_change(now, value, share), start),
        )
        for name, now, value in (*told, *_warmth(start, new))
    )
    figures = [
        Figure("litres", litres, "L"),
        Figure("share", 100.0 * share, "%"),
        *salt_figures(start, new, litres, moisture),
        *(
            Figure(f"after_{name}", after_change(now, value, share), QUANTITIES[name].unit)
            for name, now, value in told
        ),
        *shock_figures(start, new, share),
    ]
    if new.temperature is not None:
        warm = after_change(start.conditions.temperature, new.temperature, share)
        figures.append(Figure("after_temperature", warm, "C"))
    return Plan(
        kind="water_change",
        about=tuple(new.levels),
        at=start.at,
        verdict="do",
        headline=say(
            "A change of {litres} ({share}) takes {moved}.",
            litres=amount_text(litres, "L"),
            share=share_text(share),
            moved=moved,
        )
        if moved
        else say(
            "A change of {litres} is {share} of the water; what it does can't be told before a "
            "test.",
            litres=amount_text(litres, "L"),
            share=share_text(share),
        ),
        steps=(change_step(start, new, litres),),
        figures=tuple(figures),
        reasons=(
            Reason(
                say(
                    "New level = old level + share × (new water − old level), for "
                    "every number alike."
                ),
                equation=say("C' = C + f (Cin − C)"),
                sources=("levenspiel1999",),
            ),
        ),
        cautions=cautions(*caution_ids(litres)),
        notes=(
            *_old_note(old),
            *shock_notes(start, new, share),
            *start.water.assumed_of(*new.levels),
        ),
    )


def _old_note(old: Sequence[str]) -> list[str]:
    """What isn't told of, as its last test is too long ago."""
    if not old:
        return []
    listed = ", ".join(quantity_label(name) for name in old)
    return [say("Too long untested to be told of: {listed}.", listed=listed)]


def _warmth(start: Start, new: NewWater) -> list[tuple[str, float, float]]:
    if new.temperature is None:
        return []
    return [("temperature", start.conditions.temperature, new.temperature)]


def change_step(
    start: Start,
    new: NewWater,
    litres: float,
    *,
    day: float = 0.0,
    levels: Mapping[str, Measure] | None = None,
) -> Step:
    """The change as an act, ``day`` days from now, with what should be there a day later."""
    when = start.at + timedelta(days=day)
    detail = {"salinity": typed(new.levels["salinity"])} if "salinity" in new.levels else {}
    expects = tuple(
        Expected(name, when + timedelta(days=1), m.value, m.low, m.high)
        for name, m in (levels or {}).items()
    )
    mixes = start.water.system.mixes
    return Step(
        when=when,
        until=when + timedelta(days=3),
        kind="water_change",
        what=mixes[0].name if mixes else "",
        value=typed(measurable(litres, "L")),
        unit="L",
        text=_change_text(start, new, litres),
        detail=detail,
        expects=expects,
    )


def _change_text(start: Start, new: NewWater, litres: float) -> str:
    amount = amount_text(litres, "L")
    if new.temperature is None or abs(new.temperature - start.conditions.temperature) <= _WARMTH:
        return say("change {litres} of the water, matched in salinity and warmth.", litres=amount)
    return say(
        "change {litres} of the water slowly: the new water is of {warmth} °C.",
        litres=amount,
        warmth=plain_text(new.temperature, digits=3),
    )


def caution_ids(litres: float) -> tuple[str, ...]:
    """What to mind in changing so much."""
    return ("mains", "heater_dry", "hoses", *(("lifting",) if litres >= 15.0 else ()))


def share_text(share: float) -> str:
    """“10 %”, “4.5 %”."""
    return f"{plain_text(round(100 * share, 1 if share < 0.095 else 0))} %"


def level_text(quantity: str, value: float, start: Start) -> str:
    """A level in the keeper's unit."""
    return quantity_text(quantity, value, start.units)


def salt_figures(start: Start, new: NewWater, litres: float, moisture: float) -> tuple[Figure, ...]:
    """Grams of salt for so much new water, dry and as it is in the bag."""
    salinity = new.levels.get("salinity", start.conditions.salinity)
    at = new.temperature if new.temperature is not None else 25.0
    dry = salt_grams(litres, start=0.0, target=salinity, temperature=at)
    return (
        Figure(
            "salt",
            dry * moisture,
            "g",
            origin=say("{moisture:g} g of it for a gram of dry salt", moisture=moisture),
        ),
        Figure("salt_dry", dry, "g"),
    )


def _moved(start: Start, new: NewWater, share: float) -> dict[str, tuple[float, float]]:
    """Quantity -> by how much it moves at once, and how much it may."""
    found: dict[str, tuple[float, float]] = {}
    for name, value in new.levels.items():
        if name in _SHOCKING and start.water.too_old(name) is None:
            now = float(np.median(start.drawn.level(name)))
            limit = limits_for(name, start.water.system, target=max(abs(now), 1e-9)).per_day
            found[name] = (share * (value - now), limit)
    if new.temperature is not None:
        gap = new.temperature - start.conditions.temperature
        found["temperature"] = (share * gap, _WARMTH)
    return found


def _ph_shift(start: Start, new: NewWater, share: float) -> float | None:
    """By how much pH moves at once, new water being in balance with the room's air."""
    if "alkalinity" not in start.drawn.quantities:
        return None
    at = start.conditions
    pco2 = float(np.median(start.air.pco2))
    alkalinity = float(np.median(start.drawn.level("alkalinity")))
    ph = None if start.ph is None else float(np.median(start.ph))
    here = water_of(
        np.array([alkalinity]),
        salinity=at.salinity,
        temperature=at.temperature,
        ph=ph,
        pco2=None if ph is not None else pco2,
    )
    there = water_of(
        np.array([new.levels.get("alkalinity", alkalinity)]),
        salinity=at.salinity,
        temperature=at.temperature,
        pco2=pco2,
    )
    mixed = replace(
        here,
        alkalinity=after_change(here.alkalinity, there.alkalinity, share),
        dic=after_change(here.dic, there.dic, share),
    )
    return float(mixed.state().ph_nbs[0] - here.state().ph_nbs[0])


def gentle_share(start: Start, new: NewWater) -> float:
    """The largest share that moves nothing at once by more than a day's limit."""
    gaps = _moved(start, new, 1.0).values()
    return min((limit / abs(moved) for moved, limit in gaps if abs(moved) > limit), default=1.0)


def shock_figures(start: Start, new: NewWater, share: float) -> list[Figure]:
    """By how much a change moves what animals feel, at once."""
    units = {"temperature": "dC"}
    found = [
        Figure(f"moves_{name}", moved, units.get(name, QUANTITIES[name].unit))
        for name, (moved, _) in _moved(start, new, share).items()
    ]
    shift = _ph_shift(start, new, share)
    return found if shift is None else [*found, Figure("moves_ph", shift, "NBS")]


def shock_notes(start: Start, new: NewWater, share: float) -> list[str]:
    """Where a change moves more at once than a day's limit, and how much may be changed then."""
    notes = []
    for name, (moved, limit) in _moved(start, new, share).items():
        if abs(moved) <= limit:
            continue
        by = (
            f"{plain_text(round(moved, 1))} °C"
            if name == "temperature"
            else quantity_text(name, moved, start.units, difference=True)
        )
        notes.append(
            say(
                "At once it moves {name} by {by}, more than a day's limit: match the "
                "new water, or change no more than {share} at a time.",
                name=name,
                by=by,
                share=share_text(share * limit / abs(moved)),
            )
        )
    if new.temperature is None:
        notes.append(say("The new water is taken to be as warm as the old."))
    return notes
