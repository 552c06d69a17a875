"""What the water is to a pipe: density, viscosity, weight of a column."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.water.salinity import REFERENCE_SALINITY_PER_PSU

#: Standard acceleration of free fall, m/s2.
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class Fluid:
    """Density in kg/m3, kinematic viscosity in m2/s, and how fast it falls in m/s2."""

    density: float
    viscosity: float
    gravity: float = GRAVITY

    def pressure(self, head: float) -> float:
        """The pressure in kPa under a head in m."""
        return self.density * self.gravity * head / 1000.0

    def head(self, pressure: float) -> float:
        """The head in m of a pressure in kPa."""
        return 1000.0 * pressure / (self.density * self.gravity)


def viscosity_sharqawy_2010(salinity: float, temperature: float) -> float:
    """Dynamic viscosity of seawater at 1 atm in Pa s.

    Range 0 to 150 g/kg, 0 to 180 °C; stated accuracy 1.5 %.
    Source: sharqawy2010 (eqs. 22 and 23)
    """
    share = salinity * REFERENCE_SALINITY_PER_PSU / 1000.0
    t = temperature
    fresh = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t**2
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t**2
    return fresh * (1.0 + a * share + b * share**2)


def seawater(salinity: float, temperature: float) -> Fluid:
    """The water of a system as a pipe sees it; salinity in PSU, temperature in °C."""
    from brinebook.water.salinity import density

    heavy = density(salinity, temperature)
    return Fluid(heavy, viscosity_sharqawy_2010(salinity, temperature) / heavy)


#: Seawater of 35 PSU at 25 °C, where nothing else is said.
USUAL_SEA = Fluid(1023.3436, viscosity_sharqawy_2010(35.0, 25.0) / 1023.3436)
