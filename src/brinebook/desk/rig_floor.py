"""The floor under the rig: the JSON of docs/rig-json.md, and the lines for an engineer."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import Json, figure, range_words, ranged
from brinebook.lifesupport.floor import UNIFORM_LIVE_LOAD, FloorLoad
from brinebook.lifesupport.floor_answer import FloorAnswer
from brinebook.lifesupport.ranges import Range
from brinebook.report.numbers import number_text
from brinebook.texts import phrase, say

#: Said with every figure: neither a pass nor a fail.
NO_VERDICT = phrase(
    "Neither pass nor fail: the code's figure is an average over a whole room, and the answer "
    "hangs on the direction and span of the joists. Take these figures to a structural engineer "
    "and your landlord."
)


def floor_json(answer: FloorAnswer | None) -> Json | None:
    """The ``floor`` object; None without a footprint."""
    if answer is None:
        return None
    load = answer.load
    return {
        "masses": {name: figure(mass, "kg") for name, mass in load.masses.items()},
        "mass": ranged(_of(answer, "mass"), "kg"),
        "force": ranged(_of(answer, "force"), "kN"),
        "footprint": {"length": figure(answer.length, "m"), "width": figure(answer.width, "m")},
        "pressure": ranged(_of(answer, "pressure"), "kPa"),
        "pressure_psf": ranged(_of(answer, "pressure_psf"), "psf"),
        "uniform_live_load": figure(UNIFORM_LIVE_LOAD, "kPa"),
        "times_uniform": ranged(_of(answer, "of_uniform"), ""),
        "leg": figure(load.leg, "kN"),
        "heaviest_leg": figure(load.heaviest_leg, "kN"),
        "leg_pressure": figure(load.leg_pressure, "kPa"),
        "runner": figure(load.runner, "kN/m"),
        "uncounted": list(answer.uncounted),
        "verdict": None,
        "text": say(NO_VERDICT),
    }


def floor_lines(answer: FloorAnswer | None) -> Iterator[str]:
    """What a person takes to the engineer."""
    if answer is None:
        yield say("The load can't be told before a footprint or a display is described.")
        return
    load = answer.load
    ranked = sorted(load.masses.items(), key=lambda part: -part[1])
    yield say("About {of}: ", of=range_words(_of(answer, "mass"), "kg")) + ", ".join(
        f"{say(name)} {number_text(mass, 0)}" for name, mass in ranked if mass >= 0.5
    )
    yield (
        say(
            "  {of} on {length} by {width} m: {of_answer} ({pressure_psf} psf), "
            "{of_uniform} times the {uniform_live_load:g} kPa (40 psf) that a dwelling's "
            "floor is usually laid out for",
            of=range_words(_of(answer, "force"), "kN"),
            length=number_text(answer.length, 2),
            width=number_text(answer.width, 2),
            of_answer=range_words(_of(answer, "pressure"), "kPa"),
            pressure_psf=number_text(load.pressure_psf, 0),
            of_uniform=number_text(load.of_uniform, 1),
            uniform_live_load=UNIFORM_LIVE_LOAD,
        )
    )
    yield f"  {_points(load)}"
    if answer.uncounted:
        yield say(
            "  Not counted, as it isn't described: {uncounted}.",
            uncounted=", ".join(answer.uncounted),
        )
    yield say(NO_VERDICT)


def _points(load: FloorLoad) -> str:
    runner = say(
        "on two runners along its length {runner} kN/m", runner=number_text(load.runner, 1)
    )
    if load.leg is None:
        return runner
    words = say("a leg carries {leg} kN", leg=number_text(load.leg, 1))
    if load.heaviest_leg is not None:
        words += say(
            ", {heaviest_leg} kN if one of them hangs free",
            heaviest_leg=number_text(load.heaviest_leg, 1),
        )
    if load.leg_pressure is not None:
        words += say(
            " ({leg_pressure} kPa under it)", leg_pressure=number_text(load.leg_pressure, 0)
        )
    return f"{words}; {runner}"


def _of(answer: FloorAnswer, name: str) -> Range:
    value, low, high = (
        float(getattr(load, name)) for load in (answer.load, answer.low, answer.high)
    )
    return Range(value, low, high)
