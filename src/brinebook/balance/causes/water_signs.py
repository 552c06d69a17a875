"""The state of the keeper's water at a time, as far as tests say: saturation, CO2, ammonia."""

from __future__ import annotations

from dataclasses import replace

from brinebook.balance.causes.case import Case, occasions
from brinebook.balance.rivals import Numbers
from brinebook.errors import BrinebookError
from brinebook.water.ammonia import unionised_fraction
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.scales import convert_ph
from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.quantities import Conditions, from_canonical

#: Where nobody measured pH, the water is taken to stand under indoor air (uatm; common practice).
INDOOR_PCO2 = 550.0
#: A test this many days old still says how the water stood (common practice, no source).
_HOLDS_DAYS = 30.0
#: pH taken for ammonia where it was never measured: to the careful side (NBS; common practice).
CAREFUL_PH = 8.3
#: Un-ionised ammonia in salt water, mg/L of NH3: what animals shall not meet for an hour, and not
#: for four days on the average. Source: epa1989
ACUTE_NH3, CHRONIC_NH3 = 0.233, 0.035


def last_value(case: Case, quantity: str, t: float) -> float | None:
    """The mean of the last occasion up to a time, if it is recent enough to hold."""
    found = [one for one in occasions(case.tests_of(quantity)) if t - _HOLDS_DAYS <= one.t <= t]
    return found[-1].value if found else None


def conditions_at(case: Case, t: float) -> Conditions:
    """Salinity and temperature by the last tests, else 35 PSU and 25 °C."""
    salinity, temperature = last_value(case, "salinity", t), last_value(case, "temperature", t)
    return Conditions(
        salinity=35.0 if salinity is None else min(max(salinity, 20.0), 45.0),
        temperature=25.0 if temperature is None else min(max(temperature, 15.0), 35.0),
    )


def carbonate_state(
    case: Case, t: float, *, alkalinity: float, ph: float | None = None, pco2: float | None = None
) -> CarbonateState[float] | None:
    """The carbonate system of water with this alkalinity (meq/L), and pH (NBS) or pCO2 (uatm).

    Calcium, salinity and temperature by the last tests before ``t``; None where no such water is.
    """
    at = conditions_at(case, t)
    calcium = last_value(case, "calcium", t)
    sample: Sample[float] = Sample(
        alkalinity=from_canonical("alkalinity", alkalinity, "umol/kg", conditions=at),
        salinity=at.salinity,
        temperature=at.temperature,
    )
    if calcium is not None:
        per_kg = from_canonical("calcium", calcium, "mg/kg", conditions=at)
        sample = replace(sample, calcium=1000.0 * per_kg / molar_mass("Ca"))
    known = {"pco2": pco2} if ph is None else {"ph": ph, "scale": "NBS"}
    try:
        return solve(replace(sample, **known))
    except BrinebookError:
        return None


def aragonite_saturation(case: Case, t: float) -> tuple[float, Numbers] | None:
    """Saturation of aragonite just before a time, and what it was reckoned from."""
    alkalinity = last_value(case, "alkalinity", t)
    if alkalinity is None:
        return None
    ph = last_value(case, "ph", t)
    state = carbonate_state(case, t, alkalinity=alkalinity, ph=ph,
                            pco2=None if ph is not None else INDOOR_PCO2)  # fmt: skip
    if state is None:
        return None
    by = "your pH" if ph is not None else "indoor air, for want of a pH test"
    return state.omega_aragonite, {"omega": state.omega_aragonite, "by": by}


def unionised_ammonia(case: Case, total: float, t: float) -> tuple[float, float, bool]:
    """mg/L of NH3 in ``total`` mg/L of N; the pH (NBS) used, and whether it was measured.

    Source: clegg1995
    """
    at = conditions_at(case, t)
    measured = last_value(case, "ph", t)
    ph = CAREFUL_PH if measured is None else min(max(measured, 7.0), 9.5)
    on_total = convert_ph(ph, "NBS", "total", salinity=at.salinity, temperature=at.temperature)
    fraction = unionised_fraction(on_total, at.salinity, at.temperature)
    weight = molar_mass("NH3") / molar_mass("N")
    return total * fraction * weight, ph, measured is not None
