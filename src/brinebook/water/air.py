"""CO2 of the room's air, and the pH that it gives the water.

Indoor air holds more CO2 than outdoor air, and water under it stands lower in pH at the same
alkalinity. A dose of carbonate changes that for hours only; a window changes it for good.
"""

from __future__ import annotations

from dataclasses import replace

from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.oxygen import water_vapour_pressure_weiss_price_1980


def pco2_of_room_air(ppm: float, *, pressure: float = 1.0) -> float:
    """Partial pressure of CO2 (uatm) of air in which a meter reads ``ppm``; pressure in atm.

    A room meter senses the air as it is, with its moisture, so nothing is taken off for vapour.
    """
    return ppm * pressure


def pco2_of_dry_air(
    ppm: float, *, salinity: float = 35.0, temperature: float = 25.0, pressure: float = 1.0
) -> float:
    """Partial pressure of CO2 (uatm) over water, from a mole fraction in dry air.

    Published figures for outdoor air are of dry air; over the water it is saturated with vapour,
    which takes 3 % off at 25 °C. Range 0 to 40 PSU, 0 to 40 °C.
    Source: weiss1980, dickson2007 (chapter 5, section 3)
    """
    return ppm * (pressure - water_vapour_pressure_weiss_price_1980(salinity, temperature))


def in_balance_with_air(sample: Sample[float], pco2: float) -> CarbonateState[float]:
    """The water of ``sample``, of the same alkalinity, once it has come to balance with air.

    ``pco2`` of the air in uatm. Raises what ``solve`` raises.
    """
    alkalinity = sample.alkalinity if sample.alkalinity is not None else solve(sample).alkalinity
    settled = replace(sample, alkalinity=alkalinity, dic=None, ph=None, scale=None, pco2=pco2)
    return solve(settled)


def ph_change_by_air(alkalinity: float, from_pco2: float, to_pco2: float) -> float:
    """By how much the pH of water at 35 PSU and 25 °C changes from one air to another.

    ``alkalinity`` in umol/kg, ``pco2`` in uatm; the change is the same on every scale.
    """
    before = solve(Sample(alkalinity=alkalinity, pco2=from_pco2))
    after = solve(Sample(alkalinity=alkalinity, pco2=to_pco2))
    return after.ph_total - before.ph_total


def after_addition(
    sample: Sample[float], *, alkalinity: float = 0.0, dic: float = 0.0
) -> CarbonateState[float]:
    """The water right after a dose, before any CO2 has come or gone: umol/kg added of each.

    Bicarbonate adds both alike, carbonate twice as much alkalinity, hydroxide no carbon.
    """
    before = solve(sample)
    poured = replace(
        sample,
        alkalinity=before.alkalinity + alkalinity,
        dic=before.dic + dic,
        ph=None,
        scale=None,
        pco2=None,
    )
    return solve(poured)
