"""The sheet of one quantity closes to the last digit."""

from __future__ import annotations

import math
import random
from datetime import UTC, datetime, timedelta

import pytest

from brinebook.balance.sheet import Sheet, sheet
from brinebook.measure import Measure
from brinebook.system import Additive, Mix, System
from brinebook.timeline import Fact

START = datetime(2025, 3, 1, 9, tzinfo=UTC)
REEF = System(
    name="a reef",
    net_volume=Measure(250.0, 10.0, "L"),
    additives=(Additive("carbonate", salt="NaHCO3", grams_per_litre=80.0),),
    mixes=(Mix("salt", composition={"alkalinity": 3.2}),),
)


def facts() -> list[Fact]:
    noise = random.Random(9)
    found = [Fact("d", START, "dosing", "carbonate", "40", "mL/day")]
    for day in range(60):
        when = START + timedelta(days=day)
        if day % 3 == 0:
            value = f"{2.8 + noise.gauss(0, 0.05):.3f}"
            found.append(Fact(f"t{day}", when, "test", "alkalinity", value, "meq/L"))
        if day % 7 == 5:
            found.append(Fact(f"c{day}", when, "water_change", "salt", "10", "%"))
        if day % 20 == 10:
            found.append(Fact(f"p{day}", when, "dose", "NaHCO3", "5", "g"))
    return found


def made(begin: int, end: int) -> Sheet:
    found, _ = sheet(
        REEF,
        facts(),
        "alkalinity",
        begins=START + timedelta(days=begin),
        ends=START + timedelta(days=end),
        at=START + timedelta(days=60),
    )
    assert found is not None
    return found


@pytest.mark.parametrize(("begin", "end"), [(5, 50), (20, 27), (30, 59)])
def test_opening_and_all_lines_and_the_remainder_make_the_closing(begin: int, end: int) -> None:
    page = made(begin, end)
    total = math.fsum(
        [page.opening.value, *(line.change for line in page.lines), page.remainder.value]
    )
    assert abs(total - page.closing.value) < 1e-9
    assert abs(total - page.closing.value) * page.litres < 1e-9


def test_the_dosing_line_is_what_the_settings_brought() -> None:
    page = made(20, 40)
    dosed = {line.name: line.change for line in page.lines}["carbonate"]
    # 40 mL of 80 g/L is 3.2 g a day at 11.904 meq/g (from atomic weights), in the net volume
    assert dosed * page.litres == pytest.approx(20 * 3.2 * 11.904, rel=1e-3)


def test_the_remainder_is_small_beside_its_doubt_in_a_book_that_leaves_nothing_out() -> None:
    page = made(5, 55)
    assert abs(page.remainder.value) < 1.5 * page.remainder.sd
