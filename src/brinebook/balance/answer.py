"""The answer of the balance: what is in the water, how fast it is used, and what not to believe.

Plain frozen values over the estimates of all seasons; the report turns them into JSON and words.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance import beliefs
from brinebook.balance.chapters import posterior
from brinebook.balance.decided import NOTHING, Remembered, Suspect
from brinebook.balance.estimate import SeasonEstimate, estimate
from brinebook.balance.observe import noise_key
from brinebook.balance.questions import FORECAST_DAYS
from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.texts import phrase, say
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES

_REPORT_NOISES = 1.5
_CONFLICT_SDS = 3.0
#: Said where what is believed of the volume and what doses did don't go together.
VOLUME_NOTE = phrase(
    "You gave the net volume as {belief:.0f} ± {belief_sd:.0f} L. By how far the tests moved after "
    "doses and water changes it would be about {litres:.0f} L. Give it a wider ± in the "
    "description, or look for doses or changes that were entered wrongly."
)


@dataclass(frozen=True, slots=True)
class Unlogged:
    """A change of the water that no fact explains."""

    id: str
    begins: datetime
    ends: datetime
    quantity: str
    change: Measure
    probability: float
    kind: str
    what: str


@dataclass(frozen=True, slots=True)
class MethodVerdict:
    """What the tests say of a method: one test's standard deviation, and its bias."""

    method: str
    lot: str
    quantity: str
    sd: float
    bias: Measure


@dataclass(frozen=True, slots=True)
class QuantityAnswer:
    """One quantity: see the contract for what each number means."""

    name: str
    unit: str
    now: Measure
    consumption: Measure | None
    net_rate: Measure | None
    forecast: tuple[tuple[datetime, Measure], ...]
    outside: tuple[float, float] | None  # chance of under and over the band within seven days
    band: tuple[float, float] | None
    tested: datetime | None
    tests: int
    status: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The main answer for one system at one time."""

    at: datetime
    volume: Measure
    volume_belief: Measure
    volume_given: bool
    quantities: Mapping[str, QuantityAnswer]
    suspects: tuple[Suspect, ...]
    unlogged: tuple[Unlogged, ...]
    methods: tuple[MethodVerdict, ...]
    notes: tuple[str, ...]
    seasons: tuple[SeasonEstimate, ...]


def answer(
    system: System, facts: Sequence[Fact], at: datetime, *, remembered: Remembered = NOTHING
) -> Answer:
    """The main answer from a system's description and its facts, as of ``at``.

    What is ``remembered`` of earlier answers makes it quicker, and never another one.
    """
    return tell(system, estimate(system, facts, at, remembered=remembered), at)


def tell(system: System, seasons: tuple[SeasonEstimate, ...], at: datetime) -> Answer:
    """Put the estimates of all seasons into the one answer."""
    quantities: dict[str, QuantityAnswer] = {}
    suspects: list[Suspect] = []
    unlogged: list[Unlogged] = []
    methods: list[MethodVerdict] = []
    notes: list[str] = []
    volume = belief = _believed_volume(system)
    for season in seasons:
        for name in season.season.quantities:
            if any(t.quantity == name and not t.target for t in season.season.tests):
                quantities[name] = _quantity(system, season, name, at)
        suspects.extend(season.suspects)
        unlogged.extend(_changes(season))
        methods.extend(_methods(season))
        notes.extend(season.season.notes)
        if season.volume is not None:
            volume = season.volume
            notes.extend(_volume_conflict(system, season.volume))
    order = {name: position for position, name in enumerate(beliefs.BELIEFS)}
    return Answer(
        at=at,
        volume=volume,
        volume_belief=belief,
        volume_given=system.net_volume is not None,
        quantities=dict(sorted(quantities.items(), key=lambda item: order[item[0]])),
        suspects=tuple(sorted(suspects, key=lambda s: (-s.t, s.quantity, s.fact))),
        unlogged=tuple(sorted(unlogged, key=lambda u: (u.begins, u.quantity), reverse=True)),
        methods=tuple(sorted(methods, key=lambda m: (order[m.quantity], m.method, m.lot))),
        notes=tuple(dict.fromkeys(notes)),
        seasons=seasons,
    )


def _volume_conflict(system: System, found: Measure) -> list[str]:
    """Where the belief about the volume is too tight for what doses and changes did.

    What the facts alone say follows from the belief before and after (normal in the logarithm);
    the two disagree where they lie more than three standard deviations apart.
    """
    belief = system.net_volume
    if belief is None:
        return []
    before = max(math.sqrt(math.log1p((belief.sd / belief.value) ** 2)), 0.005)
    after = found.sd / found.value
    if after > 0.98 * before:
        return []
    moved = math.log(found.value / belief.value)
    weight = 1.0 / after**2 - 1.0 / before**2
    facts_say = moved / after**2 / weight
    if abs(facts_say) < _CONFLICT_SDS * math.sqrt(1.0 / weight + before**2):
        return []
    litres = belief.value * math.exp(facts_say)
    return [
        say(
            VOLUME_NOTE,
            belief=belief.value,
            belief_sd=belief.sd,
            litres=float(f"{litres:.2g}"),
        )
    ]


def _believed_volume(system: System) -> Measure:
    if system.net_volume is not None:
        return Measure(system.net_volume.value, system.net_volume.sd, "L")
    litres, spread = beliefs.VOLUME_PRIOR
    low, high = litres * math.exp(-2 * spread), litres * math.exp(2 * spread)
    return Measure(litres, litres * spread, "L", low, high)


def _with_unit(measure: Measure, unit: str) -> Measure:
    return Measure(measure.value, measure.sd, unit, measure.low, measure.high)


def _quantity(system: System, season: SeasonEstimate, name: str, at: datetime) -> QuantityAnswer:
    unit = QUANTITIES[name].unit
    has_mass = beliefs.BELIEFS[name].has_mass
    tests = [t for t in season.season.tests if t.quantity == name and not t.target]
    tested = instant(tests[-1].t) if tests else None
    now = _with_unit(season.now[name], unit)
    outside = season.outside.get(name)
    return QuantityAnswer(
        name=name,
        unit=unit,
        now=now,
        consumption=_with_unit(season.consumption[name], f"{unit}/day") if has_mass else None,
        net_rate=_with_unit(season.net_rate[name], f"{unit}/day") if has_mass else None,
        forecast=tuple(
            (at + timedelta(days=day + 1), _with_unit(season.forecast[name][day], unit))
            for day in range(FORECAST_DAYS)
        ),
        outside=outside,
        band=system.bands.get(name),
        tested=tested,
        tests=len(tests),
        status=_status(system.bands.get(name), now, outside),
    )


def _status(
    band: tuple[float, float] | None, now: Measure, outside: tuple[float, float] | None
) -> str:
    """The word for a quantity: see the concepts page for what each means."""
    if band is None or outside is None:
        return "no band"
    width = band[1] - band[0]
    if now.high - now.low > 1.6 * width and now.low < band[1] and now.high > band[0]:
        return "stale"
    if not band[0] <= now.value <= band[1]:
        return "out of band"
    return "drifting" if max(outside) > 0.5 else "in band"


def _changes(season: SeasonEstimate) -> list[Unlogged]:
    """The season's changes that stand out from the noise of a test at the present level."""
    found = []
    for each in season.changes:
        belief = beliefs.BELIEFS[each.quantity]
        level = abs(season.now[each.quantity].value)
        if abs(each.size) < _REPORT_NOISES * (belief.noise + belief.noise_fraction * level):
            continue
        found.append(
            Unlogged(
                each.id,
                instant(each.begins),
                instant(each.ends),
                each.quantity,
                Measure(each.size, each.sd, QUANTITIES[each.quantity].unit),
                each.probability,
                each.kind,
                each.what,
            )
        )
    return found


def _methods(season: SeasonEstimate) -> list[MethodVerdict]:
    reading = season.last
    window = reading.window
    mean, covariance = posterior(reading, window.end, reading.stories[0])
    index = window.mover.index
    found: dict[tuple[str, str, str], MethodVerdict] = {}
    for row in window.rows:
        test = row.test
        if test is None or test.edge:
            continue
        level = max(float(season.now[test.quantity].value), 0.0)
        known = reading.noise.get(noise_key(row))
        variance = test.noise**2 + (test.fraction * level) ** 2 + test.step**2 / 12.0
        sd = math.sqrt(variance * (known.factor if known else 1.0))
        kept = index.get(f"bias|{test.quantity}|{test.method}")
        lot = index.get(f"lot|{test.quantity}|{test.method}|{test.lot}")
        if kept is None or lot is None:
            continue
        pair = [kept, lot]
        bias_sd = math.sqrt(max(float(covariance[pair][:, pair].sum()), 0.0))
        found[(test.quantity, test.method, test.lot)] = MethodVerdict(
            test.method, test.lot, test.quantity, sd,
            Measure(float(mean[pair].sum()), bias_sd, QUANTITIES[test.quantity].unit),
        )  # fmt: skip
    return list(found.values())
