"""``plan acclimate`` and ``plan treatment``: dilution by hand, ammonia and pH by other programs."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

import pytest

from tests.conftest import Run

TO = ("--to", "35", "--to-temperature", "25 C", "--to-alkalinity", "8 dKH", "--co2", "420 ppm")


def told(run: Run, *words: str) -> dict[str, Any]:
    outcome = run("plan", "acclimate", *words, "--json")
    assert outcome.status == 0, outcome
    found: dict[str, Any] = outcome.json
    return found


def value(answer: dict[str, Any], name: str) -> float:
    return float(answer["figures"][name]["value"])


def test_from_31_to_34_by_drip_takes_an_hour_and_two_litres(run: Run) -> None:
    # By hand: a quarter is left, so V ln 4 / q = 1.5 x 1.386 / 2 = 1.0397 h and 2.079 L.
    answer = told(run, "--salinity", "31", "--bag", "1.5L", "--flow", "2 L/h", "--until", "34", *TO)
    assert value(answer, "hours") == pytest.approx(1.5 * math.log(4) / 2)
    assert value(answer, "system_water") == pytest.approx(1.5 * math.log(4))
    assert value(answer, "salinity_end") == pytest.approx(34.0)
    assert value(answer, "bag_water_left") == pytest.approx(25.0)


def test_a_bucket_that_only_fills_takes_three_volumes(run: Run) -> None:
    # By hand: to have a quarter left it takes three times the bag's own volume.
    answer = told(
        run, "--salinity", "31", "--bag", "1.5L", "--flow", "2 L/h", "--until", "34", "--fills", *TO
    )
    assert value(answer, "hours") == pytest.approx(2.25)
    assert value(answer, "system_water") == pytest.approx(4.5)


def test_two_halvings_leave_a_quarter(run: Run) -> None:
    answer = told(run, "--salinity", "31", "--until", "34", "--swap", "50 %", *TO)
    assert value(answer, "swaps") == 2
    assert value(answer, "salinity_end") == pytest.approx(34.0)


def test_the_course_is_the_exponential_at_every_stage(run: Run) -> None:
    # S = 35 - 4 exp(-q t / V), by hand.
    answer = told(run, "--salinity", "31", "--bag", "1.5L", "--flow", "2 L/h", "--until", "34", *TO)
    course = next(each for each in answer["courses"] if each["name"] == "salinity")
    begins = datetime.fromisoformat(course["points"][0]["when"])
    for point in course["points"]:
        hours = (datetime.fromisoformat(point["when"]) - begins).total_seconds() / 3600
        expected = 35 - 4 * math.exp(-2 * hours / 1.5)
        # The stages are told to the minute of the reckoning.
        assert point["value"] == pytest.approx(expected, abs=0.02)


def test_a_tested_bag_has_the_toxic_part_of_the_published_constant(run: Run) -> None:
    # Clegg & Whitfield 1995 at 35 PSU, 25 °C and pH 8.0 total: 5.372 % of ammonia is un-ionised.
    # The NBS scale lies 0.1337 above it with this project's constants (0.1365 by PyCO2SYS; 0.005).
    answer = told(
        run, "--salinity", "35", "--ph", "8.1337", "--ammonia", "1 mg/L N", "--alkalinity",
        "8 dKH", *TO,
    )  # fmt: skip
    assert value(answer, "ammonia_unionised_opened") == pytest.approx(0.05372, abs=0.0007)


def test_a_sour_bag_full_of_ammonia_is_no_place_to_drip_in(run: Run) -> None:
    answer = told(run, "--salinity", "31", "--ph", "7.0", "--ammonia", "4 mg/L N", *TO)
    assert answer["headline"].startswith("Don't drip")
    assert value(answer, "ammonia_unionised_aired") > 5 * value(answer, "ammonia_unionised_opened")
    # The slow way instead: swaps of a tub, none of them more than one PSU.
    swaps = [step["text"] for step in answer["steps"] if step["text"].startswith("Swap")]
    assert len(swaps) == 3


def test_water_alike_needs_no_drip(run: Run) -> None:
    answer = told(run, "--salinity", "34.6", *TO)
    assert answer["verdict"] == "nothing"


def test_what_was_breathed_stands_in_for_tests_with_a_range(run: Run) -> None:
    answer = told(run, "--salinity", "31", "--fish", "8g", "--hours", "10", *TO)
    ammonia = answer["figures"]["ammonia_bag"]
    assert 0 < ammonia["low"] < ammonia["value"] < ammonia["high"]
    assert ammonia["high"] / ammonia["low"] > 10
    assert value(answer, "ph_opened") < value(answer, "ph_aired") - 0.3


@pytest.mark.parametrize(
    "words",
    [
        ("--salinity", "31", "--until", "36", *TO),
        ("--salinity", "0.5", *TO),
        ("--salinity", "31", "--flow", "2 L/h", "--drops", "3", *TO),
        ("--salinity", "31", "--hours", "999", "--fish", "3g", *TO),
    ],
)
def test_what_can_t_be_is_refused_in_words(run: Run, words: tuple[str, ...]) -> None:
    outcome = run("plan", "acclimate", *words, "--json")
    assert (outcome.status, outcome.json["error"]["code"]) == (2, "E-BAG")


def test_a_label_comes_to_its_own_amount_for_the_volume(run: Run) -> None:
    # By hand: 5 mL for 100 L in 63 L is 3.15 mL; a change of a quarter takes 0.7875 mL of it along;
    # 0.75^9 = 0.075 is the first under a tenth (0.75^8 = 0.1001).
    answer = run(
        "plan", "treatment", "5 mL per 100 L", "--volume", "63L", "--change", "25 %", "--json"
    ).json
    assert value(answer, "amount") == pytest.approx(3.15)
    assert value(answer, "amount_after_change") == pytest.approx(0.7875)
    assert value(answer, "changes_to_a_tenth") == 9
    assert any(caution["id"] == "medicine" for caution in answer["cautions"])
    assert "vet" in answer["headline"]


def test_without_a_label_there_is_no_arithmetic(run: Run) -> None:
    outcome = run("plan", "treatment", "copper", "--volume", "63L", "--json")
    assert (outcome.status, outcome.json["error"]["code"]) == (2, "E-LABEL")
