"""What quantities and units are called in a sentence."""

from __future__ import annotations

from brinebook.texts.saying import Spoken

_QUANTITIES: Spoken[str] = Spoken(
    {
        "alkalinity": "alkalinity",
        "calcium": "calcium",
        "magnesium": "magnesium",
        "potassium": "potassium",
        "strontium": "strontium",
        "nitrate": "nitrate",
        "nitrite": "nitrite",
        "ammonia": "ammonia",
        "phosphate": "phosphate",
        "silicate": "silicate",
        "salinity": "salinity",
        "temperature": "temperature",
        "ph": "pH",
        "orp": "ORP",
        "oxygen": "oxygen",
        "iodine": "iodine",
        "iron": "iron",
        "room_temperature": "room temperature",
        "room_humidity": "room humidity",
        "room_co2": "room CO2",
    }
)


def quantity_label(name: str) -> str:
    """A quantity's name as people write it."""
    return _QUANTITIES.get(name, name.replace("_", " "))
