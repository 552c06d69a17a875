"""How much of the total ammonia is the un-ionised, toxic kind."""

from __future__ import annotations

import math

from brinebook.texts import say

_LN10 = math.log(10.0)


def pk_ammonium_clegg_whitfield_1995(salinity: float, temperature: float) -> float:
    """Dissociation of ammonium as pK, total scale, mol/kg of seawater; temperature in °C.

    Range 0 to 40 PSU, -2 to 40 °C; 0.00015 in pK by the authors. The paper's constant is per kg of
    water and is moved to kg of seawater here. Other constants lie up to 0.02 higher, which is 5 %
    less un-ionised ammonia.
    Source: clegg1995 (eq. 18)
    """
    t, s = temperature + 273.15, salinity
    root = math.sqrt(t)
    pk = (
        9.244605
        - 2729.33 * (1 / 298.15 - 1 / t)
        + (0.04203362 - 11.24742 / t) * s**0.25
        + (-13.6416 + 1.176949 * root - 0.02860785 * t + 545.4834 / t) * s**0.5
        + (-0.1462507 + 0.0090226468 * root - 0.0001471361 * t + 10.5425 / t) * s**1.5
        + (0.004669309 - 0.0001691742 * root - 0.5677934 / t) * s**2
        + (-2.354039e-05 + 0.009698623 / t) * s**2.5
    )
    return float(pk - math.log10(1.0 - 0.001005 * s))


def unionised_fraction(ph_total: float, salinity: float, temperature: float) -> float:
    """Un-ionised ammonia as a fraction of total ammonia; pH on the total scale, °C.

    Range and accuracy are those of the constant; a pH wrong by 0.1 is a fraction wrong by a fifth.
    Source: clegg1995
    """
    pk = pk_ammonium_clegg_whitfield_1995(salinity, temperature)
    return 1.0 / (1.0 + math.exp((pk - ph_total) * _LN10))


def range_notes(salinity: float, temperature: float) -> tuple[str, ...]:
    """What was left of the constant's range."""
    if 0 <= salinity <= 40 and -2 <= temperature <= 40:
        return ()
    return (
        say(
            "At {salinity:g} PSU and {temperature:g} °C the ammonia constant is "
            "outside its range of 0 to 40 PSU and -2 to 40 °C (Clegg & Whitfield "
            "1995).",
            salinity=salinity,
            temperature=temperature,
        ),
    )
