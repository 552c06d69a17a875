"""Steady flow in a network of pipes and pumps: heads at joints, flows in links.

The global gradient method: every branch's head loss is made linear at its flow, the heads at the
joints follow from what comes and goes there, and the flows from the heads, until nothing moves.
Runs in a row count as one branch, dead ends carry nothing, and the joints are eliminated sparsely,
in plain floats: home rigs have tens of links, where that beats any matrix library.
Source: todini1988, rossman2020 (appendix D)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from brinebook.lifesupport.branches import Branch, LossAt, branches_of, pruned
from brinebook.lifesupport.elimination import Plan, eliminate, plan_of
from brinebook.lifesupport.fluid import USUAL_SEA, Fluid
from brinebook.lifesupport.friction import Law, friction_factor
from brinebook.lifesupport.links import Lifter, Link, Run

#: The method is quadratic: flows that moved by less than this share are right to ten digits.
TOLERANCE = 1e-7
MOST_ROUNDS = 200
#: Flows that add up to less are none, m3/s: a drop in three hours.
NOTHING = 1e-12


@dataclass(frozen=True, slots=True)
class Network:
    """Runs and pumps between nodes, of which some have a fixed head in m."""

    runs: tuple[Run, ...]
    lifters: tuple[Lifter, ...] = ()
    heads: Mapping[str, float] = field(default_factory=dict)  # of the nodes that hold theirs
    draws: Mapping[str, float] = field(default_factory=dict)  # m3/s taken out at other nodes

    @property
    def links(self) -> tuple[Link, ...]:
        """Runs, then pumps."""
        return (*self.runs, *self.lifters)

    def with_loss(self, name: str, loss: float) -> Network:
        """The same network with another K in one run."""
        runs = tuple(replace(run, loss=loss) if run.name == name else run for run in self.runs)
        return replace(self, runs=runs)


@dataclass(frozen=True, slots=True)
class Flowing:
    """A solved network. Flows in m3/s, along the link's own direction; heads in m.

    A joint that closed valves cut off from every held head has none of its own.
    """

    flows: Mapping[str, float]
    heads: Mapping[str, float]
    rounds: int
    settled: bool


#: Of a branch: its loss and what that knows, the numbers of its joints (-1: a held head), those
#: heads, its entry off the diagonal, and its ease at the first guess.
Row = tuple[LossAt, Any, int, int, float, float, int, float]


class Prepared(NamedTuple):
    """A network made ready: branches, joints, and the order in which they are worked through.

    A tuple for the same reason as a branch.
    """

    network: Network
    fluid: Fluid
    law: Law
    shut: frozenset[str]
    branches: list[Branch]
    joints: list[str]
    idle: list[tuple[Link, str]]
    rows: list[Row]
    draws: list[float]
    plan: Plan


def prepare(
    network: Network,
    fluid: Fluid = USUAL_SEA,
    *,
    law: Law = "colebrook",
    shut: frozenset[str] = frozenset(),
) -> Prepared:
    """Make a network ready to be solved; ``shut`` names links that carry nothing."""
    closed = [run.name for run in network.runs if run.loss == math.inf]
    if closed:
        shut |= frozenset(closed)
    held = network.heads
    links: list[Link] = [*network.runs, *network.lifters]
    if shut:
        links = [link for link in links if link.name not in shut]
    meeting, idle = pruned(links, held, network.draws)
    branches, joints = branches_of(meeting, held, network.draws, fluid=fluid, law=law)
    place = {name: at for at, name in enumerate(joints)}
    # What leaves a joint and comes back to it changes nothing there, and has no fall to itself.
    ends = [
        (place.get(begin, -1), place.get(end, -1)) if begin != end else (-1, -1)
        for begin, end, *_ in branches
    ]
    draws = [network.draws.get(name, 0.0) for name in joints]
    plan = plan_of(len(joints), ends)
    rows = [
        (*loss, at, to, held.get(begin, 0.0), held.get(end, 0.0), entry, ease)
        for (begin, end, _, loss, _, ease), (at, to), entry in zip(
            branches, ends, plan.entry, strict=True
        )
    ]
    return Prepared(network, fluid, law, shut, branches, joints, idle, rows, draws, plan)


def solve(
    network: Network,
    fluid: Fluid = USUAL_SEA,
    *,
    law: Law = "colebrook",
    tolerance: float = TOLERANCE,
) -> Flowing:
    """Flows and heads of the network when nothing changes any more.

    Pumps never run backwards and runs with ``one_way`` let nothing back: those links close where it
    would. ``settled`` is false where the flows still move after many rounds.
    """
    return run(prepare(network, fluid, law=law), tolerance=tolerance)


def run(ready: Prepared, *, tolerance: float = TOLERANCE) -> Flowing:
    """Solve a network that was made ready; see ``solve``."""
    network = ready.network
    guarded = [lifter.name for lifter in network.lifters]
    guarded += [one.name for one in network.runs if one.one_way]
    while True:
        found = _run_open(ready, tolerance)
        back = {one for one in guarded if found.flows[one] < -1e-12 and one not in ready.shut}
        if not back:
            return found
        ready = prepare(network, ready.fluid, law=ready.law, shut=ready.shut | back)


def _run_open(ready: Prepared, tolerance: float) -> Flowing:
    branches = ready.branches
    flows = [one.first_guess for one in branches]
    heads, rounds, settled = [0.0] * len(ready.joints), 0, not branches
    turning = any(lifter.curve.points for lifter in ready.network.lifters)
    while not settled and rounds < MOST_ROUNDS:
        rounds += 1
        heads, moved, total = _round(flows, ready, first=rounds == 1)
        settled = rounds > 1 and moved <= tolerance * total + NOTHING
        if not settled and rounds % 40 == 0 and turning:
            # Two slopes take turns at a kink of a pump's curve. Elsewhere flows that halve each
            # time are on their way to nothing.
            flows[:] = [0.5 * (q + b.first_guess) for q, b in zip(flows, branches, strict=True)]
    known = {**ready.network.heads, **dict(zip(ready.joints, heads, strict=True))}
    every = {link.name: 0.0 for link in ready.network.links}
    _spread(ready, flows, every, known)
    _reach_dead_ends(ready, known)
    return Flowing(every, known, rounds, settled)


def _round(flows: list[float], ready: Prepared, *, first: bool) -> tuple[list[float], float, float]:
    """One step in place; the heads, how far the flows moved, and their sum.

    Newton's, but the first: from a guess that is far off, Newton only halves a flow each time.
    There what only resists counts as a resistance, which its guess was made for, and the flow
    midway (by ratio) between the guess and what comes of it is right at once where losses go with
    the square.
    """
    right = [-draw for draw in ready.draws]
    diagonal = [0.0] * len(right)
    beside = [0.0] * ready.plan.entries
    steps = []
    for (loss_at, known, one, other, begin, end, entry, usual), flow in zip(
        ready.rows, flows, strict=True
    ):
        if first and usual:
            ease, still = usual, 0.0
        else:
            loss, slope = loss_at(known, flow)
            ease = 1.0 / slope
            still = flow - loss * ease  # the flow if both ends had the same head
        steps.append((still, ease))
        if one >= 0:
            diagonal[one] += ease
            right[one] -= still - ease * end
        if other >= 0:
            diagonal[other] += ease
            right[other] += still + ease * begin
            if entry >= 0:
                beside[entry] -= ease
    heads = eliminate(diagonal, right, beside, ready.plan)
    moved = total = 0.0
    for at, ((still, ease), (_, _, one, other, begin, end, _, _)) in enumerate(
        zip(steps, ready.rows, strict=True)
    ):
        fall = (heads[one] if one >= 0 else begin) - (heads[other] if other >= 0 else end)
        new, before = still + ease * fall, flows[at]
        moved += abs(new - before)
        total += abs(new)
        if first and still == 0.0:
            new = math.copysign(math.sqrt(abs(new * before)), new)
        flows[at] = new
    return heads, moved, total


def _spread(
    ready: Prepared, flows: list[float], every: dict[str, float], heads: dict[str, float]
) -> None:
    """Put in the flows of the links of every branch, and the heads inside it."""
    for branch, flow in zip(ready.branches, flows, strict=True):
        head = heads[branch.begin]
        last = len(branch.links) - 1
        for at, (link, along) in enumerate(branch.links):
            through = flow if along else -flow
            every[link.name] = through
            if at < last:
                loss = link_loss(link, through, ready.fluid, ready.law)
                head -= loss if along else -loss
                heads[link.end if along else link.begin] = head


def _reach_dead_ends(ready: Prepared, heads: dict[str, float]) -> None:
    """Put in the heads where nothing flows: those of the net, with a pump's on top."""
    for link, inner in reversed(ready.idle):  # from the net outwards
        if inner in heads:
            rise = -link_loss(link, 0.0, ready.fluid, ready.law)
            if link.begin == inner:
                heads[link.end] = heads[inner] + rise
            else:
                heads[link.begin] = heads[inner] - rise


def link_loss(link: Link, flow: float, fluid: Fluid, law: Law = "colebrook") -> float:
    """Head in m that a link loses along its own direction at a flow in m3/s; a pump's is < 0."""
    if isinstance(link, Lifter):
        return -link.curve.head(flow)[0]
    if flow == 0.0:
        return 0.0
    bore = link.bore
    speed = abs(flow) / link.area
    times = link.loss
    if link.length:  # a device has resistance only, and no friction to work out
        reynolds = speed * bore / fluid.viscosity
        times += friction_factor(reynolds, link.roughness / bore, law)[0] * link.length / bore
    return math.copysign(times * speed**2 / (2.0 * fluid.gravity), flow)


def surpluses(network: Network, solved: Flowing) -> Iterator[tuple[str, float]]:
    """How much more comes into each joint than leaves it, m3/s: nothing, when solved."""
    nodes = {end for link in network.links for end in (link.begin, link.end)}
    for node in sorted(nodes - set(network.heads)):
        came = sum(
            ((link.end == node) - (link.begin == node)) * solved.flows[link.name]
            for link in network.links
        )
        yield node, came - network.draws.get(node, 0.0)
