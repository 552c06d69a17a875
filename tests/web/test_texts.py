"""Every text in one catalogue: templates hold none, none is missing, and none is too sure."""

from __future__ import annotations

import hashlib
import re
import tomllib
from pathlib import Path

import pytest

from brinebook.texts.pages import Texts
from brinebook.web.pages import MODULES, NAVIGATION
from brinebook.web.statics import NAMES
from tests.test_words import TOO_SURE

WEB = Path(__file__).parents[2] / "src" / "brinebook" / "web"
TEMPLATES = sorted((WEB / "templates").glob("*.html"))

_CODE = re.compile(r"\{[{%#].*?[}%#]\}", re.DOTALL)
_TAG = re.compile(r"<[^>]*>", re.DOTALL)
_SPEAKING = re.compile(r'\b(?:aria-label|alt|title|placeholder|content)="([^"]*)"')
_LETTER = re.compile(r"[^\W\d_]{2,}")
_KEY = re.compile(r"\bt\('([\w.-]+)'(\s*~)?")


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_template_holds_a_text_of_its_own(path: Path) -> None:
    source = _CODE.sub("", path.read_text(encoding="utf-8"))
    spoken = [text for text in _SPEAKING.findall(source)
              if "width=" not in text and "dark" not in text]  # fmt: skip
    found = _LETTER.findall(_TAG.sub(" ", source)) + [
        word for text in spoken for word in _LETTER.findall(text)
    ]
    assert found == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_every_text_that_a_template_names_is_in_the_catalogue(path: Path) -> None:
    texts = Texts()
    missing = []
    for key, grows in _KEY.findall(path.read_text(encoding="utf-8")):
        if grows:
            known = any(name.startswith(key) for name in texts.known)
        else:
            known = texts.has(key) or texts.has(f"{key}.one")
        if not known:
            missing.append(key)
    assert missing == []


def test_every_page_of_the_line_at_the_top_has_its_name() -> None:
    texts = Texts()
    assert all(texts.has(f"nav.{name}") for name in NAVIGATION)
    assert all((WEB / "pages" / f"{name}.py").exists() for name in MODULES)


def test_no_text_promises_too_much_or_shouts() -> None:
    found = [
        text
        for text in Texts().known.values()
        if TOO_SURE.search(text) or re.search(r"[a-z]!(\s|$)", text)
    ]
    assert found == []


@pytest.mark.parametrize("folder", [WEB / "static" / "vendor", Path(__file__).parent / "vendor"])
def test_what_others_made_is_as_they_made_it_and_says_its_licence(folder: Path) -> None:
    listed = tomllib.loads((folder / "vendor.toml").read_text(encoding="utf-8"))
    files = {path.name for path in folder.iterdir() if path.suffix in {".js", ".css"}}
    assert files == set(listed)
    for name, about in listed.items():
        digest = hashlib.sha256((folder / name).read_bytes()).hexdigest()
        assert digest == about["sha256"], name
        assert (folder / about["licence_file"]).exists()
        assert about["version"]


def test_every_file_that_pages_load_is_known() -> None:
    there = {
        path.relative_to(WEB / "static").as_posix()
        for path in (WEB / "static").rglob("*")
        if path.suffix in {".js", ".css", ".svg", ".png", ".webmanifest"}
    }
    assert there == set(NAMES)
