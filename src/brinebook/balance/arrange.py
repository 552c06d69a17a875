"""From facts as typed to a ``Season`` of numbers. Pure: same facts in any order, same Season."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from brinebook.balance import arrange_events, arrange_flows
from brinebook.balance.arrange_events import Shelf
from brinebook.balance.arrange_tests import Reader, reader_of
from brinebook.balance.beliefs import BELIEFS, VOLUME_PRIOR
from brinebook.balance.described import bottle_of, find_mix, mix_water
from brinebook.balance.season import (
    Event,
    Exchange,
    Floats,
    Flow,
    Season,
    Setting,
    Stream,
    days_since_epoch,
    fullest_marks,
)
from brinebook.system import System
from brinebook.timeline import Fact

#: Flows go on as they are set for so long after the last fact: longer than any forecast.
_DAYS_AHEAD = 40.0


@dataclass(frozen=True, slots=True)
class _Told:
    """The facts up to a time in an order of their own, with what reads them."""

    system: System
    facts: tuple[Fact, ...]
    until: float
    zone: ZoneInfo
    verdicts: dict[str, str]
    reader: Reader

    def kinds(self, *kinds: str) -> Iterable[Fact]:
        """The facts of these kinds, in order."""
        return (fact for fact in self.facts if fact.kind in kinds)


@dataclass(frozen=True, slots=True)
class _Inputs:
    """What touched the water of one season, apart from the tests."""

    events: tuple[Event, ...] = ()
    flows: tuple[Flow, ...] = ()
    streams: tuple[Stream, ...] = ()
    food: Flow | None = None
    deficit: tuple[Floats, Floats] = (np.zeros(0), np.zeros(0))


def arrange(system: System, facts: Sequence[Fact], at: datetime) -> tuple[Season, ...]:
    """Lay the facts up to ``at`` out as seasons: the joint one first, then one per plain level.

    Facts that can't be read as numbers are left out (the doors refuse them; an old book may hold
    some). Raises nothing for odd data.
    """
    told = _told(system, facts, at)
    tested = {
        fact.what
        for fact in told.kinds("test")
        if not fact.detail.get("of") and fact.what in BELIEFS
    }
    joint = tuple(name for name in BELIEFS if name in tested and BELIEFS[name].has_mass)
    alone = [(name,) for name in BELIEFS if name in tested and not BELIEFS[name].has_mass]
    shelf = Shelf(system)
    seasons = [_season(told, shelf, names) for names in ([joint] if joint else []) + alone]
    return tuple(season for season in seasons if season.tests)


def _told(system: System, facts: Sequence[Fact], at: datetime) -> _Told:
    ordered = tuple(
        sorted(
            (fact for fact in facts if fact.when <= at),
            key=lambda fact: (fact.when, fact.kind != "test", fact.kind, fact.what, fact.id),
        )
    )
    verdicts = {f.what: f.detail.get("says", "") for f in ordered if f.kind == "verdict"}
    return _Told(
        system=system,
        facts=ordered,
        until=days_since_epoch(at) + _DAYS_AHEAD,
        zone=ZoneInfo(system.timezone),
        verdicts=verdicts,
        reader=reader_of(system, ordered, verdicts),
    )


def _inputs(told: _Told, shelf: Shelf, quantities: tuple[str, ...]) -> _Inputs:
    kinds = told.kinds
    done = arrange_events.events(shelf, told.facts, quantities)
    flows = arrange_flows.flows(
        shelf, kinds("dosing", "top_off"), quantities, until=told.until, zone=told.zone
    )
    return _Inputs(
        events=tuple(sorted((*done, *_settings(flows)), key=lambda event: event.t)),
        flows=flows,
        streams=arrange_flows.streams(shelf, kinds("water_change"), quantities, until=told.until),
        food=arrange_flows.food(kinds("feed"), quantities),
        deficit=arrange_flows.deficit(kinds("top_off")),
    )


def _settings(flows: tuple[Flow, ...]) -> list[Setting]:
    """Every change of a pump's setting after its first."""
    return [
        Setting(later[0], flow.name, later[1] - earlier[1])
        for flow in flows
        for earlier, later in pairwise(flow.settings)
    ]


def _volume(system: System) -> tuple[float, float, bool]:
    belief = system.net_volume
    if belief is None:
        return (*VOLUME_PRIOR, False)
    spread = math.sqrt(math.log1p((belief.sd / belief.value) ** 2))
    return belief.value, max(spread, 0.005), True


def _season(told: _Told, shelf: Shelf, quantities: tuple[str, ...]) -> Season:
    system = told.system
    mass = BELIEFS[quantities[0]].has_mass
    volume, volume_sd, given = _volume(system)
    bottles = [bottle_of(additive) for additive in system.additives]
    salinity = system.targets.get("salinity", 35.0)
    inputs = _inputs(told, shelf, quantities) if mass else _Inputs()
    changed = bool(inputs.streams) or any(isinstance(each, Exchange) for each in inputs.events)
    forgotten = mix_water(find_mix(system, ""), quantities, salinity)[0]
    return Season(
        quantities=quantities,
        tests=told.reader.tests(told.facts, quantities),
        events=inputs.events,
        flows=inputs.flows,
        streams=inputs.streams,
        deficit_times=inputs.deficit[0],
        deficit_litres=inputs.deficit[1],
        volume=volume,
        volume_sd=volume_sd,
        volume_given=given,
        strength_sd={bottle.name: bottle.strength_sd for bottle in bottles},
        pump_sd={bottle.name: bottle.pump_sd for bottle in bottles},
        mix_sd={mix.name: mix.sd for mix in system.mixes},
        fullest=fullest_marks(inputs.events),
        food=inputs.food,
        mixes={mix.name: mix_water(mix, quantities, salinity)[0] for mix in system.mixes},
        forgotten_mix=forgotten if mass and (changed or system.mixes) else None,
        notes=tuple(dict.fromkeys(shelf.notes)),
        verdicts=tuple(sorted(told.verdicts.items())),
        clock=_clock_ahead(told.zone),
    )


def _clock_ahead(zone: ZoneInfo) -> float:
    """Days that a zone's clock is ahead of UTC, between winter and summer time."""
    offsets = [datetime(2000, month, 1, tzinfo=zone).utcoffset() for month in (1, 7)]
    return sum(offset / timedelta(days=1) for offset in offsets if offset is not None) / 2.0
