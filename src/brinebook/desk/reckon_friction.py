"""Sums of single relations: a friction factor, a sudden widening, how far a siphon lifts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import Input, Reckoned, Sum
from brinebook.desk.reckon_heat import figure, listed
from brinebook.lifesupport.fluid import seawater
from brinebook.lifesupport.friction import (
    TURBULENT_FROM,
    friction_colebrook_1939,
    friction_factor,
    friction_haaland_1983,
    friction_laminar,
    friction_swamee_jain_1976,
    regime,
)
from brinebook.lifesupport.openings import siphon_limit
from brinebook.lifesupport.resistances import sudden_expansion
from brinebook.plan import Figure
from brinebook.texts import say


def _friction(given: Mapping[str, Any]) -> Reckoned:
    reynolds, rough = given["reynolds"], given["relative-roughness"]
    turbulent = reynolds >= TURBULENT_FROM

    def told(name: str, value: float) -> Figure | None:
        return Figure(name, value, "") if turbulent else None

    kind = regime(reynolds)
    return Reckoned(
        {
            "friction_factor": Figure("friction_factor", friction_factor(reynolds, rough)[0], ""),
            "laminar": None if turbulent else Figure("laminar", friction_laminar(reynolds), ""),
            "colebrook": told("colebrook", friction_colebrook_1939(reynolds, rough)),
            "haaland": told("haaland", friction_haaland_1983(reynolds, rough)),
            "swamee_jain": told("swamee_jain", friction_swamee_jain_1976(reynolds, rough)),
        },
        notes=(
            say(
                "Between laminar and turbulent a flow may be of either kind: the "
                "factor is agreed on."
            )
            if kind == "transition"
            else say("The flow is {kind}.", kind=kind),
        ),
    )


def _widening(given: Mapping[str, Any]) -> Reckoned:
    small, large = min(given["small"], given["large"]), max(given["small"], given["large"])
    return Reckoned(
        listed(Figure("loss_coefficient", sudden_expansion(small, large), "")),
        notes=(say("At the speed in the narrow pipe."),),
    )


def _siphon(given: Mapping[str, Any]) -> Reckoned:
    fluid = seawater(given["salinity"], given["water"])
    lifts = siphon_limit(fluid)
    return Reckoned(
        {
            "highest": figure("highest", lifts, "m"),
            "pressure_a_metre": figure("pressure_a_metre", fluid.pressure(1.0), "kPa"),
            "density": figure("density", fluid.density, "kg/m3"),
        },
        notes=(say("Air comes out of the water long before: half of that is a good deal."),),
    )


FRICTION_SUMS: Mapping[str, Sum] = {
    "friction": Sum(
        "Darcy's friction factor of a pipe, by several relations",
        (
            Input("reynolds", "number", "Reynolds number of the flow", needed=True, low=1,
                  high=1e9),
            Input("relative-roughness", "number", "roughness over bore", "0", high=0.05),
        ), _friction, "--reynolds 50000",
    ),
    "widening": Sum(
        "resistance of a sudden widening",
        (
            Input("small", "length", "inside diameter before it", needed=True, low=1e-4, high=2),
            Input("large", "length", "inside diameter behind it", needed=True, low=1e-4, high=2),
        ), _widening, '--small "20 mm" --large "40 mm"',
    ),
    "siphon": Sum(
        "how far a siphon lifts, and what a metre of water weighs on",
        (
            Input("salinity", "salinity", "of the water", "35 PSU"),
            Input("water", "temperature", "its temperature", "25 C", low=0, high=45),
        ), _siphon, "",
    ),
}  # fmt: skip
