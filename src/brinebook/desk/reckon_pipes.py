"""Sums of pipes, pumps, valves, drains, beds and thin lines."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum, amount
from brinebook.desk.reckon_heat import figure, listed
from brinebook.lifesupport.beds import bed_flow
from brinebook.lifesupport.fluid import GRAVITY, Fluid, seawater
from brinebook.lifesupport.friction import friction_factor, loss_hazen_williams, regime
from brinebook.lifesupport.lines import siphon_line
from brinebook.lifesupport.links import Lifter, Run
from brinebook.lifesupport.network import Network, link_loss, solve
from brinebook.lifesupport.openings import (
    AIR_CORE_HIGH,
    AIR_CORE_LOW,
    AIR_CORE_SHARE,
    full_pipe_flow,
    loss_for_flow,
)
from brinebook.lifesupport.pump_curve import Curve
from brinebook.lifesupport.resistances import (
    KV_OF_CV,
    coefficient_from_kv_iec_2011,
    fittings_coefficient,
    valve_coefficient,
    valve_opening,
)
from brinebook.lifesupport.sizing import METRIC_PN16, PipeChoice, Wish, plainest, sizes
from brinebook.plan import Figure
from brinebook.rig import Bed, Valve
from brinebook.rig.water_side import FITTINGS, VALVES
from brinebook.texts import say

_AN_HOUR = 3.6e6
_SALINITY = Input("salinity", "salinity", "of the water", "35 PSU")
_WATER = Input("water", "temperature", "its temperature", "25 C", low=0, high=45)
_BORE = Input("bore", "length", "inside diameter", needed=True, low=1e-4, high=2)
_LENGTH = Input("length", "length", "of the pipe", needed=True, high=1e4)
_ROUGH = Input("roughness", "length", "of its inside", "0.0015 mm", high=0.01)
_LOSS = Input("loss", "number", "resistance coefficients, summed", "0", high=1e7)
_FITTING = Input(
    "fitting", "number", f"such as elbow_90=3; known are {', '.join(FITTINGS)}", several=True
)
_FLOW = Input("flow", "flow", "through it", needed=True, high=1e7)
_IN_PIPE = (_ROUGH, _LOSS, _FITTING, _SALINITY, _WATER)


def _fluid(given: Mapping[str, Any]) -> Fluid:
    fluid = seawater(given["salinity"], given["water"])
    viscosity = given.get("viscosity")
    return fluid if viscosity is None else replace(fluid, viscosity=viscosity)


def _named(given: Mapping[str, Any], option: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in given[option]:
        name, sign, rest = str(text).partition("=")
        if name.strip() not in FITTINGS:
            raise AmountUnreadable(
                option, text, say("is none of {fittings}", fittings=", ".join(FITTINGS))
            )
        found[name.strip()] = amount(rest, "number", option=option) if sign else 1.0
    return found


def _coefficient(given: Mapping[str, Any]) -> float:
    fittings = {name: round(count) for name, count in _named(given, "fitting").items()}
    return float(given["loss"]) + fittings_coefficient(fittings, given["bore"])


def _pipe(given: Mapping[str, Any]) -> Reckoned:
    fluid, bore, flow = _fluid(given), given["bore"], given["flow"] / _AN_HOUR
    run = Run("pipe", "a", "b", bore, given["length"], given["roughness"], _coefficient(given))
    speed = flow / run.area
    reynolds = speed * bore / fluid.viscosity
    loss = link_loss(run, flow, fluid)
    factor = friction_factor(reynolds, run.roughness / bore)[0] if reynolds > 0 else None
    kind = regime(reynolds)
    note = (
        say("Between laminar and turbulent a flow may be of either kind: the loss is a convention.")
        if kind == "transition"
        else say("The flow is {kind}.", kind=kind)
    )
    by_rule = None
    if given["hazen-williams"]:
        by_rule = loss_hazen_williams(
            flow, bore, run.length, smoothness=given["hazen-williams"]
        ) + run.loss * speed**2 / (2.0 * GRAVITY)
    return Reckoned(
        {
            **listed(
                Figure("speed", speed, "m/s"),
                Figure("reynolds", reynolds, ""),
                Figure("loss_coefficient", run.loss, ""),
                Figure("head_loss", loss, "m"),
                Figure("head_loss_a_metre", loss / run.length if run.length else 0.0, "m/m"),
                Figure("pressure_loss", fluid.pressure(loss), "kPa"),
                Figure("head_loss_by_swamee_jain",
                       link_loss(run, flow, fluid, "swamee-jain"), "m"),
            ),
            "friction_factor": figure("friction_factor", factor, ""),
            **(
                {}
                if by_rule is None
                else listed(Figure("head_loss_by_hazen_williams", by_rule, "m"))
            ),
        },
        notes=(note,),
    )  # fmt: skip


def _drain(given: Mapping[str, Any]) -> Reckoned:
    fluid, bore = _fluid(given), given["bore"]
    loss = _coefficient(given)
    found = full_pipe_flow(
        given["head"], bore=bore, length=given["length"], loss=loss,
        roughness=given["roughness"], fluid=fluid,
    )  # fmt: skip
    full = found.flow * _AN_HOUR
    added = None
    if given["flow"]:
        run = Run("drain", "a", "b", bore, given["length"], given["roughness"], loss)
        added = loss_for_flow(given["flow"] / _AN_HOUR, given["head"], run, fluid)
    return Reckoned(
        {
            "full": Figure("full", full, "L/h", 0.85 * full, 1.15 * full),
            "speed": Figure("speed", found.speed, "m/s"),
            "trickle": Figure(
                "trickle", AIR_CORE_SHARE * full, "L/h", AIR_CORE_LOW * full, AIR_CORE_HIGH * full
            ),
            "valve_adds": figure("valve_adds", added, ""),
            "gate_opening": figure(
                "gate_opening",
                None if added is None else 100 * (valve_opening("gate", added) or 1.0),
                "%",
            ),
        },
        notes=(
            say("A drain that draws air carries about a quarter (common practice, no source)."),
        ),
        cautions=("flood", "glass"),
    )


def _working_point(given: Mapping[str, Any]) -> Reckoned:
    fluid = _fluid(given)
    if given["point"]:
        points = sorted(_point(text) for text in given["point"])
        curve = Curve(points[0][1], points[-1][0], tuple(points))
    elif given["shut-off-head"] and given["free-flow"]:
        curve = Curve(given["shut-off-head"], given["free-flow"] / _AN_HOUR)
    else:
        raise AmountUnreadable(
            "shut-off-head", "", say("and --free-flow, or several --point, say how the pump works")
        )
    run = Run("riser", "pump", "above", given["bore"], given["length"], given["roughness"],
              _coefficient(given))  # fmt: skip
    network = Network((run,), (Lifter("p", "below", "pump", curve),),
                      {"below": 0.0, "above": given["lift"]})  # fmt: skip
    flow = solve(network, fluid).flows["p"]
    return Reckoned(
        listed(
            Figure("flow", flow * _AN_HOUR, "L/h"),
            Figure("head", curve.head(flow)[0], "m"),
            Figure("friction", link_loss(run, flow, fluid), "m"),
            Figure("speed", flow / run.area, "m/s"),
            Figure("share_of_label", 100 * flow / curve.free, "%"),
        ),
        notes=() if flow > 0 else (say("The pump can't lift the water so far: nothing flows."),),
        cautions=("mains",),
    )


def _point(text: str) -> tuple[float, float]:
    flow, sign, head = str(text).partition("=")
    if not sign:
        raise AmountUnreadable(
            "point", text, say("is no flow with its head, such as “2000 L/h=2.6 m”")
        )
    return (
        amount(flow, "flow", option="point") / _AN_HOUR,
        amount(head, "length", option="point"),
    )


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
    found = bed_flow(given["flow"] / _AN_HOUR, given["bore"], bed, _fluid(given))
    area = math.pi * given["bore"] ** 2 / 4
    return Reckoned(
        {
            **listed(
                Figure("face_velocity", found.face_velocity, "m/s"),
                Figure("lifts_from", found.lifts_at * area * _AN_HOUR, "L/h"),
                Figure("carried_out_from", found.settles_at * area * _AN_HOUR, "L/h"),
                Figure("pressure", found.pressure, "kPa"),
            ),
            "depth": figure("depth", found.depth, "m"),
        },
        notes=(say("The bed is {state}.", state=found.state),),
    )


def _line(given: Mapping[str, Any]) -> Reckoned:
    flow = siphon_line(given["head"], bore=given["bore"], length=given["length"])
    return Reckoned(listed(Figure("flow", flow, "L/h")), notes=(say("Of thin, watery liquids."),))


def _size(given: Mapping[str, Any]) -> Reckoned:
    branches = tuple(
        (say("branch {at}", at=at), amount(text, "flow", option="branch"))
        for at, text in enumerate(given["branch"], start=1)
    )
    fittings = {name: round(count) for name, count in _named(given, "fitting").items()}
    wish = Wish(
        given["turnover"], given["volume"], branches, given["lift"], given["length"], fittings,
        given["loss"], given["joint-height"], given["pressure-limit"],
    )  # fmt: skip
    choices = sizes(wish, _fluid(given), pipes=METRIC_PN16)
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


PIPE_SUMS: Mapping[str, Sum] = {
    "pipe": Sum(
        "head that a pipe loses at a flow",
        (
            _FLOW, _BORE, _LENGTH, *_IN_PIPE,
            Input("viscosity", "viscosity", "kinematic, where it isn't that of seawater",
                  low=1e-8, high=1e-3),
            Input("hazen-williams", "number", "C of the pipe, for that rule beside Darcy's law: "
                  "plastic 140 to 150", low=1, high=500),
        ), _pipe,
        '--flow "2000 L/h" --bore "20.96 mm" --length "1 m" --fitting elbow_90=2',
    ),
    "working-point": Sum(
        "where a pump meets its pipe",
        (
            Input("shut-off-head", "length", "head at no flow", high=1000),
            Input("free-flow", "flow", "flow at no head", high=1e7),
            Input("point", "number", "of its curve: “2000 L/h=2.6 m”", several=True),
            Input("lift", "length", "from water to water", needed=True, high=1000),
            _BORE, _LENGTH, *_IN_PIPE,
        ), _working_point,
        '--shut-off-head "3.5 m" --free-flow "4000 L/h" --lift "1.35 m" --bore "20.96 mm" '
        '--length "2.2 m" --loss 4.66',
    ),
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
    "drain": Sum(
        "what a drain carries, full and while it draws air",
        (
            Input("head", "length", "from the water above to the water below", needed=True,
                  high=100),
            _BORE, _LENGTH,
            Input("flow", "flow", "to find the valve for", high=1e7), *_IN_PIPE,
        ), _drain, '--head "0.70 m" --bore "26.64 mm" --length "1 m" --loss 3.06',
    ),
    "bed": Sum(
        "how a bed of grains lies in a reactor at a flow",
        (
            _FLOW, _BORE,
            Input("depth", "length", "of the bed at rest", needed=True, high=5),
            Input("grain", "length", "diameter of a grain", "1 mm", low=1e-5, high=0.1),
            Input("density", "number", "of a wet grain, kg/L", "1.25", low=0.5, high=8),
            Input("void", "share", "water between grains at rest", "45 %", low=0.2, high=0.9),
            Input("roundness", "share", "surface of a ball over that of a grain", "80 %",
                  low=0.2, high=1),
            _SALINITY, _WATER,
        ), _bed, '--flow "60 L/h" --bore "90 mm" --depth "15 cm"',
    ),
    "line": Sum(
        "what runs by itself through a thin line under a height",
        (
            Input("head", "length", "of the liquid over the end of the line", needed=True,
                  high=100),
            _BORE, _LENGTH,
        ), _line, '--head "30 cm" --bore "4 mm" --length "2 m"',
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
            _LOSS, _FITTING, _SALINITY, _WATER,
        ), _size,
        '--turnover 5 --volume "300 L" --branch "150 L/h" --branch "150 L/h" --lift "1.35 m" '
        '--length "2.2 m" --fitting elbow_90=4 --pressure-limit "10 kPa"',
    ),
}  # fmt: skip
