"""Published relations of the carbonate system, one function each.

Salinity is practical, ``kelvin`` on ITS-90, pressure that of the surface, constants in mol/kg of
seawater. ``m`` is the module that computes: ``math`` for floats, ``cmath`` for complex steps,
``numpy`` for arrays; all three spell exp, log and sqrt alike, so one formula serves all.

A constant stays on the pH scale on which it was published; ``constants`` moves it to the total one.
"""

from __future__ import annotations

import math
from typing import Any

_SALINITY_TO_CHLORINITY = 1.80655
_GAS_CONSTANT = 83.14462618  # cm3 bar / (mol K)
_ATMOSPHERE = 1.01325  # bar


def ionic_strength_doe_1994(salinity: Any) -> Any:
    """Ionic strength of seawater in mol/kg of water.

    Source: dickson1994 (chapter 5)
    """
    return 19.924 * salinity / (1000.0 - 1.005 * salinity)


def k0_weiss_1974(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Solubility of CO2 in mol/(kg atm).

    Range -1 to 40 °C, 0 to 40 PSU; 0.3 %.
    Source: weiss1974 (eq. 12, table 2)
    """
    hundreds = kelvin / 100.0
    return m.exp(
        -60.2409
        + 93.4517 / hundreds
        + 23.3585 * m.log(hundreds)
        + salinity * (0.023517 - 0.023656 * hundreds + 0.0047036 * hundreds**2)
    )


def k1_lueker_2000(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """First dissociation of carbonic acid, total scale.

    Range 2 to 35 °C, 19 to 43 PSU; 0.0055 in pK.
    Source: lueker2000 (eq. 1)
    """
    pk = (
        3633.86 / kelvin
        - 61.2172
        + 9.6777 * m.log(kelvin)
        - 0.011555 * salinity
        + 0.0001152 * salinity**2
    )
    return m.exp(-pk * _LN10)


def k2_lueker_2000(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Second dissociation of carbonic acid, total scale.

    Range 2 to 35 °C, 19 to 43 PSU; 0.010 in pK.
    Source: lueker2000 (eq. 2)
    """
    pk = (
        471.78 / kelvin
        + 25.929
        - 3.16967 * m.log(kelvin)
        - 0.01781 * salinity
        + 0.0001122 * salinity**2
    )
    return m.exp(-pk * _LN10)


def kb_dickson_1990(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Dissociation of boric acid, total scale.

    Range 0 to 45 °C, 5 to 45 PSU; 0.004 in ln K.
    Source: dickson1990a (eq. 23)
    """
    root = m.sqrt(salinity)
    return m.exp(
        (
            -8966.90
            - 2890.53 * root
            - 77.942 * salinity
            + 1.728 * salinity * root
            - 0.0996 * salinity**2
        )
        / kelvin
        + 148.0248
        + 137.1942 * root
        + 1.62142 * salinity
        - (24.4344 + 25.085 * root + 0.2474 * salinity) * m.log(kelvin)
        + 0.053105 * root * kelvin
    )


def kw_millero_1995(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Ion product of water, seawater scale (the Guide's total-scale form has 0.015 less in ln K).

    Range 0 to 40 °C, 0 to 40 PSU; 0.01 in pK.
    Source: millero1995 (eq. 63), dickson2007 (chapter 5, section 7.6)
    """
    log = m.log(kelvin)
    return m.exp(
        148.9802
        - 13847.26 / kelvin
        - 23.6521 * log
        + (118.67 / kelvin - 5.977 + 1.0495 * log) * m.sqrt(salinity)
        - 0.01615 * salinity
    )


def ks_dickson_1990(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Dissociation of bisulfate, free scale.

    Range 0 to 45 °C, 5 to 45 PSU; 0.021 in ln K.
    Source: dickson1990b (eqs. 22 and 23)
    """
    strength = ionic_strength_doe_1994(salinity)
    root, log = m.sqrt(strength), m.log(kelvin)
    return m.exp(
        -4276.1 / kelvin
        + 141.328
        - 23.093 * log
        + (-13856.0 / kelvin + 324.57 - 47.986 * log) * root
        + (35474.0 / kelvin - 771.54 + 114.723 * log) * strength
        - 2698.0 / kelvin * root * strength
        + 1776.0 / kelvin * strength**2
        + m.log(1.0 - 0.001005 * salinity)
    )


def kf_perez_fraga_1987(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Dissociation of hydrogen fluoride, total scale.

    Two readings are in print: the 2007 Guide takes the paper's constant as on the total scale, some
    programs as on the free scale. The Guide's is taken; it puts an NBS pH 0.003 nearer to the total
    one and changes nothing else. Range 9 to 33 °C, 10 to 40 PSU; 0.01 in ln K.
    Source: perez1987, dickson2007 (chapter 5, section 7.4)
    """
    return m.exp(874.0 / kelvin - 9.68 + 0.111 * m.sqrt(salinity))


def kf_dickson_riley_1979(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Dissociation of hydrogen fluoride, free scale.

    Only for moving constants of the seawater scale to the total one: it is the fluoride constant
    with which that scale was drawn when they were measured.
    Source: dickson1979 (as quoted by dickson1994, chapter 5)
    """
    return m.exp(
        1590.2 / kelvin
        - 12.641
        + 1.525 * m.sqrt(ionic_strength_doe_1994(salinity))
        + m.log(1.0 - 0.001005 * salinity)
    )


def kp1_yao_millero_1995(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """First dissociation of phosphoric acid, seawater scale; 0 to 45 °C, 0 to 45 PSU.

    Source: yao1995, millero1995 (eq. 65), dickson2007 (chapter 5, section 7.5)
    """
    return m.exp(
        -4576.752 / kelvin
        + 115.54
        - 18.453 * m.log(kelvin)
        + (-106.736 / kelvin + 0.69171) * m.sqrt(salinity)
        + (-0.65643 / kelvin - 0.01844) * salinity
    )


def kp2_yao_millero_1995(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Second dissociation of phosphoric acid, seawater scale; 0 to 45 °C, 0 to 45 PSU.

    Source: yao1995, millero1995 (eq. 66), dickson2007 (chapter 5, section 7.5)
    """
    return m.exp(
        -8814.715 / kelvin
        + 172.1033
        - 27.927 * m.log(kelvin)
        + (-160.340 / kelvin + 1.3566) * m.sqrt(salinity)
        + (0.37335 / kelvin - 0.05778) * salinity
    )


def kp3_yao_millero_1995(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Third dissociation of phosphoric acid, seawater scale; 0 to 45 °C, 0 to 45 PSU.

    Source: yao1995, millero1995 (eq. 67), dickson2007 (chapter 5, section 7.5)
    """
    return m.exp(
        -3070.75 / kelvin
        - 18.126
        + (17.27039 / kelvin + 2.81197) * m.sqrt(salinity)
        + (-44.99486 / kelvin - 0.09984) * salinity
    )


def ksi_yao_millero_1995(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Dissociation of silicic acid, seawater scale; 0 to 45 °C, 0 to 45 PSU.

    Source: yao1995, millero1995 (eq. 73), dickson2007 (chapter 5, section 7.5)
    """
    strength = ionic_strength_doe_1994(salinity)
    return m.exp(
        -8904.2 / kelvin
        + 117.4
        - 19.334 * m.log(kelvin)
        + (-458.79 / kelvin + 3.5913) * m.sqrt(strength)
        + (188.74 / kelvin - 1.5998) * strength
        + (-12.1652 / kelvin + 0.07871) * strength**2
        + m.log(1.0 - 0.001005 * salinity)
    )


def ksp_aragonite_mucci_1983(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Solubility product of aragonite in (mol/kg)2.

    Range 5 to 40 °C, 5 to 44 PSU; 0.02 in log K.
    Source: mucci1983 (table 7)
    """
    return _ksp(
        (-171.945, -0.077993, 2903.293, 71.595),
        (-0.068393, 0.0017276, 88.135, -0.10018, 0.0059415),
        kelvin,
        salinity,
        m,
    )


def ksp_calcite_mucci_1983(kelvin: Any, salinity: Any, m: Any = math) -> Any:
    """Solubility product of calcite in (mol/kg)2.

    Range 5 to 40 °C, 5 to 44 PSU; 0.01 in log K.
    Source: mucci1983 (table 7)
    """
    return _ksp(
        (-171.9065, -0.077993, 2839.319, 71.595),
        (-0.77712, 0.0028426, 178.34, -0.07711, 0.0041249),
        kelvin,
        salinity,
        m,
    )


def _ksp(
    fresh: tuple[float, ...], salt: tuple[float, ...], kelvin: Any, salinity: Any, m: Any
) -> Any:
    root = m.sqrt(salinity)
    log10 = (
        fresh[0]
        + fresh[1] * kelvin
        + fresh[2] / kelvin
        + fresh[3] * m.log(kelvin) / _LN10
        + (salt[0] + salt[1] * kelvin + salt[2] / kelvin) * root
        + salt[3] * salinity
        + salt[4] * salinity * root
    )
    return m.exp(log10 * _LN10)


def fugacity_factor_weiss_1974(kelvin: Any, m: Any = math) -> Any:
    """Fugacity over partial pressure of a little CO2 in air of 1 atm.

    Source: weiss1974 (eqs. 6, 9 and 11)
    """
    virial = -1636.75 + 12.0408 * kelvin - 0.0327957 * kelvin**2 + 3.16528e-5 * kelvin**3
    cross = 57.7 - 0.118 * kelvin
    return m.exp((virial + 2.0 * cross) * _ATMOSPHERE / (_GAS_CONSTANT * kelvin))


def activity_factor_takahashi_1982(kelvin: Any, salinity: Any) -> Any:
    """fH: activity of hydrogen by an NBS-calibrated electrode over its seawater-scale content.

    0 to 40 PSU; the junction of a real electrode adds 0.02 to 0.05 of its own.
    Source: takahashi1982 (page 80)
    """
    return 1.2948 - 0.002036 * kelvin + (0.0004607 - 0.000001475 * kelvin) * salinity**2


def total_boron_uppstrom_1974(salinity: Any) -> Any:
    """Total boron in mol/kg.

    Source: uppstrom1974
    """
    return 0.000232 / 10.811 * salinity / _SALINITY_TO_CHLORINITY


def total_boron_lee_2010(salinity: Any) -> Any:
    """Total boron in mol/kg, the newer figure, 4 % more.

    Source: lee2010
    """
    return 0.0002414 / 10.811 * salinity / _SALINITY_TO_CHLORINITY


def total_sulfate_morris_riley_1966(salinity: Any) -> Any:
    """Total sulfate in mol/kg.

    Source: morris1966
    """
    return 0.14 / 96.062 * salinity / _SALINITY_TO_CHLORINITY


def total_fluoride_riley_1965(salinity: Any) -> Any:
    """Total fluoride in mol/kg.

    Source: riley1965
    """
    return 0.000067 / 18.998 * salinity / _SALINITY_TO_CHLORINITY


def calcium_riley_tongudai_1967(salinity: Any) -> Any:
    """Calcium of natural seawater in mol/kg.

    Source: riley1967
    """
    return 0.02128 / 40.087 * salinity / _SALINITY_TO_CHLORINITY


_LN10 = math.log(10.0)
