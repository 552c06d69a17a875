"""An amount of a bottle or a salt as typed: what it brings, and what that does to the pH."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text
from brinebook.errors import UsageProblem
from brinebook.plan import Figure
from brinebook.planning.substances import Substance, find_substance, of_additive, of_salt
from brinebook.report.numbers import plain_text
from brinebook.system import Additive
from brinebook.texts import say
from brinebook.units import (
    QUANTITIES,
    Amount,
    convert_amount,
    parse_amount,
    parse_number,
    split_amount,
)
from brinebook.water.air import in_balance_with_air
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.problems import InputNotPositive, InputsImpossible
from brinebook.water.carbonate.state import CarbonateState, solve
from brinebook.water.salts import SALTS, find_salt


class PourUnreadable(UsageProblem):
    """What was poured can't be told from what was typed."""

    code = "E-POUR"

    def __init__(self, about: str, hint: str) -> None:
        super().__init__(about, hint)


@dataclass(frozen=True, slots=True)
class Poured:
    """So much of a bottle or salt: what it brings in all, canonical amount times litre.

    ``carbon`` is mmol of inorganic carbon, None where nobody knows it.
    """

    substance: Substance
    amount: Amount
    brings: Mapping[str, float]
    carbon: float | None

    @property
    def name(self) -> str:
        """What it is called."""
        return self.substance.name

    @property
    def text(self) -> str:
        """“420 mL of carbonate solution”."""
        return say(
            "{amount} of {self_}",
            amount=amount_text(self.amount.value, self.amount.unit),
            self_=self.name,
        )


def poured(now: WaterNow, what: str, amount: str, *, strength: str | None = None) -> Poured:
    """What an amount of an additive or salt brings; ``strength`` is of a salt's own solution.

    Raises SubstanceUnknown, PourUnreadable where the amount doesn't fit, and what the reader of
    amounts raises.
    """
    read = parse_amount(amount, decimal_comma=True)
    substance = _substance(now, what, strength)
    if read.dimension == "mass" and substance.unit == "mL" and substance.salt is not None:
        substance = of_salt(substance.salt)
    if read.dimension != ("volume" if substance.unit == "mL" else "mass"):
        wanted = (
            say("millilitres") if substance.unit == "mL" else say("grams (or say its strength)")
        )
        raise PourUnreadable(
            say(
                "{read} {unit} of {substance} can't be weighed up.",
                read=plain_text(read.value),
                unit=read.unit,
                substance=substance.name,
            ),
            say("Give it in {wanted}.", wanted=wanted),
        )
    units = convert_amount(read.value, read.unit, substance.unit)
    if units <= 0.0:
        raise PourUnreadable(
            say("{amount} is no amount.", amount=amount), say("Give more than nothing.")
        )
    return Poured(
        substance,
        read,
        {name: each * units for name, each in substance.per_unit.items()},
        None if substance.carbon is None else substance.carbon * units,
    )


def _substance(now: WaterNow, what: str, strength: str | None) -> Substance:
    if strength is None:
        return find_substance(what, now.system)
    formula = find_salt(what).formula
    found = of_additive(
        Additive(say("{formula} solution", formula=formula), formula, grams_per_litre(strength))
    )
    assert found is not None  # it has a recipe
    return found


def lime_strength(text: str | None) -> float | None:
    """mol of Ca(OH)2 in a litre, from grams of it in a litre; None where nothing was said."""
    return None if text is None else grams_per_litre(text) / SALTS["Ca(OH)2"].molar_mass


def grams_per_litre(text: str) -> float:
    """A strength such as “80 g/L”; raises PourUnreadable."""
    number, unit = split_amount(text)
    if unit.replace(" ", "").lower() != "g/l":
        raise PourUnreadable(
            say("“{text}” is no strength.", text=text), say("Write grams in a litre: “80 g/L”.")
        )
    return parse_number(number, decimal_comma=True)


def now_unit(quantity: str) -> str:
    """The canonical unit of a quantity; mg/L of an ion that isn't one."""
    return QUANTITIES[quantity].unit if quantity in QUANTITIES else "mg/L"


def ph_figures(
    now: WaterNow,
    before: float,
    *,
    alkalinity: float,
    carbon: float,
    calcium: float = 0.0,
    diluted: float = 1.0,
) -> tuple[Figure, ...]:
    """pH (NBS), CO2 and aragonite saturation before, closed and aired.

    ``before`` is the alkalinity before (meq/L); added are meq/L, mmol/L of carbon and mg/L of
    calcium, to water that fresh water has thinned to the share ``diluted``. Raises PourUnreadable
    where no sea water can hold that much.
    """
    try:
        states = _states(
            now, before, alkalinity=alkalinity, carbon=carbon, calcium=calcium, diluted=diluted
        )
    except (InputsImpossible, InputNotPositive) as problem:
        raise PourUnreadable(
            say("That much in that little water is beyond what the constants of sea water tell."),
            problem.message,
        ) from None
    return tuple(
        figure
        for label, state in states.items()
        for figure in (
            Figure(f"ph_{label}", state.ph_nbs, "NBS"),
            Figure(f"omega_aragonite_{label}", state.omega_aragonite, ""),
            Figure(f"pco2_{label}", state.pco2, "uatm"),
        )
    )


def _states(
    now: WaterNow,
    before: float,
    *,
    alkalinity: float,
    carbon: float,
    calcium: float,
    diluted: float,
) -> dict[str, CarbonateState[float]]:
    per_kilogram = 1e3 / now.kilograms
    start = replace(now.sample(), alkalinity=before * per_kilogram)
    first = solve(start)
    thinned = replace(
        start,
        alkalinity=(before * diluted + alkalinity) * per_kilogram,
        dic=first.dic * diluted + carbon * per_kilogram,
        pco2=None,
        salinity=now.middle("salinity") * diluted,
        calcium=(now.middle("calcium") * diluted + calcium) / molar_mass("Ca") * per_kilogram,
    )
    return {
        "before": first,
        "at_once": solve(thinned),
        "aired": in_balance_with_air(replace(thinned, dic=None, pco2=now.room_pco2), now.room_pco2),
    }
