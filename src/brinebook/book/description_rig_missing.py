"""What no key of the description could ask for: whole parts that aren't there, and what stands in.

A part that is missing is named with what waits for it; where something usual is reckoned with
instead, that is noted as assumed like every other default.
"""

from __future__ import annotations

from collections.abc import Collection

from brinebook.book.description_rig_air import ROOM
from brinebook.book.description_rig_keys import COMMON, Reader, default_text
from brinebook.rig import Rig
from brinebook.rig.air_side import OTHERS_A_LITRE
from brinebook.texts import say


def name_what_is_missing(reader: Reader, read: Rig) -> None:
    """Whole parts that no key could ask for, because their table isn't there."""
    named = tuple(one.where for one in reader.missing)
    for where, is_absent, wanted_for, worth in _absent(read, reader.roles):
        # One that is written and only lacks a figure is named by that figure.
        lacks = any(one.startswith((f"{where}[", f"{where}.")) for one in named)
        if is_absent and not lacks:
            reader.lack(where, wanted_for, worth)
    fed = {pipe.end for pipe in read.pipes}
    for device in read.devices:
        if device.name not in fed:
            where = f"plumbing.pipes (to = {device.name})"
            reader.lack(where, say("what {device} gets", device=device.name), 78)
    for pump in read.pumps:
        without = not pump.curve and (pump.shut_off_head is None or pump.free_flow is None)
        if without and pump.flow is None and pump.role in ("return", "recirculation", "feed"):
            reader.lack(f"pumps[{pump.name}].curve", say("every flow of its pipes"), 91)
    _sockets(reader, read)


def _absent(read: Rig, kinds: Collection[str]) -> tuple[tuple[str, bool, str, int], ...]:
    """Every part that could be missing: where, whether it is, what waits for it, its worth."""
    stands_alone = is_one_vessel(read)
    without_sump = say("drain-back and dry-running")
    if stands_alone:
        without_sump = say("if there is one: its pump, its pipes, every flow and level")
    return (
        (
            "vessels (role = display)",
            "display" not in kinds,
            say("every level and volume"),
            100,
        ),
        (
            "vessels (role = sump)",
            "sump" not in kinds and read.return_vessel is None,
            without_sump,
            97,
        ),
        (
            "pumps",
            not any(p.role == "return" for p in read.pumps) and not stands_alone,
            say("every flow"),
            92,
        ),
        ("plumbing.pipes", not read.pipes and not stands_alone, say("every flow"), 88),
        (
            "plumbing.drains",
            not read.drains and not stands_alone,
            say("what a blocked drain does"),
            86,
        ),
        (
            "plumbing.weirs",
            not read.weirs and not stands_alone,
            say("running levels and drain-back"),
            72,
        ),
        (
            "plumbing.nozzles",
            not read.nozzles and not stands_alone,
            say("drain-back when the pump stops"),
            84,
        ),
        ("plumbing.top_off", read.top_off is None, say("what a stuck top-off does"), 74),
        ("heat.heaters", not read.heaters, say("a heater that sticks"), 65),
        ("heat.room", read.room is None, say("heat, evaporation and damp"), 50),
        ("heat.cabinet", read.cabinet is None and not stands_alone, say("damp in the stand"), 35),
        ("animals", read.stock is None, say("how long the oxygen lasts in an outage"), 45),
        (
            "power.circuits",
            not read.circuits,
            say("the load of the circuit, and what fails with it"),
            45,
        ),
    )


def is_one_vessel(read: Rig) -> bool:
    """Whether the display stands by itself, as far as told: nothing leads down to a sump."""
    kinds = {vessel.role for vessel in read.vessels}
    if "display" not in kinds or "sump" in kinds or read.drains or read.weirs:
        return False
    if read.return_vessel is not None:  # its pump stands in a section of the display
        return True
    leads_down = read.pipes or read.nozzles
    return not leads_down and not any(pump.role == "return" for pump in read.pumps)


def _sockets(reader: Reader, read: Rig) -> None:
    """With several circuits, whatever moves or warms the water has to hang somewhere."""
    if len(read.circuits) < 2:
        return
    for kind, parts in (("pumps", read.pumps), ("heat.heaters", read.heaters)):
        for part in parts:
            if not part.socket:
                reader.lack(
                    f"{kind}[{part.name}].socket", say("what goes dark with its circuit"), 30
                )


def note_what_stands_in(reader: Reader, read: Rig) -> None:
    """The room and the animals that are reckoned with where none are described."""
    if read.room is None:
        for key in ROOM.keys:
            if key.default is not None:
                reader.assume(f"heat.room.{key.name}", default_text(key.default), say(key.reason))
    if read.stock is None:
        reader.assume("animals.fish", "0 g", say("none described"))
    if read.stock is None or read.stock.others is None:
        reader.assume(
            "animals.others",
            say("{others_a_litre:g} mg/h for each litre", others_a_litre=OTHERS_A_LITRE),
            COMMON,
        )
