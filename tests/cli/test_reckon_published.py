"""Published and worked figures of pipes, air and heat, by the command line, each to its tolerance.

Where a row is of a second program, it is fluids 1.3.1, psychrolib 2.5 or EPANET 2.2.
"""

from __future__ import annotations

import json
import shlex
from typing import Any

import pytest

from brinebook.cli.main import main


def reckoned(capsys: pytest.CaptureFixture[str], line: str) -> dict[str, Any]:
    assert main(["reckon", *shlex.split(line), "--json"]) == 0
    figures: dict[str, Any] = json.loads(capsys.readouterr().out)["figures"]
    return figures


#: Colebrook 1939, Haaland 1983, Swamee & Jain 1976 as fluids solves them: half a unit of the last
#: digit, which is within 1e-6 for Colebrook.
FRICTION = [
    (1e4, 0, 0.0308830, 0.0308862, 0.0309720),
    (5e4, 0, 0.0208914, 0.0207135, 0.0207606),
    (1e5, 0, 0.0179898, 0.0178249, 0.0178626),
    (1e5, 1e-4, 0.0185139, 0.0182651, 0.0184524),
    (1e6, 1e-4, 0.0134414, 0.0133261, 0.0135077),
]


@pytest.mark.parametrize(("reynolds", "rough", "colebrook", "haaland", "swamee"), FRICTION)
def test_friction_factors_are_those_of_a_second_program(  # noqa: PLR0917 - a row of the table
    reynolds: float,
    rough: float,
    colebrook: float,
    haaland: float,
    swamee: float,
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = reckoned(capsys, f"friction --reynolds {reynolds} --relative-roughness {rough}")
    assert found["colebrook"]["value"] == pytest.approx(colebrook, abs=1e-6)
    assert found["haaland"]["value"] == pytest.approx(haaland, abs=1e-6)
    assert found["swamee_jain"]["value"] == pytest.approx(swamee, abs=1e-6)
    assert found["friction_factor"] == found["colebrook"]
    assert found["laminar"] is None


def test_a_slow_flow_has_the_factor_of_the_exact_solution(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = reckoned(capsys, "friction --reynolds 1000")
    assert found["friction_factor"]["value"] == pytest.approx(0.064, abs=1e-9)
    assert found["colebrook"] is None


#: Sum, figure, value, tolerance (relative) and what it rests on.
ROWS = [
    # Water of 20 °C (998.2 kg/m3, 1.002e-3 Pa s): Darcy-Weisbach, 0.2 %. Hazen-Williams was worked
    # there with 10.67 and 4.8704; with EPANET's 10.667 and 4.871 a bore of 21 mm gives 0.21 % more.
    ('pipe --flow "2000 L/h" --bore "20.96 mm" --length "1 m" --viscosity "1.00381e-6 m2/s" '
     "--hazen-williams 150", "head_loss", 0.14550, 0.002),
    ('pipe --flow "2000 L/h" --bore "20.96 mm" --length "1 m" --viscosity "1.00381e-6 m2/s"',
     "reynolds", 33620, 0.001),
    ('pipe --flow "2000 L/h" --bore "20.96 mm" --length "1 m" --hazen-williams 150',
     "head_loss_by_hazen_williams", 0.13956, 0.003),
    ('pipe --flow "2000 L/h" --bore "20.96 mm" --length "1 m" --hazen-williams 140',
     "head_loss_by_hazen_williams", 0.15859, 0.003),
    ('pipe --flow "4000 L/h" --bore "26.64 mm" --length "1 m" --viscosity "1.00381e-6 m2/s"',
     "head_loss", 0.15849, 0.002),
    ('pipe --flow "4000 L/h" --bore "26.64 mm" --length "1 m" --hazen-williams 150',
     "head_loss_by_hazen_williams", 0.15670, 0.003),
    ('pipe --flow "4000 L/h" --bore "40.94 mm" --length "1 m" --viscosity "1.00381e-6 m2/s"',
     "head_loss", 0.020272, 0.002),
    ('pipe --flow "4000 L/h" --bore "40.94 mm" --length "1 m" --hazen-williams 140',
     "head_loss_by_hazen_williams", 0.021962, 0.003),
    # EPANET: 1000 m of 0.3 m at 50 L/s, C 100; roughness 0.26 mm at its own viscosity, 0.1 %.
    ('pipe --flow "180 m3/h" --bore "0.3 m" --length "1000 m" --hazen-williams 100',
     "head_loss_by_hazen_williams", 2.8938, 1e-4),
    ('pipe --flow "180 m3/h" --bore "0.3 m" --length "1000 m" --roughness "0.26 mm" '
     '--viscosity "1.022e-6 m2/s"', "head_loss_by_swamee_jain", 1.7502, 0.001),
    ('pipe --flow "180 m3/h" --bore "0.3 m" --length "1000 m" --roughness "0.26 mm" '
     '--viscosity "1.022e-6 m2/s"', "head_loss", 1.7389, 0.001),
    # A published example: 6 in, 850 ft, 250 US gallons a minute, C 150: 3.711 ft, 0.5 %.
    ('pipe --flow "15000 gph" --bore "6 in" --length "850 ft" --hazen-williams 150',
     "head_loss_by_hazen_williams", 3.711 * 0.3048, 0.005),
    # Crane TP-410: K = n fT; 7 % between editions.
    ('pipe --flow "1 L/h" --bore "20.9 mm" --length "0 m" --fitting elbow_90=1',
     "loss_coefficient", 0.75, 0.07),
    ('pipe --flow "1 L/h" --bore "26.6 mm" --length "0 m" --fitting tee_branch=1',
     "loss_coefficient", 1.38, 0.07),
    ('pipe --flow "1 L/h" --bore "40.9 mm" --length "0 m" --fitting tee_through=1',
     "loss_coefficient", 0.42, 0.07),
    ('pipe --flow "1 L/h" --bore "52.5 mm" --length "0 m" --fitting globe_valve=1',
     "loss_coefficient", 6.5, 0.07),
    ('pipe --flow "1 L/h" --bore "26.6 mm" --length "0 m" --fitting exit=1',
     "loss_coefficient", 1.0, 1e-9),
    ('pipe --flow "1 L/h" --bore "26.6 mm" --length "0 m" --fitting entrance=1',
     "loss_coefficient", 0.5, 1e-9),
    ('widening --small "1 cm" --large "2 cm"', "loss_coefficient", 0.5625, 1e-9),
    # IEC 60534-2-1 as fluids has it, 1e-5.
    ('valve --cv 1 --bore "20 mm"', "kv", 0.864978, 1e-5),
    ('valve --cv 10 --bore "50 mm"', "by_cv", 133.657, 1e-5),
    ('valve --kv "2.312 m3/h" --bore "15 mm"', "by_kv", 15.1534, 1e-5),
    # Full-width weirs, 1 m with 0.2 m over 0.5 m, and 0.3 m with 0.02 m: m3/s and L/s.
    ('weir --length "1 m" --head "0.2 m" --below "0.5 m"', "flow", 0.16457 * 3.6e6, 1e-4),
    ('weir --length "1 m" --head "0.2 m" --below "0.5 m"', "flow_by_kindsvater_carter",
     0.16798 * 3.6e6, 1e-4),
    ('weir --length "1 m" --head "0.2 m" --below "0.5 m"', "flow_by_rehbock", 0.16934 * 3.6e6,
     1e-4),
    ('weir --length "1 m" --head "0.2 m" --below "0.5 m"', "flow_by_ackers", 0.16871 * 3.6e6,
     1e-4),
    ('weir --length "0.3 m" --head "0.02 m" --below "0.3 m"', "flow", 1.5613 * 3600, 1e-4),
    ('weir --length "0.3 m" --head "0.02 m" --below "0.3 m"', "flow_by_kindsvater_carter",
     1.6307 * 3600, 1e-4),
    ('weir --length "0.3 m" --head "0.02 m" --below "0.3 m"', "flow_by_rehbock", 1.6670 * 3600,
     1e-4),
    ('weir --length "0.3 m" --head "0.02 m" --below "0.3 m"', "flow_by_ackers", 1.6286 * 3600,
     1e-4),
    ('notch --head "0.05 m"', "flow", 0.7632 * 3600, 1e-3),
    ('notch --head "0.10 m"', "flow", 4.317 * 3600, 1e-3),
    ('hole --bore "25 mm" --head "0.3 m"', "flow", 2614.8, 1e-3),
    # A siphon's limit at 25 °C and 35 PSU, and a metre of that water.
    ("siphon", "highest", 9.78, 0.001),
    ("siphon", "pressure_a_metre", 10.035, 1e-4),
    ("siphon", "density", 1023.5, 0.01),
    # ASHRAE Handbook 2017, chapter 1, tables 2 and 3 (0.03 % and 0.5 %), example 1, and psychrolib.
    ('air --room "5 C" --humidity "50 %"', "saturation_pressure", 872.6, 3e-4),
    ('air --room "25 C" --humidity "50 %"', "saturation_pressure", 3169.7, 3e-4),
    ('air --room "50 C" --humidity "50 %"', "saturation_pressure", 12351.3, 3e-4),
    ('air --room "20 C" --humidity "50 %"', "saturation_pressure", 2338.8, 5e-4),
    ('air --room "22 C" --humidity "50 %"', "saturation_pressure", 2644.8, 5e-4),
    ('air --room "24 C" --humidity "50 %"', "saturation_pressure", 2985.1, 5e-4),
    ('air --room "26 C" --humidity "50 %"', "saturation_pressure", 3363.1, 5e-4),
    ('air --room "28 C" --humidity "50 %"', "saturation_pressure", 3782.2, 5e-4),
    ('air --room "5 C" --humidity "50 %"', "ratio_at_saturation", 0.005425, 0.01),
    ('air --room "25 C" --humidity "50 %"', "ratio_at_saturation", 0.020173, 0.01),
    ('air --room "50 C" --humidity "50 %"', "ratio_at_saturation", 0.086863, 0.01),
    ('air --room "25 C" --humidity "50 %"', "ratio", 0.009881, 1e-3),
    ('air --room "25 C" --humidity "50 %"', "dew_point", 13.864, 1e-3),
    ('air --room "25 C" --humidity "50 %"', "wet_bulb", 17.889, 1e-3),
    ('air --room "25 C" --humidity "50 %"', "enthalpy", 50.32, 1e-3),
    ('air --room "25 C" --humidity "50 %"', "volume", 0.85804, 1e-3),
    ('air --room "25 C" --humidity "50 %"', "vapour", 11.516, 1e-3),
    ('air --room "24 C" --humidity "60 %"', "ratio", 0.011192, 1e-3),
    ('air --room "24 C" --humidity "60 %"', "dew_point", 15.763, 1e-3),
    ('air --room "24 C" --humidity "60 %"', "wet_bulb", 18.605, 1e-3),
    ('air --room "24 C" --humidity "60 %"', "vapour", 13.060, 1e-3),
    ('air --room "40 C" --wet-bulb "20 C"', "enthalpy", 56.7, 0.002),
    ('air --room "40 C" --wet-bulb "20 C"', "volume", 0.896, 0.01),
    # The standard atmosphere at three heights, 1 Pa.
    ('air --room "20 C" --humidity "50 %" --altitude "0 m"', "pressure", 101325, 1e-5),
    ('air --room "20 C" --humidity "50 %" --altitude "500 m"', "pressure", 95461, 1e-5),
    ('air --room "20 C" --humidity "50 %" --altitude "1000 m"', "pressure", 89875, 1e-5),
    # Still water by Carrier 1918: pure water and seawater, 0.2 %.
    ('evaporation --display "1 m2" --air-speed "0 m/s" --room "22 C" --humidity "50 %" '
     "--salinity 0", "evaporation", 5.816, 0.002),
    ('evaporation --display "1 m2" --air-speed "0 m/s" --room "22 C" --humidity "50 %" '
     "--salinity 0", "heat", 164.4, 0.002),
    ('evaporation --display "1 m2" --air-speed "0 m/s" --water "26 C" --room "24 C" '
     '--humidity "50 %" --salinity 0', "evaporation", 5.897, 0.002),
    ('evaporation --display "1 m2" --air-speed "0 m/s" --room "22 C" --humidity "50 %"',
     "evaporation", 5.631, 0.002),
    # Latent heat of pure water by IAPWS-95, 0.1 kJ/kg.
    ('evaporation --display "1 m2" --water "20 C" --room "22 C" --humidity "50 %"',
     "latent_heat_of_pure_water", 2453.5, 4e-5),
    ('evaporation --display "1 m2" --water "25 C" --room "22 C" --humidity "50 %"',
     "latent_heat_of_pure_water", 2441.7, 4e-5),
    ('evaporation --display "1 m2" --water "26 C" --room "22 C" --humidity "50 %"',
     "latent_heat_of_pure_water", 2439.3, 4e-5),
    ('evaporation --display "1 m2" --water "28 C" --room "22 C" --humidity "50 %"',
     "latent_heat_of_pure_water", 2434.6, 4e-5),
    # ISO 6946 with glass of 1.0 W/m/K: 1/(0.13 + 0.010).
    ('wall --thickness "10 mm"', "transmittance", 7.143, 1e-4),
    ('wall --thickness "10 mm" --material acrylic', "transmittance", 1 / 0.18, 1e-9),
    ('wall --thickness "10 mm" --facing up', "transmittance", 1 / 0.11, 1e-9),
    # 400 L of seawater behind 2.5 m2 of 7.0 W/m2/K: m cp/(UA), 0.1 %.
    ('heat --volume "400 L" --loss "17.5 W/K" --display "0 m2" --room "21 C" --humidity "40 %"',
     "time_constant", 25.98, 0.001),
    # NEC articles 100 and 210: 80 % of a breaker for three hours and more.
    ('circuit --volts "120 V" --breaker "15 A" --load "all=1440 W"', "limit", 12, 1e-9),
    ('circuit --volts "120 V" --breaker "20 A" --load "all=1920 W"', "limit", 16, 1e-9),
    ('circuit --volts "120 V" --breaker "20 A" --load "all=1920 W"', "share_of_limit", 100, 1e-9),
    # Re-aeration: C_eq = C_s - D/(kV), by hand with 300 L, 60 L/h and 337.5 mg/h.
    ('dark --volume "300 L" --demand "337.5 mg/h" --exchange "60 L/h"', "ends_at",
     6.771 - 337.5 / 60, 0.002),
    # Worked: 2 h 10 min to 4 mg/L and so on, the answer of the balance itself.
    ('dark --volume "300 L" --demand "200 mg/h"', "hours_to_4_middle", 3.6, 0.02),
    ('dark --volume "300 L" --demand "450 mg/h"', "hours_to_2_middle", 3.0, 0.02),
    # Nothing but the fish, 150 g at 250 mg/kg/h: V (C0-C)/D = 300 (0.95 x 6.771 - 2)/37.5 by hand.
    ('dark --volume "300 L" --fish "150 g" --others "0 mg/h"', "hours_to_2_middle", 35.46, 0.001),
]  # fmt: skip


@pytest.mark.parametrize(("line", "name", "expected", "tolerance"), ROWS)
def test_a_printed_figure_comes_out(
    line: str, name: str, expected: float, tolerance: float, capsys: pytest.CaptureFixture[str]
) -> None:
    assert reckoned(capsys, line)[name]["value"] == pytest.approx(expected, rel=tolerance)


def test_the_handbooks_example_of_a_wet_thermometer(capsys: pytest.CaptureFixture[str]) -> None:
    # ASHRAE 2017, chapter 1, example 1, read off a chart: W 0.0065, dew point 7, 14 %.
    found = reckoned(capsys, 'air --room "40 C" --wet-bulb "20 C"')
    assert found["ratio"]["value"] == pytest.approx(0.0065, abs=0.0001)
    assert found["dew_point"]["value"] == pytest.approx(7, abs=0.5)
    assert found["humidity"]["value"] == pytest.approx(14, abs=1)


@pytest.mark.parametrize(
    "line",
    ['weir --length "1 m"', 'air --room "20 C"', 'air --room "20 C" --wet-bulb "22 C"',
     'wall --thickness "1 cm" --material straw', 'wall --thickness "1 cm" --facing west'],
)  # fmt: skip
def test_what_can_not_be_reckoned_is_refused(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reckon", *shlex.split(line)]) == 2
    assert "Not done" in capsys.readouterr().err
