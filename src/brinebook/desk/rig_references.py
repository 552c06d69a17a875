"""Keys of the rig's description that name another part of it, and which parts there are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from brinebook.desk.rig_places import items

Found = Mapping[str, Any]


def _names(found: Found, *path: str) -> list[str]:
    here: Any = found
    for name in path:
        here = here.get(name) if isinstance(here, Mapping) else None
    return [str(one["name"]) for one in items(here) if one.get("name")]


def _vessels(found: Found) -> list[str]:
    return _names(found, "vessels")


def _places(found: Found) -> list[str]:
    return list(_all_places(found))


def _all_places(found: Found) -> Iterator[str]:
    for vessel in items(found.get("vessels")):
        yield str(vessel.get("name", ""))
        for section in items(vessel.get("sections")):
            yield f"{vessel.get('name', '')}/{section.get('name', '')}"


def _ends(found: Found) -> list[str]:
    plumbing = [_names(found, "plumbing", kind) for kind in ("joints", "devices")]
    return [*_places(found), *_names(found, "pumps"), *plumbing[0], *plumbing[1]]


def _pipes(found: Found) -> list[str]:
    return _names(found, "plumbing", "pipes")


def _additives(found: Found) -> list[str]:
    return _names(found, "additives")


def _sockets(found: Found) -> list[str]:
    return _names(found, "power", "sockets")


def _circuits(found: Found) -> list[str]:
    return _names(found, "power", "circuits")


def _movers(found: Found) -> list[str]:
    return [*_names(found, "pumps"), *_names(found, "power", "loads")]


_REFERS: Mapping[str, Callable[[Found], Sequence[str]]] = {
    "pumps.in": _places,
    "plumbing.pipes.from": _ends,
    "plumbing.pipes.to": _ends,
    "plumbing.weirs.vessel": _vessels,
    "plumbing.drains.from": _vessels,
    "plumbing.drains.to": _places,
    "plumbing.nozzles.pipe": _pipes,
    "plumbing.dosers.to": _places,
    "plumbing.dosers.additive": _additives,
    "plumbing.top_off.to": _places,
    "plumbing.top_off.holds": _additives,
    "heat.heaters.in": _places,
    "power.sockets.circuit": _circuits,
    "power.loads.circuit": _circuits,
    "power.reserve.air_pump": _movers,
}


def named_parts(found: Found, table: str, key: str) -> tuple[str, ...] | None:
    """What a key may name, as described so far; None where it names no part."""
    if key == "socket":
        return tuple(_sockets(found))
    refers = _REFERS.get(f"{table}.{key}")
    return None if refers is None else tuple(refers(found))
