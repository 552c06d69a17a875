"""Sums of water at the command line: worked cases, one by one, and their refusals."""

from __future__ import annotations

import json
import math
import shlex
from typing import Any

import pytest

from brinebook.cli.main import main
from brinebook.desk.reckon_water import WATER_SUMS

BACK = (
    'drain-back --flow "2500 L/h" --weir "0.40 m" --display "0.72 m2" --hole "15 mm" '
    '--mouth "60 mm" --box-area "0.036 m2" --box-drains "0.20 m" --pipe "1.35 m@20.96 mm" '
    '--pipe "0.70 m@26.64 mm" --sump "0.32 m2" --depth "0.22 m" --rim "0.36 m"'
)
DRAIN = 'drain --length "1 m" --loss 3.06 --head "0.70 m"'
PUMP = (
    'working-point --shut-off-head "3.5 m" --free-flow "4000 L/h" --lift "1.35 m" '
    '--length "2.2 m" --loss 4.66'
)


def reckoned(capsys: pytest.CaptureFixture[str], line: str) -> dict[str, Any]:
    assert main(["reckon", *shlex.split(line), "--json"]) == 0
    captured = capsys.readouterr()
    assert captured.err == ""
    figures: dict[str, Any] = json.loads(captured.out)["figures"]
    return figures


#: Worked by hand or with fluids 1.3.1 from the stated formula; the tolerance is that of the case,
#: 0.1 % where the viscosity of seawater counts.
WORKED = [
    ('weir --flow "2500 L/h" --length "0.40 m"', "head", 0.00962, 0.001),
    ('weir --flow "2500 L/h" --length "0.40 m" --open "60 %"', "head", 0.0135, 0.004),
    ('weir --flow "3000 L/h" --length "0.40 m" --open "60 %"', "head", 0.0153, 0.004),
    ('weir --flow "2500 L/h" --length "0.15 m"', "head", 0.0185, 0.003),
    ('notch --head "0.10 m"', "flow", 4.317 * 3600, 0.001),
    ('hole --bore "25 mm" --head "0.3 m"', "flow", 2614.8, 0.001),
    (f'{DRAIN} --bore "26.64 mm"', "full", 3794, 0.001),
    (f'{DRAIN} --bore "20.96 mm"', "full", 2269, 0.001),
    (f'{DRAIN} --bore "40.94 mm"', "full", 9362, 0.001),
    (f'{DRAIN} --bore "26.64 mm" --flow "2500 L/h"', "valve_adds", 4.93, 0.002),
    (f'{PUMP} --bore "20.96 mm"', "flow", 2186, 0.001),
    (f'{PUMP} --bore "26.64 mm"', "flow", 2672, 0.001),
    (f'{PUMP} --bore "17 mm"', "flow", 1640, 0.001),
    (f'{PUMP} --bore "20.96 mm"', "head", 2.46, 0.003),
    ('pipe --flow "2000 L/h" --bore "20.96 mm" --length "1 m" --salinity 0 --water "20 C"',
     "head_loss", 0.14550, 0.002),
    ('pipe --flow "4000 L/h" --bore "40.94 mm" --length "1 m" --salinity 0 --water "20 C"',
     "head_loss", 0.020272, 0.002),
    (BACK, "weir_only", 15.0, 0.004),
    (BACK, "hole_clear", 18.9, 0.003),
    (BACK, "hole_blocked", 51.3, 0.001),
    (BACK, "room_to_mark", 38.4, 1e-9),
    (BACK, "worst_over_mark", 12.9, 0.004),
    (BACK, "worst_over_rim", 6.5, 0.008),
    (BACK, "highest_running_depth", 0.180, 0.003),
    ('top-off --volume "300 L" --reservoir "25 L"', "stuck_on_salinity", 32.31, 0.0005),
    ('valve --bore "15 mm" --kv "2.312 m3/h"', "by_kv", 15.1534, 1e-4),
]  # fmt: skip


@pytest.mark.parametrize(("line", "name", "expected", "tolerance"), WORKED)
def test_a_worked_case(
    line: str, name: str, expected: float, tolerance: float, capsys: pytest.CaptureFixture[str]
) -> None:
    assert reckoned(capsys, line)[name]["value"] == pytest.approx(expected, rel=tolerance)


def test_a_blocked_drain_counts_what_the_top_off_goes_on_adding(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # By hand: 0.72 m2 x 5 cm is 36 L of room; 20 L of the section and 25 L of the reservoir are 45.
    line = (
        'blocked-drain --display "0.72 m2" --free-height "5 cm" --return-volume "20 L" '
        '--reservoir "25 L" --flow "2500 L/h" --top-off "60 L/h"'
    )
    found = reckoned(capsys, line)
    assert found["over_rim"]["value"] == pytest.approx(9.0)
    assert found["largest_reservoir"]["value"] == pytest.approx(16.0)
    dry = 20 / 2440
    assert found["hours_to_dry"]["value"] == pytest.approx(dry)
    assert found["hours_to_rim"]["value"] == pytest.approx(dry + (36 - 2500 * dry) / 60)
    limited = reckoned(capsys, f'{line} --longest-run "10 min"')
    assert limited["over_rim"]["value"] == 0.0
    assert limited["hours_to_rim"] is None


def test_a_pump_by_its_points_works_where_the_straight_lines_meet_the_pipe(
    capsys: pytest.CaptureFixture[str],
) -> None:
    points = '--point "0 L/h=3 m" --point "2000 L/h=2 m" --point "4000 L/h=0 m"'
    found = reckoned(
        capsys, f'working-point {points} --lift "1.99 m" --bore "50 mm" --length "0.1 m"'
    )
    assert found["flow"]["value"] == pytest.approx(2000, rel=0.01)


def test_a_wish_is_answered_with_a_curve_and_every_size(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = reckoned(capsys, f"size {WATER_SUMS['size'].example}")
    assert found["flow"]["value"] == 1800.0
    assert found["speed"]["value"] <= 1.5
    # Half of 10 kPa at a joint 0.3 m up: 5/10.035 + 0.3 m are left of the head, the valve takes the
    # rest at 150 L/h in 12.7 mm (0.329 m/s), by hand.
    speed = 150 / 3.6e6 / (math.pi * 0.0127**2 / 4)
    takes = found["head"]["value"] - 0.3 - 5 / 10.035
    assert found["branch_1_valve_adds"]["value"] == pytest.approx(
        takes * 2 * 9.80665 / speed**2, rel=1e-3
    )


def test_a_top_off_that_gives_nothing_brings_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    line = (
        'blocked-drain --display "0.72 m2" --free-height "2 cm" --return-volume "20 L" '
        '--reservoir "25 L" --flow "2500 L/h" --top-off "0 L/h"'
    )
    found = reckoned(capsys, line)
    assert found["arrives"]["value"] == 20.0
    assert found["hours_to_rim"]["value"] == pytest.approx(14.4 / 2500)


@pytest.mark.parametrize("name", WATER_SUMS)
def test_every_example_works(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert reckoned(capsys, f"{name} {WATER_SUMS[name].example}")


@pytest.mark.parametrize(
    "line",
    [
        'pipe --flow "2000 L/h" --bore "20 mm" --length "1 m" --fitting elbow_91=2',
        'working-point --lift "1 m" --bore "20 mm" --length "1 m"',
        'working-point --lift "1 m" --bore "20 mm" --length "1 m" --point "2000 L/h"',
        'drain-back --flow "1 L/h" --weir "1 m" --display "1 m2" --sump "1 m2" --depth "1 cm" '
        '--rim "2 cm" --pipe "1 m"',
        'top-off --volume "300 L"',
        'top-off --volume "20 L" --evaporation "2 L/day" --until-dry "20 L"',
        'drain-back --flow "1 L/h" --weir "1 m" --display "1 m2" --sump "1 m2" --depth "3 cm" '
        '--rim "2 cm"',
        'drain-back --flow "1 L/h" --weir "1 m" --display "1 m2" --sump "1 m2" --depth "1 cm" '
        '--rim "2 cm" --hole "6 cm" --mouth "2 cm"',
        'working-point --lift "1 m" --bore "20 mm" --length "1 m" --point "0 L/h=1 m" '
        '--point "900 L/h=2 m"',
        'working-point --lift "1 m" --bore "20 mm" --length "1 m" --point "0 L/h=1 m"',
        'pipe --flow "2000 L/h" --bore "20 mm" --length "1 m" --fitting elbow_90=2.5',
        'pipe --flow "2000 L/h" --bore "20 mm" --length "1 m" --fitting elbow_90=-2',
        'size --turnover 5 --volume "300 L" --branch "0 L/h" --lift "1 m" --length "2 m"',
    ],
)
def test_what_can_not_be_read_is_refused_with_a_sentence(
    line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["reckon", *shlex.split(line)]) == 2
    assert "Not done" in capsys.readouterr().err
