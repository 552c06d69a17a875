"""A real browser at a real server, each test with a copy of the invented book."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from brinebook.cli.main import main
from brinebook.web.app import create_app
from brinebook.web.options import Options
from tests.conftest import SYSTEM_TOML
from tests.web.conftest import NOW, history

ROOT = Path(__file__).parents[3]
#: Ignored by git; every picture in it is meant to be looked at.
PICTURES = ROOT / "build" / "screenshots"
AXE = (Path(__file__).parents[1] / "vendor" / "axe.min.js").read_text(encoding="utf-8")
#: Where no page may scroll sideways, and at which widths its picture is kept.
WIDTHS, PICTURED = (320, 390, 768, 1280), (320, 390, 1280)
#: What an address has and a file's name hasn't.
FILE_NAME = str.maketrans("/?&:;=+%", "________")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, driven; skips where there is none."""
    found = subprocess.run(
        [ROOT / "scripts" / "browser"], capture_output=True, text=True, check=False
    )
    if found.returncode:
        pytest.skip(found.stderr.strip())
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=found.stdout.strip(),
            args=["--no-sandbox"] if os.geteuid() == 0 else [],
        )
        yield running
        running.close()


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented book, made once."""
    folder = tmp_path_factory.mktemp("prepared")
    system, past = folder / "system.toml", folder / "history.csv"
    system.write_text(SYSTEM_TOML, encoding="utf-8")
    past.write_text(history(), encoding="utf-8")
    book = folder / "reef.book"
    assert main(["--book", str(book), "new", "--system", str(system)]) == 0
    assert main(["--book", str(book), "import", str(past)]) == 0
    return book


@dataclass
class Notebook:
    """A running notebook: where it is, its book, and the system in it."""

    address: str
    book: str
    system: str

    def url(self, path: str) -> str:
        """The address of a page of the system."""
        return f"{self.address}/s/{self.system}/{path}"


@pytest.fixture
def notebook(prepared: Path, tmp_path: Path) -> Iterator[Notebook]:
    """A server of its own over a copy of the book."""
    book = tmp_path / "reef.book"
    shutil.copy(prepared, book)
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    app = create_app(Options(str(book), port=port, at=NOW))
    server = uvicorn.Server(
        uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error", access_log=False)
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.02)
    system = app.state.notebook.shelf.systems()[0].system_id
    yield Notebook(f"http://127.0.0.1:{port}", str(book), system)
    server.should_exit = True
    thread.join(timeout=10)


@dataclass
class Visitor:
    """Somebody at a screen: pages, touches counted, other origins noted."""

    page: Page
    context: BrowserContext
    notebook: Notebook
    name: str
    touches: int = 0
    elsewhere: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        """Go to a page of the system."""
        self.page.goto(self.notebook.url(path))

    def touch(self, selector: str) -> None:
        """One touch of a finger, which has to land on what is visible."""
        self.touches += 1
        self.page.locator(selector).first.tap()

    def settle(self) -> None:
        """Wait until nothing more of the page is on its way."""
        self.page.wait_for_timeout(60)
        self.page.wait_for_selector(".coming, .htmx-request", state="detached", timeout=60_000)

    def dim(self, theme: str) -> None:
        """Change the theme, without loading the page anew."""
        self.page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
        self.name = f"{self.name.partition('-')[0]}-{theme}"

    def grow(self, width: int) -> None:
        """Make the window another one, without loading the page anew."""
        theme = self.name.partition("-")[2]
        self.name = f"{width}-{theme}"
        self.page.set_viewport_size({"width": width, "height": 844 if width < 700 else 900})
        self.page.wait_for_timeout(40)

    def picture(self, what: str) -> None:
        """Keep what the screen shows, to be looked at."""
        PICTURES.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=PICTURES / f"{what}-{self.name}.png", full_page=True)

    def sideways(self) -> int:
        """By how many pixels the page is wider than its window."""
        wide: int = self.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        return wide


def access_faults(keeper: Visitor) -> list[str]:
    """What the checker of access finds; it was put into the page before.

    The page is scrolled to its end: there the bar at the thumb stands in its own place. Wherever
    else it lies over half of some button, which a scroll brings free (WCAG 2.2, 2.5.8).
    """
    keeper.page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
    found = keeper.page.evaluate(
        "axe.run(document, {resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', "
        "'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})"
    )
    keeper.page.evaluate("window.scrollTo(0, 0)")
    return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]


def small_targets(keeper: Visitor, path: str) -> list[str]:
    """What a finger would miss on the open page.

    44 pixels, as WCAG 2.2 asks at level AAA (2.5.5) and our look fixes.
    """
    found = keeper.page.evaluate(
        """[...document.querySelectorAll(`button, .button, .thumb a, nav li a, summary, select,
        input:not([type=hidden]):not([type=radio]):not([type=checkbox]), .touch, ol.log a,
        ul.lines a`)]
        .filter(one => one.offsetParent)
        .map(one => [one.textContent.trim(), one.getBoundingClientRect().height])"""
    )
    return [f"{path}: {name} {height}" for name, height in found if height < 43.5]


def looked_over(keeper: Visitor, path: str) -> list[str]:
    """What is wrong with the open page at every width, in both themes and with large text.

    It is loaded once; its window grows, then it is dimmed, then its text grows (WCAG 2.2, 1.4.4
    and 1.4.10). The layout is the same in both themes.
    """
    page, faults, what = keeper.page, [], f"page-{path.translate(FILE_NAME)[:60]}"
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    keeper.settle()
    page.evaluate(AXE)
    for width in WIDTHS:
        keeper.grow(width)
        if keeper.sideways() > 0:
            faults.append(f"{path} at {width}: {keeper.sideways()} pixels too wide")
        if width in {320, 1280}:
            faults += [f"{path} at {width}: {fault}" for fault in access_faults(keeper)]
        if width in PICTURED:
            keeper.picture(what)
    keeper.dim("dark")
    for width in reversed(PICTURED):
        keeper.grow(width)
        if width == 390:
            faults += [f"{path} in the dark: {fault}" for fault in access_faults(keeper)]
        keeper.picture(what)
    keeper.dim("light")
    page.evaluate("document.documentElement.style.fontSize = '225%'")
    for width in (1280, 768, 320):
        keeper.grow(width)
        if keeper.sideways() > 0:
            faults.append(f"{path} at {width}, twice as large: {keeper.sideways()}")
    keeper.picture(f"large-{path.translate(FILE_NAME)[:60]}")
    return faults


Visit = Callable[..., Visitor]


@pytest.fixture
def visit(browser: Browser, notebook: Notebook) -> Iterator[Visit]:
    """Let somebody in, with a screen of some width and theme."""
    contexts: list[BrowserContext] = []
    seen: list[Visitor] = []

    def come(width: int = 390, theme: str = "light", **more: object) -> Visitor:
        context = browser.new_context(
            viewport={"width": width, "height": 844 if width < 700 else 900},
            color_scheme=theme,  # type: ignore[arg-type]
            has_touch=True,
            **more,  # type: ignore[arg-type]
        )
        contexts.append(context)
        page = context.new_page()
        visitor = Visitor(page, context, notebook, f"{width}-{theme}")
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith(notebook.address)
                else visitor.elsewhere.append(request.url)
            ),
        )
        page.on("pageerror", lambda error: visitor.complaints.append(str(error)))
        page.on(
            "console",
            lambda said: (
                visitor.complaints.append(said.text)
                if said.type == "error" and "Failed to load resource" not in said.text
                else None
            ),
        )
        seen.append(visitor)
        return visitor

    yield come
    for context in contexts:
        context.close()
    for visitor in seen:
        assert visitor.elsewhere == []
        assert visitor.complaints == []
