"""``plan residue``: what a year of dosing leaves behind, and the change that undoes it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.desk.plan_amounts import litres_of
from brinebook.desk.plan_change import habit_of, litres_of_change
from brinebook.desk.plan_change_once import share_text
from brinebook.desk.plan_change_series import Habit
from brinebook.desk.plan_dose import NothingDosed, pumps_now
from brinebook.desk.plan_limewater import Lime, demand_of
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, start_of
from brinebook.desk.plan_words import amount_text
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.residue import (
    YEAR,
    Residue,
    of_demand,
    ratios_after,
    residue,
    share_that_undoes,
)
from brinebook.planning.strengths import grams_in_a_litre
from brinebook.planning.substances import Substance, of_additive, of_salt
from brinebook.report.numbers import plain_text
from brinebook.system import Additive
from brinebook.texts import named, say
from brinebook.units import QUANTITIES
from brinebook.water.quantities import check_range

#: A salinity that nobody minds: common practice, no source.
_RISE = 1.0


@dataclass(frozen=True, slots=True)
class Dosed:
    """What was typed: the demand, or the millilitres of a pair; changes to reckon with."""

    use: str | None = None
    amount: str | None = None
    strength: str = "80 g/L"
    change: str | None = None
    every: float = 7.0


def residue_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    dosed: Dosed,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """A year's residue of the dosing as it is, or of a pair as typed. Nothing is written."""
    start = start_of(source, name, said=said, at=at, known=known)
    litres = float(np.median(start.drawn.litres))
    habit = _habit(start, dosed)
    parts = _parts(start, dosed, litres)
    if not parts:
        raise NothingDosed
    found = residue(
        parts, litres=litres, share=habit.share if habit else None,
        every=habit.every if habit else 7.0,
    )  # fmt: skip
    return _worded(start, found, parts, litres, habit), start


def _pair(strength: str) -> tuple[Substance, Substance]:
    grams = grams_in_a_litre("NaHCO3", strength)
    carbonate = of_additive(Additive(say("bicarbonate solution"), "NaHCO3", grams))
    assert carbonate is not None
    return carbonate, of_salt("CaCl2.2H2O")


def _parts(start: Start, dosed: Dosed, litres: float) -> list[tuple[Substance, float]]:
    carbonate, calcium = _pair(dosed.strength)
    if dosed.amount is not None:
        millilitres = 1000.0 * litres_of(dosed.amount.removesuffix("/day").removesuffix("/d"))
        demand = millilitres * carbonate.brings("alkalinity") / litres
        check_range(
            QUANTITIES["alkalinity"], demand, of_system=True, typed=demand, typed_unit="meq/L"
        )
        return of_demand(demand, litres=litres, carbonate=carbonate, calcium=calcium)
    if dosed.use is not None or start.stated:
        demand = demand_of(start, Lime(use=dosed.use))
        return of_demand(demand, litres=litres, carbonate=carbonate, calcium=calcium)
    return [(pump.substance, pump.setting) for pump in pumps_now(start) if pump.setting > 0.0]


def _habit(start: Start, dosed: Dosed) -> Habit | None:
    if dosed.change is not None:
        litres = float(np.median(start.drawn.litres))
        return Habit(litres_of_change(start, dosed.change) / litres, dosed.every)
    return habit_of(start.water.facts, start)


def _worded(
    start: Start,
    found: Residue,
    parts: list[tuple[Substance, float]],
    litres: float,
    habit: Habit | None,
) -> Plan:
    years = amount_text(found.grams_a_day * YEAR, "g")
    climbs = plain_text(found.salinity, digits=3)
    headline = say(
        "A year of it leaves {years} of salt behind, {climbs} PSU if nothing leaves; "
        "held at its salinity with fresh water, the other ions would be thinned by "
        "{diluted} % in a year.",
        years=years,
        climbs=climbs,
        diluted=plain_text(round(100 * found.diluted, 1)),
    )
    return Plan(
        kind="residue",
        about=("salinity",),
        at=start.at,
        verdict="told",
        headline=headline,
        figures=tuple(_figures(found, litres, habit)),
        reasons=(
            Reason(
                say(
                    "What chalk doesn't take stays: sodium and chloride of the pair, "
                    "sulfate of Epsom salt."
                ),
                tuple(Figure(part.name, units, f"{part.unit}/day") for part, units in parts),
                say("NaHCO3 and CaCl2 become CaCO3 and two NaCl; grams a year ÷ volume ÷ density"),
                ("prohaska2022", "millero2008"),
            ),
        ),
        notes=tuple(_notes(found, litres, habit)),
    )


def _figures(found: Residue, litres: float, habit: Habit | None) -> list[Figure]:
    figures = [
        Figure("grams_a_day", found.grams_a_day, "g/day"),
        Figure("grams_a_year", found.grams_a_day * YEAR, "g"),
        Figure("per_litre_a_year", found.per_litre, "g/L"),
        Figure("salinity_a_year", found.salinity, "PSU"),
        Figure("others_thinned", 100.0 * found.diluted, "%"),
        Figure("volume", litres, "L"),
        Figure(
            "share_that_undoes",
            100.0 * share_that_undoes(found, litres=litres, every=7.0, rise=_RISE),
            "%",
        ),
    ]
    if found.steady is not None and habit is not None:
        figures += [
            Figure("habit_share", 100.0 * habit.share, "%"),
            Figure("habit_every", habit.every, "day"),
            Figure("steady_excess", found.steady, "g/L"),
        ]
    for ion, (now, ratio) in ratios_after(found).items():
        figures.append(Figure(f"{ion}_after_a_year", now, "mg/L"))
        figures.append(Figure(f"{ion}_over_natural", 100.0 * ratio, "%"))
    return figures


def _notes(found: Residue, litres: float, habit: Habit | None) -> list[str]:
    notes = []
    if found.steady is not None and habit is not None:
        notes.append(
            say(
                "With {share} changed every {every} days it settles at {steady} g/L "
                "more just before a change.",
                share=share_text(habit.share),
                every=plain_text(habit.every, digits=2),
                steady=plain_text(found.steady, digits=2),
            )
        )
    share = share_that_undoes(found, litres=litres, every=7.0, rise=_RISE)
    if share <= 1.0:
        notes.append(
            say(
                "To keep it under {rise:g} PSU, change {share} ({litres}) a week.",
                rise=_RISE,
                share=share_text(share),
                litres=amount_text(share * litres, "L"),
            )
        )
    told = "; ".join(
        f"{named(ion)} {plain_text(round(100 * ratio))} %"
        for ion, (_, ratio) in ratios_after(found).items()
    )
    notes.append(
        say(
            "Against natural seawater after a year without changes, salinity held by "
            "fresh water: {told}. Test magnesium and potassium now and then.",
            told=told,
        )
    )
    return notes
