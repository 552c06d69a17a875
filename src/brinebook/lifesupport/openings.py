"""Water through holes and down pipes by its own weight. Heads and bores in m, flows in m3/s."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.lifesupport.fluid import GRAVITY, USUAL_SEA, Fluid
from brinebook.lifesupport.friction import Law, friction_factor
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.network import Network, link_loss, solve

#: Coefficient of a sharp-edged hole.
SHARP_HOLE = 0.61
#: What a drain carries that draws air down its middle, over what it carries full: common practice,
#: no source; a half as much and half as much again are as believable.
AIR_CORE_SHARE = 0.25
AIR_CORE_LOW, AIR_CORE_HIGH = 0.15, 0.40

_ATMOSPHERE, _VAPOUR = 101_325.0, 3_169.0


@dataclass(frozen=True, slots=True)
class Fall:
    """A pipe down which water falls: what it carries full, how fast, and where the head goes."""

    flow: float
    speed: float
    reynolds: float
    friction_share: float  # of the head that goes to the straight pipe


def hole_flow_torricelli_1644(bore: float, head: float, coefficient: float = SHARP_HOLE) -> float:
    """Flow out of a hole of this bore under a head: Cd A √(2gh).

    Source: torricelli1644
    """
    return coefficient * math.pi * bore**2 / 4 * math.sqrt(2 * GRAVITY * max(head, 0.0))


def full_pipe_flow(
    head: float,
    *,
    bore: float,
    length: float,
    loss: float,
    roughness: float = 1.5e-6,
    fluid: Fluid = USUAL_SEA,
    law: Law = "colebrook",
) -> Fall:
    """What a pipe full of water carries between two levels: v²/2g (ΣK + f L/D) = H.

    ``loss`` sums the coefficients of entrance, fittings, valve and exit.
    Source: crane1988
    """
    run = Run("pipe", "above", "below", bore, length, roughness, loss)
    if head <= 0 or math.isinf(loss):
        return Fall(0.0, 0.0, 0.0, 0.0)
    network = Network((run,), heads={"above": head, "below": 0.0})
    flow = solve(network, fluid, law=law).flows["pipe"]
    speed = flow / run.area
    reynolds = speed * bore / fluid.viscosity
    friction = friction_factor(reynolds, roughness / bore, law)[0] * length / bore
    return Fall(flow, speed, reynolds, friction / (friction + loss) if friction + loss else 0.0)


def loss_for_flow(flow: float, head: float, run: Run, fluid: Fluid = USUAL_SEA) -> float | None:
    """What a valve has to add to K for exactly this flow; None where less passes even so."""
    speed_head = (flow / run.area) ** 2 / (2 * GRAVITY)
    left = head - link_loss(run, flow, fluid)
    return left / speed_head if left >= 0 else None


def siphon_limit(fluid: Fluid, *, air: float = _ATMOSPHERE, vapour: float = _VAPOUR) -> float:
    """How far water can be lifted by a siphon before it boils, m; pressures in Pa."""
    return (air - vapour) / (fluid.density * GRAVITY)
