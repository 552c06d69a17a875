"""``plan reactor``: effluent and drip for the demand, CO2 used, and what it does to pH."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.desk.plan_limewater import Lime, demand_of, old_use_note
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, known_or_raise, start_of
from brinebook.desk.plan_words import amount_text, quantity_text
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.cautions import cautions
from brinebook.planning.reactor import Reactor, ph_under_excess, reactor
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import convert_amount


@dataclass(frozen=True, slots=True)
class Drip:
    """What was typed of the reactor."""

    effluent: str
    flow: str | None = None
    effluent_ph: str | None = None
    bottle: str | None = None
    use: str | None = None


def reactor_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    drip: Drip,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """What the reactor supplies and needs. Nothing is written.

    Raises EffluentWeak, UseUnsaid, QuantityUntested and what reading amounts raises.
    """
    start = start_of(source, name, said=said, at=at, known=known)
    if not start.stated:
        known_or_raise(start, "alkalinity")
    conditions = start.conditions
    tank = float(np.median(start.drawn.level("alkalinity")))
    ph = None if drip.effluent_ph is None else read_quantity("ph", drip.effluent_ph)
    pco2, hours = float(np.median(start.air.pco2)), float(np.median(start.air.hours))
    tank_ph = _tank_ph(start, tank, pco2, hours)
    demand = demand_of(start, Lime(use=drip.use))
    found = reactor(
        effluent=read_quantity("alkalinity", drip.effluent, of_system=False),
        tank=tank,
        demand=demand,
        litres=float(np.median(start.drawn.litres)),
        flow=None if drip.flow is None else litres_an_hour(drip.flow),
        effluent_ph=ph,
        tank_ph=tank_ph,
        salinity=conditions.salinity,
        temperature=conditions.temperature,
    )
    lowered = None
    if found.excess is not None:
        lowered = ph_under_excess(
            alkalinity=tank, excess=found.excess, pco2=pco2, air_hours=hours,
            salinity=conditions.salinity, temperature=conditions.temperature,
        )  # fmt: skip
    return _worded(start, found, drip, demand=demand, lowered=lowered), start


def litres_an_hour(text: str) -> float:
    """A typed drip: any unit of flow, and mL/min besides. Raises what the readers raise."""
    value, unit = number_and_unit(text)
    if unit.replace(" ", "").lower() == "ml/min":
        return value * 60.0 / 1000.0
    return convert_amount(value, unit, "L/h", dimension="flow")


def _tank_ph(start: Start, alkalinity: float, pco2: float, hours: float) -> float:
    if start.ph is not None:
        return float(np.median(start.ph))
    at = start.conditions
    calm, _ = ph_under_excess(
        alkalinity=alkalinity, excess=0.0, pco2=pco2, air_hours=hours, salinity=at.salinity,
        temperature=at.temperature,
    )  # fmt: skip
    return calm


def _worded(
    start: Start,
    found: Reactor,
    drip: Drip,
    *,
    demand: float,
    lowered: tuple[float, float] | None,
) -> Plan:
    brings = quantity_text("alkalinity", found.brings, start.units, difference=True)
    used = quantity_text("alkalinity", demand, start.units, difference=True)
    millilitres = found.flow_needed * 1000.0 / 60.0
    headline = say(
        "For the {used} that is used a day, let {flow_needed} L/h of it drip "
        "({millilitres} mL/min).",
        used=used,
        flow_needed=plain_text(found.flow_needed, digits=3),
        millilitres=plain_text(millilitres, digits=3),
    )
    if drip.flow is not None:
        headline = say(
            "At {flow} L/h it brings {brings} a day; {used} is used, which takes "
            "{flow_needed} L/h.",
            flow=plain_text(found.flow, digits=3),
            brings=brings,
            used=used,
            flow_needed=plain_text(found.flow_needed, digits=3),
        )
    return Plan(
        kind="reactor",
        about=("alkalinity", "calcium"),
        at=start.at,
        verdict="told",
        headline=headline,
        figures=tuple(_figures(found, drip, lowered)),
        reasons=(
            Reason(
                say("It brings what the effluent holds above the tank's water, times the drip."),
                equation=say(
                    "meq/L a day = (effluent − tank) × L/h × 24 ÷ volume; one CO2 for two meq"
                ),
                sources=("prohaska2022",),
            ),
        ),
        stops=(
            say(
                "bubbles gather in the reactor or its effluent is sour (under pH "
                "6.2): too much CO2."
            ),
        ),
        cautions=cautions("co2_bottle"),
        notes=tuple(
            old_use_note(start, drip.use)
            + _notes(found, drip, lowered)
            + list(start.water.assumed_of("alkalinity", "salinity", "temperature"))
        ),
    )


def _figures(found: Reactor, drip: Drip, lowered: tuple[float, float] | None) -> list[Figure]:
    figures = [
        Figure("flow_needed", found.flow_needed, "L/h"),
        Figure("flow", found.flow, "L/h"),
        Figure("brings", found.brings, "meq/L/day"),
        Figure("media_a_day", found.media, "g"),
        Figure("co2_least", found.carbon_dioxide, "g/day"),
    ]
    if found.carbon_dioxide_all is not None:
        figures.append(Figure("co2", found.carbon_dioxide_all, "g/day"))
    if lowered is not None:
        figures += [Figure("ph_without", lowered[0], "NBS"), Figure("ph_with", lowered[1], "NBS")]
    days = _bottle_days(found, drip)
    if days is not None:
        figures.append(Figure("bottle_days", days, "day"))
    return figures


def _bottle_days(found: Reactor, drip: Drip) -> float | None:
    if drip.bottle is None:
        return None
    value, unit = number_and_unit(drip.bottle)
    grams = convert_amount(value, unit, "g", dimension="mass")
    used = found.carbon_dioxide_all or found.carbon_dioxide
    return grams / used if used > 0.0 else None


def _notes(found: Reactor, drip: Drip, lowered: tuple[float, float] | None) -> list[str]:
    notes = [
        say(
            "Dissolving {media} of chalk a day takes at least {carbon_dioxide} of CO2.",
            media=amount_text(found.media, "g"),
            carbon_dioxide=amount_text(found.carbon_dioxide, "g"),
        )
    ]
    if found.carbon_dioxide_all is not None:
        notes.append(
            say(
                "With what the effluent carries besides it is about {carbon_dioxide_all} a day.",
                carbon_dioxide_all=amount_text(found.carbon_dioxide_all, "g"),
            )
        )
    else:
        notes.append(say("Say the effluent's pH for what goes to waste besides."))
    days = _bottle_days(found, drip)
    if days is not None:
        notes.append(say("The bottle lasts about {days} days.", days=plain_text(round(days))))
    if lowered is not None:
        notes.append(
            say(
                "What is left over of the CO2 holds the tank's pH at about {lowered} "
                "instead of {before}, as a mean of the day and by itself.",
                lowered=plain_text(round(lowered[1], 2)),
                before=plain_text(round(lowered[0], 2)),
            )
        )
    notes.append(say("Use what a test of the drip says, not of the tank."))
    return notes
