"""Somebody new types twenty figures of a rig, and has the first drill within ten minutes."""

from __future__ import annotations

import time

import pytest

from brinebook.desk.opening import open_system
from tests.web.browser.conftest import Visit
from tests.web.first_rig import SECONDS_A_KEY, TEN_MINUTES, TO_MEASURE, TYPED


@pytest.mark.parametrize(("width", "scripts"), [(390, True), (320, False)])
def test_a_rig_typed_by_someone_new_gives_its_first_drill_in_ten_minutes(
    visit: Visit, width: int, scripts: bool
) -> None:
    keeper = visit(width, java_script_enabled=scripts)
    page = keeper.page
    begun = time.monotonic()
    keeper.open("today")
    keeper.touch("nav a:has-text('Life support')")
    keeper.touch("a:has-text('The first twenty figures')")
    page.wait_for_selector("form.first")
    fields = page.locator("form.first fieldset.group input")
    assert fields.count() == len(TYPED) == 20
    for name, digits in TYPED.items():
        keeper.touch(f"[name='{name}']")
        page.keyboard.type(digits, delay=1000 * SECONDS_A_KEY)
    keeper.picture(f"rig-1-first-{'script' if scripts else 'plain'}")
    keeper.touch("button:has-text('Save and drill')")
    page.wait_for_selector("h1:has-text('Life support')")
    if not scripts:
        keeper.touch("a:has-text('To the drills')")
    page.wait_for_selector("ul.drill-list a", timeout=60_000)
    keeper.picture(f"rig-2-drills-{'script' if scripts else 'plain'}")
    keeper.touch("ul.drill-list a:has-text('Return pump stops')")
    page.wait_for_selector("h1:has-text('Return pump stops')")
    took = time.monotonic() - begun
    assert "come down" in page.inner_text("main")
    keeper.picture(f"rig-3-drill-{'script' if scripts else 'plain'}")
    # Two touches to the form, one a figure, one to save, one or two to the drill.
    assert keeper.touches == 2 + 20 + 1 + (1 if scripts else 2)
    assert took + 20 * TO_MEASURE < TEN_MINUTES
    rig = open_system(keeper.notebook.book).system.rig
    assert rig is not None
    assert rig.top_off is not None
    assert rig.vessels[0].water == pytest.approx(0.51)
