"""Drills as pages list and unfold them, kept for a description, and wishes told in words."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

import pytest

from brinebook.book.description import read_description
from brinebook.cli.main import main
from brinebook.desk.drill import Drilled, DrillUnknown, drilled
from brinebook.desk.drill_page import change_rows, harmed, unfolded
from brinebook.desk.rig import asked_of
from brinebook.desk.rig_shelf import Rigs
from brinebook.desk.rig_sizing import WishUnreadable, sized, wish_fields, wish_of
from brinebook.desk.rig_why import why
from brinebook.desk.shelf import Shelf

DEMO = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
NOW = datetime(2026, 1, 15, tzinfo=UTC)


def _drilled(text: str = DEMO) -> Drilled:
    return drilled(asked_of(read_description(text).system, at=NOW))


def test_the_list_is_worst_first_and_holds_every_drill_once() -> None:
    found = _drilled()
    groups = harmed(found)
    assert [one.harm for one in groups] == sorted({one.harm for one in found.drills}, reverse=True)
    rows = [row for one in groups for row in one.rows]
    told = [name for row in rows for name in (row.id, *(other for other, _ in row.alike))]
    assert sorted(told) == sorted(one.id for one in found.drills)
    assert sum(one.count for one in groups) == len(found.drills)
    assert groups[0].words == "Losses (of animals, or a floor under water)"


def test_drills_of_one_kind_that_come_to_the_same_words_stand_in_one_line() -> None:
    # Two heaters of one power in one sump: what one does when it sticks, the other does too.
    twin = DEMO.replace(
        "[[heat.heaters]]", '[[heat.heaters]]\nname = "twin"\npower = "300 W"\n\n[[heat.heaters]]'
    )
    rows = [row for one in harmed(_drilled(twin)) for row in one.rows]
    kinds = [row.id for row in rows if row.id.startswith("heater-stuck-on/")]
    assert len(kinds) == 1
    stuck = next(row for row in rows if row.id == kinds[0])
    assert len(stuck.alike) == 1
    assert stuck.alike_words == "and 1 more like it"


def test_changes_are_cheap_ones_and_name_the_drills_that_they_help() -> None:
    found = _drilled()
    rows = change_rows(found)
    ids = {one.id for one in found.drills}
    assert rows
    assert all("machine" not in row.words for row in rows)
    assert all({helped for helped, _ in row.drills} <= ids for row in rows)


def test_a_drill_unfolds_with_its_course_as_figure_and_table() -> None:
    one = unfolded(_drilled(), "heater-stuck-on/heater")
    (course,) = one.courses
    assert (course.name, course.unit, course.limit) == ("Temperature", "°C", "28.5")
    assert [row.hour for row in course.rows] == ["0", "1", "2", "4", "8", "12", "24", "48"]
    assert course.figure.line.count(",") == 49
    assert {caution.id for caution in one.cautions} >= {"mains"}
    assert one.warns
    assert one.remedies


def test_a_drill_reads_in_the_keepers_degrees_and_its_own_chance() -> None:
    text = DEMO.replace('temperature = "C"', 'temperature = "F"') + (
        '\n[drills.chances]\n"heater-stuck-on" = "2 %"\n'
    )
    one = unfolded(_drilled(text), "heater-stuck-on/heater")
    assert one.courses[0].unit == "°F"
    assert one.courses[0].limit == "83.3"  # 28.5 °C
    assert "°C" not in one.told
    assert one.chance == "2.0 %"


def test_an_unknown_drill_is_said() -> None:
    with pytest.raises(DrillUnknown):
        unfolded(_drilled(), "heater-stuck-on/other")


def test_what_a_part_rests_on_names_sources_defaults_and_what_is_missing() -> None:
    text = DEMO.replace('power = "52 W"\n', "")
    asked = asked_of(read_description(text).system, at=NOW)
    found = why(asked, "heat")
    assert {"iso2017", "carrier1918"} <= {one.key for one in found.sources}
    assert "heat.lamps[lamp].heat_to_water" in {one.where for one in found.assumed}
    assert "pumps[return pump].power" in {one.where for one in found.missing}
    assert not any(one.where.startswith("floor") for one in found.assumed)


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """A book that describes the demo's rig, at hand."""
    system, book = tmp_path / "system.toml", str(tmp_path / "reef.book")
    system.write_text(DEMO, encoding="utf-8")
    assert main(["--book", book, "new", "--system", str(system)]) == 0
    return Shelf(book, now=lambda: NOW)


def test_drills_are_worked_out_once_for_a_description(shelf: Shelf) -> None:
    rigs, row = Rigs(shelf), shelf.systems()[0]
    shelf.standing(row, wait=60)
    assert rigs.drilled(row, wait=0.0) is None
    first = rigs.drilled(row, wait=60)
    assert first is not None
    assert rigs.drilled(row, wait=0.0) is first
    other = read_description(DEMO.replace('mouth = "70 mm"', 'mouth = "20 mm"')).system
    changed = rigs.drilled(row, wait=60, system=other, text="other")
    assert changed is not None
    assert changed is not first
    assert rigs.lines(row, "flows") is rigs.lines(row, "flows")
    rigs.close()
    shelf.close()


def test_a_wish_is_filled_in_from_the_rig_and_answered_in_words() -> None:
    asked = asked_of(read_description(DEMO).system, at=NOW)
    given = wish_of(asked)
    assert given["branch"] == "130"  # the reactor wants 100 to 160
    assert given["pressure-limit"] == "15"
    # From the description's heights: display 88 + 53 cm, sump 6 + 19 cm.
    assert float(given["lift"]) == pytest.approx(1.16)
    assert {one.name for one in wish_fields(asked, {})} >= {"turnover", "joint-height"}
    found = sized(given | {"turnover": "5"})
    assert "has to move" in found.told[0]
    assert len(found.sizes) == 6
    assert {one.id for one in found.cautions} == {"mains", "glass"}
    # The wish's own example: 5 times 300 L and two branches of 150 L/h are 1800 L/h.
    words = sized({"turnover": "5", "volume": "300", "branch": "150; 150", "lift": "1.35",
                   "length": "2.2", "pressure-limit": "10"}).told  # fmt: skip
    assert "1800 L/h" in words[0]
    assert any("valve before each branch" in one for one in words)


@pytest.mark.parametrize("typed", [{"turnover": "5"}, {"turnover": "x", "volume": "1", "lift": "1",
                                                       "length": "1"}])  # fmt: skip
def test_half_a_wish_is_refused_in_words(typed: dict[str, str]) -> None:
    with pytest.raises(WishUnreadable) as caught:
        sized(typed)
    assert "--" not in caught.value.message
