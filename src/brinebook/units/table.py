"""The table of quantities: what each number means, in which unit, and what is refused.

The physical ranges are the product's own door checks. The usual ranges only help to guess which
slip was made when a value is refused: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from brinebook.texts import phrase, say
from brinebook.units.problems import QuantityUnknown, UnitAmbiguous, UnitMissing, UnitUnknown
from brinebook.units.spelling import gravity_reference, gravity_spelling, spelling_key

Nature = Literal["dissolved", "salinity", "state", "room"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A unit that is refused on purpose: why, and what to write instead."""

    because: str
    use: tuple[str, ...]


_NOTHING: Mapping[str, Refused] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Quantity:
    """One measured quantity.

    ``low`` and ``high`` bound what can be in a system, in the canonical ``unit``. ``dissolved``
    quantities have a mass of their own; ``state`` is what hasn't (pH, temperature, ORP).
    """

    name: str
    unit: str
    low: float
    high: float
    usual: tuple[float, float]
    units: tuple[str, ...]
    nature: Nature
    title: str
    aliases: tuple[str, ...] = ()
    refused: Mapping[str, Refused] = field(default_factory=lambda: _NOTHING)
    unit_optional: bool = False

    def range_for(self, *, of_system: bool = True) -> tuple[float, float]:
        """The physical range; of anything but a system's water, ten times for concentrations."""
        if of_system or self.nature == "room" or self.name in ("temperature", "orp", "salinity"):
            return self.low, self.high
        if self.name == "ph":
            return 0.0, 14.0
        return self.low, 10 * self.high


_ION_UNITS = ("mg/L", "ppm", "mmol/L", "mg/kg")
_TRACE_UNITS = ("ug/L", "ppb", "mg/L", "ppm", "umol/L")
_BARE_PPM_OF_NITROGEN = phrase(
    "kits mean mg/L of N, of NH3, of NH4 or of NO2 by it, up to 3.3 times apart"
)

_ROWS = (
    Quantity(
        "alkalinity", "meq/L", 0, 15, (1.8, 5.0),
        ("meq/L", "dKH", "mg/L CaCO3", "ppm CaCO3", "umol/kg"), "dissolved", "alkalinity",
        ("alk", "kh", "ta"),
        {"ppm": Refused("it may be as CaCO3, as HCO3 or as CaO", ("ppm CaCO3", "dKH", "meq/L"))},
    ),
    Quantity("calcium", "mg/L", 0, 2000, (300, 600), _ION_UNITS, "dissolved", "calcium", ("ca",)),
    Quantity(
        "magnesium", "mg/L", 0, 5000, (1000, 1700), _ION_UNITS, "dissolved", "magnesium", ("mg",)
    ),
    Quantity(
        "potassium", "mg/L", 0, 2000, (300, 550), _ION_UNITS, "dissolved", "potassium", ("k",)
    ),
    Quantity("strontium", "mg/L", 0, 100, (4, 20), _ION_UNITS, "dissolved", "strontium", ("sr",)),
    Quantity(
        "nitrate", "mg/L", 0, 1000, (0.05, 100),
        ("mg/L", "ppm", "mg/L NO3", "ppm NO3", "mg/L N", "ppm N", "umol/L"),
        "dissolved", "nitrate as NO3", ("no3",),
    ),
    Quantity(
        "nitrite", "mg/L", 0, 100, (0.001, 1),
        ("mg/L", "mg/L N", "ppm N", "mg/L NO2", "ppm NO2", "umol/L"),
        "dissolved", "nitrite as N", ("no2",),
        {"ppm": Refused(_BARE_PPM_OF_NITROGEN, ("ppm N", "mg/L NO2"))},
    ),
    Quantity(
        "ammonia", "mg/L", 0, 100, (0.001, 2),
        ("mg/L", "mg/L N", "ppm N", "mg/L NH3", "ppm NH3", "mg/L NH4", "ppm NH4", "umol/L"),
        "dissolved", "total ammonia as N", ("nh3", "nh4", "amm", "tan"),
        {"ppm": Refused(_BARE_PPM_OF_NITROGEN, ("ppm N", "mg/L NH3", "mg/L NH4"))},
    ),
    Quantity(
        "phosphate", "mg/L", 0, 50, (0.001, 1),
        ("mg/L", "ppm", "mg/L PO4", "ppm PO4", "mg/L P", "ppm P", "ug/L P", "ppb P", "ug/L PO4",
         "ppb PO4", "umol/L"),
        "dissolved", "phosphate as PO4", ("po4",),
        {"ppb": Refused("kits mean ppb of P or of PO4 by it, 3.07 times apart",
                        ("ppb P", "ug/L PO4"))},
    ),
    Quantity(
        "silicate", "mg/L", 0, 100, (0.01, 5),
        ("mg/L", "ppm", "mg/L SiO2", "ppm SiO2", "mg/L Si", "ppm Si", "umol/L"),
        "dissolved", "silicate as SiO2", ("si", "sio2"),
    ),
    Quantity(
        "salinity", "PSU", 0, 60, (28, 40), ("PSU", "ppt", "SG", "mS/cm"), "salinity",
        "practical salinity", ("sal",),
    ),
    Quantity(
        "temperature", "C", -2, 45, (18, 32), ("C", "F", "K"), "state", "temperature", ("temp",)
    ),
    Quantity(
        "ph", "NBS", 4, 11, (7.6, 8.6), ("NBS", "total", "sws", "free"), "state",
        "pH on the NBS scale", unit_optional=True,
    ),
    Quantity("orp", "mV", -1500, 1500, (150, 500), ("mV",), "state", "redox", ("redox",)),
    Quantity(
        "oxygen", "mg/L", 0, 40, (4, 10), ("mg/L", "umol/L", "% sat"), "dissolved",
        "dissolved oxygen", ("o2", "do"),
    ),
    Quantity("iodine", "ug/L", 0, 10_000, (10, 150), _TRACE_UNITS, "dissolved", "iodine", ("i",)),
    Quantity("iron", "ug/L", 0, 10_000, (0.1, 50), _TRACE_UNITS, "dissolved", "iron", ("fe",)),
    Quantity(
        "room_temperature", "C", -30, 60, (10, 35), ("C", "F"), "room", "room temperature",
    ),
    Quantity(
        "room_humidity", "%", 0, 100, (20, 90), ("%",), "room", "relative humidity of the room"
    ),
    Quantity(
        "room_co2", "ppm", 0, 50_000, (350, 3000), ("ppm", "uatm"), "room", "CO2 of the room's air"
    ),
)  # fmt: skip

#: Every quantity by its name, in the order of the documentation.
QUANTITIES: Mapping[str, Quantity] = MappingProxyType({row.name: row for row in _ROWS})

_BY_ALIAS: Mapping[str, str] = MappingProxyType(
    {alias: row.name for row in _ROWS for alias in (row.name, *row.aliases)}
)
_BY_KEY: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {row.name: {spelling_key(unit): unit for unit in row.units} for row in _ROWS}
)
#: Other spellings, in the form of ``spelling_key``.
_SYNONYMS: Mapping[str, str] = MappingProxyType(
    {
        "dh": "dkh", "kh": "dkh", "‰": "ppt", "degc": "c", "celsius": "c", "degf": "f",
        "fahrenheit": "f", "kelvin": "k", "phnbs": "nbs", "phtotal": "total", "phsws": "sws",
        "phfree": "free", "seawater": "sws", "%saturation": "%sat", "%rh": "%", "percent": "%",
    }
)  # fmt: skip


def find_quantity(text: str) -> Quantity:
    """The quantity of that name or short form (``alk``, ``ca``), in upper or lower case.

    Raises QuantityUnknown, with the nearest names.
    """
    key = text.strip().lower().replace(" ", "_").replace("-", "_")
    name = _BY_ALIAS.get(key)
    if name is None:
        from difflib import get_close_matches

        close = get_close_matches(key[:40], QUANTITIES, n=3)
        raise QuantityUnknown(text, tuple(QUANTITIES), close)
    return QUANTITIES[name]


def read_unit(quantity: Quantity, unit: str) -> str:
    """The unit in its one spelling, as one that this quantity is read in.

    Raises UnitMissing, UnitAmbiguous (with the reason) or UnitUnknown (with what is read).
    """
    key = spelling_key(unit)
    if not key:
        if quantity.unit_optional:
            return quantity.unit
        raise UnitMissing(_capital(quantity.title), quantity.units, _why_a_unit(quantity))
    known = _BY_KEY[quantity.name]
    found = known.get(key) or known.get(_SYNONYMS.get(key, ""))
    if found is not None:
        return found
    if quantity.name == "salinity" and gravity_reference(unit) is not None:
        return gravity_spelling(unit)
    if key in quantity.refused:
        refused = quantity.refused[key]
        raise UnitAmbiguous(unit.strip(), quantity.name, refused.because, refused.use)
    raise UnitUnknown(unit.strip(), quantity.name, quantity.units)


def _why_a_unit(quantity: Quantity) -> str:
    if quantity.name == "salinity":
        return say(
            "A bare 1.025 is a salinity of 33 to 37, by the two temperatures of the "
            "instrument's reference: write 1.025 SG for 25 °C over 25 °C water, or "
            "1.025 SG 20/4."
        )
    return ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
