"""What every plan of doses starts from: the water as believed, its air, its tests' noise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.drawn import Drawn, draw_plain
from brinebook.balance.season import Floats, days_since_epoch
from brinebook.desk.plan_amounts import room_co2_of
from brinebook.desk.plan_now import BookOrAnswer, Said, WaterNow, water_now
from brinebook.desk.typed import read_quantity
from brinebook.errors import UsageProblem
from brinebook.measure import Z95, Measure
from brinebook.planning.pourable import Air
from brinebook.planning.pours import AIR_HOURS, ROOM_CO2, water_of
from brinebook.system import Planning
from brinebook.texts import say
from brinebook.units import QUANTITIES
from brinebook.water.quantities import Conditions

#: A pH older than this says nothing of the water now, days: common practice, no source.
_PH_DAYS = 14.0
#: Nobody pours in the night: clock hours between which pours are planned.
WAKING = (8, 22)


class QuantityUntested(UsageProblem):
    """A plan was asked for about something that was never tested."""

    code = "E-PLAN-UNTESTED"

    def __init__(self, quantity: str, tested: tuple[str, ...]) -> None:
        known = ", ".join(tested) or say("none")
        super().__init__(
            say(
                "Nothing is known of {quantity} here: it was never tested, so there "
                "is nothing to plan from.",
                quantity=quantity,
            ),
            say(
                "Test it first (tested are: {known}); or say where it stands with "
                "--from and --volume.",
                known=known,
            ),
        )


class FromNeedsVolume(UsageProblem):
    """A level was stated without the water that it is of."""

    code = "E-PLAN-FROM"

    def __init__(self) -> None:
        super().__init__(
            "--from states a level instead of the book's, and it needs the water it is of.",
            say("Add --volume 300L, or leave --from out and let the book say where it stands."),
        )


@dataclass(frozen=True, slots=True)
class Start:
    """The water now with what plans of doses need besides; ``assumed`` are sentences.

    ``air_says`` tells where the room's CO2 and the hours of exchange come from.
    """

    water: WaterNow
    drawn: Drawn
    air: Air
    ph: Floats | None
    planning: Planning
    air_says: tuple[str, ...]
    stated: bool

    @property
    def at(self) -> datetime:
        """The instant of the plan."""
        return self.water.at

    @property
    def zone(self) -> ZoneInfo:
        """The system's own zone."""
        return self.water.zone

    @property
    def units(self) -> Mapping[str, str]:
        """In which unit each quantity is shown."""
        return self.water.units

    @property
    def conditions(self) -> Conditions:
        """Salinity and temperature."""
        return self.water.conditions

    def noise(self, quantity: str) -> float | None:
        """Standard deviation of one test with its bias; None where levels were stated."""
        if self.stated:
            return None
        answer = self.water.answer
        found = [m for m in answer.methods if m.quantity == quantity] if answer else []
        if found:
            return min(math.hypot(m.sd, m.bias.sd) for m in found)
        belief = BELIEFS[quantity]
        middle = float(np.median(self.drawn.level(quantity)))
        return belief.noise + belief.noise_fraction * middle


def start_of(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    said: Said,
    stated: Mapping[str, str] | None = None,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Start:
    """The start by the book; with a volume said, by what was said alone.

    ``stated`` are levels typed for single quantities (only with a volume). Raises FromNeedsVolume,
    and what opening a book and reading amounts raise.
    """
    if stated and said.volume is None:
        raise FromNeedsVolume
    water = water_now(source, name, said=said, at=at, known=known)
    drawn = water.drawn
    if stated:
        levels = {
            quantity: Measure(
                read_quantity(quantity, text, conditions=water.conditions),
                0.0,
                QUANTITIES[quantity].unit,
            )
            for quantity, text in stated.items()
        }
        kept = {n: m for n, m in water.levels.items() if n in BELIEFS and BELIEFS[n].has_mass}
        uses = _said_uses(said, drawn)
        drawn = draw_plain(kept | levels, uses, water.litres, at=days_since_epoch(water.at))
        assumptions = {
            name: sentence for name, sentence in water.assumptions.items() if name not in stated
        }
        water = replace(
            water, levels={**water.levels, **levels}, drawn=drawn, assumptions=assumptions
        )
    return started(water, said)


def started(water: WaterNow, said: Said) -> Start:
    """The start from a water that is known already."""
    planning, drawn = water.system.planning, water.drawn
    ph = _ph(water, drawn, said)
    air, says = _air(water, planning, drawn, said, ph)
    return Start(
        water=water,
        drawn=drawn,
        air=air,
        ph=ph,
        planning=planning,
        air_says=says,
        stated=said.volume is not None,
    )


def _said_uses(said: Said, drawn: Drawn) -> dict[str, Measure]:
    return {
        name: Measure(float(drawn.use(name)[0]), 0.0, "")
        for name in drawn.quantities
        if any(text.strip().startswith(name) for text in said.use)
    }


def known_or_raise(start: Start, quantity: str) -> None:
    """Raises QuantityUntested where nobody tested or said it: what is usual is no test."""
    known = known_quantities(start)
    if quantity not in known:
        raise QuantityUntested(quantity, known)


def known_quantities(start: Start) -> tuple[str, ...]:
    """What was tested or said, out of the draws."""
    return tuple(n for n in start.drawn.quantities if n not in start.water.assumptions)


def _air(
    water: WaterNow, planning: Planning, drawn: Drawn, said: Said, ph: Floats | None
) -> tuple[Air, tuple[str, ...]]:
    z = _scatter(drawn)
    says = []
    if said.co2 is not None:
        pco2 = np.full(drawn.count, room_co2_of(said.co2))
    elif planning.air_co2 is not None:
        pco2 = np.maximum(planning.air_co2.value + planning.air_co2.sd * z[0], 100.0)
        says.append(say("The room's CO2 is your own figure."))
    elif "room_co2" in water.levels:
        measure = water.levels["room_co2"]
        pco2 = np.maximum(measure.value + measure.sd * z[0], 100.0)
        says.append(say("The room's CO2 is what you tested."))
    elif ph is not None and "alkalinity" in drawn.quantities:
        at = water.conditions
        now = water_of(
            drawn.level("alkalinity"), salinity=at.salinity, temperature=at.temperature, ph=ph
        )
        pco2 = np.nan_to_num(now.state().pco2, nan=ROOM_CO2[1])
        says.append(
            say(
                "Nobody measured the room's CO2: the water is taken to settle where "
                "its pH has it now."
            )
        )
    else:
        pco2 = _between(ROOM_CO2, z[0])
        says.append(
            say(
                "Nobody measured the room's CO2: {room_co2_low:.0f} to {room_co2_high:.0f} "
                "ppm was taken (common practice, no source).",
                room_co2_low=ROOM_CO2[0],
                room_co2_high=ROOM_CO2[2],
            )
        )
    if planning.air_hours is not None:
        hours = np.full(drawn.count, planning.air_hours)
    else:
        hours = _between(AIR_HOURS, z[1])
        says.append(
            say(
                "How fast air and water trade CO2 isn't known: {air_hours_low:g} to "
                "{air_hours_high:g} hours for two thirds of the way was taken (common "
                "practice, no source).",
                air_hours_low=AIR_HOURS[0],
                air_hours_high=AIR_HOURS[2],
            )
        )
    return Air(pco2, hours), tuple(says)


def _scatter(drawn: Drawn) -> Floats:
    """Two columns of normals of their own, the same for the same facts."""
    half = np.random.default_rng(drawn.seed % (2**32)).standard_normal((2, (drawn.count + 1) // 2))
    return np.concatenate([half, -half], axis=1)[:, : drawn.count]


def _between(figures: tuple[float, float, float], z: Floats) -> Floats:
    """Draws of a figure known by its low, middle and high (95 %): two half log-normals."""
    low, middle, high = (math.log(each) for each in figures)
    spread = np.where(z < 0.0, middle - low, high - middle) / Z95
    return np.asarray(np.exp(middle + spread * z))


def _ph(water: WaterNow, drawn: Drawn, said: Said) -> Floats | None:
    """Draws of pH (NBS) where it was said or tested lately; None: by balance with the air."""
    if said.ph is not None:
        return np.full(drawn.count, water.levels["ph"].value)
    answer = water.answer
    tested = answer.quantities["ph"].tested if answer and "ph" in answer.quantities else None
    if tested is None or water.at - tested > timedelta(days=_PH_DAYS):
        return None
    measure = water.levels["ph"]
    rng = np.random.default_rng((drawn.seed + 1) % (2**32))
    half = rng.standard_normal((drawn.count + 1) // 2)
    z = np.concatenate([half, -half])[: drawn.count]
    return np.asarray(np.clip(measure.value + measure.sd * z, 7.0, 9.0))


def first_hour(start: Start, *, pours: int, gap: float) -> datetime:
    """When the first pour can be: now, if the day's pours still fit before the night; else at the
    next morning."""
    local = start.at.astimezone(start.zone)
    begins, ends = WAKING
    hour = local.hour + local.minute / 60.0
    if begins <= hour and hour + (pours - 1) * gap <= ends:
        return start.at
    day = local.date() if hour < begins else local.date() + timedelta(days=1)
    morning = datetime(day.year, day.month, day.day, begins + 1, tzinfo=start.zone)
    return morning.astimezone(start.at.tzinfo)
