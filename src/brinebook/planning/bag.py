"""The water of a closed bag: what breathing animals put into it, and what opening it does.

Breathing makes CO2, which holds the pH down and keeps ammonia harmless; once the bag is open the
CO2 leaves within minutes to hours, the pH rises, and the same ammonia turns to its toxic form.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from brinebook.planning.acclimate import mixed
from brinebook.planning.spread import Spread
from brinebook.water.ammonia import unionised_fraction
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import CarbonateState, Sample, solve

_N = molar_mass("N")
_O2 = molar_mass("O2")

#: Oxygen that small reef fish use, mg for a gram of fish and hour: 150 to 400 a kilogram and hour
#: for fish of tens of grams (from memory), 1.1 mg a gram in fish of a gram or two.
#: Source: ikeda2011
OXYGEN_AN_HOUR = Spread(0.15, 0.35, 1.1)

#: Atoms of oxygen used for each of nitrogen given off, by small reef fishes.
#: Source: ikeda2011
OXYGEN_TO_NITROGEN = Spread(17.0, 40.0, 104.0)

#: Moles of CO2 for a mole of oxygen breathed (common practice, no source).
RESPIRATORY_QUOTIENT = 0.9

#: How fast an open vessel trades CO2 with the air, a share an hour of what it has too much of:
#: standing still, and with an air stone (common practice, no source).
AIRING_STILL, AIRING_STONE = 0.3, 5.0


def nitrogen_from_oxygen(oxygen: float, ratio: float) -> float:
    """mg of ammonia N given off while so many mg of oxygen are used; ``ratio`` O to N, atoms.

    Source: ikeda2011
    """
    return oxygen / _O2 * 2.0 / ratio * _N


def carbon_from_oxygen(oxygen: float, quotient: float = RESPIRATORY_QUOTIENT) -> float:
    """mmol of CO2 breathed out while so many mg of oxygen are used."""
    return oxygen / _O2 * quotient


@dataclass(frozen=True, slots=True)
class BagWater:
    """One well-mixed vessel: PSU, °C, umol/kg of alkalinity and inorganic carbon, mg/L of N."""

    salinity: float
    temperature: float
    alkalinity: float
    dic: float
    ammonia: float

    def state(self) -> CarbonateState[float]:
        """The carbonate system as it is; raises what ``solve`` raises."""
        return solve(
            Sample(
                alkalinity=self.alkalinity,
                dic=self.dic,
                salinity=self.salinity,
                temperature=self.temperature,
            )
        )

    def unionised(self) -> float:
        """Un-ionised ammonia, mg/L of N."""
        return self.ammonia * unionised_fraction(
            self.state().ph_total, self.salinity, self.temperature
        )

    def aired(self, pco2: float) -> BagWater:
        """The same water once its CO2 is in balance with air of ``pco2`` (uatm)."""
        settled = solve(
            Sample(
                alkalinity=self.alkalinity,
                pco2=pco2,
                salinity=self.salinity,
                temperature=self.temperature,
            )
        )
        return replace(self, dic=settled.dic)


def bag_of_known_ph(
    *, salinity: float, temperature: float, alkalinity: float, ph_nbs: float, ammonia: float
) -> BagWater:
    """The water of a bag whose pH was tested as it was opened; alkalinity in umol/kg."""
    state = solve(
        Sample(
            alkalinity=alkalinity,
            ph=ph_nbs,
            scale="NBS",
            salinity=salinity,
            temperature=temperature,
        )
    )
    return BagWater(salinity, temperature, alkalinity, state.dic, ammonia)


def breathed(fresh: BagWater, *, oxygen: float, ratio: float, litres: float) -> BagWater:
    """A bag after ``oxygen`` mg were used in it, ``ratio`` atoms of it for one of nitrogen.

    Ammonia is given off as such and takes a proton, so a mole of it brings one equivalent.
    Source: ikeda2011, dickson1981
    """
    nitrogen = nitrogen_from_oxygen(oxygen, ratio) / litres
    carbon = carbon_from_oxygen(oxygen) / litres * 1e3
    return replace(
        fresh,
        dic=fresh.dic + carbon,
        alkalinity=fresh.alkalinity + nitrogen / _N * 1e3,
        ammonia=fresh.ammonia + nitrogen,
    )


def mixed_water(start: BagWater, system: BagWater, kept: float) -> BagWater:
    """The vessel where the share ``kept`` is its first water and the rest the system's.

    Source: levenspiel1999
    """
    return BagWater(
        *(
            mixed(getattr(start, name), getattr(system, name), kept)
            for name in ("salinity", "temperature", "alkalinity", "dic", "ammonia")
        )
    )


@dataclass(frozen=True, slots=True)
class Moment:
    """The vessel at a time: hours, share of first water left, and its water."""

    hours: float
    kept: float
    water: BagWater


def drip_course(
    start: BagWater,
    system: BagWater,
    *,
    dilution: float,
    fills: bool,
    airing: float,
    pco2: float,
    hours: float,
    step: float = 1.0 / 60.0,
) -> Iterator[Moment]:
    """The open vessel by the minute: system water drips in, CO2 goes to the room's air.

    ``dilution`` is flow over first volume (1/h); with ``fills`` nothing runs over. ``airing`` is
    the share an hour of its excess of dissolved CO2 that the water loses, ``pco2`` of the room in
    uatm. The first moment is the bag as it was opened.
    """
    count = max(1, math.ceil(hours / step - 1e-9))
    water, kept = start, 1.0
    yield Moment(0.0, kept, water)
    for index in range(1, count + 1):
        time = min(index * step, hours)
        left = 1.0 / (1.0 + dilution * time) if fills else math.exp(-dilution * time)
        water = mixed_water(water, system, left / kept)
        kept = left
        state = water.state()
        excess = state.co2 * (1.0 - pco2 / state.pco2)
        # The excess decays at the rate itself only where the rest of the carbon doesn't refill it,
        # so a minute's step in DIC is small beside it.
        water = replace(water, dic=water.dic - excess * -math.expm1(-airing * step))
        yield Moment(time, kept, water)
