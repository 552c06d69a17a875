"""A wish for pump, pipe and valves on a page: filled in from the rig, answered in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from brinebook.desk.reckon import Input, Sum, reckon
from brinebook.desk.reckon_choice import CHOICE_SUMS
from brinebook.desk.rig_cautions import cautions_for
from brinebook.desk.rig_parts import RigAsked
from brinebook.desk.rig_values import with_unit
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.lifesupport.basins import return_section
from brinebook.plan import Caution, Figure
from brinebook.report.numbers import number_text
from brinebook.rig import Rig
from brinebook.texts import say

#: What a wish takes, in the order of the form; the rest of the sum's inputs unfolds.
WISHED = ("turnover", "volume", "branch", "lift", "length", "pressure-limit", "joint-height")
MORE = ("fitting", "loss", "water", "salinity")
#: Units of bare numbers.
UNITS = {
    "volume": "L", "branch": "L/h", "lift": "m", "length": "m", "pressure-limit": "kPa",
    "joint-height": "m", "water": "C", "salinity": "PSU",
}  # fmt: skip


class WishUnreadable(UsageProblem):
    """A figure of the wish can't be read, or some are ``missing``."""

    code = "E-RIG-WISH"

    def __init__(self, problem: BrinebookError) -> None:
        said = problem.message.replace("--", "")
        super().__init__(said, say("Write a number with its unit, such as “300 L” or “1.35 m”."))
        self.missing: tuple[str, ...] = getattr(problem, "options", ())


@dataclass(frozen=True, slots=True)
class WishField:
    """One figure of the wish."""

    name: str
    meaning: str
    value: str
    unit: str
    stands_in: str
    needed: bool


@dataclass(frozen=True, slots=True)
class Sized:
    """The answer: what to look for, in sentences; every size in a line; the cautions."""

    told: tuple[str, ...]
    sizes: tuple[str, ...]
    assumed: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]


def wish_sum() -> Sum:
    """The sum that answers a wish."""
    return CHOICE_SUMS["size"]


def wish_fields(asked: RigAsked | None, typed: Mapping[str, str]) -> tuple[WishField, ...]:
    """The form: what was typed, else what the described rig says."""
    given = {} if asked is None else wish_of(asked)
    return tuple(
        WishField(
            one.name, one.meaning, typed.get(one.name, given.get(one.name, "")),
            UNITS.get(one.name, ""), one.default or "", one.needed,
        )
        for one in sorted(wish_sum().inputs, key=_order)
    )  # fmt: skip


def wish_of(asked: RigAsked) -> dict[str, str]:
    """The described rig as a wish: its volume, lift, riser, branches and weakest joint."""
    rig = asked.rig
    found = {"volume": f"{asked.litres:.0f}"}
    lift = _lift(rig)
    if lift is not None:
        found["lift"] = f"{lift:.2f}"
    risers = [pipe for pipe in rig.pipes if pipe.end == _display(rig)]
    if risers:
        found["length"] = f"{sum(pipe.length for pipe in risers):g}"
        counts = [f"{name}={count}" for name, count in risers[0].fittings.items()]
        found["fitting"] = "; ".join(counts)
    wanted = [device.wanted_flow for device in rig.devices if device.wanted_flow is not None]
    found["branch"] = "; ".join(f"{(low + high) / 2:g}" for low, high in wanted)
    limits = [one.pressure_limit for one in rig.devices if one.pressure_limit is not None]
    if limits:
        found["pressure-limit"] = f"{min(limits):g}"
    return {name: text for name, text in found.items() if text}


def sized(typed: Mapping[str, str]) -> Sized:
    """The answer to a wish. Raises InputMissing, AmountUnreadable"""
    try:
        answered = reckon(wish_sum(), _given(typed))
    except BrinebookError as problem:
        raise WishUnreadable(problem) from None
    sizes = tuple(one for one in answered.notes if ": " in one and "m/s" in one)
    said = tuple(one for one in answered.notes if one not in sizes)
    return Sized(
        (*_told(answered.figures), *said),
        sizes,
        tuple(answered.assumed.items()),
        cautions_for("size"),
    )


def _given(typed: Mapping[str, str]) -> dict[str, Any]:
    several = {one.name for one in wish_sum().inputs if one.several}
    given: dict[str, Any] = {}
    for name, text in typed.items():
        parts = [with_unit(part, UNITS.get(name, "")) for part in text.split(";") if part.strip()]
        given[name] = parts if name in several else parts[0] if parts else ""
    return given


def _told(figures: Mapping[str, Figure | None]) -> list[str]:
    found = {name: one.value for name, one in figures.items() if one is not None}
    if "head" not in found:
        return [
            say(
                "The pump would have to move {flow} L/h in all.", flow=number_text(found["flow"], 0)
            )
        ]
    told = [
        say(
            "The pump has to move {flow} L/h in all, against {head} m.",
            flow=number_text(found["flow"], 0),
            head=number_text(found["head"], 2),
        ),
        say(
            "A pipe of {bore} mm inside is the smallest that stays quiet: {speed} m/s.",
            bore=number_text(1000 * found["bore"], 1),
            speed=number_text(found["speed"], 2),
        ),
        say(
            "Look for a pump whose curve passes through that point, about "
            "{shut_off_head} m without flow and {free_flow} L/h without height; "
            "{power_in_the_water} W of what it draws move the water.",
            shut_off_head=number_text(found["shut_off_head"], 1),
            free_flow=number_text(found["free_flow"], -2),
            power_in_the_water=number_text(found["power_in_the_water"], 0),
        ),
        say(
            "The weakest joint of the branches gets {joint_pressure} kPa while "
            "everything runs, {joint_pressure_shut} kPa when a valve behind it shuts.",
            joint_pressure=number_text(found["joint_pressure"], 1),
            joint_pressure_shut=number_text(found["joint_pressure_shut"], 1),
        ),
    ]
    for name in figures:
        if name.endswith("_valve_adds"):
            branch = name.removesuffix("_valve_adds")
            told.append(_valve(branch.replace("_", " "), found.get(f"{branch}_gate_opening")))
    return told


def _valve(branch: str, opening: float | None) -> str:
    if opening is None:
        return say(
            "Branch {branch}: hardly a valve does that; take it thinner.",
            branch=branch.removeprefix("branch "),
        )
    return say(
        "Branch {branch}: a gate valve before it, about {opening} % open in a line of 13 mm.",
        branch=branch.removeprefix("branch "),
        opening=number_text(opening, 0),
    )


def _order(one: Input) -> int:
    names = (*WISHED, *MORE)
    return names.index(one.name) if one.name in names else len(names)


def _display(rig: Rig) -> str:
    display = rig.vessel("display")
    return "" if display is None else display.name


def _lift(rig: Rig) -> float | None:
    display, sump, section = rig.vessel("display"), rig.vessel("sump"), return_section(rig)
    if rig.lift is not None:
        return rig.lift
    if display is None or sump is None or display.water is None or section is None:
        return None
    return display.floor + display.water - sump.floor - section.depth
