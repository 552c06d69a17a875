"""All constants of the carbonate system at one salinity and temperature, chosen and gathered."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

from brinebook.water.carbonate import relations

Boron = Literal["uppstrom1974", "lee2010"]


class Constants(NamedTuple):
    """Constants (total scale, mol/kg), totals (mol/kg) and scale factors; floats or arrays.

    ``sulfate_factor`` is hydrogen on the total over the free scale, ``seawater_factor`` on the
    seawater over the total scale, ``activity_factor`` fH.
    """

    k0: Any
    k1: Any
    k2: Any
    kb: Any
    kw: Any
    kp1: Any
    kp2: Any
    kp3: Any
    ksi: Any
    kf: Any
    ksp_aragonite: Any
    ksp_calcite: Any
    boron: Any
    fluoride: Any
    calcium: Any
    sulfate_factor: Any
    seawater_factor: Any
    activity_factor: Any
    fugacity_factor: Any


_TOTAL_BORON: Mapping[Boron, Callable[[Any], Any]] = MappingProxyType(
    {
        "uppstrom1974": relations.total_boron_uppstrom_1974,
        "lee2010": relations.total_boron_lee_2010,
    }
)


def constants_at(
    salinity: Any, temperature: Any, *, boron: Boron = "uppstrom1974", m: Any = math
) -> Constants:
    """Constants at a practical salinity and °C; ``m`` is math, cmath or numpy.

    Range of all together: 19 to 43 PSU, 9 to 33 °C.
    """
    kelvin = temperature + 273.15
    free_to_total = 1.0 + relations.total_sulfate_morris_riley_1966(
        salinity
    ) / relations.ks_dickson_1990(kelvin, salinity, m)
    fluoride = relations.total_fluoride_riley_1965(salinity)
    seawater_to_total = free_to_total / (
        free_to_total + fluoride / relations.kf_dickson_riley_1979(kelvin, salinity, m)
    )
    kf = relations.kf_perez_fraga_1987(kelvin, salinity, m)
    return Constants(
        relations.k0_weiss_1974(kelvin, salinity, m),
        relations.k1_lueker_2000(kelvin, salinity, m),
        relations.k2_lueker_2000(kelvin, salinity, m),
        relations.kb_dickson_1990(kelvin, salinity, m),
        relations.kw_millero_1995(kelvin, salinity, m) * seawater_to_total,
        relations.kp1_yao_millero_1995(kelvin, salinity, m) * seawater_to_total,
        relations.kp2_yao_millero_1995(kelvin, salinity, m) * seawater_to_total,
        relations.kp3_yao_millero_1995(kelvin, salinity, m) * seawater_to_total,
        relations.ksi_yao_millero_1995(kelvin, salinity, m) * seawater_to_total,
        kf,
        relations.ksp_aragonite_mucci_1983(kelvin, salinity, m),
        relations.ksp_calcite_mucci_1983(kelvin, salinity, m),
        _TOTAL_BORON[boron](salinity),
        fluoride,
        relations.calcium_riley_tongudai_1967(salinity),
        free_to_total,
        # With KF on the total scale, F / KF(free) = F * free_to_total / KF: the factor cancels.
        1.0 + fluoride / kf,
        relations.activity_factor_takahashi_1982(kelvin, salinity),
        relations.fugacity_factor_weiss_1974(kelvin, m),
    )
