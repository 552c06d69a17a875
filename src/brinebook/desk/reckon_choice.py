"""Sums of what is chosen for a pipe: valves, beds of grains, and all of it for a wish."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum, amount
from brinebook.desk.reckon_heat import figure, listed
from brinebook.desk.reckon_pipes import (
    AN_HOUR,
    BORE,
    FITTING,
    FLOW,
    LOSS,
    SALINITY,
    WATER,
    fittings_of,
    fluid_of,
)
from brinebook.lifesupport.beds import bed_flow
from brinebook.lifesupport.resistances import (
    KV_OF_CV,
    coefficient_from_kv_iec_2011,
    valve_coefficient,
    valve_opening,
)
from brinebook.lifesupport.sizing import METRIC_PN16, PipeChoice, Wish, plainest, sizes
from brinebook.plan import Figure
from brinebook.rig import Bed, Valve
from brinebook.rig.water_side import VALVES
from brinebook.texts import say


def _valve(given: Mapping[str, Any]) -> Reckoned:
    figures: dict[str, Figure | None] = {}
    for kind in VALVES:
        loss = valve_coefficient(Valve(kind, given["opening"]), given["bore"])
        figures[kind] = None if math.isinf(loss) else Figure(kind, loss, "")
    if given["kv"]:
        by_kv = coefficient_from_kv_iec_2011(given["kv"], given["bore"])
        figures["by_kv"] = Figure("by_kv", by_kv, "")
    if given["cv"]:
        kv = KV_OF_CV * given["cv"]
        by_cv = coefficient_from_kv_iec_2011(kv, given["bore"])
        figures["kv"] = Figure("kv", kv, "m3/h")
        figures["by_cv"] = Figure("by_cv", by_cv, "")
    if given["loss"]:
        for kind in VALVES:
            opening = valve_opening(kind, given["loss"])
            figures[f"{kind}_opening"] = figure(
                f"{kind}_opening", None if opening is None else 100 * opening, "%"
            )
    return Reckoned(figures, notes=(say("Tables of valves differ by a third and more."),))


def _bed(given: Mapping[str, Any]) -> Reckoned:
    bed = Bed("grains", given["depth"], given["grain"], 1000 * given["density"], given["void"],
              given["roundness"])  # fmt: skip
    found = bed_flow(given["flow"] / AN_HOUR, given["bore"], bed, fluid_of(given))
    area = math.pi * given["bore"] ** 2 / 4
    return Reckoned(
        {
            **listed(
                Figure("face_velocity", found.face_velocity, "m/s"),
                Figure("lifts_from", found.lifts_at * area * AN_HOUR, "L/h"),
                Figure("carried_out_from", found.settles_at * area * AN_HOUR, "L/h"),
                Figure("pressure", found.pressure, "kPa"),
            ),
            "depth": figure("depth", found.depth, "m"),
        },
        notes=(say("The bed is {state}.", state=found.state),),
    )


def _size(given: Mapping[str, Any]) -> Reckoned:
    branches = tuple(
        (say("branch {at}", at=at), _branch(text)) for at, text in enumerate(given["branch"], 1)
    )
    fittings = fittings_of(given, "fitting")
    wish = Wish(
        given["turnover"], given["volume"], branches, given["lift"], given["length"], fittings,
        given["loss"], given["joint-height"], given["pressure-limit"],
    )  # fmt: skip
    choices = sizes(wish, fluid_of(given), pipes=METRIC_PN16)
    best = plainest(choices)
    notes = [
        say(
            "{size} (inside {bore:.1f} mm): {speed:.2f} m/s, {head:.2f} m at {whole:.0f} "
            "L/h; the joint gets {joint_pressure:.1f} kPa without a valve before it, "
            "{shut_pressure:.1f} with one behind it shut{loud}",
            size=one.size,
            bore=1000 * one.bore,
            speed=one.speed,
            head=one.head,
            whole=wish.whole,
            joint_pressure=one.joint_pressure,
            shut_pressure=one.shut_pressure,
            loud=say("; loud") if one.is_loud else "",
        )
        for one in choices
    ]
    if best is None:
        notes.append(say("Each of these is loud: ask for less, or for two lines."))
        return Reckoned(listed(Figure("flow", wish.whole, "L/h")), tuple(notes), ("mains", "glass"))
    if best.within_limit is False or best.shut_within_limit is False:
        notes.append(
            say(
                "Put a valve before each branch, never behind it: it takes the "
                "pump's pressure off the joint, down to half of its limit at the "
                "wanted flow."
            )
        )
    return Reckoned(_size_figures(wish, best), tuple(notes), ("mains", "glass"))


def _branch(text: str) -> float:
    flow = amount(text, "flow", option="branch")
    if flow == 0.0:
        raise AmountUnreadable("branch", text, say("is no flow: leave it out"))
    return flow


def _size_figures(wish: Wish, best: PipeChoice) -> dict[str, Figure | None]:
    figures = listed(
        Figure("flow", wish.whole, "L/h"),
        Figure("bore", best.bore, "m"),
        Figure("speed", best.speed, "m/s"),
        Figure("head", best.head, "m"),
        Figure("shut_off_head", best.shut_off_head, "m"),
        Figure("free_flow", best.free_flow, "L/h"),
        Figure("power_in_the_water", best.hydraulic_power, "W"),
        Figure("joint_pressure", best.joint_pressure, "kPa"),
        Figure("joint_pressure_shut", best.shut_pressure, "kPa"),
    )
    for name, loss, opening in best.valves:
        key = name.replace(" ", "_")
        figures[f"{key}_valve_adds"] = Figure(f"{key}_valve_adds", loss, "")
        if opening is not None:
            figures[f"{key}_gate_opening"] = Figure(f"{key}_gate_opening", 100 * opening, "%")
    return figures


CHOICE_SUMS: Mapping[str, Sum] = {
    "valve": Sum(
        "resistance of valves at an opening, and the opening for a resistance",
        (
            Input("opening", "share", "how far open", "100 %", low=0, high=1),
            Input("bore", "length", "inside diameter of the pipe", "20 mm", low=1e-4, high=2),
            Input("kv", "flow", "its Kv, such as 2.3 m3/h", high=1e9),
            Input("cv", "number", "its Cv, in US gallons a minute at 1 psi", high=1e9),
            Input("loss", "number", "a coefficient to find the opening for", high=1e9),
        ), lambda given: _valve({**given, "kv": given["kv"] and given["kv"] / 1000}),
        '--opening "50 %"',
    ),
    "bed": Sum(
        "how a bed of grains lies in a reactor at a flow",
        (
            FLOW, BORE,
            Input("depth", "length", "of the bed at rest", needed=True, high=5),
            Input("grain", "length", "diameter of a grain", "1 mm", low=1e-5, high=0.1),
            Input("density", "number", "of a wet grain, kg/L", "1.25", low=0.5, high=8),
            Input("void", "share", "water between grains at rest", "45 %", low=0.2, high=0.9),
            Input("roundness", "share", "surface of a ball over that of a grain", "80 %",
                  low=0.2, high=1),
            SALINITY, WATER,
        ), _bed, '--flow "60 L/h" --bore "90 mm" --depth "15 cm"',
    ),
    "size": Sum(
        "pump, pipe and valves for a wish",
        (
            Input("turnover", "number", "of the system an hour", needed=True, high=1000),
            Input("volume", "volume", "of the system", needed=True),
            Input("branch", "flow", "such as 150 L/h, once for each", several=True),
            Input("lift", "length", "from water to water", needed=True, high=100),
            Input("length", "length", "of the riser", needed=True, high=1000),
            Input("joint-height", "length", "of the branches' weakest joint above the sump's "
                  "water", "0.3 m", high=10),
            Input("pressure-limit", "pressure", "of that joint"),
            LOSS, FITTING, SALINITY, WATER,
        ), _size,
        '--turnover 5 --volume "300 L" --branch "150 L/h" --branch "150 L/h" --lift "1.35 m" '
        '--length "2.2 m" --fitting elbow_90=4 --pressure-limit "10 kPa"',
    ),
}  # fmt: skip
