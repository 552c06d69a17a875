"""Heat through glass, pipes and surfaces, against standards, a textbook and a public library."""

from __future__ import annotations

import pytest
from ht import Nu_horizontal_cylinder_Churchill_Chu, Nu_vertical_plate_Churchill

from brinebook.lifesupport.walls import (
    CONDUCTIVITY,
    FILM_SIDEWAYS,
    nusselt_cylinder_churchill_chu_1975,
    nusselt_plate_churchill_chu_1975,
    pipe_conductance,
    radiation_coefficient,
    rayleigh_number,
    transmittance_iso_2017,
)


def test_ten_millimetres_of_glass_let_seven_watts_through() -> None:
    # ISO 6946: 1/(0.13 + 0.010/1.0) = 7.143 W/m2/K (arithmetic); half a unit of the last digit.
    glass = transmittance_iso_2017(0.010, CONDUCTIVITY["glass"], film=FILM_SIDEWAYS)
    assert glass == pytest.approx(7.143, abs=0.0005)


def test_acrylic_and_foam_keep_more() -> None:
    # 1/(0.13 + 0.010/0.20) = 5.556; with 20 mm of foam 1/(0.13 + 0.010/1.0 + 0.020/0.030) = 1.240.
    acrylic = transmittance_iso_2017(0.010, CONDUCTIVITY["acrylic"], film=FILM_SIDEWAYS)
    assert acrylic == pytest.approx(5.556, abs=0.0005)
    foamed = transmittance_iso_2017(
        0.010, CONDUCTIVITY["glass"], film=FILM_SIDEWAYS, insulation=0.020 / CONDUCTIVITY["foam"]
    )
    assert foamed == pytest.approx(1.240, abs=0.0005)


def test_the_standing_plate_of_a_textbook_has_its_nusselt_number() -> None:
    # Incropera & DeWitt, example 9.2: a glass fire screen of 0.71 m, Pr 0.69, Gr 2.63e9: Nu 147.
    # 147.16 by the equation at these inputs (ht 1.2.0); 0.1.
    assert nusselt_plate_churchill_chu_1975(0.69 * 2.63e9, 0.69) == pytest.approx(147.16, abs=0.1)


@pytest.mark.parametrize("rayleigh", [1e3, 1e5, 1e7, 1e9])
def test_plate_and_cylinder_agree_with_a_public_library(rayleigh: float) -> None:
    # ht 1.2.0 (MIT), the same two papers in another hand; 1e-9.
    plate = Nu_vertical_plate_Churchill(0.71, rayleigh / 0.71)
    cylinder = Nu_horizontal_cylinder_Churchill_Chu(0.71, rayleigh / 0.71)
    assert nusselt_plate_churchill_chu_1975(rayleigh, 0.71) == pytest.approx(plate, rel=1e-9)
    assert nusselt_cylinder_churchill_chu_1975(rayleigh, 0.71) == pytest.approx(cylinder, rel=1e-9)


def test_convection_and_radiation_add_up_to_the_standards_film() -> None:
    # ISO 6946 has 1/0.13 = 7.69 W/m2/K for an indoor wall. A pane of 0.6 m that is 4 K warmer than
    # its room, by the paper of 1975 and radiation: two ways to one number; 10 %.
    rayleigh = rayleigh_number(0.6, warmer_by=4.0, air_temperature=21.0)
    convection = nusselt_plate_churchill_chu_1975(rayleigh, 0.71) * 0.0261 / 0.6
    assert convection + radiation_coefficient(25.0, 21.0) == pytest.approx(1 / 0.13, rel=0.1)


def test_a_metre_of_pipe_loses_about_a_watt_for_a_kelvin() -> None:
    # By hand for 26.6 mm bore, 3.4 mm wall, 25 °C in 21 °C air: outside 33.4 mm, Ra 1.44e4,
    # Nu 4.8 -> 3.8 W/m2/K, radiation 5.3: 0.95 W/m/K through the film,
    # and a wall of 4.7 W/m/K in series: 0.79. 10 %, for the readings by hand.
    per_metre = pipe_conductance(0.0266, 0.0034, water_temperature=25.0, air_temperature=21.0)
    assert per_metre == pytest.approx(0.79, rel=0.1)
