"""A bag and a drip as reckoned: the water on the way, its ammonia and pH."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brinebook.desk.plan_now import WaterNow
from brinebook.errors import UsageProblem
from brinebook.planning import acclimate, bag
from brinebook.planning.bag import BagWater, Moment
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.water.ammonia import unionised_fraction
from brinebook.water.composition import reference_alkalinity

#: Salinities so near each other need no drip: PSU, common practice, no source.
ALIKE = 1.0
#: What may be left of the difference at the end, PSU, unless said: common practice, no source.
NEAR = 0.5
#: How long a drip is meant to take, unless said, and how fast drops run: common practice.
USUAL_HOURS = 1.0
#: Total ammonia that most animals are said to stand for long, mg/L of N, and the pH (total scale)
#: that it is told for; from both, the un-ionised part from which a drip had better be short.
#: Source: batley2009
GUIDELINE, GUIDELINE_PH = 0.46, 8.0
#: CO2 in the air over a shop's tanks, uatm: common practice, no source.
_SHOP_CO2 = 600.0


class BagImpossible(UsageProblem):
    """A bag, a drip or a goal that can't be."""

    code = "E-BAG"


@dataclass(frozen=True, slots=True)
class Bag:
    """What is known of the bag: litres, PSU, and if tested pH (NBS), ammonia N, alkalinity.

    ``fish_grams`` and ``hours`` tell what was breathed in it where nothing was tested;
    ``alkalinity`` is in meq/L.
    """

    litres: float
    salinity: float
    ph: float | None = None
    ammonia: float | None = None
    alkalinity: float | None = None
    fish_grams: float | None = None
    hours: float | None = None


@dataclass(frozen=True, slots=True)
class Way:
    """How the system's water comes in: by drip over hours, or by swaps of a share.

    ``flow`` in L/h; ``fills``: nothing runs over; ``swap``: the share poured out each time.
    """

    flow: float | None = None
    fills: bool = False
    swap: float | None = None
    until: float | None = None


@dataclass(frozen=True, slots=True)
class Drip:
    """The drip as reckoned: flow, hours, litres of system water, and its courses."""

    kept: float
    flow: float
    hours: float
    litres: float
    swaps: int | None
    still: tuple[Moment, ...]
    aired: tuple[Moment, ...]


@dataclass(frozen=True, slots=True)
class Case:
    """Everything that the plan is worded from.

    ``waters`` is the bag as opened, from the lowest guess of its ammonia to the highest; ``worst``
    the most un-ionised ammonia on the way (mg/L of N, None where nothing is known of it), ``hurry``
    that from which a drip had better be short.
    """

    now: WaterNow
    said: Bag
    system: BagWater
    waters: tuple[BagWater, ...]
    drip: Drip
    worst: float | None
    hurry: float

    @property
    def opened(self) -> BagWater:
        """The bag as opened, by the middle guess."""
        return self.waters[len(self.waters) // 2]

    @property
    def toxic(self) -> bool:
        """Whether the ammonia on the way speaks against a drip."""
        return self.worst is not None and self.worst > self.hurry

    @property
    def alike(self) -> bool:
        """Whether the two salinities are near enough to need no drip."""
        return abs(self.said.salinity - self.system.salinity) <= ALIKE


def reckon(now: WaterNow, said: Bag, way: Way) -> Case:
    """The drip minute by minute; raises BagImpossible."""
    _check(now, said, way)
    system = _system_water(now)
    waters = _bag_waters(now, said)
    drip = _drip(now, said, way, start=waters[len(waters) // 2], system=system)
    return Case(now, said, system, waters, drip, _worst(waters, drip), _hurry(system))


def _check(now: WaterNow, said: Bag, way: Way) -> None:
    if not 0.05 <= said.litres <= 2000.0:
        raise BagImpossible(
            say(
                "A bag or tub of {litres} L can't be reckoned with.", litres=plain_text(said.litres)
            ),
            say("Give the water in it, such as 1.5 L."),
        )
    if not 1.0 <= said.salinity <= 50.0:
        raise BagImpossible(
            say("Water of {salinity} PSU isn't sea water.", salinity=plain_text(said.salinity)),
            say("Give the bag's salinity, as measured, such as 31."),
        )
    if now.middle("salinity") < 1.0:
        raise BagImpossible(
            say("A system of {salinity} PSU isn't sea water.",
                salinity=plain_text(round(now.middle("salinity"), 1))),
            say("Give the salinity of the system, such as --to 35."),
        )  # fmt: skip
    if way.flow is not None and not 0.01 <= way.flow <= 500.0:
        raise BagImpossible(
            say("A drip of {flow} L/h is none.", flow=plain_text(way.flow)),
            say("Give a flow such as “2 L/h”, or drops in a second."),
        )
    low, high = sorted((said.salinity, now.middle("salinity")))
    if way.until is not None and not low <= way.until <= high:
        raise BagImpossible(
            say(
                "{until} PSU doesn't lie between the bag and the system.",
                until=plain_text(way.until),
            ),
            say(
                "The bag is at {salinity}, the system at {middle} PSU.",
                salinity=plain_text(said.salinity),
                middle=plain_text(round(now.middle("salinity"), 1)),
            ),
        )


def _system_water(now: WaterNow) -> BagWater:
    state = now.state()
    ammonia = now.levels.get("ammonia")
    return BagWater(
        now.middle("salinity"),
        now.middle("temperature"),
        state.alkalinity,
        state.dic,
        0.0 if ammonia is None else ammonia.value,
    )


def _bag_waters(now: WaterNow, said: Bag) -> tuple[BagWater, ...]:
    """The bag as it is opened, floated to the system's temperature: low, middle, high ammonia."""
    warm = now.middle("temperature")
    alkalinity = (
        reference_alkalinity(said.salinity)
        if said.alkalinity is None
        else said.alkalinity * 1e3 / now.kilograms
    )
    fresh = BagWater(said.salinity, warm, alkalinity, 0.0, 0.0).aired(_SHOP_CO2)
    if said.ph is not None:
        fresh = bag.bag_of_known_ph(
            salinity=said.salinity,
            temperature=warm,
            alkalinity=alkalinity,
            ph_nbs=said.ph,
            ammonia=said.ammonia or 0.0,
        )
    breathed = (said.fish_grams or 0.0) * (said.hours or 0.0)
    if said.ammonia is not None or breathed == 0.0:
        return (replace(fresh, ammonia=said.ammonia or 0.0),)
    spread = zip(
        (bag.OXYGEN_AN_HOUR.low, bag.OXYGEN_AN_HOUR.middle, bag.OXYGEN_AN_HOUR.high),
        (
            bag.OXYGEN_TO_NITROGEN.high,
            bag.OXYGEN_TO_NITROGEN.middle,
            bag.OXYGEN_TO_NITROGEN.low,
        ),
        strict=True,
    )
    found = [
        bag.breathed(fresh, oxygen=breathed * each, ratio=ratio, litres=said.litres)
        for each, ratio in spread
    ]
    if said.ph is not None:  # the pH was tested, so only the ammonia is a guess
        found = [replace(each, dic=fresh.dic, alkalinity=fresh.alkalinity) for each in found]
    return tuple(found)


def _drip(now: WaterNow, said: Bag, way: Way, *, start: BagWater, system: BagWater) -> Drip:
    goal = way.until
    if goal is None:
        off = min(NEAR, abs(start.salinity - system.salinity))
        goal = system.salinity + (off if start.salinity > system.salinity else -off)
    kept = acclimate.kept_for(start.salinity, system.salinity, goal)
    kept = max(kept, 0.002)
    swaps = None
    if way.swap is not None:
        swaps = max(acclimate.swaps_for(way.swap, kept), 1)
        kept = acclimate.kept_after_swaps(way.swap, swaps)
    if way.fills:
        unit = acclimate.hours_of_filling(1.0, said.litres, kept)
    else:
        unit = acclimate.hours_of_overflow(1.0, said.litres, kept)
    flow = way.flow or max(unit / USUAL_HOURS, 0.05)
    hours = USUAL_HOURS / 2 if swaps is not None else max(unit / flow, 1 / 60)
    courses = [
        tuple(
            bag.drip_course(
                start,
                system,
                dilution=unit / hours / said.litres if swaps is not None else flow / said.litres,
                fills=way.fills,
                airing=airing,
                pco2=now.room_pco2,
                hours=hours,
                step=max(1 / 60, hours / 240),
            )
        )
        for airing in (bag.AIRING_STILL, bag.AIRING_STONE)
    ]
    litres = flow * hours if swaps is None else swaps * (way.swap or 0.0) * said.litres
    return Drip(kept, flow, hours, litres, swaps, courses[0], courses[1])


def _worst(waters: Sequence[BagWater], drip: Drip) -> float | None:
    """The most un-ionised ammonia (mg/L of N) on the way, by the middle guess of the bag."""
    if max(water.ammonia for water in waters) <= 0.0:
        return None
    return max(moment.water.unionised() for moment in (*drip.still, *drip.aired))


def _hurry(system: BagWater) -> float:
    return GUIDELINE * unionised_fraction(GUIDELINE_PH, 35.0, system.temperature)
