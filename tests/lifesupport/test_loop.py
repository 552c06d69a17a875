"""The described rig as flows: the worked case, valves on either side, bursts, lines, exchange."""

from __future__ import annotations

import math

import pytest

from brinebook.lifesupport.burst import burst
from brinebook.lifesupport.drains import drains
from brinebook.lifesupport.exchange import exchange, second_pass_share
from brinebook.lifesupport.fluid import GRAVITY, seawater
from brinebook.lifesupport.levels_answer import levels_answer
from brinebook.lifesupport.lines import lines, siphon_line
from brinebook.lifesupport.loop import flows
from brinebook.lifesupport.pressures import opening_for_flow, pressure_sweeps
from brinebook.lifesupport.sizing import SCHEDULE_40, Wish, plainest, sizes
from tests.lifesupport import described

REACTOR = """
[[plumbing.joints]]
name = "tee"
height = "0.30 m"

[[plumbing.devices]]
name = "reactor"
height = "0.40 m"
pressure_limit = "10 kPa"
bore = "90 mm"

[[plumbing.pipes]]
name = "feed"
from = "tee"
to = "reactor"
bore = "12.7 mm"
length = "0.8 m"
valve = { kind = "gate", opening = "60 %" }

[[plumbing.pipes]]
name = "outlet"
from = "reactor"
to = "sump"
bore = "12.7 mm"
length = "0.6 m"
loss = 1.0
"""
BRANCHED = (
    described.PLAIN.replace(
        'from = "return pump"\nto = "display"\nbore = "20.96 mm"\nlength = "1.35 m"',
        'from = "return pump"\nto = "tee"\nbore = "20.96 mm"\nlength = "0.3 m"\n\n'
        '[[plumbing.pipes]]\nname = "upper riser"\nfrom = "tee"\nto = "display"\n'
        'bore = "20.96 mm"\nlength = "1.05 m"',
    ).replace('pipe = "riser"', 'pipe = "upper riser"')
    + REACTOR
)


@pytest.mark.parametrize(
    ("bore", "litres_an_hour"), [("20.96 mm", 2186.0), ("26.64 mm", 2672.0), ("17 mm", 1640.0)]
)
def test_where_the_pump_meets_its_pipe(bore: str, litres_an_hour: float) -> None:
    # H = 3.5 (1 - (Q/4000)^2), lift 1.35 m, 2.2 m of pipe, K 4.66, worked by hand; 0.1 % for the
    # viscosity. The display is hung so that its water is 1.35 m over the sump's.
    rig = described.plain(**{
        'floor = "0.90 m"': "", 'margin = "20 mm"': 'lift = "1.35 m"',
        'bore = "20.96 mm"\nlength = "1.35 m"': f'bore = "{bore}"\nlength = "2.2 m"',
    })  # fmt: skip
    found = flows(rig)
    assert found is not None
    assert found.pumps[0].flow.value == pytest.approx(litres_an_hour, rel=1e-3)
    assert found.to_display.value == pytest.approx(litres_an_hour, rel=1e-3)
    assert found.to_display.low < found.to_display.value < found.to_display.high


def test_a_pump_far_from_its_label_says_so_in_numbers() -> None:
    found = flows(described.plain())
    assert found is not None
    assert found.pumps[0].free_flow == pytest.approx(4000)
    assert found.pumps[0].flow.value < 0.65 * 4000


def test_a_valve_behind_a_reactor_puts_the_whole_pump_on_it_and_one_before_takes_it_off() -> None:
    (device,) = pressure_sweeps(described.rig(BRANCHED))
    before, behind = device.sweeps
    assert (before.side, behind.side) == ("before", "behind")
    assert before.described
    assert not behind.described
    shut_before, shut_behind = before.positions[0], behind.positions[0]
    assert shut_before.flow == shut_behind.flow == 0.0
    # Shut before: the reactor stands open to the sump, whose water is 13 cm under it.
    water = seawater(35, 25)
    assert shut_before.pressure == pytest.approx(water.pressure(0.27 - 0.40), abs=1e-6)
    # Shut behind: it has all that stands at the tee.
    found = flows(described.rig(BRANCHED), {"outlet": 0.0})
    assert found is not None
    tee = next(one for one in found.pressures if one.name == "tee")
    assert shut_behind.pressure == pytest.approx(tee.pressure.value - water.pressure(0.10))
    assert (shut_behind.pressure or 0) > 1.8 * (before.highest.pressure or 0)
    assert behind.highest is shut_behind
    assert before.highest is before.positions[-1]


def test_an_opening_gives_a_flow_and_that_flow_the_opening() -> None:
    rig = described.rig(BRANCHED)
    opening = opening_for_flow(rig, "feed", 150.0)
    assert opening is not None
    found = flows(rig, {"feed": opening})
    assert found is not None
    feed = next(one for one in found.pipes if one.name == "feed")
    assert feed.flow.value == pytest.approx(150.0, rel=1e-5)
    assert opening_for_flow(rig, "feed", 5000.0) is None


def test_a_joint_that_lets_go_empties_the_return_section_and_what_can_run_back() -> None:
    found = burst(described.rig(BRANCHED), "tee")
    assert found is not None
    assert found.litres_a_minute > 20
    assert found.by_pump == pytest.approx(54.4 + 60 * found.minutes / 60, rel=1e-6)
    # The display down to the mouth, and what the riser holds.
    pipes = 1000 * math.pi / 4 * (0.02096**2 * 1.35 + 0.0127**2 * 1.4)
    assert found.by_siphon == pytest.approx(43.2 + pipes, rel=1e-6)
    assert burst(described.rig(BRANCHED), "nowhere") is None


def test_drains_full_and_as_a_trickle_and_with_one_of_them_blocked() -> None:
    second = (
        described.PLAIN
        + """
[[plumbing.drains]]
name = "spare"
kind = "emergency"
bore = "40.9 mm"
length = "0.8 m"
head = "0.72 m"
"""
    )
    found = drains(described.rig(second), 2500.0)
    assert found is not None
    main, spare = found.each
    # The worked drain is 1 m long; 0.3 m less of it passes 2 % more than its 3794 L/h.
    assert main.full.value == pytest.approx(3794, rel=0.06)
    assert main.trickle.value == pytest.approx(main.full.value / 4)  # common practice, no source
    assert found.carries
    blocked = {one.drain: one for one in found.blocked}
    assert blocked["spare"].carries
    assert blocked["main drain"].others.value == pytest.approx(spare.trickle.value)
    assert blocked["main drain"].rises == pytest.approx(0.06)


def test_a_thin_line_runs_as_hagen_and_poiseuille_say_once_it_is_thin_enough() -> None:
    # 2 m of 2 mm under 0.3 m: the entrance takes little, Q = g h pi d^4 / (128 nu L).
    by_hand = 3.6e6 * GRAVITY * 0.3 * math.pi * 0.002**4 / (128 * 1e-6 * 2.0)
    assert siphon_line(0.3, bore=0.002, length=2.0) == pytest.approx(by_hand, rel=0.05)


def test_lines_run_out_by_themselves_or_back_by_their_heights() -> None:
    doser = """
[[plumbing.dosers]]
name = "high bottle"
additive = "x"
container = "2 L"
surface_height = "1.5 m"
outlet_height = "1.2 m"

[[plumbing.dosers]]
name = "low bottle"
additive = "y"
container = "2 L"
surface_height = "0.3 m"
under_water = true
to = "display"

[[plumbing.dosers]]
name = "untold"
additive = "z"
container = "2 L"
"""
    found = {one.name: one for one in lines(described.rig(described.PLAIN + doser))}
    assert found["high bottle"].runs == "out by itself"
    assert found["high bottle"].litres == 2.0
    assert found["low bottle"].runs == "back into the container"
    assert found["low bottle"].head == pytest.approx(0.3 - (0.90 + 0.44))
    assert found["untold"].runs == "not told"


def test_what_is_skimmed_twice_follows_from_the_flows() -> None:
    # Q = q, one mixed section: half of what the skimmer takes has been through before.
    even = second_pass_share(1000.0, 1000.0)
    assert even.high == pytest.approx(0.5)
    assert even.low == 0.0
    # Twice the flow of the section: in a row, half of it can only be old.
    assert second_pass_share(2000.0, 1000.0).low == pytest.approx(0.5)


def test_water_led_back_to_the_skimmer_is_skimmed_again() -> None:
    # A skimmer that takes all that passes, 1500 of 1000 new and 500 led back: a third is old.
    assert second_pass_share(1500.0, 1000.0, again=500.0).low == pytest.approx(1 / 3)
    # One that takes 750 treats half of it: n (1500) = 1000 + 500 n/2, so n is 0.8.
    assert second_pass_share(750.0, 1000.0, again=500.0).low == pytest.approx(0.2)
    assert second_pass_share(750.0, 1000.0).low == 0.0


def test_turnover_and_the_stay_in_every_place() -> None:
    zone = '\n[[plumbing.zones]]\nname = "behind the rock"\nvolume = "30 L"\nflow = "20 L/h"\n'
    found = exchange(described.rig(described.PLAIN + zone), 2500.0)
    assert found.turnover == pytest.approx(2500 / 300)
    stay = {place.name: place for place in found.places}
    assert stay["sump"].hours == pytest.approx(70.4 / 2500)
    assert stay["behind the rock"].hours == pytest.approx(1.5)
    assert stay["behind the rock"].is_slow
    assert not stay["sump"].is_slow


def test_a_wish_becomes_a_head_and_a_pipe() -> None:
    wish = Wish(
        turnover=5, litres=300, branches=(("one", 150.0), ("two", 150.0)), lift=1.35, length=2.2,
        fittings={"elbow_90": 4, "exit": 1}, pressure_limit=16.0,
    )  # fmt: skip
    assert wish.whole == 1800.0
    found = sizes(wish, seawater(35, 25), pipes=SCHEDULE_40)
    heads = [one.head for one in found]
    assert heads == sorted(heads, reverse=True)
    choice = plainest(found)
    assert choice is not None
    # The curve that is asked for passes through the wanted point: H0 (1 - 0.6^2) = H.
    assert choice.shut_off_head * (1 - 0.36) == pytest.approx(choice.head)
    assert choice.free_flow * 0.6 == pytest.approx(1800.0)
    assert choice.speed <= 1.5
    # 1 inch of schedule 40 has 1.029 in: 1800 L/h go at 0.93 m/s.
    inch = next(one for one in found if one.size == "1 in")
    assert inch.speed == pytest.approx(1800 / 3.6e6 / (math.pi / 4 * (1.029 * 0.0254) ** 2))


def test_a_section_runs_as_high_as_its_wall_and_the_head_over_it() -> None:
    walls = """water = "0.22 m"
floor = "0.05 m"
sections = [
  { name = "first", length = "0.50 m", water = "0.28 m", baffle = "0.22 m" },
  { name = "return", length = "0.30 m", water = "0.16 m", role = "return" },
]"""
    rig = described.plain(**{'water = "0.22 m"\nfloor = "0.05 m"': walls})
    answer = levels_answer(rig)
    assert answer is not None
    (first,) = answer.sections
    # Francis over 0.40 m: h = (Q/1.84 b)^(2/3).
    head = (answer.flow.value / 3.6e6 / (1.84 * 0.40)) ** (2 / 3)
    assert first.by_wall.value == pytest.approx(0.22 + head)
    assert first.differs  # 0.28 m was read, some 5 cm too much
