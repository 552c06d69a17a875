"""The few constants that the simulated water needs, on their own so that nothing is shared.

Molar masses are IUPAC abridged weights; the carbonate constants are those for salinity 35 (Lueker
et al. 2000, Dickson 1990, Weiss 1974, Mucci 1983), with the temperature slope from 20 to 26 °C.
"""

from __future__ import annotations

import math

QUANTITIES = (
    "alkalinity",
    "calcium",
    "magnesium",
    "strontium",
    "potassium",
    "nitrate",
    "phosphate",
    "ammonia",
    "salinity",
)
ALK, CA, MG, SR, K, NO3, PO4, NH, SAL = range(9)
CANONICAL_UNIT = {
    "alkalinity": "meq/L",
    "calcium": "mg/L",
    "magnesium": "mg/L",
    "strontium": "mg/L",
    "potassium": "mg/L",
    "nitrate": "mg/L",
    "phosphate": "mg/L",
    "ammonia": "mg/L",
    "salinity": "PSU",
}
#: Natural seawater at salinity 35 and 25 °C in canonical units (Millero et al. 2008).
SEAWATER = (2.358, 421.7, 1313.7, 8.13, 408.4, 0.0, 0.0, 0.0, 35.0)

DKH = 2.80385  # per meq/L
NO3_PER_N = 4.42664
PO4_PER_P = 3.06614
MEQ_PER_MG_N = 1.0 / 14.007
CALCIUM_PER_MEQ = 20.039  # mg of calcium for one meq of alkalinity, at two to one

#: What a gram brings: canonical amount times litre for each quantity; salinity counts only the
#: ions that stay when the reef has taken its calcium carbonate (g/L of salt is 0.98 PSU).
PER_GRAM: dict[str, dict[int, float]] = {
    "NaHCO3": {ALK: 11.904, SAL: 0.2737 * 0.98},
    "Na2CO3": {ALK: 18.870, SAL: 0.4338 * 0.98},
    "Ca(OH)2": {ALK: 26.993, CA: 540.9},
    "CaCl2.2H2O": {CA: 272.62, SAL: 0.4823 * 0.98},
    "MgCl2.6H2O": {MG: 119.56, SAL: 0.4684 * 0.98},
    "NaNO3": {NO3: 729.5, SAL: 0.2705 * 0.98},
    "KCl": {K: 524.47, SAL: 0.98},
}

_TOTAL_BORON = 415.7e-6
_KILOGRAM_PER_LITRE = 1.02334


def carbonate_state(
    alkalinity: float, calcium: float, pco2: float, temperature: float
) -> tuple[float, float]:
    """Aragonite saturation and NBS pH of water in balance with ``pco2`` (uatm); meq/L, mg/L, °C.

    Borate is met in two rounds only, which is good to about one per cent in saturation.
    """
    warmer = temperature - 25.0
    k0: float = 10.0 ** (-1.54681 - 0.0112 * warmer)
    k1 = 10.0 ** (-5.84715 + 0.0085 * warmer)
    k2 = 10.0 ** (-8.96595 + 0.0160 * warmer)
    kb = 10.0 ** (-8.59747 + 0.0117 * warmer)
    ksp = 10.0 ** (-6.18831 - 0.0019 * warmer)
    total = alkalinity * 1e-3 / _KILOGRAM_PER_LITRE
    carbon_dioxide = k0 * pco2 * 1e-6
    hydrogen = 8e-9
    for _ in range(2):
        carbonate_alkalinity = max(total - _TOTAL_BORON * kb / (kb + hydrogen), 1e-6)
        root = math.sqrt(1.0 + 8.0 * k2 * carbonate_alkalinity / (k1 * carbon_dioxide))
        hydrogen = 4.0 * k2 / (root - 1.0)
    carbonate = k1 * k2 * carbon_dioxide / (hydrogen * hydrogen)
    omega = carbonate * calcium * 1e-3 / 40.078 / _KILOGRAM_PER_LITRE / ksp
    return omega, 0.1365 - math.log10(hydrogen)
