"""Life support on a screen: readable, reachable, in both themes, with and without scripts."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from brinebook.cli.main import main
from brinebook.desk.opening import open_system
from tests.web.browser.conftest import Visit, looked_over, small_targets

PAGES = (
    "life-support", "life-support/drills", "life-support/drill/heater-stuck-on/heater",
    "life-support/drill/joint-bursts/tee", "life-support/part/flows", "life-support/part/levels",
    "life-support/part/power", "life-support/describe", "life-support/describe/vessels/1",
    "life-support/describe/plumbing/pipes/1", "life-support/describe/pumps/0",
    "life-support/describe/heat/room", "life-support/describe/power/sockets/new",
    "life-support/describe/drills", "life-support/what-if",
    "life-support/what-if?key=plumbing/nozzles/0:mouth&value=20",
    "life-support/what-if/drills?key=plumbing/nozzles/0:mouth&value=20", "life-support/size",
    "life-support/size?turnover=5&volume=300&branch=150;150&lift=1.35&length=2.2",
    "life-support/drill/nowhere",
)  # fmt: skip


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book that describes the demo's rig."""
    folder = tmp_path_factory.mktemp("rig")
    system = folder / "system.toml"
    text = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
    system.write_text(text, encoding="utf-8")
    book = folder / "reef.book"
    assert main(["--book", str(book), "new", "--system", str(system)]) == 0
    return book


def test_no_page_of_the_rig_scrolls_sideways_or_fails_the_checker_of_access(visit: Visit) -> None:
    keeper = visit(320, bypass_csp=True)
    faults = []
    for path in PAGES:
        keeper.open(path)
        keeper.settle()
        faults += small_targets(keeper, path)
        faults += looked_over(keeper, path)
        keeper.grow(320)
    assert faults == []


@pytest.mark.parametrize("scripts", [True, False])
def test_a_figure_is_tried_and_then_written_down(visit: Visit, scripts: bool) -> None:
    keeper = visit(390, java_script_enabled=scripts)
    page, book = keeper.page, keeper.notebook.book
    keeper.open("life-support")
    keeper.touch("a:has-text('What if one figure were another')")
    page.select_option("#f-key", "plumbing/nozzles/0:mouth")
    page.fill("#f-value", "20")
    keeper.touch("button:has-text('Try it')")
    page.wait_for_selector("label:has-text('now 70 mm')")
    if not scripts:
        keeper.touch("a:has-text('To the drills')")
    page.wait_for_selector("text=Milder: Return pump stops", timeout=60_000)
    assert 'mouth = "70 mm"' in open_system(book).text
    keeper.touch("button:has-text('Write it into the description')")
    page.wait_for_selector("h1:has-text('Life support')")
    assert 'mouth = "20 mm"' in open_system(book).text


def test_a_part_unfolds_in_its_place_and_an_assumed_figure_leads_to_its_field(
    visit: Visit,
) -> None:
    keeper = visit(390)
    page = keeper.page
    keeper.open("life-support")
    keeper.touch("details.part summary:has-text('Levels')")
    page.wait_for_selector("details.part[open] .told")
    assert "come down" in page.inner_text("details.part[open]")
    keeper.touch("details.more summary:has-text('What is assumed')")
    keeper.touch("a:has-text('upper riser: roughness')")
    page.wait_for_selector("h1:has-text('upper riser')")
    assert page.url.endswith("#f-roughness")
    page.fill("[name='v.roughness']", "0,003")
    keeper.touch("button:has-text('Save')")
    page.wait_for_selector("h1:has-text('Describe the rig')")
    assert 'roughness = "0.003 mm"' in open_system(keeper.notebook.book).text
