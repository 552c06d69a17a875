"""Salinity, density, conductivity, specific gravity and refractive index of seawater.

Practical salinity (PSU) throughout, temperatures in °C on ITS-90, pressure that of the surface. The
composition is that of reference seawater: salt mixes differ from it by a few parts in a thousand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from brinebook.units import GravityReference

#: Absolute salinity (g/kg) of reference seawater for each unit of practical salinity.
#: Source: millero2008 (section 4)
REFERENCE_SALINITY_PER_PSU = 35.16504 / 35.0

_NEWTON_STEPS = 8
_HIGHEST_SALINITY = 60.0


def density_teos_2010(salinity: Any, temperature: Any) -> Any:
    """Density of seawater in kg/m3, floats or arrays.

    Range 0 to 42 g/kg, -6 to 40 °C; the standard's own accuracy is 0.006 kg/m3.
    Source: ioc2010 (the Gibbs function, by the gsw library)
    """
    import gsw

    return gsw.rho_t_exact(salinity * REFERENCE_SALINITY_PER_PSU, temperature, 0.0)


def density(salinity: float, temperature: float) -> float:
    """Density of one sample in kg/m3; see ``density_teos_2010``."""
    return float(density_teos_2010(salinity, temperature))


def kilograms_per_litre(salinity: float, temperature: float) -> float:
    """Kilograms of seawater in a litre."""
    return density(salinity, temperature) / 1000.0


def conductivity_pss78(salinity: Any, temperature: Any) -> Any:
    """Electrical conductivity in mS/cm, not compensated for temperature.

    Range 2 to 42 PSU, -2 to 35 °C.
    Source: unesco1983, ioc2010 (by the gsw library)
    """
    import gsw
    import numpy as np

    with np.errstate(all="ignore"):
        return gsw.C_from_SP(salinity, temperature, 0.0)


def salinity_from_conductivity_pss78(conductivity: Any, temperature: Any) -> Any:
    """Practical salinity from conductivity (mS/cm) and the temperature at which it was read.

    Range 2 to 42 PSU, -2 to 35 °C; 0.003 PSU. A degree of error is 0.8 PSU. What no water conducts
    is NaN.
    Source: unesco1983, ioc2010 (by the gsw library)
    """
    import gsw
    import numpy as np

    with np.errstate(all="ignore"):
        return gsw.SP_from_C(conductivity, temperature, 0.0)


def specific_gravity(salinity: float, reference: GravityReference) -> float:
    """Density of the sample at one temperature over pure water at another.

    Source: ioc2010
    """
    return density(salinity, reference.sample) / density(0.0, reference.water)


def salinity_from_specific_gravity(gravity: float, reference: GravityReference) -> float:
    """Practical salinity from a specific gravity and its reference pair.

    Between 0 and 60 PSU it inverts ``specific_gravity`` to 1e-9; outside it goes on along the last
    slope, so that an impossible reading stays recognisably impossible.
    """
    low, high = specific_gravity(0.0, reference), specific_gravity(_HIGHEST_SALINITY, reference)
    slope = (high - low) / _HIGHEST_SALINITY
    salinity = (gravity - low) / slope
    if not 0.0 <= salinity <= _HIGHEST_SALINITY:
        return salinity
    for _ in range(_NEWTON_STEPS):
        error = specific_gravity(salinity, reference) - gravity
        # The curve is straight to 1 %, so the chord's slope converges by 100 a step.
        salinity = min(max(salinity - error / slope, 0.0), _HIGHEST_SALINITY)
        if abs(error) < 1e-14:
            break
    return salinity


def refractive_index_quan_fry_1995(
    salinity: Any, temperature: Any, *, wavelength: Any = 589.3
) -> Any:
    """Refractive index against air; wavelength in nm.

    Range 0 to 35 PSU, 0 to 30 °C, 400 to 700 nm; 1.5e-5 (an instrument's step is 1e-4).
    Source: quan1995 (eq. 3)
    """
    return (
        1.31405
        + (1.779e-4 - 1.05e-6 * temperature + 1.6e-8 * temperature**2) * salinity
        - 2.02e-6 * temperature**2
        + (15.868 + 0.01155 * salinity - 0.00423 * temperature) / wavelength
        - 4382.0 / wavelength**2
        + 1.1455e6 / wavelength**3
    )


def salinity_from_refractive_index(
    index: float, temperature: float, *, wavelength: float = 589.3
) -> float:
    """Practical salinity from a refractive index: the equation is linear in salinity.

    Source: quan1995 (eq. 3)
    """
    fresh = refractive_index_quan_fry_1995(0.0, temperature, wavelength=wavelength)
    one = refractive_index_quan_fry_1995(1.0, temperature, wavelength=wavelength)
    return float((index - fresh) / (one - fresh))
