"""Flows of whole networks: against EPANET, by hand, and by what has to balance."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from brinebook.lifesupport.fluid import USUAL_SEA, Fluid
from brinebook.lifesupport.links import Lifter, Run
from brinebook.lifesupport.network import Network, link_loss, solve, surpluses
from brinebook.lifesupport.pump_curve import Curve

pytest.importorskip("wntr", reason="EPANET's Python door is a development tool")

from tests.lifesupport import epanet

SEEDS = range(20)


@pytest.mark.parametrize("seed", [*SEEDS, -1])
def test_flows_are_those_of_epanet(seed: int, tmp_path: Path) -> None:
    network = epanet.manifold() if seed < 0 else epanet.by_chance(seed)
    solved = solve(network, epanet.FLUID, law="swamee-jain")
    theirs = epanet.flows(epanet.model(network), tmp_path)
    largest = max(abs(flow) for flow in theirs.values())
    # EPANET keeps single precision: a flow of less than a thousandth of the largest is left out.
    told = {name: flow for name, flow in theirs.items() if abs(flow) > 1e-3 * largest}
    assert {name: solved.flows[name] for name in told} == pytest.approx(told, rel=0.005)


def test_colebrook_moves_flows_by_less_than_a_hundredth_from_epanets_law() -> None:
    worst = 0.0
    for seed in SEEDS:
        network = epanet.by_chance(seed)
        one = solve(network, epanet.FLUID).flows
        other = solve(network, epanet.FLUID, law="swamee-jain").flows
        largest = max(abs(flow) for flow in other.values())
        worst = max(
            worst,
            *(abs(one[n] / q - 1) for n, q in other.items() if abs(q) > 1e-4 * largest),
        )
    assert 0.001 < worst < 0.01


@pytest.mark.parametrize("seed", SEEDS)
def test_water_and_energy_balance(seed: int) -> None:
    network = epanet.by_chance(seed)
    solved = solve(network, USUAL_SEA)
    assert solved.settled
    largest = max(abs(flow) for flow in solved.flows.values())
    assert max(abs(rest) for _, rest in surpluses(network, solved)) < 1e-9 * largest
    for link in network.links:
        loss = link_loss(link, solved.flows[link.name], USUAL_SEA)
        if solved.flows[link.name] != 0:
            fall = solved.heads[link.begin] - solved.heads[link.end]
            assert fall == pytest.approx(loss, abs=1e-9)


@pytest.mark.parametrize(
    ("roughness", "law", "head"),
    [(0.26e-3, "swamee-jain", 1.7517), (0.26e-3, "colebrook", 1.7389)],
)
def test_a_long_pipe_loses_what_epanet_and_the_formula_say(
    roughness: float, law: str, head: float
) -> None:
    # EPANET 2.2: 1000 m of 0.3 m, 0.26 mm rough, 50 L/s: 1.7502 m; by formula with g 9.80665 these.
    run = Run("a", "b", "c", 0.3, 1000.0, roughness)
    loss = link_loss(run, 0.05, Fluid(1000.0, 1.022e-6), law)  # type: ignore[arg-type]
    assert loss == pytest.approx(head, rel=1e-4)


def test_two_equal_branches_share_evenly_and_a_shut_one_carries_nothing() -> None:
    runs = (Run("a", "in", "out", 0.02, 1.0), Run("b", "in", "out", 0.02, 1.0),
            Run("feed", "high", "in", 0.03, 1.0), Run("rest", "out", "low", 0.03, 1.0))  # fmt: skip
    network = Network(runs, heads={"high": 1.0, "low": 0.0})
    even = solve(network).flows
    assert even["a"] == pytest.approx(even["b"], rel=1e-9)
    shut = solve(network.with_loss("a", math.inf)).flows
    assert shut["a"] == 0.0
    assert 0.5 * even["feed"] < shut["feed"] < even["feed"]


def test_what_leaves_a_joint_and_comes_back_to_it_changes_nothing_there() -> None:
    # Two pipes between one joint and another where nothing else meets, as a side loop at rest.
    row = (Run("a", "high", "x", 0.02, 1.0), Run("b", "x", "low", 0.02, 1.0))
    loop = (Run("c", "x", "y", 0.02, 1.0), Run("d", "y", "x", 0.02, 1.0))
    held = {"high": 1.0, "low": 0.5}
    plain, beside = solve(Network(row, heads=held)), solve(Network((*row, *loop), heads=held))
    assert beside.flows == pytest.approx({**plain.flows, "c": 0.0, "d": 0.0}, rel=1e-9, abs=1e-15)
    # With a pump in it water goes round by that pump alone, and what passes by stays as it was.
    driven = (*row, loop[0], Run("d", "z", "x", 0.02, 1.0))
    pump = Lifter("pump", "y", "z", Curve(1.0, 1e-3))
    round_it = Network(driven, (pump,), held)
    solved = solve(round_it)
    assert solved.flows["a"] == pytest.approx(plain.flows["a"], rel=1e-9)
    loss = 2 * link_loss(loop[0], solved.flows["c"], USUAL_SEA)
    assert pump.curve.head(solved.flows["pump"])[0] == pytest.approx(loss, rel=1e-9)


def test_a_laminar_line_follows_hagen_and_poiseuille() -> None:
    # Q = g h pi d^4 / (128 nu L)
    run = Run("drip", "high", "low", 0.003, 2.0)
    network = Network((run,), heads={"high": 0.2, "low": 0.0})
    by_hand = 9.80665 * 0.2 * math.pi * 0.003**4 / (128 * USUAL_SEA.viscosity * 2.0)
    assert solve(network).flows["drip"] == pytest.approx(by_hand, rel=1e-6)


def test_behind_a_closed_valve_the_pump_gives_its_full_head() -> None:
    runs = (Run("up", "out", "top", 0.02, 1.0), Run("over", "top", "display", 0.02, 1.0))
    pump = Lifter("pump", "sump", "out", Curve(2.5, 1e-3))
    network = Network(runs, (pump,), {"sump": 0.3, "display": 1.5})
    solved = solve(network.with_loss("over", math.inf))
    assert solved.flows["pump"] == 0.0
    assert solved.heads["top"] == pytest.approx(0.3 + 2.5)


def test_a_joint_between_two_closed_valves_has_no_head_of_its_own() -> None:
    runs = (Run("a", "high", "x", 0.02, 1.0, loss=math.inf), Run("b", "x", "y", 0.02, 1.0),
            Run("c", "y", "low", 0.02, 1.0, loss=math.inf))  # fmt: skip
    solved = solve(Network(runs, heads={"high": 1.0, "low": 0.0}))
    assert set(solved.heads) == {"high", "low"}


def test_a_pump_that_is_too_weak_for_the_lift_moves_nothing_and_nothing_runs_back() -> None:
    network = Network(
        (Run("up", "out", "display", 0.02, 1.0),),
        (Lifter("pump", "sump", "out", Curve(1.0, 1e-3)),),
        {"sump": 0.3, "display": 1.5},
    )
    assert solve(network).flows == {"up": 0.0, "pump": 0.0}


def test_a_check_valve_lets_nothing_back() -> None:
    runs = (Run("a", "low", "high", 0.02, 1.0, one_way=True),)
    assert solve(Network(runs, heads={"high": 1.0, "low": 0.0})).flows["a"] == 0.0


def test_what_settles_just_as_kinks_are_looked_for_stays_as_it_settled() -> None:
    # Still water behind a check valve, and pumps that reach no held head: nothing may flow. A loss
    # without friction halves a flow each round, so that this takes more rounds than any other.
    runs = (
        Run("in", "display", "a", 0.0127, 0.0, loss=200.0, one_way=True),
        Run("over", "a", "b", 0.02, 0.0, loss=40.0),
        Run("beside", "a", "b", 0.006, 2.0, loss=1.0),
        Run("round", "c", "b", 0.006, 0.05, loss=0.5),
        Run("and back", "c", "b", 0.003, 2.0, loss=0.5),
    )
    kinked = Curve(3.0, 1e-3, ((0.0, 3.0), (5e-4, 2.0), (1e-3, 0.2)))
    pumps = (Lifter("first", "d", "e", kinked), Lifter("second", "e", "b", Curve(4.9, 1.9e-3)))
    network = Network(runs, pumps, {"sump": 0.2, "display": 1.5})
    solved = solve(network)
    assert max(abs(flow) for flow in solved.flows.values()) < 1e-9
    assert max(abs(rest) for _, rest in surpluses(network, solved)) < 1e-9
