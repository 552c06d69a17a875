"""What nobody writes down: forgotten changes and doses, stopped pumps, stuck valves, snow."""

from __future__ import annotations

from collections.abc import Callable

from tests.simulated.chemistry import ALK, CA, CALCIUM_PER_MEQ, PER_GRAM, QUANTITIES
from tests.simulated.life import Life
from tests.simulated.scenario import Mishap
from tests.simulated.testing import sudden


def begin(life: Life) -> None:
    """Plan every mishap, planned dose and note of the scenario."""
    for mishap in life.scenario.mishaps:
        act = ACTS[mishap.kind]
        life.plan(mishap.day, lambda t, act=act, m=mishap: act(life, t, m))  # type: ignore[misc]
    for day, salt, grams in life.scenario.sudden:
        life.plan(life.at_hour(day, 10.0), sudden(life, salt, grams))


def _forget_next_change(life: Life, t: float, mishap: Mishap) -> None:
    life.forget_next_change = True


def _unlogged_change(life: Life, t: float, mishap: Mishap) -> None:
    """A part ``size`` of the water, whenever it happened."""
    before = life.tank.concentrations()
    life.tank.exchange(mishap.size * life.tank.physics.volume, life.new_water(35.0))
    life.record("forgotten change", t, t, life.difference(before))


def _forgotten_dose(life: Life, t: float, mishap: Mishap) -> None:
    """``size`` meq/L of bicarbonate that no row tells of."""
    before = life.tank.concentrations()
    grams = mishap.size * life.tank.physics.volume / PER_GRAM["NaHCO3"][ALK]
    life.tank.flow(0.0, {i: v * grams for i, v in PER_GRAM["NaHCO3"].items()})
    life.record(mishap.kind, t, t, life.difference(before))
    if mishap.kind == "double dose":
        sudden(life, "NaHCO3", round(grams, 1))(t)


def _pump_stops(life: Life, t: float, mishap: Mishap) -> None:
    """Pump number ``size`` stands for ``length`` days."""
    pump = life.machines.pumps[int(mishap.size) % len(life.machines.pumps)]
    pump.stopped = True
    missed = pump.missed

    def mend(when: float) -> None:
        pump.stopped = False
        lost = pump.content(pump.missed - missed)
        change = {QUANTITIES[i]: -v / life.tank.physics.volume for i, v in lost.items()}
        life.record("pump stopped", t, when, change)

    life.plan(t + mishap.length, mend)


def _top_off_sticks(life: Life, t: float, mishap: Mishap) -> None:
    """Fresh water, ``size`` of the volume, in some hours; what is too much is scooped out after.

    The change is reckoned from the surplus that is left then: what evaporated meanwhile would have
    been topped off in any case.
    """
    before = life.tank.concentrations()
    pieces = 16
    full = life.tank.physics.volume

    def pour(_: float) -> None:
        life.tank.top_off(mishap.size * full / pieces)

    def take_out(when: float) -> None:
        part = max(life.tank.volume / full - 1.0, 0.0)
        content = {QUANTITIES[i]: each for i, each in life.tank.top_content.items()}
        change = {
            name: part / (1.0 + part) * (content.get(name, 0.0) - level)
            for name, level in zip(QUANTITIES, before, strict=True)
        }
        life.tank.drain(max(life.tank.volume - full, 0.0))
        life.record("top-off stuck", t, t + pieces * life.dt, change)

    for piece in range(pieces):
        life.plan(t + piece * life.dt, pour)
    life.plan(t + (pieces + 8) * life.dt, take_out)


def _precipitation(life: Life, t: float, mishap: Mishap) -> None:
    """``size`` meq/L falls out with its calcium, in a few hours."""
    pieces = 16

    def fall(_: float) -> None:
        meq = mishap.size * life.tank.physics.volume / pieces
        life.tank.flow(0.0, {ALK: -meq, CA: -meq * CALCIUM_PER_MEQ})

    for piece in range(pieces):
        life.plan(t + piece * life.dt, fall)
    change = {"alkalinity": -mishap.size, "calcium": -mishap.size * CALCIUM_PER_MEQ}
    life.record("precipitation", t, t + pieces * life.dt, change)


ACTS: dict[str, Callable[[Life, float, Mishap], None]] = {
    "forgotten change": _forget_next_change,
    "unlogged change": _unlogged_change,
    "forgotten dose": _forgotten_dose,
    "double dose": _forgotten_dose,
    "pump stopped": _pump_stops,
    "top-off stuck": _top_off_sticks,
    "precipitation": _precipitation,
}
