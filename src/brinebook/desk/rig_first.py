"""The first form of a rig: the twenty figures that give the first drills, as a description."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from brinebook import units
from brinebook.desk.rig_edit import with_values
from brinebook.desk.rig_places import Place
from brinebook.desk.rig_values import number_or_text, with_unit
from brinebook.errors import BrinebookError


@dataclass(frozen=True, slots=True)
class FirstField:
    """One figure: the unit that stands beside it in metres and in feet, and its choices."""

    name: str
    metric: str
    customary: str
    choices: tuple[str, ...] = ()

    def unit(self, *, feet: bool) -> str:
        """The unit of a bare number."""
        return self.customary if feet else self.metric


@dataclass(frozen=True, slots=True)
class FirstGroup:
    """Figures that are taken in one go."""

    name: str
    fields: tuple[FirstField, ...]


def _length(name: str) -> FirstField:
    return FirstField(name, "cm", "in")


FIRST: tuple[FirstGroup, ...] = (
    FirstGroup("display", tuple(
        _length(f"display_{one}") for one in ("length", "width", "height", "water"))),
    FirstGroup("sump", (
        *(_length(f"sump_{one}") for one in ("length", "width", "height", "water")),
        _length("return_length"))),
    FirstGroup("pump", (
        FirstField("pump_head", "m", "ft"), FirstField("pump_flow", "L/h", "gph"),
        FirstField("lift", "m", "ft"), FirstField("pipe_bore", "mm", "in"),
        FirstField("pipe_length", "m", "ft"), FirstField("mouth", "mm", "in"))),
    FirstGroup("down", (
        _length("weir_length"), FirstField("drain_bore", "mm", "in"),
        FirstField("drain_length", "m", "ft"))),
    FirstGroup("rest", (
        FirstField("reservoir", "L", "gal"), FirstField("heater_power", "W", "W"))),
)  # fmt: skip
#: What widens the first answer's range where it is left out, and can come later.
MORE = FirstGroup(
    "more",
    (
        FirstField("hole", "mm", "in"), FirstField("elbows", "", ""),
        FirstField("drain_kind", "", "", ("standpipe", "siphon")),
        FirstField("pump_power", "W", "W"), FirstField("room_january", "C", "F"),
        FirstField("room_july", "C", "F"), FirstField("fish", "g", "g"),
    ),
)  # fmt: skip


_SIZES = ("length", "width", "height")


def first_fields() -> tuple[FirstField, ...]:
    """Every figure of the form."""
    return tuple(field for group in (*FIRST, MORE) for field in group.fields)


def first_description(text: str, typed: Mapping[str, str], *, feet: bool = False) -> str:
    """The description with what was typed in it; what was left blank is left out.

    ``text`` describes no rig yet. What can't be read stays as typed, for the reader to tell.
    """
    given = {
        one.name: with_unit(typed[one.name], one.unit(feet=feet))
        for one in first_fields()
        if typed.get(one.name, "").strip()
    }
    for place, values in _tables(given):
        told = {key: value for key, value in values.items() if value is not None}
        if any(key not in ("name", "role", "in", "from", "to", "pipe") for key in told):
            text = with_values(text, place, told)
    return text


def _tables(given: Mapping[str, str]) -> list[tuple[Place, dict[str, Any]]]:
    found: list[tuple[Place, dict[str, Any]]] = []
    for vessel in ("display", "sump"):
        sizes = {key: given.get(f"{vessel}_{key}") for key in _SIZES}
        if any(sizes.values()):
            water = given.get(f"{vessel}_water")
            described = {"name": vessel, "role": vessel, **sizes, "water": water}
            found.append((("vessels", "new"), described))
    # A vessel without one of its sizes doesn't count, and nothing may stand in it.
    there = {str(one["name"]) for _, one in found if all(one[key] for key in _SIZES)}
    sections = _sections(given) if "sump" in there else []
    sump = str(len(found) - 1)
    found += [(("vessels", sump, "sections", "new"), one) for one in sections]
    found += _moving(given, there, stands_in="sump/return" if sections else "sump")
    found += _falling(given, there)
    if given.get("heater_power"):
        place = {"in": "sump"} if "sump" in there else {}
        heater = {"name": "heater", "power": given["heater_power"], **place}
        found.append((("heat", "heaters", "new"), heater))
    months = [given.get(f"room_{month}") for month in ("january", "july")]
    if any(months):
        january, july = (one or months[0] or months[1] for one in months)
        room = {"temperature": {"january": january, "july": july}}
        found.append((("heat", "room"), room))
    found.append((("animals",), {"fish": given.get("fish")}))
    return found


def _moving(
    given: Mapping[str, str], there: set[str], *, stands_in: str
) -> list[tuple[Place, dict[str, Any]]]:
    """The pump, its pipe and the end of it."""
    pump = {"name": "return pump", "in": stands_in if "sump" in there else None,
            "shut_off_head": given.get("pump_head"), "free_flow": given.get("pump_flow"),
            "power": given.get("pump_power")}  # fmt: skip
    found: list[tuple[Place, dict[str, Any]]] = [(("pumps", "new"), pump)]
    found.append((("plumbing",), {"lift": given.get("lift")}))
    has_pump = any(given.get(key) for key in ("pump_head", "pump_flow", "pump_power"))
    if not (has_pump and "display" in there and given.get("pipe_bore")):
        return found
    elbows = given.get("elbows")
    fittings = {"elbow_90": number_or_text(elbows), "exit": 1} if elbows else None
    pipe = {"name": "way up", "from": "return pump", "to": "display",
            "bore": given.get("pipe_bore"), "length": given.get("pipe_length"),
            "fittings": fittings}  # fmt: skip
    found.append((("plumbing", "pipes", "new"), pipe))
    if given.get("pipe_length"):
        nozzle = {"name": "nozzle", "pipe": "way up", "mouth": given.get("mouth"),
                  "hole": given.get("hole")}  # fmt: skip
        found.append((("plumbing", "nozzles", "new"), nozzle))
    return found


def _falling(given: Mapping[str, str], there: set[str]) -> list[tuple[Place, dict[str, Any]]]:
    """The edge that the water falls over, the drain, and the can that tops off."""
    found: list[tuple[Place, dict[str, Any]]] = []
    if "display" in there:
        weir = {"name": "weir", "length": given.get("weir_length")}
        found.append((("plumbing", "weirs", "new"), weir))
    if {"display", "sump"} <= there:
        kind = given.get("drain_kind") if given.get("drain_bore") else None
        drain = {"name": "drain", "kind": kind, "bore": given.get("drain_bore"),
                 "length": given.get("drain_length")}  # fmt: skip
        found.append((("plumbing", "drains", "new"), drain))
    top_off = {"reservoir": given.get("reservoir")}
    found.append((("plumbing", "top_off"), top_off))
    return found


def _sections(given: Mapping[str, str]) -> list[dict[str, Any]]:
    """What comes before the return section, and that; none where it isn't told or can't be."""
    whole, part = given.get("sump_length"), given.get("return_length")
    if not whole or not part:
        return []
    last = {"name": "return", "role": "return", "length": part}
    try:
        sizes = [units.parse_amount(one, dimension="length") for one in (whole, part)]
        metres = [units.convert_amount(one.value, one.unit, "m") for one in sizes]
    except BrinebookError:
        return [last]
    rest = metres[0] - metres[1]
    if rest <= 0.01 * metres[0]:
        return [last]
    first = {"name": "first", "role": "inlet", "length": f"{round(100 * rest, 2):g} cm"}
    return [first, last]
