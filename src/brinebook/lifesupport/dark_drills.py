"""Drills of air and power: an exhaust fan, a circuit, the whole house, and what feeds on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from brinebook.lifesupport.drill import Drill, DrillCourse, DrillPoint, Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import harm_of_cold, ranged, within_of, within_span
from brinebook.lifesupport.fan_drills import fan_drills
from brinebook.lifesupport.heat_answer import ACT_BELOW
from brinebook.lifesupport.heat_course import Course
from brinebook.lifesupport.heat_model import (
    coldest_air,
    months_of,
)
from brinebook.lifesupport.humid_air import Air
from brinebook.lifesupport.outage import ACT_BELOW as OXYGEN_ACT
from brinebook.lifesupport.outage import Span
from brinebook.lifesupport.outage_answer import (
    OutageAnswer,
    dark_bodies,
    dark_course,
    outage_answer,
)
from brinebook.lifesupport.power import PROTECTION_AT_MOST
from brinebook.lifesupport.power_answer import CircuitHeld, functions_of, power_answer
from brinebook.lifesupport.ranges import Range, spread
from brinebook.lifesupport.still_display import (
    against_still,
    harm_of_oxygen,
    span_figures,
    span_words,
)
from brinebook.plan import Figure
from brinebook.rig import Rig
from brinebook.texts import say


def dark_drills(rig: Rig, litres: float, *, month: int) -> Iterator[Drill]:
    """Every exhaust fan, every circuit, the whole house, and the pairs that make them worse."""
    yield from fan_drills(rig, months_of(rig)[month - 1])
    if not rig.vessels:
        return
    outage = outage_answer(rig, litres, month=month)
    for held in power_answer(rig).circuits:
        yield from _circuit_dark(rig, litres, held, outage, month=month)
        yield from _water_live(rig, held)
    yield _house_dark(rig, litres, outage)
    yield from _pairs(rig, litres, outage, month=month)


def _circuit_dark(
    rig: Rig, litres: float, held: CircuitHeld, outage: OutageAnswer, *, month: int
) -> Iterator[Drill]:
    """What one tripped circuit takes along, and what goes on without it."""
    dark = {load.draw.name for load in held.hanging}
    lost = [what for what, doing in functions_of(rig) if doing and set(doing) <= dark]
    if not dark:
        return
    oxygen, cold = "brings in oxygen" in lost, "warms" in lost
    within: list[float | None] = []
    harm: Harm = 1
    told = []
    courses = []
    if oxygen:
        courses.append(_oxygen_course(outage))
        nothing = outage.oxygen[0]
        harm, within = harm_of_oxygen(nothing), _hours(nothing.until_act)
        told.append(
            say(
                "Nothing brings in oxygen: {until_act} to 4 mg/L",
                until_act=span_words(nothing.until_act),
            )
        )
    elif "moves the water" in lost:
        harm = 2
        told.append(say("The display and the sump stand apart"))
    if cold:
        cooling = _cooling(rig, litres, coldest_air(rig), month=month)
        courses.append(_warmth_course(_by_hour(cooling), ACT_BELOW))
        went = cooling[1]
        reached = went.hours_until(ACT_BELOW)
        harm = max(harm, harm_of_cold(went.lowest.temperature))
        told.append(
            say(
                "Nothing warms: {temperature:.1f} °C after two days of cold",
                temperature=went.lowest.temperature,
            )
        )
        if not within:
            within = [None if reached is None else reached * 0.6, reached, None]
    if not lost:
        told.append(say("Other circuits still move, air and warm the water"))
    yield Drill(
        id=f"circuit-dark/{held.circuit.name}",
        fault=say("circuit dark"),
        parts=(held.circuit.name, *sorted(dark)),
        title=say("{circuit} trips while nobody looks", circuit=held.circuit.name),
        told=" ".join(f"{one}." for one in told),
        harm=harm,
        within=within_of(within) if within else None,
        figures=(Figure("loads_dark", float(len(dark)), ""),),
        courses=tuple(courses),
        warns=(say("the lamp or a clock on the same circuit is off"), say("silence")),
        remedies=tuple(against_still(rig, litres, other_circuit=True)) if oxygen else (),
        cautions=("protection_trips", "mains", "overload"),
    )


def _water_live(rig: Rig, held: CircuitHeld) -> Iterator[Drill]:
    """A cracked heater or a wet plug on a circuit that nothing trips for people."""
    trips_at, name = held.circuit.protection, held.circuit.name
    if trips_at is None or 0.0 < trips_at <= PROTECTION_AT_MOST:
        return
    wet = {heater.name for heater in rig.heaters} | {pump.name for pump in rig.pumps}
    parts = [one.draw.name for one in held.hanging if one.draw.name in wet]
    if not parts:
        return
    what = (
        say("no residual-current (ground-fault) protection")
        if trips_at == 0.0
        else say("protection that trips at {trips_at:.0f} mA only", trips_at=trips_at)
    )
    yield Drill(
        id=f"water-live/{name}",
        fault=say("leakage in the water"),
        parts=(name, *parts),
        title=say("a heater cracks or a plug gets wet on {circuit}", circuit=name),
        told=say(
            "{circuit} has {what}: the water may be live, and nothing switches off before somebody "
            "reaches into it.",
            circuit=name,
            what=what,
        ),
        harm=4,
        within=Within(0.0, 0.0, 0.0),
        warns=(say("a tingle; often nothing at all"),),
        remedies=(
            Remedy(
                say("30 mA protection on {circuit}, fitted by an electrician", circuit=name), 2, 1,
                None, say("then it trips, and what hangs there goes dark"),
            ),
        ),
        cautions=("mains", "protection_trips", "drip_loops"),
    )  # fmt: skip


def _house_dark(rig: Rig, litres: float, outage: OutageAnswer) -> Drill:
    nothing = outage.oxygen[0]
    warmth = outage.warmth[0]
    return Drill(
        id="house-dark",
        fault=say("whole house dark"),
        parts=("house",),
        title=say("the power of the whole house is out"),
        told=(
            say(
                "Oxygen is at 4 mg/L after {until_act} and at 2 after {until_grave}; the "
                "display is at {by_hour:.1f} °C after 12 h.",
                until_act=span_words(nothing.until_act),
                until_grave=span_words(nothing.until_grave),
                by_hour=warmth.by_hour[12].value,
            )
        ),
        harm=harm_of_oxygen(nothing),
        within=within_span(nothing.until_act),
        figures=(
            *span_figures("hours_to_4", nothing.until_act),
            *span_figures("hours_to_2", nothing.until_grave),
            ranged("temperature_after_12_h", warmth.by_hour[12], "C"),
        ),
        courses=(_oxygen_course(outage), _warmth_course(warmth.by_hour, warmth.limit)),
        warns=(say("a clock that blinks"), say("a message from the power company")),
        remedies=tuple(against_still(rig, litres, other_circuit=False)),
        cautions=("animals_first", "engines_outdoors", "batteries", "flood", "no_alarm"),
        assumed=() if outage.stock_known else (say("an ordinary stock of animals"),),
    )


def _oxygen_course(outage: OutageAnswer) -> DrillCourse:
    """Oxygen by the hour with nothing done."""
    points = tuple(
        DrillPoint(float(hour), at.middle or 0.0, at.short or 0.0, at.long or 0.0)
        for hour, at in enumerate(outage.oxygen_by_hour)
    )
    return DrillCourse("oxygen", "mg/L", points, OXYGEN_ACT)


def _warmth_course(by_hour: Iterable[Range], limit: float) -> DrillCourse:
    """Temperature by the hour."""
    points = tuple(
        DrillPoint(float(hour), at.value, at.low, at.high) for hour, at in enumerate(by_hour)
    )
    return DrillCourse("temperature", "C", points, limit)


def _cooling(rig: Rig, litres: float, air: Air, *, month: int) -> list[Course]:
    """Two days in the dark in such a room, for the display that loses little, middling, much."""
    bodies = dark_bodies(rig, litres, month=month).each()
    return [dark_course(rig, body, air=air, hours=48.0) for body in bodies]


def _by_hour(courses: Sequence[Course]) -> list[Range]:
    return [spread(one.at(hour).temperature for one in courses) for hour in range(49)]


def _pairs(rig: Rig, litres: float, outage: OutageAnswer, *, month: int) -> Iterator[Drill]:
    """Dark and covered; dark in a cold spell; a room heater that trips the tank's circuit."""
    display = rig.vessel("display")
    if display is not None and display.lid < 0.9:
        covered = next(one for one in outage.oxygen if one.case == "covered tight")
        yield Drill(
            id="house-dark+lid",
            fault=say("whole house dark and lid added"),
            parts=("house", "lid"),
            title=say("the power is out and the top is covered to keep the warmth"),
            told=(
                say(
                    "Oxygen is at 4 mg/L after {until_act}: a cover keeps heat and takes "
                    "away the air.",
                    until_act=span_words(covered.until_act),
                )
            ),
            harm=harm_of_oxygen(covered),
            within=within_span(covered.until_act),
            figures=span_figures("hours_to_4", covered.until_act),
            courses=tuple(
                _warmth_course(one.by_hour, one.limit)
                for one in outage.warmth
                if one.case == "this month, covered"
            ),
            warns=(say("fish at the surface"),),
            remedies=tuple(against_still(rig, litres, other_circuit=False)),
            cautions=("animals_first", "engines_outdoors"),
        )
    cold, now = coldest_air(rig), months_of(rig)[month - 1]
    if cold.temperature < now.temperature - 1.0:
        yield _dark_and_cold(rig, litres, outage, cold, month=month)
    for held in power_answer(rig).circuits:
        heaters = [one for one in held.hanging if one.draw.season == "winter"]
        if heaters and held.worst.trips != "no":
            yield _tripped_by_cold(rig, litres, held, outage, month=month)


def _dark_and_cold(
    rig: Rig, litres: float, outage: OutageAnswer, cold: Air, *, month: int
) -> Drill:
    courses = _cooling(rig, litres, cold, month=month)
    end = spread(one.moments[-1].temperature for one in courses)
    nothing = outage.oxygen[0]
    chilled = within_of([one.hours_until(ACT_BELOW) for one in courses])
    oxygen = within_span(nothing.until_act)
    return Drill(
        id="house-dark+cold-spell",
        fault=say("whole house dark in a cold spell"),
        parts=("house", "room"),
        title=say(
            "the power is out while the room is at {temperature:.0f} °C",
            temperature=cold.temperature,
        ),
        told=(
            say(
                "The display is at {end:.1f} °C ({end_low:.1f} to {end_high:.1f}) after "
                "two days; oxygen is at 4 mg/L after {until_act}.",
                end=end.value,
                end_low=end.low,
                end_high=end.high,
                until_act=span_words(nothing.until_act),
            )
        ),
        harm=max(harm_of_oxygen(nothing), harm_of_cold(end.low)),
        within=_sooner(oxygen, chilled),
        figures=(ranged("temperature_after_48_h", end, "C"),),
        courses=(_oxygen_course(outage), _warmth_course(_by_hour(courses), ACT_BELOW)),
        warns=(say("the room's own thermometer"),),
        remedies=tuple(against_still(rig, litres, other_circuit=False)),
        cautions=("animals_first", "engines_outdoors", "batteries"),
    )


def _tripped_by_cold(
    rig: Rig, litres: float, held: CircuitHeld, outage: OutageAnswer, *, month: int
) -> Drill:
    name = held.circuit.name
    heaters = ", ".join(one.draw.name for one in held.hanging if one.draw.season == "winter")
    without = Remedy(
        say("hang {heaters} on another circuit", heaters=heaters),
        0,
        0,
        None,
        say("then {name} draws {most:.1f} A", name=name, most=held.all_year.drawn.most),
    )
    dark = next(iter(_circuit_dark(rig, litres, held, outage, month=month)))
    return replace(
        dark,
        id=f"circuit-dark+room-heater/{name}",
        fault=say("circuit tripped by a room heater"),
        parts=(name, heaters),
        title=say("{heaters} trips {name} on the coldest night", heaters=heaters, name=name),
        told=say(
            "{least:.1f} to {most:.1f} A hang on a breaker of {amps:.0f} A when it is cold. {told}",
            least=held.worst.drawn.least,
            most=held.worst.drawn.most,
            amps=held.circuit.amps,
            told=dark.told,
        ),
        remedies=(without, *dark.remedies),
    )


def _hours(span: Span) -> list[float | None]:
    return [span.short, span.middle, span.long]


def _sooner(one: Within | None, other: Within | None) -> Within | None:
    if one is None or other is None:
        return one or other
    return one if (one.short or 0.0) <= (other.short or 0.0) else other
