"""What docs/trust.md shows of pipes and levels: ours against EPANET, libraries and worked cases.

python -m tests.lifesupport.water_figures
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import fluids

from brinebook.lifesupport.drain_back import drain_backs
from brinebook.lifesupport.fluid import USUAL_SEA
from brinebook.lifesupport.friction import friction_colebrook_1939
from brinebook.lifesupport.links import Lifter, Run
from brinebook.lifesupport.network import Network, link_loss, solve, surpluses
from brinebook.lifesupport.openings import full_pipe_flow
from brinebook.lifesupport.pump_curve import Curve
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.stuck import blocked_drain, top_off_stuck_on
from brinebook.lifesupport.weirs import weir_head
from tests.lifesupport import described, epanet

NETWORKS = 20
_AN_HOUR = 3.6e6


def epanet_rows() -> Iterator[str]:
    """The worst difference of a flow from EPANET's, and what Colebrook alone makes."""
    yield "| network | pipes | worst flow, same friction | worst flow, Colebrook | allowed |"
    yield "| --- | --- | --- | --- | --- |"
    yield _epanet_row("manifold of four branches", [epanet.manifold()])
    drawn = [epanet.by_chance(seed) for seed in range(NETWORKS)]
    yield _epanet_row(f"{NETWORKS} drawn by chance", drawn)


def _epanet_row(name: str, networks: list[Network]) -> str:
    same = colebrook = 0.0
    pipes = sum(len(network.runs) for network in networks)
    with tempfile.TemporaryDirectory() as folder:
        for network in networks:
            theirs = epanet.flows(epanet.model(network), Path(folder))
            largest = max(abs(flow) for flow in theirs.values())
            told = {name: q for name, q in theirs.items() if abs(q) > 1e-3 * largest}
            ours = solve(network, epanet.FLUID, law="swamee-jain").flows
            exact = solve(network, epanet.FLUID).flows
            same = max(same, *(abs(ours[n] / q - 1) for n, q in told.items()))
            colebrook = max(colebrook, *(abs(exact[n] / q - 1) for n, q in told.items()))
    return f"| {name} | {pipes} | {100 * same:.2f} % | {100 * colebrook:.2f} % | 0.5 % |"


def balance_rows() -> Iterator[str]:
    """How well water and energy close over all those networks."""
    water = energy = 0.0
    for seed in range(NETWORKS):
        network = epanet.by_chance(seed)
        solved = solve(network, USUAL_SEA)
        largest = max(abs(flow) for flow in solved.flows.values())
        water = max(water, *(abs(rest) / largest for _, rest in surpluses(network, solved)))
        for link in network.links:
            if solved.flows[link.name]:
                fall = solved.heads[link.begin] - solved.heads[link.end]
                energy = max(
                    energy, abs(fall - link_loss(link, solved.flows[link.name], USUAL_SEA))
                )
    yield "| balance | worst | allowed |"
    yield "| --- | --- | --- |"
    yield f"| water at every joint, of the largest flow | {water:.0e} | 1e-9 |"
    yield f"| head along every link, m | {energy:.0e} | 1e-9 |"


def worked_rows() -> Iterator[str]:
    """Cases worked by hand from the stated formulas."""
    yield "| case | worked | ours | allowed |"
    yield "| --- | --- | --- | --- |"
    for name, worked, ours, allowed, unit in _worked():
        off = abs(ours / worked - 1)
        assert off <= allowed, name
        yield f"| {name} | {worked:g} {unit} | {ours:.4g} {unit} | {100 * allowed:g} % |"


def _worked() -> Iterator[tuple[str, float, float, float, str]]:
    reynolds, rough = 5e4, 1e-4
    theirs = fluids.friction.friction_factor(reynolds, eD=rough, Method="Colebrook")
    yield ("friction factor at Re 50,000 and ε/D 1e-4 (fluids)", theirs,
           friction_colebrook_1939(reynolds, rough), 1e-6, "")  # fmt: skip
    yield (
        "head over 0.40 m of weir, 2500 L/h",
        9.62,
        1000 * weir_head(2500 / _AN_HOUR, 0.4),
        0.01,
        "mm",
    )
    drain = full_pipe_flow(0.7, bore=0.02664, length=1.0, loss=3.06)
    yield "drain of 26.64 mm, full, 0.70 m of head", 3794, drain.flow * _AN_HOUR, 0.02, "L/h"
    for bore, worked in ((0.02096, 2186), (0.02664, 2672), (0.017, 1640)):
        yield (f"return pump in a pipe of {1000 * bore:g} mm", worked, _pumped(bore), 0.02, "L/h")
    found = drain_backs(described.plain(), Range(2500.0, 2500.0, 2500.0))
    assert found is not None
    assert found.highest_depth is not None
    yield "drain-back, hole clear", 18.9, found.cases[0].litres.value, 0.01, "L"
    yield "drain-back, hole blocked", 51.3, found.cases[1].litres.value, 0.01, "L"
    yield "highest running depth of that sump", 0.180, found.highest_depth, 0.01, "m"
    stuck = top_off_stuck_on(described.plain(), litres=300)
    assert stuck is not None
    yield "25 L of top-off stuck on, 300 L", 32.31, stuck.salinity, 0.005, "PSU"
    blocked = blocked_drain(described.plain(), 2500.0)
    assert blocked is not None
    yield "blocked drain with 25 L in the top-off, over the rim", 29.0, blocked.over, 0.01, "L"


def _pumped(bore: float) -> float:
    run = Run("riser", "out", "display", bore, 2.2, loss=4.66)
    pump = Lifter("pump", "sump", "out", Curve(3.5, 4000 / _AN_HOUR))
    network = Network((run,), (pump,), {"sump": 0.0, "display": 1.35})
    return solve(network).flows["pump"] * _AN_HOUR


def main() -> None:
    """Print the tables."""
    for rows in (epanet_rows, balance_rows, worked_rows):
        for row in rows():
            print(row)
        print()


if __name__ == "__main__":
    main()
