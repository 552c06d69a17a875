"""One figure tried: the drills of both descriptions side by side, and nothing written."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files

import pytest

from brinebook.book.description import DescriptionWrong, read_description
from brinebook.desk.drill import Drilled, drilled
from brinebook.desk.rig import asked_of
from brinebook.desk.rig_places import PlaceMissing, plain
from brinebook.desk.rig_whatif import choice_of, choices, compared, tried

DEMO = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
FOUND = plain(DEMO)
NOW = datetime(2026, 1, 15, tzinfo=UTC)
MOUTH = "plumbing/nozzles/0:mouth"


def _drilled(text: str) -> Drilled:
    return drilled(asked_of(read_description(text).system, at=NOW))


def test_every_figure_can_be_tried_by_its_key_and_changes_nothing_as_it_stands() -> None:
    told = [one for part in choices(FOUND) for one in part.choices]
    assert len(told) > 200
    for one in told:
        if one.field.value:
            assert tried(DEMO, FOUND, one.key, one.field.value).text == DEMO
    assert choice_of(FOUND, MOUTH).now == "70 mm"


def test_a_shallower_mouth_makes_the_blocked_hole_milder_and_leaves_the_heater_alone() -> None:
    changed = tried(DEMO, FOUND, MOUTH, "20")
    assert 'mouth = "20 mm"' in changed.text
    found = compared(_drilled(DEMO), _drilled(changed.text))
    became = {row.id: row.became for row in found.rows}
    assert became["hole-blocked/hole of left nozzle"] == "milder"
    assert "heater-stuck-on/heater" not in became
    assert found.alike > 10


def test_worse_comes_first_and_what_is_no_longer_drilled_is_gone() -> None:
    larger = tried(DEMO, FOUND, "plumbing/top_off:reservoir", "120")
    rows = compared(_drilled(DEMO), _drilled(larger.text)).rows
    assert rows[0].became == "worse"
    assert "drain-blocked/main drain" in {row.id for row in rows if row.became == "worse"}
    renamed = tried(DEMO, FOUND, "plumbing/nozzles/0:hole", "")
    became = {row.id: row.became for row in compared(_drilled(DEMO), _drilled(renamed.text)).rows}
    assert became["hole-blocked/hole of left nozzle"] == "gone"


def test_the_same_description_has_nothing_to_tell() -> None:
    found = compared(_drilled(DEMO), _drilled(DEMO))
    assert (found.rows, found.alike > 20) == ((), True)


def test_what_can_not_be_is_refused() -> None:
    with pytest.raises(DescriptionWrong):
        tried(DEMO, FOUND, MOUTH, "far")
    for key in ("", "vessels/0", "vessels/9:water", "vessels/0:colour", "drills:chances"):
        with pytest.raises(PlaceMissing):
            tried(DEMO, FOUND, key, "1")
