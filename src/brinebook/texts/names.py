"""What quantities, and states that the code goes by, are called in a sentence."""

from __future__ import annotations

from brinebook.texts.saying import Spoken, SpokenLine

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


#: States and answers that the code goes by in English; a sentence that has one as a fact says it.
STATES = SpokenLine(
    "in band", "out of band", "no band", "drifting", "stale", "low", "high", "as expected", "lower",
    "higher", "can't tell yet", "done", "skipped", "coming", "due", "missed", "dropped",
    "estimated", "your own", "common practice, no source", "label", "assumed", "given", "missing",
    "wrong", "sound", "yes", "no", "perhaps", "test first", "not done as planned",
    "take the media out", "feed less", "feed more", "cut more algae", "change more", "without it",
    "take out", "carried out", "just tumbling", "lifted", "laminar", "turbulent", "transition",
    "still", "stuck on", "stuck off", "covered tight", "this month", "this month, covered",
    "cold spell", "nothing done", "all the water, no air", "surface moved by a small pump",
    "air pump", "brings in oxygen", "moves the water", "goes dark together", "over the share",
    "not told", "out by itself", "back into the container", "coldest wall", "room CO2",
    "heater of the room beside it", "no drip loop", "winter", "summer", "the floor", "up", "in",
    "total", "method", "lot", "by", "of", "hours", "flow", "says", "replicate", "days",
    "round the clock", "chloride", "sodium", "sulfate", "animals", "plumbing",
    "lamps", "heaters", "evaporation",
    "surface", "pipes", "glass", "acrylic", "water", "containers, full", "sand", "gear", "rock",
    "stand", "warms", "nitrogen", "phosphorus", "before", "at once", "aired", "least", "most",
    "hardwood", "bone", "coconut", "anthracite", "browser", "command line", "import", "value",
    "unit", "what", "when", "kind", "detail",
)  # fmt: skip
