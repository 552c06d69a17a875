"""Water over an edge: how high it stands there for a flow, and the other way round.

Heads and lengths in m, flows in m3/s.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from brinebook.lifesupport.fluid import GRAVITY

#: Below this head surface tension counts and no weir formula was measured.
#: Source: usbr2001 (chapter 7), iso1980
LEAST_HEAD = 0.03
#: How far the flow over a small home weir may lie from the formula: common practice, no source.
WEIR_SPREAD = 0.20


def weir_francis_1868(length: float, head: float) -> float:
    """Flow over a straight edge with its ends free of contraction: 1.84 b h^1.5.

    Range of the experiments: heads of 0.18 to 0.5 m, length over three times the head; used far
    below that for want of better, and then 10 to 20 % off.
    Source: francis1868
    """
    return 1.84 * length * math.pow(max(head, 0.0), 1.5)


def weir_kindsvater_carter_1957(length: float, head: float, below: float) -> float:
    """Flow over a straight edge as wide as its channel, ``below`` the water under the edge.

    Range h above 0.03 m, h/P up to 2, P above 0.1 m.
    Source: kindsvater1957
    """
    coefficient = 0.602 + 0.075 * head / below
    return (
        2 / 3 * math.sqrt(2 * GRAVITY) * coefficient * (length - 0.001)
        * math.pow(max(head, 0.0) + 0.001, 1.5)
    )  # fmt: skip


def weir_rehbock_1929(length: float, head: float, below: float) -> float:
    """Flow over a straight edge as wide as its channel, ``below`` the water under the edge.

    Range h 0.03 to 0.75 m, P above 0.3 m, h/P up to 1.
    Source: rehbock1929
    """
    coefficient = 0.602 + 0.0832 * head / below
    return (
        2 / 3 * math.sqrt(2 * GRAVITY) * coefficient * length
        * math.pow(max(head, 0.0) + 0.00125, 1.5)
    )  # fmt: skip


def weir_ackers_1978(length: float, head: float, below: float) -> float:
    """Flow over a straight edge as wide as its channel, ``below`` the water under the edge.

    Range h above 0.02 m, P above 0.15 m, h/P up to 2.2.
    Source: ackers1978
    """
    return (
        0.564 * (1 + 0.150 * head / below) * length * math.sqrt(GRAVITY)
        * math.pow(max(head, 0.0) + 0.001, 1.5)
    )  # fmt: skip


def notch_iso_1980(angle: float, head: float) -> float:
    """Flow through a V-notch of so many degrees with coefficient 0.578.

    Range h above 0.05 m, 20 to 100 degrees.
    Source: iso1980
    """
    half = math.tan(math.radians(angle) / 2)
    return 8 / 15 * 0.578 * half * math.sqrt(2 * GRAVITY) * math.pow(max(head, 0.0), 2.5)


def toothed_weir_flow(
    length: float, head: float, *, open_share: float = 1.0, tooth_height: float | None = None
) -> float:
    """Flow over an edge of which only a share is open, up to the height of its teeth.

    Above the teeth, where their height is known, the rest of the edge runs too.
    """
    flow = weir_francis_1868(length * open_share, head)
    if tooth_height is not None and head > tooth_height:
        flow += weir_francis_1868(length * (1.0 - open_share), head - tooth_height)
    return flow


def weir_head(
    flow: float, length: float, *, open_share: float = 1.0, tooth_height: float | None = None
) -> float:
    """Height of the water over the edge at a flow; the other way round of the above."""
    if flow <= 0:
        return 0.0
    plain = float((flow / (1.84 * length * open_share)) ** (2 / 3))
    if tooth_height is None or plain <= tooth_height:
        return plain

    def over(head: float) -> float:
        return toothed_weir_flow(length, head, open_share=open_share, tooth_height=tooth_height)

    return where(over, flow, tooth_height, plain)


def where(function: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """Where a rising function reaches a value between two ends, by halving to the last digits."""
    for _ in range(100):
        middle = 0.5 * (low + high)
        if function(middle) < wanted:
            low = middle
        else:
            high = middle
        if high - low <= 1e-15 * abs(high):
            break
    return 0.5 * (low + high)
