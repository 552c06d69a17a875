"""The water that a plan starts from: as the book believes it, or as it was said on the way in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, TypeAlias
from zoneinfo import ZoneInfo

from brinebook.desk import clock
from brinebook.desk.plan_amounts import VolumeImpossible, litres_a_day, litres_of, room_co2_of
from brinebook.desk.plan_words import canonical_units, quantity_text
from brinebook.desk.typed import read_quantity
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.texts import Spoken, say
from brinebook.timeline import Fact
from brinebook.units import find_quantity
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.composition import reference_concentration
from brinebook.water.quantities import DKH_PER_MEQ, Conditions
from brinebook.water.salinity import kilograms_per_litre

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer
    from brinebook.balance.drawn import Drawn
    from brinebook.desk.assess import Assessed

#: Where a plan's water comes from: the address of a book, or the answer that was made of one. An
#: answer has its own instant; the plan is then as of that one.
BookOrAnswer: TypeAlias = "str | Assessed"

#: CO2 that a lived-in room's air holds where nobody measured it, ppm: common practice, no source.
ROOM_CO2 = 600.0
#: A test older than this is no ground for a plan of what isn't dosed, days: common practice.
TOO_OLD = 35
#: What is taken where neither the book nor the keeper says: 8 dKH, and natural sea water's calcium.
USUAL: Mapping[str, float] = {
    "alkalinity": 8.0 / DKH_PER_MEQ,
    "calcium": reference_concentration("calcium"),
    "salinity": 35.0,
    "temperature": 25.0,
}
_SAID_OF = Spoken(
    {
        "alkalinity": "8 dKH",
        "salinity": "35 PSU",
        "temperature": "25 °C",
    }
)


@dataclass(frozen=True, slots=True)
class Said:
    """What was typed of the water, if anything; ``volume`` makes a book needless."""

    volume: str | None = None
    alkalinity: str | None = None
    calcium: str | None = None
    salinity: str | None = None
    temperature: str | None = None
    ph: str | None = None
    co2: str | None = None
    nitrate: str | None = None
    phosphate: str | None = None
    evaporation: str | None = None
    use: tuple[str, ...] = ()  # “alkalinity 0.5 dKH”: what the reef uses in a day


@dataclass(frozen=True, slots=True)
class WaterNow:
    """Belief about the water as draws, with what else a plan needs of the system.

    ``salinity`` and ``temperature`` are middles, ``pco2`` (uatm) that of the water now and
    ``room_pco2`` of the air over it. ``assumptions`` are sentences on what nobody said, by what it
    is of.
    """

    at: datetime
    zone: ZoneInfo
    units: Mapping[str, str]
    system: System
    facts: tuple[Fact, ...]
    drawn: Drawn
    levels: Mapping[str, Measure]
    litres: Measure
    pco2: float
    room_pco2: float
    assumptions: Mapping[str, str] = field(default_factory=dict)
    answer: Answer | None = None
    evaporation: float | None = None  # L/day, where it was said

    def text(self, quantity: str, value: Measure | float, *, difference: bool = False) -> str:
        """A quantity in the keeper's unit, with the digits that its doubt leaves."""
        if isinstance(value, Measure) and value.high - value.low <= 1e-6 * abs(value.value):
            value = value.value
        return quantity_text(quantity, value, self.units, difference=difference)

    def middle(self, quantity: str) -> float:
        """The middle of belief, or the usual where nothing is known."""
        found = self.levels.get(quantity)
        return USUAL[quantity] if found is None else found.value

    def usual(self, quantity: str) -> float:
        """The middle of belief, or what is usual of a quantity that nobody knows, or 1."""
        found = self.levels.get(quantity)
        return USUAL.get(quantity, 1.0) if found is None else found.value

    def too_old(self, quantity: str) -> int | None:
        """Days since a quantity's last test, where that is too long for a plan; else None."""
        found = None if self.answer is None else self.answer.quantities.get(quantity)
        known = self.levels.get(quantity)
        if known is not None and known.sd == 0.0:
            return None  # it was typed just now
        if found is None or found.tested is None:
            return None
        days = (self.at - found.tested) // timedelta(days=1)
        return days if days > TOO_OLD or (found.status == "stale" and days > 7) else None

    @property
    def assumed(self) -> tuple[str, ...]:
        """All that was taken for want of knowing."""
        return tuple(self.assumptions.values())

    def assumed_of(self, *names: str) -> tuple[str, ...]:
        """What was taken of these alone: quantities, and “ph” for the CO2 of air and water."""
        return tuple(self.assumptions[name] for name in names if name in self.assumptions)

    @property
    def conditions(self) -> Conditions:
        """Salinity and temperature now."""
        return Conditions(self.middle("salinity"), self.middle("temperature"))

    @property
    def kilograms(self) -> float:
        """Mass of a litre, kg."""
        return kilograms_per_litre(self.middle("salinity"), self.middle("temperature"))

    def state(self) -> CarbonateState[float]:
        """The carbonate system at the middle of belief."""
        return solve(self.sample())

    def sample(self) -> Sample[float]:
        """The water as a sample, umol/kg."""
        per_kilogram = 1e3 / self.kilograms
        return Sample(
            alkalinity=self.middle("alkalinity") * per_kilogram,
            pco2=self.pco2,
            salinity=self.middle("salinity"),
            temperature=self.middle("temperature"),
            calcium=self.middle("calcium") / molar_mass("Ca") * per_kilogram,
        )


def water_now(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    at: datetime | None = None,
    known: datetime | None = None,
) -> WaterNow:
    """The water as of ``at``: from what was said where a volume was, else from the book.

    What was said of single quantities outranks the book. Raises what opening a book and reading
    amounts raise.
    """
    if said.volume is not None:
        return _stated(said, at)
    from brinebook.balance.drawn import draw
    from brinebook.desk.assess import assessed_of
    from brinebook.report.shown import shown_units

    found = assessed_of(source, name, at=at, known=known)
    answer, loaded = found.answer, found.loaded
    with_mass = [season for season in answer.seasons if season.volume is not None]
    if not with_mass:
        return _stated(said, loaded.at, system=loaded.system, facts=loaded.facts)
    levels = {each.name: each.now for each in answer.quantities.values()}
    assumed: dict[str, str] = {}
    typed = _said_levels(said, levels)
    levels |= typed
    _assume(levels, assumed)
    pco2, room = _air(said, levels, assumed)
    return WaterNow(
        at=loaded.at,
        zone=loaded.zone,
        units=shown_units(loaded.system, loaded.facts),
        system=loaded.system,
        facts=loaded.facts,
        drawn=_moved(draw(with_mass[0]), typed),
        levels=levels,
        litres=answer.volume,
        pco2=pco2,
        room_pco2=room,
        assumptions=assumed,
        answer=answer,
        evaporation=_evaporation(said),
    )


def _moved(drawn: Drawn, typed: Mapping[str, Measure]) -> Drawn:
    """The belief with these levels as they were typed: uses and volume stay as believed."""
    levels, states = drawn.levels.copy(), drawn.states.copy()
    for name, said in typed.items():
        if name not in drawn.quantities:
            continue
        column = drawn.quantities.index(name)
        state = f"level|{name}"
        if state in drawn.names:
            states[:, drawn.names.index(state)] += said.value - levels[:, column]
        levels[:, column] = said.value
    return replace(drawn, levels=levels, states=states)


def _stated(
    said: Said,
    at: datetime | None,
    *,
    system: System | None = None,
    facts: Sequence[Fact] = (),
) -> WaterNow:
    """The water by what was said alone."""
    from brinebook.balance.drawn import draw_plain

    now = at or clock.now().replace(microsecond=0)  # as an answer's time: to the second
    now = now if now.tzinfo else now.replace(tzinfo=UTC)
    litres = _volume(said, system)
    levels = _said_levels(said, {})
    uses = _said_uses(said)
    assumed: dict[str, str] = {}
    _assume(levels, assumed)
    pco2, room = _air(said, levels, assumed)
    return WaterNow(
        at=now,
        zone=ZoneInfo(system.timezone if system else "UTC"),
        units=canonical_units() | (dict(system.units) if system else {}),
        system=system or System("unnamed"),
        facts=tuple(facts),
        drawn=draw_plain(levels, uses, litres),
        levels=levels,
        litres=litres,
        pco2=pco2,
        room_pco2=room,
        assumptions=assumed,
        evaporation=_evaporation(said),
    )


def _volume(said: Said, system: System | None) -> Measure:
    if said.volume is not None:
        litres = litres_of(said.volume)
        if not 0.0 < litres <= 1e7:
            raise VolumeImpossible(said.volume)
        return Measure(litres, 0.0, "L")
    from brinebook.balance.beliefs import VOLUME_PRIOR

    if system is not None and system.net_volume is not None:
        return system.net_volume
    litres, spread = VOLUME_PRIOR
    return Measure(litres, litres * spread, "L")


def _evaporation(said: Said) -> float | None:
    if said.evaporation is None:
        return None
    return litres_a_day(said.evaporation)


def _said_levels(said: Said, known: Mapping[str, Measure]) -> dict[str, Measure]:
    temperature = (
        None if said.temperature is None else read_quantity("temperature", said.temperature)
    )
    found: dict[str, Measure] = {}
    if temperature is not None:
        found["temperature"] = Measure(temperature, 0.0, "C")
    if said.salinity is not None:
        salinity = read_quantity("salinity", said.salinity, temperature=temperature)
        found["salinity"] = Measure(salinity, 0.0, "PSU")
    at = Conditions(
        *(
            (found | dict(known)).get(name, Measure(USUAL[name], 0.0, "")).value
            for name in ("salinity", "temperature")
        )
    )
    for name in ("alkalinity", "calcium", "nitrate", "phosphate", "ph"):
        text = getattr(said, name)
        if text is not None:
            found[name] = Measure(read_quantity(name, text, conditions=at), 0.0, "")
    return found


def _said_uses(said: Said) -> dict[str, Measure]:
    uses = {}
    for text in said.use:
        word, _, amount = text.strip().partition(" ")
        name = find_quantity(word).name
        uses[name] = Measure(read_quantity(name, amount.removesuffix("/day")), 0.0, "")
    return uses


def _assume(levels: dict[str, Measure], assumed: dict[str, str]) -> None:
    for name, value in USUAL.items():
        if name not in levels and name != "calcium":
            levels[name] = Measure(value, 0.0, "")
            assumed[name] = say(
                "Nobody said what {name} is: {said_of} was taken.",
                name=name,
                said_of=_SAID_OF[name],
            )
    if "calcium" not in levels:
        natural = reference_concentration(
            "calcium",
            salinity=levels["salinity"].value,
            temperature=levels["temperature"].value,
        )
        levels["calcium"] = Measure(natural, 0.0, "")
        assumed["calcium"] = say(
            "Nobody said what calcium is: natural sea water's {natural:.0f} mg/L at that salinity "
            "was taken.",
            natural=natural,
        )


def _air(said: Said, levels: Mapping[str, Measure], assumed: dict[str, str]) -> tuple[float, float]:
    """pCO2 of the water and of the room's air, uatm."""
    room: float | None = None
    if said.co2 is not None:
        room = room_co2_of(said.co2)
    elif "room_co2" in levels:
        room = levels["room_co2"].value
    ph = levels.get("ph")
    water = room
    if ph is not None:
        water = _pco2_of_ph(levels, ph.value)
    if room is None:
        room = water
    if room is None or water is None:
        room = water = ROOM_CO2
        assumed["ph"] = say(
            "Nobody measured the room's CO2 or the pH: {room_co2:.0f} ppm was taken.",
            room_co2=ROOM_CO2,
        )
    return water, room


def _pco2_of_ph(levels: Mapping[str, Measure], ph: float) -> float:
    salinity, temperature = levels["salinity"].value, levels["temperature"].value
    kilograms = kilograms_per_litre(salinity, temperature)
    return solve(
        Sample(
            alkalinity=levels["alkalinity"].value * 1e3 / kilograms,
            ph=ph,
            scale="NBS",
            salinity=salinity,
            temperature=temperature,
        )
    ).pco2
