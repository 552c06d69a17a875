"""``plan limewater``: what it can bring, bounded by what evaporates, and the second source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.desk.evaporated import Evaporation, evaporated
from brinebook.desk.plan_demand import UseUnsaid
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, known_or_raise, start_of
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.cautions import cautions
from brinebook.planning.dayswing import Daily, clock_hours, days_of_ph
from brinebook.planning.limewater import (
    LIME,
    YEAR_SWING,
    Supply,
    grams_a_day,
    saturated_strength,
    strength_for,
    strength_of,
    supply,
)
from brinebook.planning.pours import water_of
from brinebook.planning.substances import of_salt
from brinebook.report.numbers import plain_text
from brinebook.texts import say

_STORED = 25.0


class EvaporationUnknown(UsageProblem):
    """Nobody knows what evaporates, so nobody knows what limewater can bring."""

    code = "E-PLAN-EVAPORATION"

    def __init__(self) -> None:
        super().__init__(
            say(
                "Limewater goes in as water evaporates, and the book doesn't say how much that is."
            ),
            say(
                "Say what evaporates, such as “4 L/day”, or write the mark of the "
                "top-off's container down now and then."
            ),
        )


@dataclass(frozen=True, slots=True)
class Lime:
    """What was typed: strength (“1.2 g/L”; else saturated), hours, demand, where it stands."""

    strength: str | None = None
    hours: str = ""
    use: str | None = None
    temperature: str | None = None


def limewater_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    lime: Lime,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """What limewater brings at the year's evaporation. Nothing is written.

    Raises EvaporationUnknown, HoursUnreadable, UseUnsaid, QuantityUntested and what reading amounts
    raises.
    """
    if lime.hours and not _CLOCK.match(lime.hours):
        raise HoursUnreadable(lime.hours)
    start = start_of(source, name, said=said, at=at, known=known)
    drunk = _evaporation(start)
    celsius = (
        _STORED if lime.temperature is None else read_quantity("temperature", lime.temperature)
    )
    strength = _strength(lime, celsius)
    litres = float(np.median(start.drawn.litres))
    demand = demand_of(start, lime)
    told = {
        label: supply(evaporation=each, strength=strength, demand=demand, litres=litres)
        for label, each in (("now", drunk.now), ("least", drunk.low), ("most", drunk.high))
    }
    return _worded(start, told, lime, demand=demand, litres=litres, celsius=celsius), start


def _evaporation(start: Start) -> Evaporation:
    if start.water.evaporation is not None:
        mean = start.water.evaporation
        return Evaporation(mean, YEAR_SWING[0] * mean, YEAR_SWING[1] * mean, 1)
    found = evaporated(start.water.facts, start.at)
    if found is None:
        raise EvaporationUnknown
    if found.months < 9:
        low, high = YEAR_SWING[0] * found.now, YEAR_SWING[1] * found.now
        return Evaporation(found.now, min(low, found.low), max(high, found.high), found.months)
    return found


class HoursUnreadable(UsageProblem):
    """Clock hours that can't be read."""

    code = "E-PLAN-HOURS"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("“{text}” are no hours of the clock.", text=text[:40]),
            say("Write from when to when, such as 22-06; leave it out for round the clock."),
        )


_CLOCK = re.compile(r"^\s*([01]?\d|2[0-4])(:[0-5]\d)?\s*-\s*([01]?\d|2[0-4])(:[0-5]\d)?\s*$")


def _strength(lime: Lime, celsius: float) -> float:
    if lime.strength is None:
        return saturated_strength(celsius)
    value, unit = number_and_unit(lime.strength)
    if unit.replace(" ", "") == "g/L":
        return strength_of(value, temperature=celsius)
    return read_quantity("alkalinity", lime.strength, of_system=False)


def demand_of(start: Start, lime: Lime) -> float:
    """What alkalinity is used in a day, meq/L: typed, else as believed.

    Raises UseUnsaid where a volume was stated without it, QuantityUntested where no book tells.
    """
    if lime.use is not None:
        return read_quantity("alkalinity", lime.use.removesuffix("/day").removesuffix("/d"))
    if start.stated:
        raise UseUnsaid
    known_or_raise(start, "alkalinity")
    return max(float(np.median(start.drawn.use("alkalinity"))), 0.0)


def old_use_note(start: Start, typed: str | None) -> list[str]:
    """That the use is a guess, where alkalinity was last tested long ago and nobody typed it."""
    days = None if typed is not None or start.stated else start.water.too_old("alkalinity")
    if days is None:
        return []
    return [
        say(
            "Alkalinity was last tested {days} days ago: what is used in a day is a guess by now.",
            days=days,
        )
    ]


def _worded(
    start: Start,
    told: Mapping[str, Supply],
    lime: Lime,
    *,
    demand: float,
    litres: float,
    celsius: float,
) -> Plan:
    now, most = told["now"], told["most"]
    brings, used = (_dkh(start, each) for each in (now.brings, demand))
    share = f"{round(100 * now.share)} %" if demand > 0.0 else say("all")
    headline = say(
        "Limewater brings about {brings} a day at the {evaporation} L that "
        "evaporate, {share} of the {used} that is used.",
        brings=brings,
        evaporation=plain_text(round(now.evaporation, 2)),
        share=share,
        used=used,
    )
    if now.brings > demand > 0.0:
        enough = strength_for(evaporation=now.evaporation, demand=demand, litres=litres)
        headline += say(
            " That is too much: {enough} g of lime a litre is enough.",
            enough=plain_text(enough, digits=2),
        )
    if now.rest > 0.0:
        soda = now.rest * litres / of_salt("NaHCO3").brings("alkalinity")
        headline += say(
            " A second source has to bring the other {dkh}: such as {soda} of NaHCO3 a day.",
            dkh=_dkh(start, now.rest),
            soda=amount_text(soda, "g"),
        )
    return Plan(
        kind="limewater",
        about=("alkalinity", "calcium"),
        at=start.at,
        verdict="told",
        headline=headline,
        figures=tuple(_figures(told, demand=demand, litres=litres, celsius=celsius)),
        reasons=(
            Reason(
                say(
                    "It can't bring more than what evaporates carries: more strength "
                    "doesn't dissolve."
                ),
                (
                    Figure(
                        "strength",
                        now.strength,
                        "meq/L",
                        origin="" if lime.strength else "saturated",
                    ),
                    Figure("evaporation", now.evaporation, "L/day"),
                    Figure("volume", litres, "L"),
                ),
                say("meq/L a day = litres evaporated × strength ÷ volume"),
                ("bates1956",),
            ),
        ),
        stops=(say("pH passes 8.6: limewater then goes in too fast, or something else lifts it."),),
        cautions=cautions("lime"),
        notes=(
            *old_use_note(start, lime.use),
            *_notes(start, told, lime, demand=demand, litres=litres, most=most),
        ),
    )


def _dkh(start: Start, value: float) -> str:
    return quantity_text("alkalinity", value, start.units, difference=True)


def _figures(
    told: Mapping[str, Supply], *, demand: float, litres: float, celsius: float
) -> list[Figure]:
    figures = [
        Figure("demand", demand, "meq/L/day", origin="estimated"),
        Figure("strength", told["now"].strength, "meq/L"),
        Figure("saturated", saturated_strength(celsius), "meq/L"),
        Figure("volume", litres, "L"),
    ]
    for label, each in told.items():
        figures += [
            Figure(f"evaporation_{label}", each.evaporation, "L/day"),
            Figure(f"brings_{label}", each.brings, "meq/L/day"),
            Figure(f"rest_{label}", each.rest, "meq/L/day"),
        ]
        if np.isfinite(each.share):
            figures.append(Figure(f"share_{label}", 100.0 * each.share, "%"))
    now = told["now"]
    figures.append(
        Figure("lime_a_day", grams_a_day(evaporation=now.evaporation, strength=now.strength), "g")
    )
    return figures


def _notes(
    start: Start,
    told: Mapping[str, Supply],
    lime: Lime,
    *,
    demand: float,
    litres: float,
    most: Supply,
) -> list[str]:
    least = told["least"]
    notes = [
        say(
            "Through the year {evaporation} to {most_evaporation} L evaporate a day: "
            "{dkh} to {dkh_start} a day.",
            evaporation=plain_text(round(least.evaporation, 1)),
            most_evaporation=plain_text(round(most.evaporation, 1)),
            dkh=_dkh(start, least.brings),
            dkh_start=_dkh(start, most.brings),
        )
    ]
    if most.brings > demand > 0.0:
        grams = strength_for(evaporation=most.evaporation, demand=demand, litres=litres)
        notes.append(
            say(
                "When the heating dries the air it brings more than is used, and "
                "alkalinity climbs: no more than {grams} g of lime a litre then, or "
                "part of the top-off as fresh water.",
                grams=plain_text(grams, digits=2),
            )
        )
    notes += _swing(start, told["now"], lime)
    notes.append(
        say("Let it settle and draw from the clear: what lies at the bottom brings nothing.")
    )
    notes.append(
        say(
            "It is {lime}: it brings calcium in the ratio that chalk takes, and no salt.", lime=LIME
        )
    )
    return [*notes, *start.water.assumed_of("alkalinity", "salinity", "temperature")]


def _swing(start: Start, now: Supply, lime: Lime) -> list[str]:
    """What it does to the day's pH: round the clock, and in the hours that were typed."""
    at = start.conditions
    pco2, hours = float(np.median(start.air.pco2)), float(np.median(start.air.hours))
    level = middle_of(start.drawn.level("alkalinity")).value
    water = water_of(np.array([level]), salinity=at.salinity, temperature=at.temperature, pco2=pco2)
    calcium = now.brings * of_salt(LIME).brings("calcium") / of_salt(LIME).brings("alkalinity")
    typed = lime.hours or "22-06"
    spans = {"round the clock": "", typed: typed}
    days = [
        Daily(now.brings, 0.0, calcium, now.brings, *clock_hours(text)) for text in spans.values()
    ]
    table = days_of_ph(water, days, pco2=pco2, air_hours=hours)
    if not np.isfinite(table).all():
        return []  # so much of it that no pH can be reckoned
    told = [
        say(
            "{label} {min} to {max}",
            label=label,
            min=plain_text(round(float(ph.min()), 2)),
            max=plain_text(round(float(ph.max()), 2)),
        )
        for label, ph in zip(spans, table.T, strict=True)
    ]
    base = float(water.state().ph_nbs[0])
    return [
        say(
            "pH by it alone, against {base} in balance with the room's air: {told}. "
            "It takes CO2 up, so it lifts pH while it runs.",
            base=plain_text(round(base, 2)),
            told="; ".join(told),
        )
    ]
