from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from brinebook.report.figures import BLOCKS, NO_VALUE, text_figure


def test_a_rise_uses_the_whole_height_from_left_to_right() -> None:
    assert text_figure([1, 2, 3, 4, 5, 6, 7, 8]) == "▁▂▃▄▅▆▇█"


def test_noise_is_not_drawn_as_a_mountain_range() -> None:
    assert text_figure([8.0, 8.1] * 4, least_span=1.0) == "▄▅▄▅▄▅▄▅"


def test_what_never_changes_is_a_level_line() -> None:
    assert text_figure([7.5] * 8) == "▄" * 8


def test_days_without_a_value_are_dots_and_short_series_stand_at_the_right() -> None:
    assert text_figure([1.0, None, 2.0]) == "·····▁·█"
    assert text_figure([None, math.nan]) == NO_VALUE * 8
    assert text_figure([]) == NO_VALUE * 8


def test_longer_series_are_averaged_in_order() -> None:
    assert text_figure([float(day // 10) for day in range(80)]) == BLOCKS


@given(st.lists(st.none() | st.floats(-1e9, 1e9), max_size=60), st.floats(0, 1e6))
def test_it_is_always_eight_characters_of_our_nine(
    values: list[float | None], least_span: float
) -> None:
    figure = text_figure(values, least_span=least_span)
    assert len(figure) == 8
    assert set(figure) <= set(BLOCKS + NO_VALUE)
