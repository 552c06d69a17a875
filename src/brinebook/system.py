"""What the system is: the parsed form of system.toml, in canonical units.

A belief (a volume, a strength, a trueness) always comes with its standard deviation. ``None`` means
"not said": the rooms that need a number then take a wide default and say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from brinebook.measure import Measure
from brinebook.rig import Rig

_NO_NUMBERS: Mapping[str, float] = MappingProxyType({})
_NO_UNITS: Mapping[str, str] = MappingProxyType({})
_NO_BANDS: Mapping[str, tuple[float, float]] = MappingProxyType({})
_NO_MEASURES: Mapping[str, Measure] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Additive:
    """A bottle or jar that the keeper doses from.

    Either ``salt`` with ``grams_per_litre`` or ``per_ml`` (quantity -> canonical amount times
    litre, that is meq, mg, or ug per mL of the bottle) says what a millilitre brings. A dose in
    grams of a named salt needs no Additive. ``strength_sd`` and ``pump_sd`` are fractions
    (0.03 = 3 %). ``container`` is what its bottle holds when full, mL.
    """

    name: str
    salt: str | None = None
    grams_per_litre: float | None = None
    per_ml: Mapping[str, float] = field(default_factory=lambda: _NO_NUMBERS)
    strength_sd: float = 0.03
    pump_sd: float = 0.05
    container: float | None = None


@dataclass(frozen=True, slots=True)
class Mix:
    """A salt mix as mixed: the label's composition in canonical units at ``at_salinity``."""

    name: str
    at_salinity: float = 35.0
    composition: Mapping[str, float] = field(default_factory=lambda: _NO_NUMBERS)
    sd: float = 0.04  # batch to batch, fraction


@dataclass(frozen=True, slots=True)
class Reference:
    """A solution of known composition, for tests with ``of=``."""

    name: str
    composition: Mapping[str, Measure] = field(default_factory=lambda: _NO_MEASURES)


@dataclass(frozen=True, slots=True)
class Method:
    """How far a test can be trusted, in the canonical unit of its quantity.

    ``repeatability`` is one standard deviation of one test; where ``repeatability_fraction`` is set
    it is that fraction of the reading instead. ``trueness`` is the standard deviation of the
    method's constant bias (left out: half the repeatability).
    """

    name: str
    quantity: str
    resolution: float | None = None
    repeatability: float | None = None
    repeatability_fraction: float | None = None
    trueness: float | None = None


@dataclass(frozen=True, slots=True)
class Planning:
    """What the keeper holds plans to; None: not said, and the plan names what it took instead.

    ``saturation``: of aragonite, that no pour may pass, or ``saturation_rise`` above where the
    water stands, whichever is higher. ``air_co2`` in uatm, ``air_hours`` in which pH comes two
    thirds of the way back after a dose. ``mixing_share`` is the part of the water (0 to 1) that a
    pour spreads in before the next; ``change_share`` the part of it that may be changed at once.
    """

    saturation: float | None = None
    saturation_rise: float | None = None
    air_co2: Measure | None = None
    air_hours: float | None = None
    pours_per_day: int | None = None
    pour_gap: float | None = None  # hours
    mixing_share: float | None = None
    change_share: float | None = None
    salt_moisture: float | None = None  # grams of the jar's salt for each gram of dry salt


@dataclass(frozen=True, slots=True)
class System:
    """One system: a display with its sump and everything that shares its water."""

    name: str
    timezone: str = "UTC"
    language: str = "en"
    decimal_mark: str = "point"
    dates: str = "day first"
    net_volume: Measure | None = None  # L
    units: Mapping[str, str] = field(default_factory=lambda: _NO_UNITS)
    bands: Mapping[str, tuple[float, float]] = field(default_factory=lambda: _NO_BANDS)
    targets: Mapping[str, float] = field(default_factory=lambda: _NO_NUMBERS)
    limits_per_day: Mapping[str, float] = field(default_factory=lambda: _NO_NUMBERS)
    additives: tuple[Additive, ...] = ()
    mixes: tuple[Mix, ...] = ()
    references: tuple[Reference, ...] = ()
    methods: tuple[Method, ...] = ()
    planning: Planning = Planning()
    rig: Rig | None = None  # vessels, plumbing, heat, power: None where nothing of it is described
    assumed: tuple[str, ...] = field(default=())  # sentences: what was left out and guessed
