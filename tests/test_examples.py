"""What the first pages tell a keeper to type works, word for word, in the order it is told."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from brinebook.cli.main import main

ROOT = Path(__file__).parent.parent


def _block(page: str, first: str) -> str:
    """The indented block of the page that begins with this line, without its indent."""
    lines = page.split("\n")
    start = lines.index(f"    {first}")
    block = []
    for line in lines[start:]:
        if line.strip() and not line.startswith("    "):
            break
        block.append(line[4:])
    return "\n".join(block).strip() + "\n"


def _commands(page: str) -> list[list[str]]:
    """Every line to be typed, without the remark that stands after it."""
    typed = re.findall(r"^    brinebook (.+)$", page, flags=re.MULTILINE)
    return [shlex.split(re.split(r"\s{3,}(?=\w|#)|\s+#\s", line)[0]) for line in typed]


@pytest.fixture
def a_new_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, which is also where the user's data goes."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("BRINEBOOK_BOOK", raising=False)
    monkeypatch.setattr("brinebook.cli.output.prepare_streams", lambda: None)
    return tmp_path


def _write_files(folder: Path) -> None:
    page = (ROOT / "docs" / "start.md").read_text(encoding="utf-8")
    system = _block(page, 'name = "Lantern Shelf"') + "\n" + _block(page, "[units]")
    (folder / "system.toml").write_text(system, encoding="utf-8")
    history = _block(page, "when,kind,what,value,unit,detail").partition("brinebook")[0]
    (folder / "history.csv").write_text(history.strip() + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("page", "at_least"), [("docs/start.md", 10), ("README.md", 5), ("docs/contract.md", 2)]
)
def test_everything_that_the_page_says_to_type_works(
    page: str, at_least: int, a_new_home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _write_files(a_new_home)
    commands = _commands((ROOT / page).read_text(encoding="utf-8"))
    assert len(commands) >= at_least
    for arguments in commands:
        if "…" not in arguments:
            status = main(arguments)
            assert status == 0, f"brinebook {shlex.join(arguments)}\n{capsys.readouterr().err}"
