"""A pump's head against its flow: by the points of its curve, or by its two ends."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from brinebook.rig.water_side import Pump

#: How far a pump as bought and as it ages may lie from its printed curve: common practice, no
#: source.
CURVE_SPREAD = 0.10


@dataclass(frozen=True, slots=True)
class Curve:
    """Head in m over flow in m3/s: points with straight lines between, or a parabola.

    With two figures (head at no flow, flow at no head) the curve is H0 (1 - (Q/Q0)²). Past the ends
    it goes on as it ended, so that a solver finds its way back.
    """

    shut_off: float
    free: float  # m3/s
    points: tuple[tuple[float, float], ...] = ()

    def head(self, flow: float) -> tuple[float, float]:
        """Head and its derivative by flow."""
        if not self.points:
            if flow <= 0:
                # A wheel that is pushed backwards resists; any steep line does for the solver.
                return self.shut_off - flow * self.shut_off / self.free, -self.shut_off / self.free
            ratio = flow / self.free
            return self.shut_off * (1 - ratio * ratio), -2 * self.shut_off * ratio / self.free
        flows = [one for one, _ in self.points]
        at = min(max(bisect_right(flows, flow), 1), len(flows) - 1)
        (left, high), (right, low) = self.points[at - 1], self.points[at]
        slope = min((low - high) / (right - left), -1e-3 * self.shut_off / self.free)
        return high + slope * (flow - left), slope

    def scaled(self, share: float) -> Curve:
        """The same pump with so much of its head."""
        points = tuple((flow, share * head) for flow, head in self.points)
        return Curve(share * self.shut_off, self.free, points)


def curve_of(pump: Pump) -> Curve | None:
    """The curve of a described pump; None where too little of it was said.

    Points are taken as they are, with the head at no flow added where only the ends were given too.
    """
    if len(pump.curve) >= 2:
        points = tuple((flow / 3.6e6, head) for flow, head in pump.curve)
        shut_off = pump.shut_off_head if pump.shut_off_head is not None else points[0][1]
        free = pump.free_flow / 3.6e6 if pump.free_flow is not None else points[-1][0]
        if points[0][0] > 0 and pump.shut_off_head is not None:
            points = ((0.0, pump.shut_off_head), *points)
        return Curve(shut_off, max(free, points[-1][0]), points)
    if pump.shut_off_head and pump.free_flow:
        return Curve(pump.shut_off_head, pump.free_flow / 3.6e6)
    return None
