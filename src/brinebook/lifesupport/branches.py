"""Links in a row as one branch, with its head loss; dead ends set aside.

Internal to the solver of `network`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from math import log
from typing import Any, NamedTuple

from brinebook.lifesupport.fluid import Fluid
from brinebook.lifesupport.friction import LAMINAR_UP_TO, TURBULENT_FROM, Law, friction_factor
from brinebook.lifesupport.links import Lifter, Link, Run
from brinebook.lifesupport.pump_curve import Curve

#: By node, the links that meet there.
Meeting = dict[str, list[Link]]

#: Tells from what is known and a flow in m3/s along the branch its head loss in m and that loss's
#: derivative. A pair and no closure, since the interpreter is quick with a function that it knows.
LossAt = Callable[[Any, float], tuple[float, float]]
Loss = tuple[LossAt, Any]

_TWO_OVER_LN10 = 2.0 / math.log(10.0)
_EIGHT_OVER_PI_SQUARED, _FOUR_OVER_PI = 8.0 / math.pi**2, 4.0 / math.pi
_LEAST_SLOPE = 1e-3
_USUAL_HEAD, _USUAL_FACTOR, _USUAL_INVERSE_ROOT = 0.3, 0.03, 6.0


class Branch(NamedTuple):
    """Links in a row from one node that others meet at, or that holds its head, to the next.

    A tuple, since some ten are made for every solution and a dataclass takes thrice as long.
    """

    begin: str
    end: str
    links: tuple[tuple[Link, bool], ...]  # each with whether it lies along the branch
    loss: Loss
    first_guess: float
    ease: float  # m3/s per m at that guess; 0 with a pump in it, which doesn't only resist


def branch(
    begin: str, end: str, links: Sequence[tuple[Link, bool]], fluid: Fluid, law: Law
) -> Branch:
    """The branch of these links, in their order."""
    only, along = links[0]
    if len(links) == 1 and isinstance(only, Run):
        loss, resistance = run_loss((only,), fluid, law)
        guess = math.sqrt(_USUAL_HEAD / resistance)
        size = guess if along else -guess
        return Branch(begin, end, tuple(links), loss, size, guess / _USUAL_HEAD)
    losses: list[tuple[Loss, int]] = []
    resistance = 0.0
    alike: dict[tuple[float, float], list[Run]] = {}
    for link, along in links:
        if isinstance(link, Lifter):
            losses.append(((_pump_loses, link.curve), 1 if along else -1))
            resistance += _USUAL_HEAD / (0.6 * link.curve.free) ** 2
        else:
            # Friction is the same whichever way the water goes.
            alike.setdefault((link.bore, link.roughness), []).append(link)
    for runs in alike.values():
        loss, resists = run_loss(runs, fluid, law)
        losses.append((loss, 1))
        resistance += resists
    # As if each branch had some head to itself, at a usual friction.
    guess = math.sqrt(_USUAL_HEAD / resistance)
    ease = guess / _USUAL_HEAD if len(losses) == len(alike) else 0.0
    whole = losses[0][0] if len(losses) == 1 and losses[0][1] == 1 else (_together, losses)
    return Branch(begin, end, tuple(links), whole, guess if links[0][1] else -guess, ease)


def _together(losses: Sequence[tuple[Loss, int]], flow: float) -> tuple[float, float]:
    """What several in a row lose, each along the branch (1) or against it (-1)."""
    whole = slopes = 0.0
    for (loss_at, known), sign in losses:
        lost, slope = loss_at(known, sign * flow)
        whole += sign * lost
        slopes += slope
    return whole, slopes


def _pump_loses(curve: Curve, flow: float) -> tuple[float, float]:
    """A pump's head, as a loss below nothing."""
    head, slope = curve.head(flow)
    return -head, (-slope if slope < -_LEAST_SLOPE else _LEAST_SLOPE)


def run_loss(runs: Sequence[Run], fluid: Fluid, law: Law) -> tuple[Loss, float]:
    """Head loss of runs of one bore and roughness in a row, odd in the flow; and its rough K.

    What never changes is worked out once.
    """
    bore = runs[0].bore
    wall, length, kept = runs[0].roughness / bore, 0.0, 0.0
    for run in runs:
        length += run.length
        kept += run.loss
    square = bore * bore
    velocity_head = _EIGHT_OVER_PI_SQUARED / (fluid.gravity * square * square)
    per_reynolds = _FOUR_OVER_PI / (bore * fluid.viscosity)
    scale = velocity_head * length / bore
    extra = velocity_head * kept
    # f L/D q² is linear in q while the flow is laminar.
    linear = scale * 64.0 / per_reynolds
    # Runs without any resistance would have no head loss to tell their flow by.
    least = 1e-9 * velocity_head * square
    known = [per_reynolds, linear, extra, least, scale, wall / 3.7, _USUAL_INVERSE_ROOT]
    lose = _runs_lose if law == "colebrook" else _runs_lose_explicitly
    return (lose, known), _USUAL_FACTOR * scale + extra + least


def _runs_lose(known: list[float], flow: float) -> tuple[float, float]:
    """By Colebrook's friction, which goes on from where it last was.

    As the flows settle from call to call, so does it.
    """
    per_reynolds, linear, extra, least, scale, rough, inverse_root = known
    size = -flow if flow < 0 else flow
    reynolds = per_reynolds * size
    if reynolds <= LAMINAR_UP_TO:
        slope = linear + extra * size + least
        return slope * flow, slope + extra * size
    if reynolds < TURBULENT_FROM:
        return _runs_lose_explicitly(known, flow, "colebrook")
    b = 2.51 / reynolds
    inside = rough + b * inverse_root
    ratio = _TWO_OVER_LN10 * b / inside
    inverse_root -= (inverse_root + _TWO_OVER_LN10 * log(inside)) / (1.0 + ratio)
    known[6] = inverse_root
    factor = 1.0 / (inverse_root * inverse_root)
    change = -2.0 * factor * ratio / (1.0 + ratio)
    slope = (scale * factor + extra) * size + least
    return slope * flow, 2.0 * slope + scale * change * size


def _runs_lose_explicitly(
    known: list[float], flow: float, law: Law = "swamee-jain"
) -> tuple[float, float]:
    """By the friction of any flow as it stands."""
    per_reynolds, linear, extra, least, scale, rough, _ = known
    size = abs(flow)
    reynolds = per_reynolds * size
    if reynolds <= LAMINAR_UP_TO:
        slope = linear + extra * size + least
        return slope * flow, slope + extra * size
    factor, change = friction_factor(reynolds, 3.7 * rough, law)
    slope = (scale * factor + extra) * size + least
    return slope * flow, 2.0 * slope + scale * change * reynolds * size


def pruned(
    links: Sequence[Link], heads: Collection[str], draws: Collection[str]
) -> tuple[Meeting, list[tuple[Link, str]]]:
    """The links that can carry a flow, by node; and the dead ends, each with its inner end.

    Dead ends come outermost first.
    """
    at = _by_node(links)
    idle: list[tuple[Link, str]] = []
    lonely = [
        name
        for name, here in at.items()
        if len(here) == 1 and name not in heads and name not in draws
    ]
    if not lonely:
        return at, idle
    gone: set[str] = set()
    while lonely:
        name = lonely.pop()
        here = [link for link in at[name] if link.name not in gone]
        if len(here) != 1:
            continue
        link = here[0]
        inner = link.end if link.begin == name else link.begin
        gone.add(link.name)
        idle.append((link, inner))
        rest = sum(1 for other in at[inner] if other.name not in gone)
        if rest == 1 and inner not in heads and inner not in draws:
            lonely.append(inner)
    return _by_node([link for link in links if link.name not in gone]), idle


def branches_of(
    at: Meeting, heads: Collection[str], draws: Collection[str], *, fluid: Fluid, law: Law
) -> tuple[list[Branch], list[str]]:
    """The branches that some held head reaches, and the joints between them, in a fixed order."""
    meets = {n for n, here in at.items() if n in heads or n in draws or len(here) != 2}
    branches: list[Branch] = []
    used: set[str] = set()
    todo = [name for name in at if name in heads]
    seen = dict.fromkeys(todo)
    while todo:
        start = todo.pop()
        for first in at[start]:
            if first.name in used:
                continue
            chain = _chain(start, first, at, meets)
            used.update(link.name for link, _ in chain)
            last, along = chain[-1]
            end = last.end if along else last.begin
            branches.append(branch(start, end, chain, fluid=fluid, law=law))
            if end not in seen:
                seen[end] = None
                todo.append(end)
    return branches, [name for name in seen if name not in heads]


def _by_node(links: Sequence[Link]) -> Meeting:
    at: Meeting = {}
    for link in links:
        at.setdefault(link.begin, []).append(link)
        at.setdefault(link.end, []).append(link)
    return at


def _chain(start: str, link: Link, at: Meeting, meets: Collection[str]) -> list[tuple[Link, bool]]:
    """Links from a node on, until the next where others meet."""
    chain, here = [], start
    while True:
        along = link.begin == here
        chain.append((link, along))
        here = link.end if along else link.begin
        if here in meets:
            return chain
        one, other = at[here]
        link = other if one is link else one
