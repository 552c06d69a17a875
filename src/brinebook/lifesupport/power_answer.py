"""The described rig on its circuits: current by season, protection, and what goes dark together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from brinebook.lifesupport.power import (
    PROTECTION_AT_MOST,
    TEST_EVERY_DAYS,
    Draw,
    Held,
    Season,
    held_against,
    in_season,
    shared_fate,
)
from brinebook.rig import Circuit, Rig

#: What a look at the sockets may find; the words for a keeper are the report's.
Finding = Literal[
    "unprotected", "protection unknown", "protection too high", "test due", "test unknown",
    "no drip loop", "drip loop unknown", "goes dark together", "trips", "over the share",
    "heater of the room beside it",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hanging:
    """One load and where it hangs; ``circuit`` is "" where that isn't known."""

    draw: Draw
    part: str  # heater, pump, lamp, fan, chiller, other
    socket: str
    circuit: str


@dataclass(frozen=True, slots=True)
class CircuitHeld:
    """A circuit with all that hangs on it: all year, and in the season that asks most."""

    circuit: Circuit
    hanging: tuple[Hanging, ...]
    all_year: Held
    worst: Held
    worst_season: Season


@dataclass(frozen=True, slots=True)
class Found:
    """Something to look at: what, at which circuit or socket, and a figure where one helps."""

    kind: Finding
    about: str
    detail: str = ""
    figure: float | None = None


@dataclass(frozen=True, slots=True)
class PowerAnswer:
    """Circuits, what is worth a look, and the loads that no socket was named for."""

    circuits: tuple[CircuitHeld, ...]
    findings: tuple[Found, ...]
    unplaced: tuple[str, ...]
    assumed_on: str  # the one circuit that loads without a socket are taken to hang on, or ""
    watts: float  # of everything that draws power in winter
    apparent: float  # the same in VA


def power_answer(rig: Rig) -> PowerAnswer:
    """The loads of the rig on the circuits of the house.

    With one circuit described, loads without a socket are taken to hang on it, and that is said.
    """
    hanging = loads_of(rig)
    alone = rig.circuits[0].name if len(rig.circuits) == 1 else ""
    assumed = alone if any(not one.circuit for one in hanging) else ""
    held = tuple(_held(circuit, hanging, alone=alone) for circuit in rig.circuits)
    unplaced = () if alone else tuple(one.draw.name for one in hanging if not one.circuit)
    draws = in_season([one.draw for one in hanging], "winter")
    watts, apparent = (sum(d.watts for d in draws), sum(d.apparent for d in draws))
    return PowerAnswer(held, tuple(_findings(rig, held)), unplaced, assumed, watts, apparent)


def loads_of(rig: Rig) -> tuple[Hanging, ...]:
    """Everything that draws power, with its socket and circuit as far as they are named."""
    circuits = {socket.name: socket.circuit for socket in rig.sockets}

    def hang(part: str, draw: Draw, socket: str, circuit: str = "") -> Hanging:
        return Hanging(draw, part, socket, circuit or circuits.get(socket, ""))

    found = [
        hang("heater", Draw(one.name, one.power, one.power_factor), one.socket)
        for one in rig.heaters
    ]
    found += [
        hang("pump", Draw(one.name, one.power, one.power_factor), one.socket)
        for one in rig.pumps
        if one.power is not None
    ]
    found += [
        hang("lamp", Draw(one.name, one.power, one.power_factor, one.hours), one.socket)
        for one in rig.lamps
    ]
    found += [
        hang("fan", Draw(one.name, one.power, one.power_factor), one.socket)
        for one in rig.fans
        if one.power is not None
    ]
    found += [
        hang("chiller", Draw(one.name, one.power, one.power_factor, season="summer"), one.socket)
        for one in rig.coolers
        if one.power is not None
    ]
    found += [
        hang(
            "other",
            Draw(one.name, one.power, one.power_factor, one.hours, one.season),  # type: ignore[arg-type]
            one.socket,
            one.circuit,
        )
        for one in rig.loads
    ]
    return tuple(found)


def functions_of(rig: Rig) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What the rig lives by, and which loads do it."""
    return (
        ("moves the water", tuple(p.name for p in rig.pumps if p.role in ("return", "stream"))),
        (
            "brings in oxygen",
            tuple(p.name for p in rig.pumps if p.role in ("return", "stream", "skimmer", "air")),
        ),
        ("warms", tuple(heater.name for heater in rig.heaters)),
    )


def _held(circuit: Circuit, hanging: tuple[Hanging, ...], *, alone: str) -> CircuitHeld:
    here = tuple(one for one in hanging if (one.circuit or alone) == circuit.name)
    draws = [one.draw for one in here]

    def against(season: Season) -> Held:
        return held_against(
            in_season(draws, season),
            volts=circuit.volts,
            breaker=circuit.amps,
            share=circuit.share,
            region=circuit.region,
        )

    seasons: tuple[Season, Season] = ("winter", "summer")
    worst = max(seasons, key=lambda season: against(season).drawn.most)
    return CircuitHeld(circuit, here, against(""), against(worst), worst)


def _findings(rig: Rig, held: tuple[CircuitHeld, ...]) -> Iterator[Found]:
    for one in held:
        yield from _protection(one.circuit)
        name = one.circuit.name
        if one.worst.trips != "no":
            yield Found(
                "trips", name, f"{one.worst.trips}, {one.worst_season}", one.worst.drawn.most
            )
        elif one.worst.most_share > 1.0:
            yield Found("over the share", name, one.worst_season, one.worst.drawn.most)
        for load in one.hanging:
            if load.draw.season == "winter" and load.draw.watts >= 500.0:
                yield Found("heater of the room beside it", name, load.draw.name, load.draw.watts)
    for socket in rig.sockets:
        if socket.drip_loops is False:
            yield Found("no drip loop", socket.name)
        elif socket.drip_loops is None:
            yield Found("drip loop unknown", socket.name)
    yield from _together(rig, held)


def _protection(circuit: Circuit) -> Iterator[Found]:
    name, trips_at = circuit.name, circuit.protection
    if trips_at is None:
        yield Found("protection unknown", name)
    elif trips_at == 0.0:
        yield Found("unprotected", name)
    elif trips_at > PROTECTION_AT_MOST:
        yield Found("protection too high", name, figure=trips_at)
    if not trips_at:
        return
    if circuit.tested_days_ago is None:
        yield Found("test unknown", name)
    elif circuit.tested_days_ago > TEST_EVERY_DAYS:
        yield Found("test due", name, figure=circuit.tested_days_ago)


def _together(rig: Rig, held: tuple[CircuitHeld, ...]) -> Iterator[Found]:
    """Strips first: they are the nearer fault, and the circuit behind them says it once more."""
    hanging = [load for one in held for load in one.hanging]
    strips = [
        (socket.name, [load.draw.name for load in hanging if load.socket == socket.name])
        for socket in rig.sockets
    ]
    circuits = [(one.circuit.name, [load.draw.name for load in one.hanging]) for one in held]
    for group, function in shared_fate([*strips, *circuits], functions_of(rig)):
        yield Found("goes dark together", group, function)
