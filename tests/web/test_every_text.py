"""Every text of every page is in the catalogue, and numbers are as the system writes them.

All texts are said in another alphabet (wide letters); a Latin letter on a page is then data, or a
text that was forgotten.
"""

from __future__ import annotations

import csv
import html
import io
import re
import time
import tomllib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from importlib.resources import files
from string import Formatter

import pytest
from starlette.testclient import TestClient

from brinebook.cli.main import main
from brinebook.sources import load_sources
from brinebook.texts import Language, Manner
from brinebook.texts.load import load_language
from brinebook.web.app import create_app
from brinebook.web.options import Options
from scripts import sentences
from tests.web.conftest import spaced

DEMO = files("brinebook.demo")
#: The demo's present: just after its last facts.
NOW = datetime(2025, 1, 31, 9, 0, tzinfo=UTC)

PAGES = (
    "today", "water", "water/alkalinity", "water/nitrate?days=365&beside=calcium",
    "why/alkalinity", "why/phosphate", "why/ph", "balance", "balance?what=calcium", "volume", "log",
    "log?kind=test&find=alk", "enter", "enter/test", "enter/sitting", "enter/dose", "enter/level",
    "enter/water-change", "enter/top-off", "enter/feed", "enter/chore", "enter/media",
    "enter/harvest", "enter/dosing", "enter/removed", "enter/event", "enter/note", "system",
    "system/general", "system/bands?suggest=1", "system/additives/0", "system/methods/new",
    "access", "dosing", "dosing/limits", "dosing/plan/dose", "dosing/plan/slip-dose",
    "dosing/plan/correct?quantity=calcium&to=445+mg/L", "dosing/plan/nutrients?ask=1",
    "dosing/plan/algae?ask=1", "dosing/plan/ferric?ask=1", "dosing/plan/carbon?ask=1",
    "dosing/plan/bottle?ask=1", "dosing/plan/reactor?ask=1", "dosing/plan/residue?ask=1",
    "dosing/plan/acclimate?bag_salinity=31", "dosing/plan/slip-limewater?litres=10+L",
    "dosing/plan/mix?litres=38+L&salinity=33", "system/planning", "life-support",
    "life-support/drills", "life-support/describe",
    "life-support/describe/pumps/0", "life-support/describe/plumbing/pipes/0",
    "life-support/what-if", "life-support/size", "life-support/part/flows",
    "life-support/part/levels", "life-support/part/heat", "life-support/part/damp",
    "life-support/part/power", "life-support/part/outage", "life-support/part/floor",
)  # fmt: skip

_WORD = re.compile(r"[A-Za-z]{2,}")
_WIDE = {code: 0xFF21 + code - 65 for code in range(65, 91)} | {
    code: 0xFF41 + code - 97 for code in range(97, 123)
}
#: Units and symbols are the same in every language.
_SYMBOLS = frozenset(_WORD.findall(
    "dKH mg mL PSU kg min day atm umol mol meq mmol NBS pH cm mm mV mA kPa Wh kWh dB kW kN psf ppm "
    "English Europe Amsterdam doi"
))  # fmt: skip
_NAMED_BY_KEEPER = {
    "name", "in", "socket", "circuit", "from", "to", "additive", "pipe", "vessel", "salt", "region",
    "media",
}  # fmt: skip
_UNSEEN = re.compile(r"(?s)<(script|style|textarea|pre|code|datalist)\b.*?</\1>")
_SPOKEN = re.compile(r'\b(?:aria-label|alt|title|placeholder)="([^"]*)"')
#: Texts of the catalogue that give an example, name a constant or an equation, have their point.
_POINT = re.compile(r"(?<![\w.,(])\d+\.\d+ ?(?:dKH|mg|PSU|°C|L\b|m\b|mm\b|kPa|W\b|%|$)")


def _wide(template: str) -> str:
    """The template in wide letters, its places as they are."""
    try:
        parts = list(Formatter().parse(template))
    except ValueError:
        return template.translate(_WIDE)
    if not any(name for _, name, _, _ in parts):
        return template.translate(_WIDE)
    found = ""
    for literal, name, form, conversion in parts:
        found += literal.replace("{", "{{").replace("}", "}}").translate(_WIDE)
        if name is not None:
            found += "{" + name + (f"!{conversion}" if conversion else "")
            found += (f":{form}" if form else "") + "}"
    return found


def _wide_letters() -> Language:
    found = sentences.collect()
    return Language(
        "x-wide",
        {key: _wide(text) for key, text in load_language("en").pages.items()},
        {text: _wide(text) for texts in found.said.values() for text in texts},
        {many: (_wide(one), _wide(many)) for many, one in found.counted.items()},
    )


def _names(found: object, key: str = "") -> Iterator[str]:
    if isinstance(found, Mapping):
        for name, one in found.items():
            yield from _names(one, name)
    elif isinstance(found, list):
        for one in found:
            yield from _names(one, key)
    elif key in _NAMED_BY_KEEPER or str(found)[:1].isdigit():  # a name, or an amount as typed
        yield from _WORD.findall(str(found))


@lru_cache(maxsize=1)
def _data() -> frozenset[str]:
    """Words that the demo's keepers typed: names of parts, bottles, foods, chores, methods."""
    words = set(_names(tomllib.loads(DEMO.joinpath("system.toml").read_text(encoding="utf-8"))))
    history = io.StringIO(DEMO.joinpath("history.csv").read_text(encoding="utf-8"))
    for row in csv.DictReader(history):
        typed = f"{row['unit']} {row['detail'] or ''}"
        words |= set(_WORD.findall(typed if row["kind"] == "test" else f"{row['what']} {typed}"))
    return frozenset(words | {word.capitalize() for word in words} | _SYMBOLS)


@lru_cache(maxsize=1)
def _papers() -> tuple[str, ...]:
    """What papers are called and who wrote them: the same in every language, longest first."""
    found = {
        text
        for one in load_sources().values()
        for text in (str(one), one.authors, one.title, one.published, one.key, one.doi)
        if text
    }
    return tuple(sorted(found, key=len, reverse=True))


def _spoken(page: str) -> Iterator[str]:
    """What a person reads or hears of a page, without what papers are called."""
    seen = _UNSEEN.sub(" ", page)
    for part in [*re.split(r"<[^>]*>", seen), *_SPOKEN.findall(seen)]:
        text = html.unescape(part).strip()
        for paper in _papers() if _WORD.search(text) else ():
            text = text.replace(paper, "")
        yield text


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The demo's notebook, spoken to in wide letters, with a decimal comma, months first."""
    folder = tmp_path_factory.mktemp("wide")
    for name in ("system.toml", "history.csv"):
        (folder / name).write_bytes(DEMO.joinpath(name).read_bytes())
    book = str(folder / "demo.book")
    assert main(["--book", book, "new", "--system", str(folder / "system.toml")]) == 0
    assert main(["--book", book, "import", str(folder / "history.csv")]) == 0
    manner = Manner(_wide_letters(), "comma", "month first")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("brinebook.texts.load.manner", lambda **_settings: manner)
        patch.setattr("brinebook.book.description.manner", lambda **_settings: manner)
        patch.setattr("brinebook.desk.opening.manner", lambda **_settings: manner)
        app = create_app(Options(book=book, at=NOW))
        with TestClient(app, base_url="http://127.0.0.1:8410") as client:
            system = app.state.notebook.shelf.systems()[0].system_id
            client.base_url = client.base_url.join(f"/s/{system}/")
            yield client


def _page(client: TestClient, path: str) -> str:
    for _ in range(100):
        answer = client.get(path)
        assert answer.status_code == 200
        if not path.startswith("life-support") or 'class="coming"' not in answer.text:
            break
        time.sleep(0.3)
    return spaced(answer.text)


@pytest.mark.parametrize("path", PAGES)
def test_every_text_is_in_the_catalogue_and_every_number_has_the_systems_mark(
    client: TestClient, path: str
) -> None:
    data = _data()
    forgotten, with_point = {}, []
    for text in _spoken(_page(client, path)):
        words = [word for word in _WORD.findall(text) if word not in data]
        if words:
            forgotten[text[:120]] = words
        # A text of the catalogue has its examples and constants as the translator writes them.
        if _POINT.search(text) and not re.search("[ａ-ｚＡ-Ｚ]", text):
            with_point.append(text[:120])
    assert forgotten == {}
    assert with_point == []


def test_a_step_of_the_line_before_the_present_is_told_of(client: TestClient) -> None:
    # The demo doses by night and is tested in the evening; its present is a morning.
    wide = "Ｂｙ ｄｏｓｉｎｇ ａｎｄ ｌｉｇｈｔ ａｌｏｎｅ"
    assert wide in _page(client, "water/alkalinity")
    assert wide not in _page(client, "water/magnesium")
