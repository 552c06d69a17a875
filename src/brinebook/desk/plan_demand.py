"""``plan dose --use``: what meets a use that was typed, and the calcium that goes with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, start_of
from brinebook.desk.plan_words import amount_text, quantity_text
from brinebook.desk.typed import read_quantity
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.cautions import cautions, of_salt
from brinebook.planning.dosing import MEQ_PER_MG_CALCIUM, equal_amounts_drift, pair_ratio
from brinebook.planning.substances import BringsNone, Substance, find_substance, of_additive
from brinebook.report.numbers import plain_text
from brinebook.system import System
from brinebook.texts import say

#: The pair that is reckoned with where no other was named and the system has none.
_USUAL_PAIR = ("NaHCO3 80 g/L", "CaCl2.2H2O 70 g/L")
_COUPLED = ("alkalinity", "calcium")


class UseUnsaid(UsageProblem):
    """A volume was stated without the use that dosing should meet."""

    code = "E-PLAN-USE"

    def __init__(self) -> None:
        super().__init__(
            say("A stated volume alone doesn't tell what is used up in it."),
            say("Add --use “0.5 dKH”: the alkalinity that is used in a day."),
        )


@dataclass(frozen=True, slots=True)
class Demand:
    """What was typed: alkalinity used in a day, over how many days, met by which parts."""

    use: str
    parts: tuple[str, ...] = ()
    days: float = 7.0


def demand_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    demand: Demand,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """What each part takes a day for that use, by arithmetic alone. Nothing is written.

    Raises SubstanceUnknown, BringsNone and what opening a book and reading amounts raise.
    """
    start = start_of(source, name, said=said, at=at, known=known)
    typed_use = demand.use.removesuffix("/day").removesuffix("/d")
    use = read_quantity("alkalinity", typed_use, of_system=False)
    parts = _parts(demand.parts, start.water.system)
    litres = float(np.median(start.drawn.litres))
    return _worded(start, parts, demand, use=use, litres=litres), start


def _parts(texts: Sequence[str], system: System) -> tuple[Substance, ...]:
    """What was named, else the system's own pair, else the usual one; of alkalinity and calcium."""
    if texts:
        named = tuple(find_substance(text, system) for text in texts)
        for one in named:
            if not any(one.brings(name) > 0.0 for name in _COUPLED):
                raise BringsNone(one.name, "alkalinity")
        return named
    own = [one for one in (of_additive(additive) for additive in system.additives) if one]
    found = [next((one for one in own if one.brings(name) > 0.0), None) for name in _COUPLED]
    usual = (find_substance(text, system) for text in _USUAL_PAIR)
    return tuple(mine or other for mine, other in zip(found, usual, strict=True))


def _worded(
    start: Start, parts: Sequence[Substance], demand: Demand, *, use: float, litres: float
) -> Plan:
    needs = {"alkalinity": use, "calcium": use / MEQ_PER_MG_CALCIUM}
    units = [
        (part, needs[name] * litres / part.brings(name))
        for name in _COUPLED
        for part in parts
        if part.brings(name) > 0.0
    ]
    used = quantity_text("alkalinity", use, start.units, difference=True)
    met = say(" and ").join(
        say("{amount} of {part}", amount=amount_text(value, part.unit), part=part.name)
        for part, value in units
    )
    over = needs["calcium"] * demand.days
    falls = quantity_text("calcium", over, start.units, difference=True)
    salts = [part.salt for part, _ in units if part.salt]
    return Plan(
        kind="dosing",
        about=_COUPLED,
        at=start.at,
        verdict="told",
        headline=(
            say(
                "{used} a day in {litres} takes {met} a day. Undosed, calcium would fall "
                "by {falls} in {days} days with it.",
                used=used,
                litres=amount_text(litres, "L"),
                met=met,
                falls=falls,
                days=plain_text(demand.days),
            )
        ),
        figures=(
            Figure("use_alkalinity", use, "meq/L/day"),
            Figure("use_calcium", needs["calcium"], "mg/L/day"),
            Figure("alkalinity_in_all", use * demand.days, "meq/L"),
            Figure("calcium_in_all", over, "mg/L"),
            Figure("volume", litres, "L"),
            *_equal_figures(units, litres),
            *(Figure(f"a_day_{part.name}", value, f"{part.unit}/day") for part, value in units),
        ),
        notes=tuple(_equal_notes(units, litres)),
        reasons=(
            Reason(
                say(
                    "Chalk takes 2 meq of alkalinity with 1 mmol (40.08 mg) of "
                    "calcium. In mixed communities 1.6 to 2 were measured, so "
                    "calcium's own tests have the last word."
                ),
                (),
                say("amount a day = use × volume ÷ what a unit brings"),
                ("smith1975", "murillo2014"),
            ),
        ),
        cautions=cautions(*(each for salt in salts for each in of_salt(salt))),
    )


def _equal(units: Sequence[tuple[Substance, float]], litres: float) -> tuple[float, float] | None:
    """The pair's ratio, and what equal amounts would do to calcium in a week; None without one."""
    carbonate = next((each for each in units if each[0].brings("alkalinity") > 0.0), None)
    calcium = next((each for each in units if each[0].brings("calcium") > 0.0), None)
    if carbonate is None or calcium is None or carbonate[0].unit != calcium[0].unit:
        return None
    drift = equal_amounts_drift(carbonate[0], calcium[0], a_day=carbonate[1], litres=litres)
    return pair_ratio(carbonate[0], calcium[0]), drift


def _equal_figures(units: Sequence[tuple[Substance, float]], litres: float) -> list[Figure]:
    found = _equal(units, litres)
    if found is None:
        return []
    return [
        Figure("pair_ratio", found[0], "", origin=say("2 meq to 1 mmol")),
        Figure("equal_amounts_drift", found[1], "mg/L/week"),
    ]


def _equal_notes(units: Sequence[tuple[Substance, float]], litres: float) -> list[str]:
    found = _equal(units, litres)
    if found is None or abs(found[0] - 1.0) <= 0.03:
        return []
    way = say("up") if found[1] > 0.0 else say("down")
    return [
        say(
            "Equal amounts of the two would take calcium {way} by about {found} mg/L a week.",
            way=way,
            found=plain_text(abs(found[1]), digits=2),
        )
    ]
