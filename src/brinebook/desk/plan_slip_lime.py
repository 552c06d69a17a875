"""``plan slip met`` and ``plan slip limewater``: chalk where two parts met, lime that went in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import numpy as np

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_pour import Poured, PourUnreadable, ph_figures
from brinebook.desk.plan_words import amount_text
from brinebook.measure import Measure
from brinebook.plan import Expected, Figure, Plan, Reason, Step
from brinebook.planning import cautions, slips
from brinebook.planning.limits import limits_for
from brinebook.planning.spread import Spread, deviates, told
from brinebook.texts import say
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import solve

# ---- two parts that met --------------------------------------------------------------------------


def met_slip(now: WaterNow, first: Poured, second: Poured) -> Plan:
    """What fell out where two doses met undiluted, and what the water goes without."""
    pair = sorted((first, second), key=lambda each: -each.brings.get("alkalinity", 0.0))
    alkaline, limy = pair
    alkalinity = alkaline.brings.get("alkalinity", 0.0)
    metal = limy.brings.get("calcium", 0.0)
    if alkalinity <= 0.0 or metal <= 0.0:
        raise PourUnreadable(
            say(
                "{first} and {second} make no chalk together.", first=first.name, second=second.name
            ),
            say("Name one that brings alkalinity and one that brings calcium."),
        )
    bicarbonate = alkaline.carbon is not None and alkaline.carbon > 0.75 * alkalinity
    snow = slips.snow_of(alkalinity, metal, bicarbonate=bicarbonate)
    litres = now.drawn.litres
    short = {
        "alkalinity": told(snow.alkalinity / litres, "meq/L"),
        "calcium": told(snow.calcium / litres, "mg/L"),
    }
    return Plan(
        kind="slip",
        about=("alkalinity", "calcium"),
        at=now.at,
        verdict="do",
        headline=_met_headline(now, snow, short),
        steps=_met_steps(now, first, second),
        figures=_met_figures(snow, short),
        reasons=(_met_reason(alkalinity, metal),),
        cautions=cautions.cautions("acid"),
        notes=(
            say("It is at most that much: what was washed out before it met is in the water."),
            say(
                "What not to do: don't dissolve the snow with acid in the tank, "
                "don't stir it up, and don't make up for the whole dose at once. "
                "Chalk in the tank does no harm; on a pump or a probe it does."
            ),
        ),
    )


def _met_figures(snow: slips.Snow, short: Mapping[str, Measure]) -> tuple[Figure, ...]:
    return (
        Figure("chalk", snow.grams, "g", 0.0, snow.grams),
        Figure(
            "alkalinity_missing", short["alkalinity"].value, "meq/L", 0.0, short["alkalinity"].high
        ),
        Figure("calcium_missing", short["calcium"].value, "mg/L", 0.0, short["calcium"].high),
        Figure("carbon_dioxide_freed", snow.carbon, "mmol"),
    )


def _met_reason(alkalinity: float, calcium: float) -> Reason:
    return Reason(
        say(
            "Strong, they make chalk within seconds, as much as the scarcer of the "
            "two allows; spread in the tank they would not have."
        ),
        inputs=(
            Figure("alkalinity_met", alkalinity, "meq"),
            Figure("calcium_met", calcium, "mg"),
        ),
        equation=say("Ca + 2 HCO3 = CaCO3 + CO2 + H2O (2 meq of alkalinity for each mmol)"),
        sources=("dickson1981", "prohaska2022"),
    )


def _met_headline(now: WaterNow, snow: slips.Snow, short: Mapping[str, Measure]) -> str:
    missing = say(" and ").join(
        say("{amount} of {name}", amount=now.text(name, each.value, difference=True), name=name)
        for name, each in short.items()
    )
    return say(
        "Up to {grams} of chalk fell out, and the water goes without up to "
        "{missing}: that is a dose missed, no more.",
        grams=amount_text(snow.grams, "g"),
        missing=missing,
    )


def _met_steps(now: WaterNow, first: Poured, second: Poured) -> tuple[Step, ...]:
    soon, later = now.at + timedelta(hours=12), now.at + timedelta(days=1)
    lost = say("{first} and {second} met", first=first.name, second=second.name)
    return (
        Step(
            now.at,
            soon,
            "done",
            say("clean the chamber where two parts met"),
            "",
            "",
            say(
                "Siphon the white sludge out of the chamber and off the pump; wipe, "
                "don't scrape. Soak the pump and the dosing tips in household "
                "vinegar outside the tank, then rinse."
            ),
        ),
        Step(
            now.at,
            soon,
            "event",
            "two_parts_met",
            "",
            "",
            say(
                "Write it down: {lost}, so that the missing dose isn't taken for a change of use.",
                lost=lost,
            ),
            detail={"text": lost},
        ),
        Step(
            later,
            later + timedelta(days=1),
            "test",
            "alkalinity",
            "",
            "",
            say(
                "Test alkalinity; if it is short, the plan that corrects a level says how "
                "fast to make it up."
            ),
        ),
    )


# ---- limewater -----------------------------------------------------------------------------------

#: pH (NBS) that CO2 is meant to bring the water back to, before the air does the rest: common
#: practice, no source.
_BACK_TO = 8.4
#: Above this saturation of aragonite chalk is often seen to fall out: common practice, no source.
_SNOWS = 10.0


def lime_slip(now: WaterNow, litres: float, *, strength: float | None = None) -> Plan:
    """Limewater that ran in at once: what it did, and how CO2 rather than acid takes it back.

    ``strength`` is mol of Ca(OH)2 a litre; left out, that of clear saturated limewater, a range.
    """
    told_strength = slips.LIMEWATER if strength is None else Spread.exactly(strength)
    drawn = told_strength.drawn(deviates(61, now.drawn.count))
    volume = now.drawn.litres + litres
    rise = told(2e3 * drawn * litres / volume, "meq/L")
    calcium = told(1e3 * drawn * litres * molar_mass("Ca") / volume, "mg/L")
    diluted = float(np.median(now.drawn.litres / volume))
    before = now.middle("alkalinity")
    water = ph_figures(
        now, before, alkalinity=rise.value, carbon=0.0, calcium=calcium.value, diluted=diluted
    )
    found = {figure.name: figure.value for figure in water}
    ends = before * diluted + rise.value
    gas = _gas_for(now, ends, found["ph_at_once"])
    millimoles = gas * float(np.median(volume))
    limits = limits_for("alkalinity", now.system, target=now.middle("alkalinity"))
    harmless = rise.high <= limits.per_day and found["ph_at_once"] < _BACK_TO
    return Plan(
        kind="slip",
        about=("alkalinity", "calcium", "ph"),
        at=now.at,
        verdict="nothing" if harmless else "do",
        headline=_lime_headline(now, litres, rise, found),
        steps=() if harmless else _lime_steps(now, found, ends),
        figures=(
            Figure("alkalinity_rise", rise.value, "meq/L", rise.low, rise.high),
            Figure("calcium_rise", calcium.value, "mg/L", calcium.low, calcium.high),
            Figure("alkalinity_after", ends, "meq/L"),
            Figure("salinity_after", now.middle("salinity") * diluted, "PSU"),
            *water,
            Figure("carbon_dioxide_back", millimoles, "mmol"),
            _bottles(millimoles),
            Figure("limit_per_day", limits.per_day, "meq/L/day", origin=limits.origin("per_day")),
        ),
        reasons=_lime_reasons(told_strength),
        cautions=cautions.cautions("lime", "mains"),
        stops=(
            say(
                "the animals are in trouble: then stir the surface hard and change "
                "water, whatever the figures say."
            ),
        ),
        notes=(*_lime_notes(found), *now.assumed),
    )


def _gas_for(now: WaterNow, alkalinity: float, ph_now: float) -> float:
    """mmol of CO2 a litre that bring water of an alkalinity (meq/L) down to the wanted pH."""
    if ph_now <= _BACK_TO:
        return 0.0
    per_kilogram = 1e3 / now.kilograms
    sample = replace(now.sample(), alkalinity=alkalinity * per_kilogram, pco2=None, scale="NBS")
    wanted, here = (solve(replace(sample, ph=ph)).dic for ph in (_BACK_TO, ph_now))
    return float(wanted - here) / per_kilogram


def _bottles(millimoles: float) -> Figure:
    gas = slips.CARBONATED_WATER
    return Figure(
        "carbonated_water",
        slips.carbonated_litres(millimoles, gas.middle),
        "L",
        slips.carbonated_litres(millimoles, gas.high),
        slips.carbonated_litres(millimoles, gas.low),
        say("common practice, no source"),
    )


def _lime_headline(now: WaterNow, litres: float, rise: Measure, found: Mapping[str, float]) -> str:
    up = now.text("alkalinity", rise, difference=True)
    return say(
        "{litres} of limewater adds about {up} of alkalinity and lifts the pH from "
        "{ph_before:.2f} to {ph_at_once:.2f}. The room's CO2 brings it back to about "
        "{ph_aired:.2f} within a day: stir the surface, and wait.",
        litres=amount_text(litres, "L"),
        up=up,
        ph_before=found["ph_before"],
        ph_at_once=found["ph_at_once"],
        ph_aired=found["ph_aired"],
    )


def _lime_steps(now: WaterNow, found: Mapping[str, float], alkalinity: float) -> tuple[Step, ...]:
    soon, morning = now.at + timedelta(hours=12), now.at + timedelta(days=1)
    steps = [
        Step(
            now.at,
            soon,
            "done",
            say("stop the limewater, stir the surface"),
            "",
            "",
            say(
                "Stop what let it in, and turn pumps, skimmer and air to the "
                "surface: the CO2 of the room is what brings the pH down. Stop all "
                "dosing of alkalinity and calcium."
            ),
        ),
        Step(
            now.at + timedelta(hours=3),
            now.at + timedelta(hours=12),
            "test",
            "ph",
            "",
            "",
            say("Test or read the pH, and see whether the water is milky."),
        ),
        Step(
            morning,
            morning + timedelta(days=1),
            "test",
            "alkalinity",
            "",
            "",
            say(
                "Test alkalinity: where it is lower than expected, chalk fell out "
                "and calcium with it."
            ),
            expects=(Expected("alkalinity", morning, alkalinity, 0.6 * alkalinity, alkalinity),),
        ),
    ]
    if found["ph_at_once"] > _BACK_TO:
        steps.insert(
            1,
            Step(
                now.at,
                soon,
                "done",
                say("carbonated water in small pours"),
                "",
                "",
                say(
                    "If animals look distressed and the pH stays high: plain "
                    "carbonated water (nothing else in it) in pours of a cup into "
                    "strong flow, minutes apart, a pH reading between pours, and "
                    "stop well before all of it is in."
                ),
            ),
        )
    return tuple(steps)


def _lime_reasons(strength: Spread) -> tuple[Reason, ...]:
    return (
        Reason(
            say(
                "Limewater brings alkalinity and calcium without any carbon, so the "
                "pH jumps until CO2 has come in."
            ),
            inputs=(
                Figure(
                    "strength",
                    strength.middle,
                    "mol/L",
                    strength.low,
                    strength.high,
                    say("clear saturated limewater, unless you said"),
                ),
            ),
            equation=say("Ca(OH)2 + 2 CO2 = Ca + 2 HCO3; 2 meq of alkalinity for each mmol"),
            sources=("dickson1981", "dickson2007", "lueker2000"),
        ),
    )


def _lime_notes(found: Mapping[str, float]) -> tuple[str, ...]:
    notes = [
        say(
            "What not to do: no acid. It takes the alkalinity away for good, and a "
            "spoon too much is worse than the limewater; CO2 only turns it into "
            "bicarbonate, and what is too much of it leaves by itself."
        ),
        say(
            "If undissolved lime came along, it goes on dissolving: then more "
            "follows than reckoned."
        ),
    ]
    if found["omega_aragonite_at_once"] > _SNOWS:
        notes.append(
            say(
                "Aragonite stands at {omega_aragonite_at_once:.0f} times saturation: "
                "expect a milky water and chalk on heaters and pumps. Don't make up "
                "calcium or alkalinity before both are tested.",
                omega_aragonite_at_once=found["omega_aragonite_at_once"],
            )
        )
    return tuple(notes)
