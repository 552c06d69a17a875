"""From a wish to pump, pipe and valve: by their curves, never by a brand.

Flows in L/h, lengths and heads in m, pressures in kPa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.lifesupport.fluid import GRAVITY, Fluid
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.loop import LITRES_AN_HOUR
from brinebook.lifesupport.network import link_loss
from brinebook.lifesupport.resistances import fittings_coefficient, valve_opening

#: Nominal size and inside diameter in m. Schedule 40 by its average inside diameter, ½ to 2 inches.
#: Source: astm2021 (table 1)
SCHEDULE_40 = (
    ("½ in", 0.602 * 0.0254), ("¾ in", 0.804 * 0.0254), ("1 in", 1.029 * 0.0254),
    ("1¼ in", 1.360 * 0.0254), ("1½ in", 1.590 * 0.0254), ("2 in", 2.047 * 0.0254),
)  # fmt: skip
#: Pressure pipe PN 16 by outside diameter. Source: en2009 (table 2)
METRIC_PN16 = (
    ("20 mm", 0.0170), ("25 mm", 0.0212), ("32 mm", 0.0272), ("40 mm", 0.0340), ("50 mm", 0.0426),
    ("63 mm", 0.0536),
)  # fmt: skip

#: A velocity above which a home return line grows loud: common practice, no source.
LOUD_ABOVE = 1.5
#: Where on its curve a pump works well: this share of the flow at no head. Common practice, no
#: source.
WORKS_AT = 0.6


@dataclass(frozen=True, slots=True)
class Wish:
    """What the keeper wants: turnover an hour of so many litres, branches, and the way up."""

    turnover: float
    litres: float
    branches: tuple[tuple[str, float], ...]  # name and flow
    lift: float
    length: float
    fittings: dict[str, int]
    loss: float = 0.0
    branch_height: float = 0.5  # of the branches' weakest joint above the sump's water
    pressure_limit: float | None = None

    @property
    def to_display(self) -> float:
        """Flow to the display."""
        return self.turnover * self.litres

    @property
    def whole(self) -> float:
        """What the pump has to move."""
        return self.to_display + sum(flow for _, flow in self.branches)


@dataclass(frozen=True, slots=True)
class PipeChoice:
    """One size of riser: the speed in it, the head that the pump needs, the curve to look for."""

    size: str
    bore: float
    speed: float
    friction: float
    head: float  # at the whole flow
    shut_off_head: float  # of a curve that works there at 60 % of its flow at no head
    free_flow: float
    hydraulic_power: float  # W in the water
    joint_pressure: float  # kPa at the branches' joint while everything runs, no valve before it
    shut_pressure: float  # kPa there when a valve behind it shuts
    within_limit: bool | None  # of the first; None: no limit was told
    shut_within_limit: bool | None
    is_loud: bool
    valves: tuple[tuple[str, float, float | None], ...]  # branch, K to add, opening of a gate valve


def sizes(
    wish: Wish, fluid: Fluid, *, pipes: tuple[tuple[str, float], ...] = METRIC_PN16
) -> tuple[PipeChoice, ...]:
    """Every size of riser, smallest first.

    The head is the lift with the friction of the riser at the whole flow: the branches leave near
    the pump in most rigs, so this is a little more than needed.
    """
    return tuple(_choice(wish, fluid, size, bore) for size, bore in pipes)


def plainest(choices: tuple[PipeChoice, ...]) -> PipeChoice | None:
    """The smallest size that isn't loud; a valve before each branch takes care of the pressure."""
    return next((one for one in choices if not one.is_loud), None)


def _choice(wish: Wish, fluid: Fluid, size: str, bore: float) -> PipeChoice:
    loss = wish.loss + fittings_coefficient(wish.fittings, bore)
    run = Run("riser", "pump", "display", bore, wish.length, loss=loss)
    flow = wish.whole / LITRES_AN_HOUR
    friction = link_loss(run, flow, fluid)
    head = wish.lift + friction
    shut_off = head / (1.0 - WORKS_AT**2)
    joint = fluid.pressure(head - wish.branch_height)
    shut = fluid.pressure(shut_off - wish.branch_height)
    limit = wish.pressure_limit
    return PipeChoice(
        size, bore, flow / run.area, friction, head, shut_off, wish.whole / WORKS_AT,
        fluid.density * GRAVITY * head * flow, joint, shut,
        None if limit is None else joint <= limit, None if limit is None else shut <= limit,
        flow / run.area > LOUD_ABOVE,
        tuple(_valve(name, wanted, head, fluid, wish) for name, wanted in wish.branches),
    )  # fmt: skip


def _valve(
    name: str, wanted: float, head: float, fluid: Fluid, wish: Wish
) -> tuple[str, float, float | None]:
    """What a valve before a branch of 16 mm adds, so that just this flow comes with that head.

    With a limit the valve takes all but half of it at the height of the joint.
    """
    bore = 0.0127
    speed = wanted / LITRES_AN_HOUR / (math.pi * bore**2 / 4)
    left = 0.0
    if wish.pressure_limit is not None:
        left = min(head, wish.branch_height + 0.5 * fluid.head(wish.pressure_limit))
    coefficient = (head - left) * 2 * GRAVITY / speed**2
    return name, coefficient, valve_opening("gate", coefficient)
