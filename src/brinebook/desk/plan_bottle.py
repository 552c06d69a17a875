"""``plan bottle``: how long bottles last, what a stuck pump could do, and their real strength."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_dose import NothingDosed, pumps_now
from brinebook.desk.plan_dose_figures import bottle_figures
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, start_of
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.plan import Chance, Figure, Plan, Reason
from brinebook.planning.bottles import Bottle, bottle
from brinebook.planning.cautions import cautions
from brinebook.planning.dosing import Container, Pump, containers
from brinebook.planning.limits import limits_for
from brinebook.planning.spread import Floats
from brinebook.planning.strengths import grams_in_a_litre
from brinebook.planning.substances import dosed_for, find_substance, of_additive
from brinebook.report.dates import date_text
from brinebook.report.numbers import plain_text
from brinebook.system import Additive
from brinebook.texts import say
from brinebook.units import convert_amount
from brinebook.water.salts import find_salt


@dataclass(frozen=True, slots=True)
class Stated:
    """A bottle as typed, instead of the book's: what is in it, its strength, left, dose, worst."""

    name: str | None = None
    strength: str | None = None
    left: str | None = None
    dose: str | None = None
    worst: str | None = None
    away: int = 0


def bottle_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    stated: Stated,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """All bottles, or one. Nothing is written.

    Raises NothingDosed, SubstanceUnknown and what reading amounts raises.
    """
    start = start_of(source, name, said=said, at=at, known=known)
    pumps = _pumps(start, stated)
    if not pumps:
        raise NothingDosed
    worst = {pump.quantity: _worst(start, pump, stated) for pump in pumps}
    drawn = start.drawn
    if stated.strength is not None:  # a bottle that was stated is as strong as it was said to be
        exact = {pump.substance.name: 0.0 for pump in pumps}
        drawn = replace(drawn, strength_sd=exact, pump_sd=exact)
    found = containers(drawn, pumps, worst=worst)
    told = [] if start.stated else [bottle(start.drawn, pump) for pump in pumps]
    return _worded(start, found, told, stated.away), start


def _pumps(start: Start, stated: Stated) -> tuple[Pump, ...]:
    if stated.name is None:
        return pumps_now(start)
    pump = next(
        (p for p in pumps_now(start) if p.substance.name.casefold() == stated.name.casefold()),
        None,
    )
    if pump is None:
        pump = _stated_pump(start, stated)
    if stated.left is not None:
        left = np.full(start.drawn.count, _millilitres(stated.left))
        pump = replace(pump, left=left)
    if stated.dose is not None:
        pump = replace(pump, setting=_millilitres(stated.dose.removesuffix("/day")))
    return (pump,)


def _stated_pump(start: Start, stated: Stated) -> Pump:
    assert stated.name is not None
    if stated.strength is not None:
        formula = find_salt(stated.name).formula
        found = of_additive(
            Additive(
                say("{formula} solution", formula=formula),
                formula,
                grams_in_a_litre(formula, stated.strength),
                strength_sd=0.0,
                pump_sd=0.0,
            )
        )
    else:
        found = find_substance(stated.name, start.water.system)
    assert found is not None
    return Pump(found, dosed_for(found) or "alkalinity", 0.0)


def _millilitres(text: str) -> float:
    value, unit = number_and_unit(text)
    return convert_amount(value, unit, "mL", dimension="volume")


def _is_about(pump: Pump, stated: Stated) -> bool:
    """Whether the worst rise that was typed is of this bottle's quantity, where there are several:
    dKH are of alkalinity alone, mg/L of all the others."""
    if stated.name is not None or pump.quantity == "alkalinity":
        return True
    assert stated.worst is not None
    return "kh" not in stated.worst.lower() and "meq" not in stated.worst.lower()


def _worst(start: Start, pump: Pump, stated: Stated) -> float:
    if stated.worst is not None and _is_about(pump, stated):
        return read_quantity(pump.quantity, stated.worst)
    target = float(np.median(start.drawn.level(pump.quantity))) if (
        pump.quantity in start.drawn.quantities
    ) else 1.0  # fmt: skip
    return limits_for(pump.quantity, start.water.system, target=target).per_day


def _worded(start: Start, found: tuple[Container, ...], told: list[Bottle], away: int) -> Plan:
    first = [c for c in found if c.days is not None]
    first.sort(key=lambda c: float(np.quantile(c.days, 0.05)))  # type: ignore[arg-type]
    return Plan(
        kind="bottles",
        about=tuple(dict.fromkeys(c.pump.quantity for c in found)),
        at=start.at,
        verdict="told",
        headline=_headline(start, first, found),
        chances=_runs_dry(first, away),
        figures=tuple(
            [figure for one in found for figure in bottle_figures(one)]
            + [figure for one in told for figure in _strength_figures(one)]
        ),
        reasons=(
            Reason(
                say(
                    "What is left over what the pump truly moves; all that is left over the volume."
                ),
                equation=say("days = left ÷ (setting × pump); rise = left × strength ÷ volume"),
            ),
        ),
        cautions=cautions("mains"),
        notes=tuple(
            [note for one in found for note in _notes(start, one)]
            + [_strength_note(one) for one in told]
        ),
    )


def _headline(start: Start, first: list[Container], found: tuple[Container, ...]) -> str:
    if not first:
        keep = found[0]
        return say(
            "Keep no more than {keep} of {substance} in its container: more could "
            "pass the worst rise that you allow, were its pump to stick.",
            keep=amount_text(keep.keep, keep.pump.substance.unit),
            substance=keep.pump.substance.name,
        )
    soonest = first[0]
    assert soonest.days is not None
    bad = float(np.quantile(soonest.days, 0.05))
    day = date_text(start.at + timedelta(days=min(bad, 3650.0)), start.at, start.zone)
    return say(
        "The {substance} runs dry first: at the bad 1 in 20 on {day}, in {bad} days.",
        substance=soonest.pump.substance.name,
        day=day,
        bad=plain_text(round(bad)),
    )


def _runs_dry(first: list[Container], away: int) -> tuple[Chance, ...]:
    if not away:
        return ()
    return tuple(
        Chance(
            say(
                "runs out of {substance} within {away} days",
                substance=one.pump.substance.name,
                away=away,
            ),
            float(np.mean(one.days < away)),  # type: ignore[operator]
        )
        for one in first
    )


def _strength_figures(one: Bottle) -> list[Figure]:
    name = one.pump.substance.name
    return [
        _figure(f"arrives_{name}", one.arrives),
        _figure(f"strength_{name}", one.strength),
        _figure(f"pump_{name}", one.moves),
    ]


def _figure(name: str, draws: Floats) -> Figure:
    share = middle_of(100.0 * draws)
    return Figure(name, share.value, "%", share.low, share.high, "estimated")


def _strength_note(one: Bottle) -> str:
    name = one.pump.substance.name
    share = middle_of(100.0 * one.arrives)
    span = say(
        "{share_low} to {share_high} %",
        share_low=plain_text(round(share.low)),
        share_high=plain_text(round(share.high)),
    )
    if not one.is_known:
        return say(
            "What truly arrives of the {name} ({span} of what is set) is still what "
            "you described: marks on the bottle, and tests around a known dose, will "
            "tell.",
            name=name,
            span=span,
        )
    strength, moves = middle_of(100.0 * one.strength), middle_of(100.0 * one.moves)
    return say(
        "Of the {name} {share} % ({span}) of what is set arrives, by its effect and "
        "its falling level: the bottle at {strength} % of its label, the pump at "
        "{moves} % of its setting.",
        name=name,
        share=plain_text(round(share.value)),
        span=span,
        strength=plain_text(round(strength.value)),
        moves=plain_text(round(moves.value)),
    )


def _notes(start: Start, one: Container) -> list[str]:
    name, unit = one.pump.substance.name, one.pump.substance.unit
    notes = []
    if one.days is not None:
        days = middle_of(one.days)
        notes.append(
            say(
                "The {name} lasts {days_low} to {days_high} days, by {its_last_or_full_container}.",
                name=name,
                days_low=plain_text(round(days.low)),
                days_high=plain_text(round(days.high)),
                its_last_or_full_container=say("its last mark")
                if one.left_says == "marked"
                else say("a full container"),
            )
        )
    if one.rise is not None:
        rise = quantity_text(one.pump.quantity, middle_of(one.rise), start.units, difference=True)
        notes.append(
            say(
                "All that is left of the {name} at once would be {rise} more.", name=name, rise=rise
            )
        )
    notes.append(
        say(
            "With no more than {keep} of the {name} in it, a stuck pump stays within "
            "the worst rise.",
            keep=amount_text(one.keep, unit),
            name=name,
        )
    )
    if one.days is None and one.pump.setting > 0.0:
        notes.append(
            say(
                "How much is left of the {name} isn't known: write the mark of its container down.",
                name=name,
            )
        )
    return notes
