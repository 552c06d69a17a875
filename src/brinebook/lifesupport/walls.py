"""What passes through glass, pipes and the open surface: watts for each kelvin of difference.

Dry heat only; what evaporation takes is in ``evaporation``. Lengths in m, conductivities in W/m/K,
resistances in m2K/W, temperatures in °C.
"""

from __future__ import annotations

import math
from types import MappingProxyType

#: Between a surface and the still air of a room, radiation included: heat going sideways, up, down.
#: Source: iso2017 (table 7)
FILM_SIDEWAYS, FILM_UP, FILM_DOWN = 0.13, 0.10, 0.17

#: Heat conductivity of what tanks, lids and stands are made of, W/m/K.
#: Source: iso2007 (table 3; glass, acrylic, PVC, softwood, plywood, foamed polystyrene)
CONDUCTIVITY = MappingProxyType(
    {"glass": 1.0, "acrylic": 0.20, "pvc": 0.17, "wood": 0.13, "foam": 0.030}
)

_STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4
_GRAVITY = 9.80665
_KELVIN = 273.15

# Air of 20 to 30 °C at 1 atm: kinematic viscosity (m2/s), conductivity (W/m/K), Prandtl number;
# over the temperatures of rooms they move by 3 % either way.
_AIR_VISCOSITY, _AIR_CONDUCTIVITY, _AIR_PRANDTL = 1.56e-5, 0.0261, 0.71
_EMISSIVITY = 0.9  # glass 0.84 to 0.94, plastics about 0.9


def transmittance_iso_2017(
    thickness: float, conductivity: float, *, film: float, insulation: float = 0.0
) -> float:
    """Heat through a square metre of wall between moving water and still air, W/m2/K.

    ``insulation`` is the resistance of a further layer (thickness over conductivity). The water's
    own film is left out: it is a hundredth of the air's.
    Source: iso2017 (section 6)
    """
    return 1.0 / (film + thickness / conductivity + insulation)


def nusselt_plate_churchill_chu_1975(rayleigh: float, prandtl: float) -> float:
    """Nusselt number of a standing plate that warms still air by its height.

    Rayleigh numbers up to 1e12, any Prandtl number; about 5 %.
    Source: churchill1975 (vertical plate)
    """
    at_prandtl: float = (1.0 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    root: float = 0.825 + 0.387 * rayleigh ** (1 / 6) / at_prandtl
    return root**2


def nusselt_cylinder_churchill_chu_1975(rayleigh: float, prandtl: float) -> float:
    """Nusselt number of a lying cylinder that warms still air, by its diameter.

    Rayleigh numbers up to 1e12, any Prandtl number.
    Source: churchill1975b (horizontal cylinder)
    """
    at_prandtl: float = (1.0 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    root: float = 0.60 + 0.387 * rayleigh ** (1 / 6) / at_prandtl
    return root**2


def rayleigh_number(size: float, *, warmer_by: float, air_temperature: float) -> float:
    """Rayleigh number of a surface of this size (m) that is so much warmer than air of a room."""
    film = air_temperature + warmer_by / 2.0 + _KELVIN
    grashof = _GRAVITY / film * abs(warmer_by) * size**3 / _AIR_VISCOSITY**2
    return grashof * _AIR_PRANDTL


def radiation_coefficient(surface_temperature: float, room_temperature: float) -> float:
    """What a surface radiates into a room, W/m2/K, between temperatures that lie close together.

    Source: iso2017 (annex C)
    """
    mean = (surface_temperature + room_temperature) / 2.0 + _KELVIN
    return 4.0 * _EMISSIVITY * _STEFAN_BOLTZMANN * mean**3


def pipe_conductance(
    bore: float, wall: float, *, water_temperature: float, air_temperature: float
) -> float:
    """Heat that a metre of plastic pipe loses, W/K: through its wall, then to the air of the room.

    Source: churchill1975b (horizontal cylinder), iso2017 (annex C), iso2007
    """
    outside = bore + 2.0 * wall
    warmer = max(abs(water_temperature - air_temperature), 0.5)
    rayleigh = rayleigh_number(outside, warmer_by=warmer, air_temperature=air_temperature)
    nusselt = nusselt_cylinder_churchill_chu_1975(rayleigh, _AIR_PRANDTL)
    film = nusselt * _AIR_CONDUCTIVITY / outside + radiation_coefficient(
        water_temperature, air_temperature
    )
    through_air = 1.0 / (film * math.pi * outside)
    through_wall = math.log(outside / bore) / (2.0 * math.pi * CONDUCTIVITY["pvc"])
    return 1.0 / (through_air + through_wall)
