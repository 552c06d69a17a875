"""The rig from system.toml: every section read, defaults noted, names held to each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, TypeGuard

from brinebook.book.description_notes import Notes
from brinebook.book.description_rig_air import (
    ANIMALS,
    CABINET,
    CIRCUIT,
    COOLER,
    FAN,
    FLOOR,
    HEATER,
    LAMP,
    LOAD,
    RESERVE,
    ROOM,
    SOCKET,
)
from brinebook.book.description_rig_bounds import contradictions
from brinebook.book.description_rig_keys import Key, Reader, Shape, nested, several
from brinebook.book.description_rig_missing import name_what_is_missing, note_what_stands_in
from brinebook.book.description_rig_water import (
    DEVICE,
    DOSER,
    DRAIN,
    JOINT,
    NOZZLE,
    PIPE,
    PUMP,
    TOP_OFF,
    VESSEL,
    WEIR,
    ZONE,
    chances,
)
from brinebook.measure import Measure
from brinebook.rig import Rig, Vessel
from brinebook.texts import say

#: Sections of system.toml that describe the rig.
RIG_SECTIONS = ("vessels", "pumps", "plumbing", "heat", "power", "animals", "floor", "drills")

PLUMBING: Shape[dict[str, Any]] = Shape(
    dict,
    (
        Key("lift", "length", "from the water of the return section up to the display's", 0, 20),
        Key("margin", "length", "of the sump's rim that you keep dry", 0, 1, default="20 mm"),
        Key("pipes", "own", "runs of pipe", read=several(PIPE)),
        Key("joints", "own", "where pipes meet", read=several(JOINT)),
        Key("devices", "own", "what branches feed", read=several(DEVICE)),
        Key("weirs", "own", "edges that water runs over", read=several(WEIR)),
        Key("drains", "own", "pipes down to the sump", read=several(DRAIN)),
        Key("nozzles", "own", "where the return ends", read=several(NOZZLE)),
        Key("dosers", "own", "dosing pumps", read=several(DOSER)),
        Key("zones", "own", "corners that the flow may pass by", read=several(ZONE)),
        Key("top_off", "own", "what replaces evaporated water", read=nested(TOP_OFF)),
    ),
)
HEAT: Shape[dict[str, Any]] = Shape(
    dict,
    (
        Key("temperature", "temperature", "that the water should have", 0, 40, default="25 C"),
        Key("salinity", "number", "that the water has, PSU", 0, 60, default=35),
        Key("evaporation", "volume a day", "as your top-off shows it", 0, 1e4),
        Key(
            "loss",
            "conductance",
            "by walls, surface and pipes but not by vapour, where you have "
            "measured it; left out, from the walls",
            0,
            1e4,
            attribute="heat_loss",
        ),
        Key(
            "air_speed",
            "speed",
            "over the display's surface, fans off",
            0,
            5,
            default="0.1 m/s",
            reason="still air of a room",
        ),
        Key("heaters", "own", "heaters", read=several(HEATER)),
        Key("fans", "own", "fans", read=several(FAN)),
        Key("coolers", "own", "chillers", read=several(COOLER)),
        Key("lamps", "own", "lamps", read=several(LAMP)),
        Key("room", "own", "the room", read=nested(ROOM)),
        Key("cabinet", "own", "the air in the stand", read=nested(CABINET)),
    ),
)
POWER: Shape[dict[str, Any]] = Shape(
    dict,
    (
        Key("price", "number", "of a kWh, in your currency", 0, 1e6),
        Key("circuits", "own", "circuits of the house", read=several(CIRCUIT)),
        Key("sockets", "own", "sockets and strips", read=several(SOCKET)),
        Key("loads", "own", "what else draws power", read=several(LOAD)),
        Key("reserve", "own", "what runs when the house is dark", read=nested(RESERVE)),
    ),
)
DRILLS: Shape[dict[str, Any]] = Shape(
    dict,
    (
        Key("chances", "own", "how likely a failure is in a year, as you believe: a drill's id, or "
            "its first word for all of a kind, with a share", read=chances),
    ),
)  # fmt: skip
#: Every table of the rig with its keys, for the page that lists them.
SHAPES: Mapping[str, Shape[Any]] = MappingProxyType(
    {
        "vessels": VESSEL, "pumps": PUMP, "plumbing": PLUMBING, "heat": HEAT, "power": POWER,
        "animals": ANIMALS, "floor": FLOOR, "drills": DRILLS,
    }
)  # fmt: skip

#: Glass size says this much of the water in it: common practice, no source.
VOLUME_FROM_GLASS = 0.12


def rig(notes: Notes, found: Mapping[str, Any]) -> Rig | None:
    """The rig that the file describes; None where it holds no section of it. Faults are noted."""
    if not any(name in found for name in RIG_SECTIONS):
        return None
    reader = Reader(notes)
    plumbing = reader.part("plumbing", found.get("plumbing", {}), PLUMBING) or {}
    heat = reader.part("heat", found.get("heat", {}), HEAT) or {}
    power = reader.part("power", found.get("power", {}), POWER) or {}
    drills = reader.part("drills", found.get("drills", {}), DRILLS) or {}
    values = {
        **drills,
        **plumbing,
        **heat,
        **power,
        "vessels": _with_roles(
            reader,
            reader.parts("vessels", found.get("vessels"), VESSEL),
            written=found.get("vessels"),
        ),
        "pumps": reader.parts("pumps", found.get("pumps"), PUMP),
        "stock": reader.part("animals", found["animals"], ANIMALS) if "animals" in found else None,
        "floor": reader.part("floor", found.get("floor", {}), FLOOR),
    }
    read = Rig(**values)
    read = _with_exits(reader, read, found.get("plumbing"))
    _hold_names(reader, read)
    for where, reason in contradictions(read):
        reader.notes.wrong(where, reason)
    name_what_is_missing(reader, read)
    note_what_stands_in(reader, read)
    missing = sorted(reader.missing, key=lambda one: (-one.worth, one.where))
    return _with_heights(reader, read, tuple(missing))


def volume_of_vessels(read: Rig | None) -> Measure | None:
    """What the vessels hold by their glass, less what is displaced; None without their depths."""
    litres = read.litres if read is not None else None
    if litres is None or litres <= 0:
        return None
    return Measure(litres, VOLUME_FROM_GLASS * litres, "L")


def _with_roles(
    reader: Reader, vessels: tuple[Vessel, ...], *, written: object
) -> tuple[Vessel, ...]:
    """A role for each: as given, else the display first and the sump next, as people list them.

    One that is written and doesn't count, for a figure that it lacks, keeps its place among them.
    """
    listed = [one for one in written if isinstance(one, Mapping)] if _is_list(written) else []
    given = [str(one.get("role", "")) for one in listed]
    free = [role for role in ("display", "sump") if role not in given]
    roles = {
        str(one.get("name")).strip(): role or (free.pop(0) if free else "other")
        for one, role in zip(listed, given, strict=True)
    }
    reader.roles = set(roles.values())
    read = []
    for vessel in vessels:
        role = vessel.role
        if not role:
            role = roles.get(vessel.name, "other")
            where = f"vessels[{vessel.name}].role"
            reader.assume(where, role, say("the display is listed first, then the sump"))
        read.append(replace(vessel, role=role))
    return tuple(read)


def _is_list(written: object) -> TypeGuard[list[Any]]:
    return isinstance(written, list)


def _places(read: Rig) -> Iterator[str]:
    for vessel in read.vessels:
        yield vessel.name
        yield from (f"{vessel.name}/{section.name}" for section in vessel.sections)


def _hold_names(reader: Reader, read: Rig) -> None:
    """Every name that points to another part has to find it."""
    places = tuple(_places(read))
    _hold_plumbing(reader, read, places)

    def held(where: str, value: str, known: tuple[str, ...], what: str) -> None:
        if value:
            reader.one_of(where, value, known, what=what)

    sockets = tuple(socket.name for socket in read.sockets)
    circuits = tuple(circuit.name for circuit in read.circuits)
    for socket in read.sockets:
        held(f"power.sockets[{socket.name}].circuit", socket.circuit, circuits, "circuit")
    for heater in read.heaters:
        held(f"heat.heaters[{heater.name}].in", heater.place, places, say("vessel or section"))
    for kind, loads in (
        ("pumps", read.pumps), ("heat.heaters", read.heaters), ("heat.fans", read.fans),
        ("heat.lamps", read.lamps), ("heat.coolers", read.coolers), ("power.loads", read.loads),
    ):  # fmt: skip
        for load in loads:
            held(f"{kind}[{load.name}].socket", load.socket, sockets, "socket")


def _hold_plumbing(reader: Reader, read: Rig, places: tuple[str, ...]) -> None:
    vessels = tuple(vessel.name for vessel in read.vessels)
    ends = (*places, *(p.name for p in read.pumps), *(d.name for d in read.devices),
            *(j.name for j in read.joints))  # fmt: skip
    ends_in = {pipe.name: pipe.end for pipe in read.pipes}

    def held(where: str, value: str, known: tuple[str, ...], what: str) -> None:
        if value:
            reader.one_of(where, value, known, what=what)

    for pump in read.pumps:
        held(f"pumps[{pump.name}].in", pump.place, places, say("vessel or section"))
    for pipe in read.pipes:
        held(f"plumbing.pipes[{pipe.name}].from", pipe.begin, ends, "place")
        held(f"plumbing.pipes[{pipe.name}].to", pipe.end, ends, "place")
    for weir in read.weirs:
        held(f"plumbing.weirs[{weir.name}].vessel", weir.vessel, vessels, "vessel")
    for drain in read.drains:
        held(f"plumbing.drains[{drain.name}].from", drain.vessel, vessels, "vessel")
        held(f"plumbing.drains[{drain.name}].to", drain.end, places, say("vessel or section"))
    for nozzle in read.nozzles:
        where = f"plumbing.nozzles[{nozzle.name}].pipe"
        held(where, nozzle.pipe, tuple(ends_in), "pipe")
        end = ends_in.get(nozzle.pipe, "")
        if nozzle.pipe in ends_in and end not in places and not reader.is_dropped(end):
            reader.notes.wrong(
                where,
                say("{pipe!r} ends at {end!r}, which is no vessel", pipe=nozzle.pipe, end=end),
                follows=True,
            )
    for doser in read.dosers:
        held(f"plumbing.dosers[{doser.name}].to", doser.place, places, say("vessel or section"))
    if read.top_off is not None:
        held("plumbing.top_off.to", read.top_off.place, places, say("vessel or section"))


def _with_exits(reader: Reader, read: Rig, plumbing: object) -> Rig:
    """An exit for every pipe that ends in a vessel, where neither it nor any loss is listed."""
    places = set(_places(read))
    raw = plumbing.get("pipes", []) if isinstance(plumbing, Mapping) else []
    stated = {one.get("name") for one in raw if isinstance(one, Mapping) and "loss" in one}
    pipes = []
    for pipe in read.pipes:
        listed = pipe.name in stated or "exit" in pipe.fittings
        if pipe.end in places and not listed:
            reader.assume(f"plumbing.pipes[{pipe.name}].loss", "1", say("its exit (Crane TP-410)"))
            pipes.append(replace(pipe, loss=1.0))
        else:
            pipes.append(pipe)
    return replace(read, pipes=tuple(pipes))


#: Where vessels stand when nothing is said: a stand of 75 cm, the sump on its floor.
DISPLAY_FLOOR, SUMP_FLOOR = 0.80, 0.05


def _with_heights(reader: Reader, read: Rig, missing: tuple[Any, ...]) -> Rig:
    """The rig with a floor height for every vessel: as given, from the lift, or a usual stand."""
    given = {v.name: v.floor for v in read.vessels if v.floor > 0}
    vessels = []
    for vessel in read.vessels:
        if vessel.name in given:
            vessels.append(vessel)
            continue
        height = _floor_by_lift(read, vessel) if vessel.role == "display" else None
        where = f"vessels[{vessel.name}].floor"
        if height is None:
            height = DISPLAY_FLOOR if vessel.role == "display" else SUMP_FLOOR
            reader.assume(where, f"{height:g} m", say("a usual stand; common practice, no source"))
        vessels.append(replace(vessel, floor=height))
    return replace(
        read,
        vessels=tuple(vessels),
        assumed=MappingProxyType(dict(reader.assumed)),
        missing=missing,
    )


def _floor_by_lift(read: Rig, display: Vessel) -> float | None:
    sump = read.vessel("sump")
    if read.lift is None or sump is None or sump.water is None or display.water is None:
        return None
    depth = next(
        (s.water for s in sump.sections if s.role == "return" and s.water is not None), sump.water
    )
    return (sump.floor or SUMP_FLOOR) + depth + read.lift - display.water
