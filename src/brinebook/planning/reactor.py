"""Calcium reactor: what its effluent supplies, the CO2 that it uses, and what that does to pH.

CaCO3 + CO2 + H2O becomes Ca and two bicarbonates: one CO2 for two equivalents; what the effluent
holds above that leaves to the air or lowers the pH.
"""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.errors import UsageProblem
from brinebook.planning.pours import water_of
from brinebook.texts import say
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import Sample, solve
from brinebook.water.salinity import kilograms_per_litre

_CO2 = molar_mass("CO2")


class EffluentWeak(UsageProblem):
    """The effluent brings no more than the system's own water."""

    code = "E-PLAN-EFFLUENT"

    def __init__(self) -> None:
        super().__init__(
            say(
                "The effluent holds no more alkalinity than the system's water, so "
                "it supplies none."
            ),
            say("Test what drips out of the reactor, not the tank: it is several times as high."),
        )


@dataclass(frozen=True, slots=True)
class Reactor:
    """What a reactor does.

    ``brings`` meq/L a day at ``flow`` L/h, ``flow_needed`` L/h for the demand; ``carbon_dioxide``
    g a day: the least that dissolving takes, and with what the effluent carries besides (None where
    its pH isn't known). ``excess`` is inorganic carbon beyond the chalk's own, mmol/L of tank a
    day.
    """

    brings: float
    flow: float
    flow_needed: float
    media: float
    carbon_dioxide: float
    carbon_dioxide_all: float | None
    excess: float | None


def reactor(
    *,
    effluent: float,
    tank: float,
    demand: float,
    litres: float,
    flow: float | None = None,
    effluent_ph: float | None = None,
    tank_ph: float | None = None,
    salinity: float = 35.0,
    temperature: float = 25.0,
) -> Reactor:
    """The reactor's arithmetic; alkalinities in meq/L, demand in meq/L a day, pH on NBS.

    Without ``flow`` the one that meets the demand. Raises EffluentWeak.
    """
    gain = effluent - tank
    if gain <= 0.0:
        raise EffluentWeak
    needed = demand * litres / (24.0 * gain)
    litres_an_hour = needed if flow is None else flow
    meq = gain * litres_an_hour * 24.0
    least = meq / 2.0 * _CO2 / 1000.0
    everything = excess = None
    if effluent_ph is not None:
        carbon = _carbon(effluent, effluent_ph, salinity, temperature) - _carbon(
            tank, tank_ph if tank_ph is not None else 8.1, salinity, temperature
        )
        # Half of the gain in alkalinity came as carbon of the dissolved chalk itself.
        gas = (carbon - gain / 2.0) * litres_an_hour * 24.0
        everything = gas * _CO2 / 1000.0
        excess = (carbon - gain / 2.0) * litres_an_hour * 24.0 / litres
    return Reactor(
        meq / litres,
        litres_an_hour,
        needed,
        meq / 2.0 * molar_mass("CaCO3") / 1000.0,
        least,
        everything,
        excess,
    )


def _carbon(alkalinity: float, ph: float, salinity: float, temperature: float) -> float:
    """Inorganic carbon, mmol/L."""
    kilograms = kilograms_per_litre(salinity, temperature)
    state = solve(
        Sample(
            alkalinity=alkalinity * 1000.0 / kilograms, ph=ph, scale="NBS", salinity=salinity,
            temperature=temperature,
        )
    )  # fmt: skip
    return state.dic * kilograms / 1000.0


def ph_under_excess(
    *,
    alkalinity: float,
    excess: float,
    pco2: float,
    air_hours: float,
    salinity: float = 35.0,
    temperature: float = 25.0,
) -> tuple[float, float]:
    """pH (NBS) in balance with the air, and with an excess of carbon that has to leave to it.

    ``excess`` mmol/L a day; at rest the flux to the air is the excess: CO2 stands above balance by
    the excess over the rate of exchange.
    """
    at = {"salinity": salinity, "temperature": temperature}
    calm = water_of(alkalinity, pco2=pco2, **at)
    near = water_of(alkalinity, pco2=pco2 * 1.01, **at)
    settled = calm.state()
    slope = float(near.dic - calm.dic) / (0.01 * float(settled.co2))
    rate = slope / air_hours * 24.0  # a day, on dissolved CO2
    above = excess * 1000.0 / calm.kilograms / rate
    lifted = water_of(alkalinity, pco2=pco2 * (1.0 + above / float(settled.co2)), **at)
    return float(settled.ph_nbs), float(lifted.state().ph_nbs)
