"""``brinebook reckon`` at the command line: worked cases, one by one, and its refusals."""

from __future__ import annotations

import json
import shlex
from typing import Any

import pytest

from brinebook.cli.main import main
from brinebook.cli.reckon import SUMS
from brinebook.desk.reckon_air import AIR_SUMS
from brinebook.desk.reckon_dose import DOSE_SUMS
from brinebook.desk.reckon_heat import HEAT_SUMS
from brinebook.desk.reckon_power import POWER_SUMS
from brinebook.desk.reckon_water import WATER_SUMS

REEF = '--display "0.72 m2" --sump "0.32 m2"'
HEAT = f'heat --volume "300 L" --loss "13.3 W/K" {REEF} --gains "45 W"'
STAND = 'stand --volume "300 L" --stand "23 C" --surface "0.32 m2" --room "21 C" --humidity "45 %"'
DARK = 'dark --volume "300 L" --limit 4 --limit 2'


def reckoned(capsys: pytest.CaptureFixture[str], line: str) -> dict[str, Any]:
    assert main(["reckon", *shlex.split(line), "--json"]) == 0
    captured = capsys.readouterr()
    assert captured.err == ""
    figures: dict[str, Any] = json.loads(captured.out)["figures"]
    return figures


#: Worked by hand from the stated formula and inputs; the tolerance is that of the case.
WORKED = [
    (f'evaporation {REEF} --room "26 C" --humidity "60 %"', "evaporation", 3.80, 0.005),
    (f'evaporation {REEF} --room "22 C" --humidity "50 %"', "evaporation", 6.22, 0.005),
    (f'evaporation {REEF} --room "22 C" --humidity "28 %"', "evaporation", 8.24, 0.005),
    (f'evaporation {REEF} --room "22 C" --humidity "28 %"', "heat", 233, 0.005),
    (f'evaporation {REEF} --room "22 C" --humidity "50 %" --factor 0.74', "evaporation", 4.60,
     0.005),
    (f'{HEAT} --room "21 C" --humidity "40 %"', "needed", 216, 0.01),
    (f'{HEAT} --room "16 C" --humidity "50 %"', "needed", 291, 0.01),
    (f'{HEAT} --room "21 C" --humidity "40 %" --open "25 %"', "needed", 60, 0.01),
    (f'{STAND} --leak "0 L/h" --fan "2 m3/h"', "mean_humidity", 92, 0.02),
    (f'{STAND} --leak "0 L/h" --fan "10 m3/h"', "mean_humidity", 65, 0.02),
    (STAND, "flow_for_limit", 5650, 0.02),
    (f'{STAND} --wall "18 C"', "flow_for_dry_wall", 6200, 0.02),
    (f'{STAND} --fan "40 m3/h" --on "900 s" --off "6300 s"', "mean_humidity", 93, 0.03),
    (f'{STAND} --fan "40 m3/h" --on "15 s" --off "105 s"', "highest_humidity", 84, 0.03),
    (f'{DARK} --fish "150 g" --others "300 mg/h"', "hours_to_4_middle", 2.162, 0.01),
    (f'{DARK} --demand "100 mg/h"', "hours_to_2_middle", 13.30, 0.01),
    ('circuit --volts "120 V" --breaker "15 A" --load "heaters=500 W" --load "rest=341 W@0.6"',
     "current", 8.9, 0.005),
    ('circuit --volts "120 V" --breaker "15 A" --load "all=841 W" --winter "room=1500 W"',
     "winter_current_at_power_factor_1", 19.5, 0.005),
    ('floor --water-volume "325 L" --mass "rock=40 kg" --mass "sand=20 kg" --mass "glass=86 kg" '
     '--mass "stand=60 kg" --mass "sump=18 kg" --mass "gear=25 kg" --length "1.2 m" '
     '--width "0.6 m"', "pressure", 7.93, 0.01),
    ('heat --volume "400 L" --loss "17.5 W/K" --display "0 m2" --room "21 C" --humidity "40 %"',
     "time_constant", 25.98, 0.001),
    ('doser --volume "300 L" --salt NaHCO3 --grams-per-litre 80 --container "1 L"',
     "alkalinity_rise_dkh", 8.90, 0.0006),
    ('doser --volume "300 L" --salt NaHCO3 --grams-per-litre 80 --container "1 L" '
     '--rise "1.4 dKH"', "most_to_fill_in", 157, 0.003),
    ('dark --volume "300 L" --demand "337.5 mg/h" --exchange "60 L/h" --after "6 h"',
     "oxygen_after_6_h_middle", 2.738, 0.001),
    ('battery --battery "84 Wh" --usable "50 %" --load "4 W"', "hours", 10.5, 1e-9),
]  # fmt: skip


@pytest.mark.parametrize(("line", "name", "expected", "tolerance"), WORKED)
def test_a_worked_case_comes_out(
    capsys: pytest.CaptureFixture[str], line: str, name: str, expected: float, tolerance: float
) -> None:
    figures = reckoned(capsys, line)
    assert figures[name]["value"] == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize(
    ("heater", "ends_at"), [("150 W", 22.8), ("300 W", 27.6), ("500 W", 33.0), ("0 W", 17.4)]
)
def test_a_stuck_heater_ends_where_it_was_worked_out(
    capsys: pytest.CaptureFixture[str], heater: str, ends_at: float
) -> None:
    # Worked for an open top in a room of 21 °C and 40 %; 0.1 K.
    line = f'{HEAT} --room "21 C" --humidity "40 %" --heater "{heater}" --until "28 C"'
    figures = reckoned(capsys, line)
    assert figures["stuck_on_ends_at"]["value"] == pytest.approx(ends_at, abs=0.1)
    if heater == "500 W":
        assert figures["stuck_on_reaches_until"]["value"] == pytest.approx(4.4, abs=0.1)
    if heater == "150 W":
        assert figures["stuck_on_reaches_until"] is None


def test_swapped_water_and_ice_cool_as_worked(capsys: pytest.CaptureFixture[str]) -> None:
    swap = reckoned(capsys, 'swap --volume "300 L" --added "45 L" --added-temperature "18 C"')
    assert swap["temperature"]["value"] == pytest.approx(23.95, abs=0.01)
    ice = reckoned(capsys, 'ice --volume "300 L" --water "26 C" --ice "2 kg"')
    # Common practice: two litres of ice, about 0.7 K in 300 L.
    assert ice["change"]["value"] == pytest.approx(-0.75, abs=0.1)


def test_a_bottle_of_gas_in_a_shut_room_is_near_a_danger_to_life(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # 2 kg / 44.009 g/mol x 24.055 L/mol = 1093 L in 30 m3: 3.64 % (ideal gas at 20 °C, arithmetic).
    figures = reckoned(capsys, 'gas --gas "2 kg" --space "30 m3"')
    assert figures["share"]["value"] == pytest.approx(3.644, abs=0.001)


def test_in_a_muggy_room_no_flow_holds_the_limit(capsys: pytest.CaptureFixture[str]) -> None:
    line = STAND.replace('"21 C"', '"24 C"').replace('"45 %"', '"80 %"')
    assert reckoned(capsys, line)["flow_for_limit"] is None


@pytest.mark.parametrize("name", SUMS)
def test_the_example_of_every_sum_works(capsys: pytest.CaptureFixture[str], name: str) -> None:
    asked = {**WATER_SUMS, **HEAT_SUMS, **AIR_SUMS, **POWER_SUMS, **DOSE_SUMS}[name]
    assert main(["reckon", name, *shlex.split(asked.example)]) == 0
    assert capsys.readouterr().out.strip() != ""


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("nonsense", "E-RECKON-UNKNOWN"),
        ('heat --volume "300 L"', "E-RECKON-MISSING"),
        (f'{HEAT} --room "21 C" --humidity "140 %"', "E-RECKON-AMOUNT"),
        (f'{HEAT.replace("13.3 W/K", "13.3")} --room "21 C" --humidity "40 %"', "E-RECKON-AMOUNT"),
        (
            f'{HEAT.replace("13.3 W/K", "1e9 W/K")} --room "21 C" --humidity "40 %"',
            "E-RECKON-AMOUNT",
        ),
        ('circuit --volts "230 V" --breaker "16 A" --load "pump=-45 W"', "E-RECKON-AMOUNT"),
        ('circuit --volts "230 V" --breaker "16 A" --load "pump=45 W@0"', "E-RECKON-AMOUNT"),
        ('circuit --volts "230 V" --breaker "16 A" --load "pump=45 W@2"', "E-RECKON-AMOUNT"),
        ('electricity --part "pump=45 W@30 h"', "E-RECKON-AMOUNT"),
        ('swap --volume "20 L" --added "30 L" --added-temperature "20 C"', "E-RECKON-AMOUNT"),
        ('floor --mass "rock=-40 kg" --length "1 m" --width "1 m"', "E-RECKON-AMOUNT"),
        (f'{DARK} --demand "300 mg/h" --limit "-4"', "E-RECKON-AMOUNT"),
        (
            'doser --volume "300 L" --salt NaHCO3 --grams-per-litre 0 --container "1 L"',
            "E-RECKON-AMOUNT",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_its_option(
    capsys: pytest.CaptureFixture[str], line: str, code: str
) -> None:
    assert main(["reckon", *shlex.split(line), "--json"]) == 2
    captured = capsys.readouterr()
    assert json.loads(captured.out)["error"]["code"] == code


def test_a_refused_figure_is_told_its_range_with_the_unit(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["reckon", *shlex.split(f'{STAND} --fan "9 m3/h" --on "48 h"')]) == 2
    assert "is not from 0 s to 86400 s" in capsys.readouterr().err


def test_long_rests_of_a_fan_leave_the_stand_as_it_settles(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # Half a day on, half a day off: the mean of the two settled states, each told by itself.
    fan = f'{STAND} --leak "3 m3/h" --fan "40 m3/h"'
    run = reckoned(capsys, fan)
    cycled = reckoned(capsys, f'{fan} --on "43200 s" --off "43200 s"')
    settled = (run["mean_humidity"]["value"] + run["humidity_fan_off"]["value"]) / 2
    assert cycled["mean_humidity"]["value"] == pytest.approx(settled, rel=0.005)
    assert cycled["highest_humidity"] == pytest.approx(run["humidity_fan_off"])
    none = reckoned(capsys, f'{STAND.replace("0.32", "0")} --leak "0 L/h" --fan "9 m3/h" '
                    '--on "1 min" --off "1 min"')  # fmt: skip
    assert none["mean_humidity"] == pytest.approx(none["lowest_humidity"])


def test_more_vapour_than_such_air_can_hold_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    line = 'flat --vapour "600 L/day" --flat "50 m3" --room "21 C" --humidity "45 %"'
    assert reckoned(capsys, line)["humidity_without"]["value"] == 0.0
    assert main(["reckon", *shlex.split(line)]) == 0
    assert "more air passes" in capsys.readouterr().out


def test_what_was_left_out_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reckon", *shlex.split(STAND), "--json"]) == 0
    assumed = json.loads(capsys.readouterr().out)["assumed"]
    assert assumed["leak"] == "0.5 m3/h"
    assert assumed["water"] == "25 C"


def test_cautions_stand_before_the_figures(capsys: pytest.CaptureFixture[str]) -> None:
    line = 'floor --water-volume "300 L" --length "1 m" --width "0.5 m"'
    assert main(["reckon", *shlex.split(line)]) == 0
    out = capsys.readouterr().out
    assert out.index("not an approval of your floor") < out.index("pressure")
