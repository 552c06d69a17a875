"""Temperatures of the rig in the keeper's own unit."""

from __future__ import annotations

import pytest

from brinebook.desk.rig_degrees import course_in_keepers_unit, in_keepers_degrees
from brinebook.lifesupport.drill import DrillCourse, DrillPoint
from brinebook.system import System

AMERICAN, EUROPEAN = System("x", units={"temperature": "F"}), System("x")


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ("25.0 °C in a room of 21 °C and 40 %.", "77.0 °F in a room of 70 °F and 40 %."),
        ("it ends at 27.6 °C (24.0 to 31.0);", "it ends at 81.7 °F (75.2 to 87.8);"),
        ("in a room of 21 to 29 °C.", "in a room of 70 to 84 °F."),
        ("settle at 21.0 °C (19.9 to 21.9) instead of 17.9.",
         "settle at 69.8 °F (67.8 to 71.4) instead of 64.2."),
        ("outdoors −5 °C", "outdoors 23 °F"),
        ("takes 216 W (130 to 370)", "takes 216 W (130 to 370)"),
    ],
)  # fmt: skip
def test_every_temperature_is_turned_and_nothing_else(told: str, expected: str) -> None:
    # °F = 1.8 °C + 32 (definition), at as many decimals as before.
    assert list(in_keepers_degrees([told], AMERICAN)) == [expected]
    assert list(in_keepers_degrees([told], EUROPEAN)) == [told]


def test_a_course_of_temperature_is_turned_with_its_limit() -> None:
    course = DrillCourse("temperature", "C", (DrillPoint(0.0, 25.0, 24.0, 26.0),), 28.5)
    turned = course_in_keepers_unit(course, AMERICAN)
    assert turned.unit == "F"
    (at,) = turned.points
    assert (at.value, at.low, at.high) == pytest.approx((77.0, 75.2, 78.8))
    assert turned.limit == pytest.approx(83.3)
    assert course_in_keepers_unit(course, EUROPEAN) is course
    oxygen = DrillCourse("oxygen", "mg/L", course.points)
    assert course_in_keepers_unit(oxygen, AMERICAN) is oxygen


def test_a_course_of_alkalinity_is_told_in_the_keepers_degrees_of_hardness() -> None:
    # 1 meq/L is 2.80385 dKH.
    course = DrillCourse("alkalinity", "meq/L", (DrillPoint(0.0, 3.0, 2.9, 3.1),), 3.2)
    turned = course_in_keepers_unit(course, System("x", units={"alkalinity": "dKH"}))
    assert turned.unit == "dKH"
    assert turned.points[0].value == pytest.approx(3.0 * 2.80385, rel=1e-5)
    assert turned.limit == pytest.approx(3.2 * 2.80385, rel=1e-5)
