"""Sums of pipes, pumps, drains and thin lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum, amount
from brinebook.desk.reckon_heat import figure, listed
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
from brinebook.lifesupport.resistances import fittings_coefficient, valve_opening
from brinebook.plan import Figure
from brinebook.rig.water_side import FITTINGS
from brinebook.texts import say

AN_HOUR = 3.6e6
SALINITY = Input("salinity", "salinity", "of the water", "35 PSU")
WATER = Input("water", "temperature", "its temperature", "25 C", low=0, high=45)
BORE = Input("bore", "length", "inside diameter", needed=True, low=1e-4, high=2)
_LENGTH = Input("length", "length", "of the pipe", needed=True, high=1e4)
_ROUGH = Input("roughness", "length", "of its inside", "0.0015 mm", high=0.01)
LOSS = Input("loss", "number", "resistance coefficients, summed", "0", high=1e7)
FITTING = Input(
    "fitting", "number", f"such as elbow_90=3; known are {', '.join(FITTINGS)}", several=True
)
FLOW = Input("flow", "flow", "through it", needed=True, high=1e7)
_IN_PIPE = (_ROUGH, LOSS, FITTING, SALINITY, WATER)

#: Roughness over bore up to which Colebrook's relation holds.
ROUGHEST = 0.05


def fluid_of(given: Mapping[str, Any]) -> Fluid:
    """The water as typed."""
    fluid = seawater(given["salinity"], given["water"])
    viscosity = given.get("viscosity")
    return fluid if viscosity is None else replace(fluid, viscosity=viscosity)


def fittings_of(given: Mapping[str, Any], option: str) -> dict[str, int]:
    """How many of each fitting; raises AmountUnreadable."""
    found: dict[str, int] = {}
    for text in given[option]:
        name, sign, rest = str(text).partition("=")
        if name.strip() not in FITTINGS:
            raise AmountUnreadable(
                option, text, say("is none of {fittings}", fittings=", ".join(FITTINGS))
            )
        count = amount(rest, "number", option=option) if sign else 1.0
        if count != round(count):
            raise AmountUnreadable(option, text, say("is no whole number of them"))
        found[name.strip()] = round(count)
    return found


def _coefficient(given: Mapping[str, Any]) -> float:
    return float(given["loss"]) + fittings_coefficient(fittings_of(given, "fitting"), given["bore"])


def _pipe(given: Mapping[str, Any]) -> Reckoned:
    fluid, bore, flow = fluid_of(given), given["bore"], given["flow"] / AN_HOUR
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
    notes = [note]
    if run.roughness > ROUGHEST * run.bore:
        notes.append(
            say("So rough a wall for so narrow a pipe is past what the friction was measured at.")
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
        notes=tuple(notes),
    )  # fmt: skip


def _drain(given: Mapping[str, Any]) -> Reckoned:
    fluid, bore = fluid_of(given), given["bore"]
    loss = _coefficient(given)
    found = full_pipe_flow(
        given["head"], bore=bore, length=given["length"], loss=loss,
        roughness=given["roughness"], fluid=fluid,
    )  # fmt: skip
    full = found.flow * AN_HOUR
    added = None
    if given["flow"]:
        run = Run("drain", "a", "b", bore, given["length"], given["roughness"], loss)
        added = loss_for_flow(given["flow"] / AN_HOUR, given["head"], run, fluid)
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
    fluid = fluid_of(given)
    if given["point"]:
        curve = _curve(given["point"])
    elif given["shut-off-head"] and given["free-flow"]:
        curve = Curve(given["shut-off-head"], given["free-flow"] / AN_HOUR)
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
            Figure("flow", flow * AN_HOUR, "L/h"),
            Figure("head", curve.head(flow)[0], "m"),
            Figure("friction", link_loss(run, flow, fluid), "m"),
            Figure("speed", flow / run.area, "m/s"),
            Figure("share_of_label", 100 * flow / curve.free, "%"),
        ),
        notes=() if flow > 0 else (say("The pump can't lift the water so far: nothing flows."),),
        cautions=("mains",),
    )


def _curve(texts: Sequence[str]) -> Curve:
    """A curve by its points, which falls as pumps do; raises AmountUnreadable."""
    points = sorted(_point(text) for text in texts)
    if len(points) < 2:
        raise AmountUnreadable("point", texts[0], say("is one point; a curve has two and more"))
    for (flow, head), (more, lower) in pairwise(points):
        if more == flow or lower > head:
            raise AmountUnreadable(
                "point",
                texts[0],
                say(
                    "begins no pump's curve: the head doesn't fall from {flow:g} to {more:g} L/h",
                    flow=flow * AN_HOUR,
                    more=more * AN_HOUR,
                ),
            )
    return Curve(points[0][1], points[-1][0], tuple(points))


def _point(text: str) -> tuple[float, float]:
    flow, sign, head = str(text).partition("=")
    if not sign:
        raise AmountUnreadable(
            "point", text, say("is no flow with its head, such as “2000 L/h=2.6 m”")
        )
    return (
        amount(flow, "flow", option="point") / AN_HOUR,
        amount(head, "length", option="point"),
    )


def _line(given: Mapping[str, Any]) -> Reckoned:
    flow = siphon_line(given["head"], bore=given["bore"], length=given["length"])
    return Reckoned(listed(Figure("flow", flow, "L/h")), notes=(say("Of thin, watery liquids."),))


PIPE_SUMS: Mapping[str, Sum] = {
    "pipe": Sum(
        "head that a pipe loses at a flow",
        (
            FLOW, BORE, _LENGTH, *_IN_PIPE,
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
            BORE, _LENGTH, *_IN_PIPE,
        ), _working_point,
        '--shut-off-head "3.5 m" --free-flow "4000 L/h" --lift "1.35 m" --bore "20.96 mm" '
        '--length "2.2 m" --loss 4.66',
    ),
    "drain": Sum(
        "what a drain carries, full and while it draws air",
        (
            Input("head", "length", "from the water above to the water below", needed=True,
                  high=100),
            BORE, _LENGTH,
            Input("flow", "flow", "to find the valve for", high=1e7), *_IN_PIPE,
        ), _drain, '--head "0.70 m" --bore "26.64 mm" --length "1 m" --loss 3.06',
    ),
    "line": Sum(
        "what runs by itself through a thin line under a height",
        (
            Input("head", "length", "of the liquid over the end of the line", needed=True,
                  high=100),
            BORE, _LENGTH,
        ), _line, '--head "30 cm" --bore "4 mm" --length "2 m"',
    ),
}  # fmt: skip
