"""EPANET as the other hand: the same network through wntr, and networks drawn by chance.

EPANET's own constants: viscosity 1.1e-5 ft2/s, g 32.2 ft/s2, Swamee and Jain's friction (EPANET 2.2
manual, EPA/600/R-20/133, and its source). Roughness goes to wntr in metres.
"""

from __future__ import annotations

import warnings
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from brinebook.lifesupport.fluid import Fluid
from brinebook.lifesupport.links import Lifter, Run
from brinebook.lifesupport.network import Flowing, Network, solve
from brinebook.lifesupport.pump_curve import Curve

FLUID = Fluid(1000.0, 1.1e-5 * 0.3048**2, 32.2 * 0.3048)
LITRES_AN_HOUR = 3.6e6


def model(network: Network) -> Any:
    """The network as wntr has it: held heads as reservoirs, joints at height 0."""
    import wntr

    found = wntr.network.WaterNetworkModel()
    with warnings.catch_warnings():
        # It says that it won't turn roughness into another unit; none is there yet.
        warnings.simplefilter("ignore", UserWarning)
        found.options.hydraulic.headloss = "D-W"
    found.options.hydraulic.inpfile_units = "LPS"
    found.options.hydraulic.accuracy = 1e-6
    found.options.time.duration = 0
    # EPANET's names hold no spaces.
    network = _without_spaces(network)
    nodes = {end for link in network.links for end in (link.begin, link.end)}
    for node in sorted(nodes):
        if node in network.heads:
            found.add_reservoir(node, base_head=network.heads[node])
        else:
            found.add_junction(node, base_demand=network.draws.get(node, 0.0), elevation=0.0)
    for run in network.runs:
        found.add_pipe(run.name, run.begin, run.end, run.length, run.bore, run.roughness, run.loss)
    for lifter in network.lifters:
        curve = lifter.curve
        # Three points make EPANET fit h0 - r q^n; the middle one makes n two.
        points = [(0.0, curve.shut_off), (curve.free / 2, 0.75 * curve.shut_off), (curve.free, 0.0)]
        found.add_curve(f"{lifter.name}_curve", "HEAD", points)
        found.add_pump(lifter.name, lifter.begin, lifter.end, "HEAD", f"{lifter.name}_curve")
    return found


def _without_spaces(network: Network) -> Network:
    def plain(name: str) -> str:
        return name.replace(" ", "_")

    return Network(
        tuple(
            replace(r, name=plain(r.name), begin=plain(r.begin), end=plain(r.end))
            for r in network.runs
        ),
        tuple(
            replace(p, name=plain(p.name), begin=plain(p.begin), end=plain(p.end))
            for p in network.lifters
        ),
        {plain(name): head for name, head in network.heads.items()},
        {plain(name): draw for name, draw in network.draws.items()},
    )


def flows(found: Any, folder: Path) -> dict[str, float]:
    """EPANET's flows in m3/s, by the names of the network."""
    import wntr

    result = wntr.sim.EpanetSimulator(found).run_sim(file_prefix=str(folder / "epanet"))
    return {
        str(name).replace("_", " "): float(q) for name, q in result.link["flowrate"].iloc[0].items()
    }


def reynolds(network: Network, solved: Flowing, fluid: Fluid) -> dict[str, float]:
    """Re of every run."""
    return {
        run.name: 4 * abs(solved.flows[run.name]) / (np.pi * run.bore * fluid.viscosity)
        for run in network.runs
    }


def manifold() -> Network:
    """A return pump, a riser to the display, and four branches back to the sump.

    One of the branches is so thin that its flow is laminar.
    """
    return Network(
        runs=(
            Run("riser", "pump out", "elbow", 0.0266, 0.6, loss=1.5),
            Run("upper riser", "manifold 1", "display", 0.0266, 1.4, loss=3.2),
            Run("manifold a", "elbow", "manifold 1", 0.0266, 0.1, loss=0.6),
            Run("manifold b", "manifold 1", "manifold 2", 0.0210, 0.1, loss=0.6),
            Run("manifold c", "manifold 2", "manifold 3", 0.0210, 0.1, loss=0.6),
            Run("to reactor 1", "manifold 2", "reactor 1", 0.0127, 0.8, loss=25.0),
            Run("from reactor 1", "reactor 1", "sump", 0.0127, 0.8, loss=3.0),
            Run("to reactor 2", "manifold 3", "reactor 2", 0.0127, 0.8, loss=160.0),
            Run("from reactor 2", "reactor 2", "sump", 0.0127, 0.6, loss=3.0),
            Run("to skimmer section", "manifold 3", "sump", 0.0157, 1.0, loss=12.0),
            Run("drip line", "manifold 1", "sump", 0.004, 2.0, loss=2.0),
        ),
        lifters=(Lifter("pump", "sump", "pump out", Curve(3.5, 4000 / LITRES_AN_HOUR)),),
        heads={"sump": 0.25, "display": 1.55},
    )


def by_chance(seed: int) -> Network:
    """A rig by chance whose every pipe is clearly laminar or clearly turbulent."""
    random = np.random.default_rng(seed)
    for _ in range(400):
        network = _draw(random)
        solved = solve(network, FLUID, law="swamee-jain")
        clear = all(re < 1900 or re > 4200 for re in reynolds(network, solved, FLUID).values())
        running = all(solved.flows[pump.name] > 1e-6 for pump in network.lifters)
        if clear and running:
            return network
    raise AssertionError(f"no such rig in 400 draws from seed {seed}")


def _draw(random: np.random.Generator) -> Network:
    joints = [f"joint {at}" for at in range(int(random.integers(3, 11)))]
    runs = [_run(random, f"row {a}", a, b) for a, b in pairwise(joints)]
    for at in range(int(random.integers(2, 7))):
        begin = str(random.choice(joints))
        end = str(random.choice(["display", "sump", *joints]))
        if end != begin:
            runs.append(_run(random, f"branch {at}", begin, end))
    runs.append(_run(random, "up", joints[-1], "display"))
    runs.append(_run(random, "down", str(random.choice(joints)), "sump"))
    lift = float(random.uniform(0.8, 1.8))
    pumps = [Lifter("pump", "sump", joints[0], _curve(random, lift))]
    if random.random() < 0.3:
        pumps.append(
            Lifter("second pump", "sump", str(random.choice(joints)), _curve(random, lift))
        )
    return Network(tuple(runs), tuple(pumps), {"sump": 0.25, "display": 0.25 + lift})


def _run(random: np.random.Generator, name: str, begin: str, end: str) -> Run:
    thin = random.random() < 0.2
    bore = random.uniform(0.003, 0.006) if thin else random.uniform(0.012, 0.05)
    length = random.uniform(1.0, 4.0) if thin else random.uniform(0.2, 3.0)
    return Run(name, begin, end, float(bore), float(length), loss=float(random.uniform(0.5, 40.0)))


def _curve(random: np.random.Generator, lift: float) -> Curve:
    return Curve(float(lift * random.uniform(1.5, 3.0)), float(random.uniform(2000, 9000)) / 3.6e6)
