"""A course drawn: on its sheet, right way up, its axis readable; outlines; reasons."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from brinebook.report.course_figure import CourseFigure, Point, course_figure, told_points
from brinebook.report.outline import Outlined, outlined
from brinebook.report.rig_reasons import REASONS
from brinebook.sources import cited_keys, load_sources

RISING = [Point(float(h), 25.0 + h / 10, 24.5 + h / 12, 25.5 + h / 8) for h in range(49)]
LIFESUPPORT = Path(__file__).parents[2] / "src" / "brinebook"


def _points(text: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in text.split())]


@pytest.mark.parametrize("limit", [None, 28.5, 20.0, 40.0])
def test_everything_lies_on_the_sheet_and_what_rises_goes_up(limit: float | None) -> None:
    figure = course_figure(RISING, limit, decimals=1)
    line, band = _points(figure.line), _points(figure.band)
    assert all(figure.left <= x <= figure.right for x, _ in line)
    assert all(figure.top <= y <= figure.bottom for _, y in [*line, *band])
    assert line[0][1] > line[-1][1]
    assert len(band) == 2 * len(line)
    if limit is not None:
        assert figure.limit is not None
        assert figure.top <= figure.limit <= figure.bottom


def test_the_axis_tells_first_and_last_hour_and_no_two_marks_touch() -> None:
    figure = course_figure(RISING, 28.5, decimals=1)
    assert (figure.across[0][1], figure.across[-1][1]) == ("0 h", "48 h")
    places = [x for x, _ in figure.across]
    assert all(later - earlier > 30 for earlier, later in pairwise(places))
    assert figure.up[0][1] == "28.5"


def test_a_long_course_is_marked_by_the_day() -> None:
    weeks = [Point(24.0 * day, 8.0 - day / 50, 7.5, 8.5) for day in range(31)]
    figure = course_figure(weeks, None, decimals=1)
    assert (figure.across[0][1], figure.across[-1][1]) == ("0 d", "30 d")
    assert all(text.endswith(" d") for _, text in figure.across)


def test_what_stays_level_is_drawn_too() -> None:
    level = [Point(0.0, 35.0, 35.0, 35.0), Point(24.0, 35.0, 35.0, 35.0)]
    figure = course_figure(level, None, decimals=1)
    assert isinstance(figure, CourseFigure)
    assert [text for _, text in figure.up] == ["35.0"]
    assert told_points(level) == tuple(level)


def test_lines_become_sentences_with_what_is_indented_under_them() -> None:
    lines = ["when it stops:", "  one", "    two", "", "then nothing"]
    assert outlined(lines) == (
        Outlined("When it stops:", ("one", "two")), Outlined("Then nothing", ()),
    )  # fmt: skip
    assert outlined(["  alone"]) == (Outlined("Alone", ()),)


def test_every_reason_cites_what_the_reckoning_itself_cites() -> None:
    cited = {
        key
        for room in ("lifesupport", "water")
        for path in (LIFESUPPORT / room).glob("*.py")
        for key in cited_keys(path.read_text(encoding="utf-8"))
    }
    keys = {key for one in REASONS.values() for step in one.steps for key in step.sources}
    assert keys <= cited
    assert keys <= set(load_sources())
    for one in REASONS.values():
        for step in one.steps:
            assert step.sources or not re.search(r"\d{4}", step.how)
