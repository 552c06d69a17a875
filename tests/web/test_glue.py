"""Numbers keep their units where lines break, and what is typed stays as typed."""

from __future__ import annotations

import pytest

from brinebook.web.glue import glued


@pytest.mark.parametrize(
    ("page", "shown"),
    [
        ("<p>Set it to 16 mL a day.</p>", "<p>Set it to 16~mL a day.</p>"),
        ("<h1>8.1 ± 0.1 dKH</h1>", "<h1>8.1 ±~0.1~dKH</h1>"),
        ("<p>30 % of 5 m³/h at 25 °C</p>", "<p>30~% of 5~m³/h at 25~°C</p>"),
        ("<p>5 minutes, 3 litres, 2 Lanterns</p>", "<p>5 minutes, 3 litres, 2 Lanterns</p>"),
        ('<input value="445 mg/L"><b>1 L</b>', '<input value="445 mg/L"><b>1~L</b>'),
        ("<textarea>16 mL</textarea><p>1 g</p>", "<textarea>16 mL</textarea><p>1~g</p>"),
        ("<code>640 mL</code> 3 L<br>", "<code>640 mL</code> 3~L<br>"),
        ("<table><tr><td>5 L</td></tr></table>", "<table><tr><td>5 L</td></tr></table>"),
    ],
)
def test_a_number_stays_with_its_unit_in_what_is_read_and_not_typed(page: str, shown: str) -> None:
    assert glued(page).replace("\xa0", "~") == shown
    assert glued(page).replace("\xa0", " ") == page
