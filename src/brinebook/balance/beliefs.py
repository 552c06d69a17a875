"""What the balance believes before it has seen a single test.

Every figure here is wide on purpose and yields to the facts. Where a figure has a source it stands
beside it; the others are common practice, no source. All concentrations are in the canonical unit
of their quantity, rates per day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.water.atoms import molar_mass


@dataclass(frozen=True, slots=True)
class QuantityBelief:
    """Prior beliefs about one quantity.

    ``spread``: how far the first value may lie from the first tests; ``noise`` and
    ``noise_fraction``: standard deviation of one test by an undescribed method (absolute, and as a
    fraction of the reading); ``use_sd``: spread of its own rate; ``drift``: how far that rate
    wanders in a root day; ``restless``: standard deviation of the day-to-day disturbance of the
    level; ``jump``: typical size of a change that nobody wrote down; ``pull``: share of an excess
    that the reef takes up in a day (uptake follows concentration). With ``relative`` the figures
    use_sd, drift, restless, jump and spread are fractions of the quantity's usual level (never
    under ``floor``).
    """

    spread: float
    noise: float
    noise_fraction: float
    use_sd: float
    drift: float
    restless: float
    jump: float
    pull: float = 0.0
    relative: bool = False
    floor: float = 1.0
    has_mass: bool = True
    nonnegative: bool = True


_MAJOR = {
    "alkalinity": QuantityBelief(0.5, 0.07, 0.0, 0.02, 0.0005, 0.006, 0.45),
    "calcium": QuantityBelief(50.0, 8.0, 0.0, 0.5, 0.01, 0.2, 30.0),
    "magnesium": QuantityBelief(120.0, 25.0, 0.0, 0.15, 0.005, 0.3, 60.0),
    "potassium": QuantityBelief(60.0, 12.0, 0.0, 0.4, 0.01, 0.3, 30.0),
    "strontium": QuantityBelief(3.0, 0.5, 0.0, 0.02, 0.0005, 0.02, 1.5),
    "salinity": QuantityBelief(2.0, 0.35, 0.0, 0.02, 0.001, 0.05, 1.2),
}

_NUTRIENT = {
    "nitrate": QuantityBelief(
        1.0, 0.4, 0.10, 0.06, 0.0008, 0.035, 0.5, pull=0.025, relative=True, floor=1.5
    ),
    "phosphate": QuantityBelief(
        1.0, 0.012, 0.10, 0.12, 0.006, 0.14, 0.6, pull=0.25, relative=True, floor=0.03
    ),
    "nitrite": QuantityBelief(
        1.5, 0.01, 0.12, 0.15, 0.03, 0.08, 1.0, pull=0.1, relative=True, floor=0.02
    ),
    "ammonia": QuantityBelief(
        1.5, 0.04, 0.12, 0.15, 0.03, 0.08, 1.0, pull=0.1, relative=True, floor=0.08
    ),
    "silicate": QuantityBelief(
        1.0, 0.05, 0.12, 0.06, 0.006, 0.03, 0.6, pull=0.03, relative=True, floor=0.1
    ),
    "iodine": QuantityBelief(
        1.0, 8.0, 0.08, 0.08, 0.005, 0.03, 0.6, pull=0.05, relative=True, floor=20.0
    ),
    "iron": QuantityBelief(
        1.0, 2.0, 0.10, 0.10, 0.01, 0.05, 0.8, pull=0.1, relative=True, floor=2.0
    ),
}


def _plain(spread: float, noise: float, restless: float, jump: float) -> QuantityBelief:
    return QuantityBelief(
        spread, noise, 0.0, 0.0, 0.0, restless, jump, has_mass=False, nonnegative=False
    )


_LEVEL = {
    "temperature": _plain(2.0, 0.25, 0.12, 1.5),
    "ph": _plain(0.3, 0.05, 0.02, 0.25),
    "orp": _plain(80.0, 12.0, 8.0, 80.0),
    "oxygen": _plain(1.0, 0.3, 0.08, 1.5),
    "room_temperature": _plain(4.0, 0.4, 0.6, 3.0),
    "room_humidity": _plain(15.0, 3.0, 3.0, 15.0),
    "room_co2": _plain(300.0, 60.0, 60.0, 400.0),
}

#: Beliefs by quantity name.
BELIEFS: Mapping[str, QuantityBelief] = MappingProxyType({**_MAJOR, **_NUTRIENT, **_LEVEL})

#: Quantities that the laying down of skeleton moves together, with what one meq/L of alkalinity
#: takes along, and the spread of the own rate as a fraction of that (the coupling is a belief, not
#: a law: 2.06 +- 0.19 meq per mmol in corals alone, 1.60 +- 0.14 in a mixed community, Murillo,
#: Jokiel & Atkinson 2014; Mg/Ca and Sr/Ca of aragonite from memory).
#: Source: murillo2014
SKELETON: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "alkalinity": (1.0, 0.0),
        "calcium": (20.039, 0.06),
        "magnesium": (1.26, 0.5),
        "strontium": (0.39, 0.3),
        # CaCO3 laid down and CO2 and water given off, of two bicarbonates: grams a litre.
        "salinity": (0.0811, 0.3),
    }
)

#: meq/L of alkalinity that nitrification takes for each mg/L of nitrate made (1 eq per mol),
#: given back when nitrate is taken up or denitrified.
ALKALINITY_PER_NITRATE = 1.0 / molar_mass("NO3")

#: mg of nitrate per mg of its nitrogen, of phosphate per mg of its phosphorus.
NITRATE_PER_N = molar_mass("NO3") / molar_mass("N")
PHOSPHATE_PER_P = molar_mass("PO4") / molar_mass("P")

#: Calcification rises with saturation: relative change of use for a relative change of alkalinity,
#: and how far that may be off. First order in (omega - 1) gives 2.1 to 2.4 where CO2 stays the
#: room's (our own carbonate system at omega of 3 to 5) and 1.3 where pH stays; reefs answer less
#: than in proportion as a rule (common practice, no source). The tests teach it.
USE_ELASTICITY = 1.8
USE_ELASTICITY_SD = 0.6

#: Drift of calcification, as a fraction of the use in a root day, and its floor in meq/L/d. Where
#: hardly anything is used, the use wanders little by itself: what begins to grow, or is put in,
#: makes a step, which is a cause of its own (common practice, no source).
USE_DRIFT = 0.017
USE_DRIFT_FLOOR = 0.0003

#: Day-to-day irregularity of calcification, as a fraction of the use in a root day.
USE_RESTLESS = 0.03

#: Calcification follows the light: swing about its mean over the day, greatest at a clock time (as
#: part of the day). Two to three times as fast by day as by night (Gattuso, Allemand &
#: Frankignoulle 1999, Am. Zool. 39:160: threefold, from memory); lights from 9 to 21, common
#: practice.
LIGHT_SWING = 0.55
LIGHT_PEAK = 0.625
#: How far a reef's own swing may lie off that one, on each of its two waves: lights and seasons
#: shift its hour by some, and reefs differ in how much they lay down by night (common practice).
LIGHT_DOUBT = 0.35
#: How far one day's swing differs from the next one's, as the same part of the use: clouds, and
#: what the waves leave out (common practice, no source).
LIGHT_UNREST = 0.25

#: Belief about the day's calcification before any test: (mean, sd) in meq/L/d besides the dosing.
USE_PRIOR = (0.06, 0.15)
USE_PRIOR_DOSING_SD = 0.40
#: The same for each volume of water that passes through in a day, meq/L: water is run through so
#: fast that it comes out changed by a fifth at most (common practice, no source).
USE_PRIOR_PASSING_SD = 0.20

#: How far a pump's delivery wanders in a root day, as a fraction: tubes wear, lines clog (common
#: practice, no source: some per cent in a season).
PUMP_WEAR = 0.004

#: Water that leaves and nobody writes down: wet skimmate, salt creep, splashes, vials of tests. A
#: fraction of the system a day, and how far it may be off: some 0.1 L a day of a few hundred litres
#: (common practice, no source). Fresh water makes it up, so that every salt falls by it alike.
WATER_LOST = 0.0002
WATER_LOST_SD = 0.0003

#: Net volume when nobody said anything: litres, and standard deviation of its logarithm.
VOLUME_PRIOR = (250.0, 0.7)

#: Share of a test's variance that replicates on one occasion have in common (common practice).
SHARED_OCCASION = 0.3

#: Share of the variance of a method's bias that stays when the reagent lot changes.
BIAS_KEPT = 0.5

#: Composition of new water by reference seawater where the mix's label is silent: fraction sd.
UNKNOWN_MIX_SD = 0.08

#: Chances that the weighing of explanations starts from.
CHANCE_WRONG = 0.022  # a single test
CHANCE_SPELL = 0.0008  # that a spell of wrong tests starts at a given test
CHANCE_CHANGE_DAY = 1 / 1200  # of one quantity
CHANCE_FORGOTTEN_CHANGE_DAY = 1 / 900
CHANCE_POURED_WRONG = 1 / 50  # a dose by hand is poured twice, or noted and not poured
CHANCE_READ_AFTER = 1 / 5  # a test of the same minute as a dose or a change was read after it
CHANCE_DILUTION_DAY = 1 / 900  # too much or too little fresh water
CHANCE_PRECIPITATION_DAY = 1 / 3500
CHANCE_STOP_DAY = 1 / 1000  # a dosing pump stands still
CHANCE_STEP_DAY = 1 / 250  # use steps
CHANCE_REFILL_DAY = 1 / 60  # a container is filled up and nobody writes it down
