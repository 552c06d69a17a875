"""The keys of vessels, pumps and plumbing."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from brinebook.book.description_notes import shown_value
from brinebook.book.description_rig_keys import Key, Reader, Shape, nested, several
from brinebook.rig.water_side import (
    FITTINGS,
    VALVES,
    Bed,
    Device,
    Doser,
    Drain,
    Joint,
    Nozzle,
    Pipe,
    Pump,
    Section,
    TopOff,
    Valve,
    Vessel,
    Weir,
    Zone,
)
from brinebook.texts import say

_NAME = Key("name", "text", "what you call it", needed="anything")


def _curve(reader: Reader, where: str, value: object) -> tuple[tuple[float, float], ...] | None:
    """Points of a pump's curve: pairs of flow and head, flow rising, head not rising."""
    if isinstance(value, list) and len(value) == 1:
        reader.notes.wrong(where, say("one point is no curve: it takes two and more"))
        return None
    if not isinstance(value, list) or len(value) < 2:
        reader.notes.wrong(
            where,
            say(
                '{shown_value} is not a list of pairs such as ["2000 L/h", "1.5 m"]',
                shown_value=shown_value(value),
            ),
        )
        return None
    points: list[tuple[float, float]] = []
    for number, pair in enumerate(value, start=1):
        place = f"{where}[{number}]"
        if not isinstance(pair, list) or len(pair) != 2:
            reader.notes.wrong(
                place, say("{shown_value} is not a flow and a head", shown_value=shown_value(pair))
            )
            return None
        flow = reader.read(place, pair[0], Key("flow", "flow", "", 0, 1e6))
        head = reader.read(place, pair[1], Key("head", "length", "", 0, 1000))
        if flow is None or head is None:
            return None
        points.append((flow, head))
    points.sort()
    for (flow, head), (more, lower) in pairwise(points):
        if more == flow or lower > head:
            reader.notes.wrong(
                where,
                say(
                    "the head doesn't fall from {flow:g} to {more:g} L/h; a pump's curve does",
                    flow=flow,
                    more=more,
                ),
            )
            return None
    return tuple(points)


def _fittings(reader: Reader, where: str, value: object) -> Mapping[str, int] | None:
    if not isinstance(value, Mapping):
        reader.notes.wrong(
            where,
            say(
                "{shown_value} is not a table such as {{ elbow_90 = 3 }}",
                shown_value=shown_value(value),
            ),
        )
        return None
    found: dict[str, int] = {}
    for name, count in value.items():
        if not reader.one_of(f"{where}.{name}", name, FITTINGS, what="fitting"):
            continue
        number = reader.read(f"{where}.{name}", count, Key(name, "count", "", 0, 1000))
        if number is not None:
            found[name] = number
    return MappingProxyType(found)


def chances(reader: Reader, where: str, value: object) -> Mapping[str, float] | None:
    """How likely failures are in a year, as the keeper believes: by id or kind of drill."""
    if not isinstance(value, Mapping):
        reader.notes.wrong(
            where,
            say(
                "{shown_value} is not a table of drills and shares", shown_value=shown_value(value)
            ),
        )
        return None
    found = {}
    for name, share in value.items():
        read = reader.read(f"{where}.{name}", share, Key(name, "share", ""))
        if read is not None:
            found[name] = read
    return MappingProxyType(found)


def _wanted_flow(reader: Reader, where: str, value: object) -> tuple[float, float] | None:
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2:
        reader.notes.wrong(
            where, say("{shown_value} is not a low and a high flow", shown_value=shown_value(value))
        )
        return None
    read = [reader.read(where, one, Key("", "flow", "", 0, 1e6)) for one in pair]
    if read[0] is None or read[1] is None:
        return None
    if read[0] > read[1]:
        reader.notes.wrong(
            where, say("the low of {shown_value} is above its high", shown_value=shown_value(value))
        )
        return None
    return read[0], read[1]


#: No wall, edge or bed is thinner or shorter, m; no hole and no line of a doser is narrower.
_SIZE, _FINE = 1e-3, 1e-4


def _length(name: str, meaning: str, high: float = 20.0, *, low: float = 0.0, **others: Any) -> Key:
    return Key(name, "length", meaning, low, high, **others)


SECTION = Shape(
    Section,
    (
        _NAME,
        _length(
            "length", "its length along the vessel", low=_SIZE, needed="levels and dry-running"
        ),
        _length("water", "its running depth; left out, the vessel's"),
        _length("baffle", "height of the wall that its water runs over into the next section"),
        Key("role", "choice", "what it is for", choices=("inlet", "skimmer", "plants", "return")),
    ),
)

VESSEL = Shape(
    Vessel,
    (
        _NAME,
        Key("role", "choice", "which it is; left out, display first, then sump",
            choices=("display", "sump", "other")),
        Key("length", "length", "inside length", 0.01, 20, needed="every level and volume",
            worth=100),
        Key("width", "length", "inside width", 0.01, 20, needed="every level and volume",
            worth=100),
        Key("height", "length", "inside height, from its floor to its rim", 0.01, 20,
            needed="what is left to the rim when something floods", worth=95),
        _length("water", "depth of the water while everything runs", wanted="levels, drain-back "
                "and volumes", worth=90),
        _length("floor", "height of its inside floor above the room's floor", 10.0),
        Key("area", "area", "of the water's surface, where length times width isn't it", 1e-4,
            100),
        _length("wall", "thickness of its walls", 0.2, low=_SIZE, default="10 mm"),
        Key("material", "choice", "of its walls", choices=("glass", "acrylic"), default="glass"),
        Key("lid", "share", "share of its surface that is covered", default="0 %"),
        Key("insulated", "share", "share of its walls behind insulation or wood", default="0 %"),
        Key("displaced", "volume", "what rock, sand and gear take of the water", 0, 1e6),
        Key("sections", "own", "its parts, in the order the water passes", read=several(SECTION)),
    ),
)  # fmt: skip

PUMP = Shape(
    Pump,
    (
        _NAME,
        Key("role", "choice", "what it does", choices=("return", "recirculation", "skimmer",
            "stream", "feed", "air"), default="return"),
        Key("in", "text", "the vessel it stands in, or vessel/section", attribute="place"),
        Key("curve", "own", "pairs of flow and head, as its curve shows them", read=_curve),
        Key("shut_off_head", "length", "the head at which nothing flows any more", 0.01, 1000),
        Key("free_flow", "flow", "the flow without any head", 0.1, 1e6),
        Key("flow", "flow", "what it moves in place, where you have measured that", 0, 1e6),
        _length("intake", "depth of water at which it begins to draw air", 2.0, default="5 cm"),
        Key("power", "power", "what it draws", 0, 1e5, wanted="heat, electricity and circuits",
            worth=40),
        Key("power_factor", "share", "its power over volts times amps", 0.05, default="60 %"),
        Key("heat_to_water", "share", "share of its power that ends up in the water",
            default="100 %", reason="a pump under water gives it all that it draws"),
        Key("socket", "text", "the socket that it hangs on"),
    ),
)  # fmt: skip

VALVE = Shape(
    Valve,
    (
        Key("kind", "choice", "how it closes", choices=VALVES, default="ball"),
        Key("opening", "share", "how far it is open, of its travel", default="100 %"),
        Key("kv", "valve flow", "its Kv when open", 1e-3, 1e4),
    ),
)

_ROUGHNESS = _length("roughness", "of its inside", 0.01, default="0.0015 mm",
                     reason="drawn tubing and plastic pipe")  # fmt: skip
_FITTINGS = Key("fittings", "own", f"how many of each: {', '.join(FITTINGS)}", read=_fittings)
_LOSS = Key("loss", "number", "further resistance coefficients, summed; left out, 1 for the exit "
            "of a pipe that ends in a vessel and lists none", 0, 1e6)  # fmt: skip
_VALVE = Key("valve", "own", "a valve in it", read=nested(VALVE))
_LIMIT = Key("pressure_limit", "pressure", "what its weakest joint is made for", 0, 1e4)

PIPE = Shape(
    Pipe,
    (
        _NAME,
        Key("from", "text", "where it begins: a vessel, vessel/section, pump, device or joint",
            attribute="begin", needed="every flow through it", worth=88),
        Key("to", "text", "where it ends", attribute="end", needed="every flow through it",
            worth=88),
        Key("bore", "length", "its inside diameter", 1e-3, 1, needed="every flow through it",
            worth=88),
        _length("length", "its length", 1000, needed="every flow through it", worth=87),
        _ROUGHNESS,
        _FITTINGS,
        _LOSS,
        _VALVE,
        Key("check_valve", "choice", "one in it, and what you believe of it",
            choices=("leaking", "tight")),
        _LIMIT,
        _length("mouth", "depth of its end below the running level"),
        _length("height", "of its end above the room's floor, where it ends above water", 10),
    ),
)  # fmt: skip

JOINT = Shape(
    Joint,
    (
        _NAME,
        _length("height", "above the room's floor", 10, default="0.5 m",
                reason="in the middle of a stand; it only moves pressures, not flows"),
        _LIMIT,
    ),
)  # fmt: skip

BED = Shape(
    Bed,
    (
        Key("media", "text", "what it is", default="granules"),
        _length("depth", "of the bed at rest", 5, low=_SIZE, needed="bed lift"),
        Key("grain", "length", "diameter of a grain", 1e-5, 0.1, default="1 mm"),
        Key("density", "density", "of a wet grain", 1001, 8000, default="1250 kg/m3"),
        Key("void", "share", "share of water between grains at rest", 0.2, 0.9, default="45 %"),
        Key("roundness", "share", "surface of a ball over surface of a grain", 0.2, default="80 %"),
    ),
)

DEVICE = Shape(
    Device,
    (
        _NAME,
        Key("kind", "choice", "what it is", default="reactor",
            choices=("reactor", "filter", "chiller", "lamp", "other")),
        _length("height", "of its weakest joint above the room's floor", 10, default="0.5 m",
                reason="in the middle of a stand; it only moves pressures, not flows"),
        Key("bore", "length", "inside diameter of its chamber", 1e-3, 2),
        Key("loss", "number", "its resistance coefficient, at the bore of the pipe that feeds it",
            0, 1e6, default=2.5, reason="an entrance, an exit and one turn"),
        _LIMIT,
        Key("wanted_flow", "own", "the flow that it wants: one, or a low and a high",
            read=_wanted_flow),
        Key("bed", "own", "what fills it", read=nested(BED)),
    ),
)  # fmt: skip

WEIR = Shape(
    Weir,
    (
        _NAME,
        Key("vessel", "text", "whose water runs over it", default="display"),
        _length("length", "of the edge that water runs over, teeth included", low=_SIZE,
                needed="the weir's head and drain-back", worth=72),
        Key("open_share", "share", "share of a toothed edge that is open", 0.01, default="100 %"),
        _length("tooth_height", "height of its teeth", 1),
        _length("crest", "height of the edge above the vessel's floor; left out, from the depth"),
        Key("box_area", "area", "of the box behind it", 0, 10),
        _length("box_drains", "by how much the box falls when the pump stops", 5),
    ),
)  # fmt: skip

DRAIN = Shape(
    Drain,
    (
        _NAME,
        Key("kind", "choice", "how it runs", choices=("siphon", "standpipe", "emergency"),
            default="standpipe", reason="the cautious one: a drain that draws air"),
        Key("from", "text", "the vessel that it drains", attribute="vessel", default="display"),
        Key("to", "text", "where it ends", attribute="end", default="sump"),
        Key("bore", "length", "its inside diameter", 1e-3, 1, needed="what the drains can carry",
            worth=85),
        _length("length", "its length", 100, needed="what the drains can carry", worth=85),
        _length("head", "from the water above it to the water, or its mouth, below", 20),
        _ROUGHNESS,
        _FITTINGS,
        Key("loss", "number", "of its entrance, its end and whatever isn't a fitting", 0, 1e6,
            default=1.5, reason="a sharp entrance 0.5 and an exit 1 (Crane TP-410)"),
        _VALVE,
        _length("above_running", "how far its mouth lies above the running level", 1),
    ),
)  # fmt: skip

NOZZLE = Shape(
    Nozzle,
    (
        _NAME,
        Key("pipe", "text", "the pipe that ends in it", needed="drain-back", worth=84),
        _length("mouth", "depth of its mouth below the running level", 5, needed="drain-back",
                worth=85),
        _length("hole", "depth of its siphon-break hole below the running level", 5),
        _length("hole_bore", "diameter of that hole", 0.1, low=_FINE),
    ),
)  # fmt: skip

TOP_OFF = Shape(
    TopOff,
    (
        Key("reservoir", "volume", "what it holds when full", 0, 1e5, needed="what a stuck "
            "top-off does", worth=74),
        Key("flow", "flow", "of its pump or valve while it runs", 0.01, 1e5,
            default="60 L/h"),
        Key("to", "text", "where it fills; left out, the return section", attribute="place"),
        Key("holds", "text", "an additive, where it holds one"),
        Key("longest_run", "hours", "after which something stops it by itself", 0, 1e4),
        _length("surface_height", "of its water above the room's floor", 10),
        _length("outlet_height", "of the end of its line above the room's floor", 10),
    ),
)  # fmt: skip

DOSER = Shape(
    Doser,
    (
        _NAME,
        Key("additive", "text", "which additive it doses", needed="what it does when it sticks",
            worth=50),
        Key("container", "volume", "what its container holds when full", 0, 1e5,
            needed="what it does when it sticks", worth=50),
        Key("holds", "volume", "what is in it now; left out, full", 0, 1e5),
        Key("flow", "flow", "while it runs", 0.001, 1e4, default="3 L/h"),
        _length("surface_height", "of its liquid above the room's floor", 10),
        _length("outlet_height", "of the end of its line above the room's floor", 10),
        Key("under_water", "flag", "whether the end of its line is under water"),
        Key("to", "text", "where it drips", attribute="place"),
        _length("line_bore", "inside diameter of its line", 0.05, low=_FINE, default="4 mm"),
        _length("line_length", "of its line", 50, low=_SIZE, default="2 m"),
    ),
)  # fmt: skip

ZONE = Shape(
    Zone,
    (
        _NAME,
        Key("volume", "volume", "how much water stands there", 0, 1e6, needed="its exchange time"),
        Key("flow", "flow", "how much flow is aimed at it", 0, 1e6, needed="its exchange time"),
    ),
)
