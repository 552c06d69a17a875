"""What a plan's pours do to pH, CO2 and saturation, and what comes along with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from brinebook.balance.season import Floats
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import quantity_text
from brinebook.plan import Course, CoursePoint, Figure
from brinebook.planning.corrections import Correction
from brinebook.planning.limits import limits_for
from brinebook.planning.pourable import Scene
from brinebook.planning.pours import PourCourse, course, in_balance, poured
from brinebook.planning.substances import Substance
from brinebook.texts import Spoken, say
from brinebook.units import QUANTITIES
from brinebook.water.carbonate.state import CarbonateState
from brinebook.water.salinity import REFERENCE_SALINITY_PER_PSU

#: Hours after the first pour that the chemistry is followed.
_HOURS = 48.0
_TOLD = (("ph", "NBS", "ph_nbs"), ("pco2", "uatm", "pco2"),
         ("omega_aragonite", "", "omega_aragonite"))  # fmt: skip
#: Draws that each base is followed on.
_FEW = 80
#: Ions that no test reads, as mg/L; natural seawater holds thousands of them.
_UNSEEN = ("sodium", "chloride", "sulfate")


def along(start: Start, found: Correction) -> tuple[Figure, ...]:
    """What the whole plan brings besides, a litre: other quantities, ions, salinity."""
    totals = [found.days * each for each in found.amounts]
    return brought_along(
        found.ask.parts, totals, float(np.median(start.drawn.litres)), but=found.ask.quantity
    )


def along_notes(start: Start, found: Correction) -> list[str]:
    """Where what comes along passes a limit a day or a band of its own, which the plan isn't held
    to."""
    told = []
    for figure in along(start, found):
        name = figure.name.removeprefix("brings_")
        if name not in start.drawn.quantities or figure.value <= 0.0:
            continue
        level = float(np.median(start.drawn.level(name)))
        limits = limits_for(name, start.water.system, target=level)
        end = level + figure.value
        fast = figure.value / found.days > limits.per_day
        if not fast and (end <= limits.band[1] or name in ("salinity",)):
            continue
        told.append(
            say(
                "It brings {rise} of {name} along, to about {end} if nothing takes it up: that "
                "band ends at {edge}, and its limit is {limit} a day. Take another salt, or less.",
                rise=quantity_text(name, figure.value, start.units, difference=True),
                name=name,
                end=quantity_text(name, end, start.units),
                edge=quantity_text(name, limits.band[1], start.units),
                limit=quantity_text(name, limits.per_day, start.units, difference=True),
            )
        )
    return told


def brought_along(
    parts: Sequence[Substance], totals: Sequence[float], litres: float, *, but: str
) -> tuple[Figure, ...]:
    """The same for any amounts of any parts in so many litres."""
    sums: dict[str, float] = {}
    for part, total in zip(parts, totals, strict=True):
        for name, each in part.per_unit.items():
            sums[name] = sums.get(name, 0.0) + total * each / litres
    figures = []
    for name, each in sums.items():
        if name == but or each == 0.0:
            continue
        if name == "salinity":
            psu = each / 1.0233 / REFERENCE_SALINITY_PER_PSU
            figures.append(Figure("brings_salinity", psu, "PSU"))
        elif name in _UNSEEN:
            figures.append(Figure(f"brings_{name}", each, "mg/L"))
        elif name in QUANTITIES:
            figures.append(Figure(f"brings_{name}", each, QUANTITIES[name].unit))
    return tuple(figures)


def chemistry(start: Start, found: Correction) -> tuple[Course, ...]:
    """pH, CO2 and saturation through the first day's pours: closed, open to air, and settled."""
    if found.scene is None or found.parting is None or not found.is_needed:
        return ()
    place, pours = found.scene, found.parting.pours
    amount = found.amounts[0] / _per_amount(found)
    each = [rise * amount / pours for rise in place.rises]
    marks = [(found.ask.gap * number, each[0], each[1], each[2]) for number in range(pours)]
    followed = course(
        place.water, marks, until=_HOURS, pco2=place.air.pco2, air_hours=place.air.hours, every=6.0
    )
    final = poured(
        place.water, alkalinity=pours * each[0], carbon=pours * each[1], calcium=pours * each[2]
    )
    settled = in_balance(final, place.air.pco2).state()
    three = (
        course
        for name, unit, attribute in _TOLD
        for course in _three(start, followed, settled, (name, unit, attribute))
    )
    return (*three, *_by_base(start, found, place))


def _by_base(start: Start, found: Correction, place: Scene) -> tuple[Course, ...]:
    """What all of it at once by each base does, and how the air brings it back; of alkalinity."""
    if found.ask.quantity != "alkalinity":
        return ()
    rise = found.days * float(np.median(found.rise_per_day))
    bases = dict(_SALTS_OF_ALKALINITY)
    few = slice(None, None, max(np.size(place.water.alkalinity) // _FEW, 1))

    def each(values: Floats) -> Floats:
        """The chosen draws, once for every base: all bases are followed at once."""
        all_draws = np.broadcast_to(values, place.water.alkalinity.shape)
        return np.tile(all_draws[few], len(bases))

    water = replace(
        place.water,
        alkalinity=each(place.water.alkalinity),
        dic=each(place.water.dic),
        calcium=each(place.water.calcium),
    )
    count = water.alkalinity.size // len(bases)
    carbon = rise * np.repeat(list(bases.values()), count)
    followed = course(
        water,
        [(0.0, rise, carbon, 0.0)],
        until=_HOURS,
        pco2=each(place.air.pco2),
        air_hours=each(place.air.hours),
        every=6.0,
    )
    courses = []
    for k, base in enumerate(bases):
        label = say("all at once by {base}, with the air", base=_BASES[base])
        own = slice(k * count, (k + 1) * count)
        courses += [
            Course(name, unit, label, _points(start, followed, followed.open, attribute, own))
            for name, unit, attribute in _TOLD
        ]
    return tuple(courses)


def _per_amount(found: Correction) -> float:
    """Units of the first part for one amount of the quantity."""
    from brinebook.planning.substances import split_of

    share = split_of(found.ask.quantity, found.ask.parts)[0]
    return share / found.ask.parts[0].brings(found.ask.quantity)


def _three(
    start: Start,
    followed: PourCourse,
    settled: CarbonateState[Floats],
    told: tuple[str, str, str],
) -> tuple[Course, ...]:
    name, unit, attribute = told
    pairs = ((say("closed"), followed.closed), (say("with the air"), followed.open))
    courses = [
        Course(name, unit, label, _points(start, followed, states, attribute))
        for label, states in pairs
    ]
    end = _point(start, _HOURS, settled, attribute)
    return (*courses, Course(name, unit, say("settled with the air"), (end,)))


def _points(
    start: Start,
    followed: PourCourse,
    states: Sequence[CarbonateState[Floats]],
    attribute: str,
    draws: slice = slice(None),
) -> tuple[CoursePoint, ...]:
    return tuple(
        _point(start, hours, state, attribute, draws)
        for hours, state in zip(followed.hours, states, strict=True)
    )


def _point(
    start: Start,
    hours: float,
    state: CarbonateState[Floats],
    attribute: str,
    draws: slice = slice(None),
) -> CoursePoint:
    values = np.asarray(getattr(state, attribute))[draws]
    low, middle, high = np.nanquantile(values, [0.025, 0.5, 0.975])
    when = start.at + timedelta(hours=float(hours))
    return CoursePoint(when, float(middle), float(low), float(high))


#: What raises alkalinity, and how much inorganic carbon comes with each equivalent.
_BASES = Spoken({"bicarbonate": "bicarbonate", "carbonate": "carbonate", "hydroxide": "hydroxide"})
_SALTS_OF_ALKALINITY = (("bicarbonate", 1.0), ("carbonate", 0.5), ("hydroxide", 0.0))


def at_once(found: Correction) -> tuple[Figure, ...]:
    """pH, CO2 and saturation if the whole of it went in at once, by each kind of salt, and settled.

    At the middle of belief; only for alkalinity.
    """
    if found.ask.quantity != "alkalinity" or found.scene is None or not found.is_needed:
        return ()
    place, rise = found.scene, found.days * float(np.median(found.rise_per_day))
    figures = _told_of("start", place.water.state())
    for name, carbon in _SALTS_OF_ALKALINITY:
        after = poured(place.water, alkalinity=rise, carbon=carbon * rise)
        figures += _told_of(f"at_once_{name}", after.state())
    settled = in_balance(poured(place.water, alkalinity=rise), place.air.pco2)
    return (*figures, *_told_of("settled", settled.state()))


def _told_of(label: str, state: CarbonateState[Floats]) -> list[Figure]:
    return [
        Figure(f"{label}_{name}", float(np.nanmedian(getattr(state, attribute))), unit)
        for name, unit, attribute in (
            ("ph", "NBS", "ph_nbs"),
            ("saturation", "", "omega_aragonite"),
            ("co2", "uatm", "pco2"),
        )
    ]


def at_once_note(figures: Sequence[Figure]) -> str:
    """What pH does at first by each kind of salt, and what it does in the end."""
    value = {figure.name: figure.value for figure in figures}
    first = ", ".join(
        f"{name} {value[f'at_once_{name}_ph']:.2f}" for name, _ in _SALTS_OF_ALKALINITY
    )
    return say(
        "pH is about {start_ph:.2f}; all at once it would go to: {first}. Once the "
        "air has had its way it ends at {settled_ph:.2f}, whichever it was.",
        start_ph=value["start_ph"],
        first=first,
        settled_ph=value["settled_ph"],
    )
