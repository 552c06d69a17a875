"""Lines for a terminal, laid out anew for a page."""

from __future__ import annotations

from brinebook.report.laid_out import Part, laid_out
from brinebook.report.mentions import mentioned


def test_columns_become_rows_and_wrapped_lines_one_paragraph() -> None:
    lines = [
        "It rests on 2 tests; the last 2:",
        "  Tue 3 March    8.1 dKH   drop count   sound",
        "  Wed 4 March    8.2 dKH   drop count   suspect",
        "",
        "change of level = what dosing, changes and food bring − what is used −",
        "dilution.",
        "Used: 0.9 dKH a day.",
        "  Durbin, J.; Koopman, S. J. 2012: Time Series Analysis by State Space",
        "    Methods.",
    ]
    assert laid_out(lines) == [
        Part("heading", "It rests on 2 tests; the last 2:"),
        Part("table", rows=(("Tue 3 March", "8.1 dKH", "drop count", "sound"),
                            ("Wed 4 March", "8.2 dKH", "drop count", "suspect"))),
        Part("text", "change of level = what dosing, changes and food bring − what is used − "
                     "dilution."),
        Part("text", "Used: 0.9 dKH a day. Durbin, J.; Koopman, S. J. 2012: Time Series Analysis "
                     "by State Space Methods."),
    ]  # fmt: skip


def test_a_sentence_tells_which_quantities_it_speaks_of() -> None:
    text = "Calcium is low and pH too; the alkalinity holds. Phosphates aren't meant."
    known = ("alkalinity", "calcium", "ph", "phosphate", "orp")
    assert mentioned(text, known) == ["calcium", "ph", "alkalinity"]
