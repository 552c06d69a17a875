"""How Brinebook speaks: calmly, and never surer than it is. And what no file of the tree holds."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SPEAKING_ROOMS = ("cli", "desk", "report", "book", "units", "balance", "planning")

#: Words that promise what no estimate can, or tell the keeper what animals want.
TOO_SURE = re.compile(r"\b(optimal|perfect|guaranteed|ideal|your corals need)\b", re.IGNORECASE)

# Put together here, so that this file doesn't hold what it looks for.
_LEFT_FOR_LATER = re.compile(
    "|".join(("TO" + "DO", "FIX" + "ME", r"\b" + "X" * 3 + r"\b", "Not" + "Implemented"))
)
_OF_ONE_MACHINE = re.compile("/(?:" + "|".join(("root", "work", "Users")) + r")/\w")


def _speaking_modules() -> list[Path]:
    source = ROOT / "src" / "brinebook"
    return sorted(path for room in SPEAKING_ROOMS for path in (source / room).rglob("*.py"))


def _spoken(path: Path) -> Iterator[tuple[int, str]]:
    """Every text of a module that isn't a docstring: what may reach a person."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    constants = [node for node in ast.walk(tree) if isinstance(node, ast.Constant)]
    for node in constants:
        if isinstance(node.value, str) and id(node) not in docstrings:
            yield node.lineno, node.value


@pytest.mark.parametrize(
    "path", _speaking_modules(), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_nothing_promises_too_much_or_shouts(path: Path) -> None:
    found = [
        (line, text)
        for line, text in _spoken(path)
        if TOO_SURE.search(text) or re.search(r"[a-z]!(\s|$)", text)
    ]
    assert found == []


def _tracked() -> list[Path]:
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
        ).stdout
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this tree is not a git checkout, so it can't be asked which files are its own")
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def test_no_file_holds_a_path_of_one_machine_or_something_left_for_later() -> None:
    found = []
    for path in _tracked():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for pattern in (_LEFT_FOR_LATER, _OF_ONE_MACHINE):
            hit = pattern.search(text)
            if hit and path.suffix != ".lock":
                found.append(f"{path.relative_to(ROOT)}: {hit[0]}")
    assert found == []


@pytest.mark.parametrize("path", ["README.md", "docs/start.md", "docs/concepts.md"])
def test_the_pages_for_keepers_promise_nothing_either(path: str) -> None:
    assert TOO_SURE.search((ROOT / path).read_text(encoding="utf-8")) is None
