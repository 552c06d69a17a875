"""What is kept of an answer in the book: it makes the next one quicker, and never another one."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select, update

import brinebook
from brinebook.balance.answer import answer
from brinebook.book import facts as stored
from brinebook.book import store, systems
from brinebook.book.identity import make_fact
from brinebook.book.schema import kept
from brinebook.book.systems import Entered
from brinebook.desk import remembering
from brinebook.desk.assess import Assessed, assess, quantity_sheet
from brinebook.desk.opening import load, open_system
from brinebook.desk.record import add, edit, undo
from brinebook.report.answer_json import answer_json
from brinebook.timeline import Fact
from tests.balance.eight_months import AT, BOOK, DAYS, START
from tests.book.conftest import fresh_database
from tests.conftest import SYSTEM_TOML

DROPS = {"method": "drop count"}


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A book of eight and a half invented months, on each engine in turn."""
    if request.param == "sqlite":
        yield _filled(str(tmp_path / "reef.book"))
        return
    with fresh_database() as made:
        yield _filled(made)


@pytest.fixture
def file_book(tmp_path: Path) -> str:
    """The same book in a file."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    return _filled(str(folder / "reef.book"))


def _filled(address: str) -> str:
    book = store.create_book(
        address,
        lambda connection: systems.add_system(
            connection, "Lantern Shelf", text=SYSTEM_TOML, entered=Entered(1)
        ),
    )
    with book.write() as connection:
        row = systems.one_system(connection, None)
        stored.append_new(
            connection, row.system_id, [_named(each) for each in BOOK], entered=Entered(2)
        )
    return address


def _named(fact: Fact) -> Fact:
    what = fact.what.replace("carbonate", "carbonate solution").replace("salt", "house mix")
    return make_fact(
        fact.when, fact.kind, what=what, value=fact.value, unit=fact.unit, detail=fact.detail
    )


def _as_bytes(found: Assessed) -> str:
    return json.dumps(answer_json(found.answer))


def _from_scratch(address: str, at: datetime = AT, known: datetime | None = None) -> str:
    loaded = load(address, now=at, at=at, known=known)
    return json.dumps(answer_json(answer(loaded.system, loaded.facts, loaded.at)))


def _rows(address: str) -> dict[str, bytes]:
    with store.open_book(address).read() as connection:
        return {row.key: row.content for row in connection.execute(select(kept))}


def _fresh(found: Assessed) -> int:
    return sum(len(season.fresh) for season in found.answer.seasons)


def _chapters(found: Assessed) -> set[str]:
    return {f"chapter:{key}" for season in found.answer.seasons for key in season.chapters}


def _test(address: str, level: str, *, days_ago: float = 0.2) -> str:
    moment = (AT - timedelta(days=days_ago)).isoformat()
    opened = open_system(address)
    words = ["alkalinity", level, "meq/L"]
    return add(opened, "test", words=words, detail=DROPS, when=moment, now=AT).fact.id


def test_the_second_answer_takes_the_decided_chapters_from_the_book(address: str) -> None:
    first = assess(address, at=AT)
    assert _fresh(first) == len(_chapters(first)) >= 3
    assert set(_rows(address)) == _chapters(first)
    second = assess(address, at=AT)
    assert _fresh(second) == 0
    assert _as_bytes(second) == _as_bytes(first) == _from_scratch(address)


def test_facts_added_corrected_and_taken_back_give_the_answer_from_scratch(address: str) -> None:
    assess(address, at=AT)
    new = _test(address, "2.84")
    assert _fresh(assess(address, at=AT)) <= 1
    older = _test(address, "2.2", days_ago=130)
    assert _as_bytes(assess(address, at=AT)) == _from_scratch(address)
    edit(open_system(address), older, amount="2.7 meq/L", now=AT)
    assert _as_bytes(assess(address, at=AT)) == _from_scratch(address)
    undo(open_system(address), new, now=AT)
    add(open_system(address), "verdict", words=[older, "wrong"], now=AT, when=AT.isoformat())
    found = assess(address, at=AT)
    assert _as_bytes(found) == _from_scratch(address)
    assert set(_rows(address)) == _chapters(found)


def test_an_answer_about_the_past_uses_the_memory_and_takes_nothing_from_it(address: str) -> None:
    before = set(_rows(address)) | _chapters(assess(address, at=AT))
    past = START + timedelta(days=DAYS - 60)
    assert _as_bytes(assess(address, at=past)) == _from_scratch(address, past)
    assert before <= set(_rows(address))
    assert _fresh(assess(address, at=past)) == 0
    assert _fresh(assess(address, at=AT)) == 0
    assert set(_rows(address)) == before


def test_an_answer_as_known_earlier_leaves_the_memory_as_it_is(address: str) -> None:
    entered_at = AT - timedelta(days=1)
    _test(address, "1.9", days_ago=100)
    assess(address, at=AT)
    before = _rows(address)
    found = assess(address, at=AT, known=entered_at)
    assert _as_bytes(found) == _from_scratch(address, known=entered_at)
    assert _as_bytes(found) != _from_scratch(address)
    assert _rows(address) == before


def test_a_damaged_row_is_reckoned_again_and_mended(address: str) -> None:
    told = _as_bytes(assess(address, at=AT))
    before = _rows(address)
    damaged = sorted(before)[0]
    with store.open_book(address).write() as connection:
        connection.execute(
            update(kept)
            .where(kept.c.key == damaged)
            .values(content=before[damaged][:-9] + b"?" * 9)
        )
    assert _as_bytes(assess(address, at=AT)) == told
    assert _rows(address) == before


def test_what_another_form_of_the_program_kept_does_not_count(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assess(address, at=AT)
    monkeypatch.setattr(remembering, "program", lambda: "another one")
    found = assess(address, at=AT)
    assert _fresh(found) == len(_chapters(found))
    with store.open_book(address).read() as connection:
        assert set(connection.execute(select(kept.c.program)).scalars()) == {"another one"}


def test_a_sheet_leaves_and_finds_the_same_chapters(address: str) -> None:
    begins = START + timedelta(days=30)
    first = quantity_sheet(address, "alkalinity", begins=begins, at=AT)
    rows = _rows(address)
    assert rows
    assert quantity_sheet(address, "alkalinity", begins=begins, at=AT).sheet == first.sheet
    assert _fresh(assess(address, at=AT)) == 0
    assert _rows(address) == rows


def test_a_writer_at_work_does_not_hold_an_answer_up(file_book: str) -> None:
    with store.open_book(file_book).write() as connection:
        systems.hold(connection, systems.one_system(connection, None).system_id)
        found = _assess_elsewhere(file_book)
    assert found == _from_scratch(file_book)
    assert _rows(file_book) == {}


def _assess_elsewhere(address: str) -> str:
    """The answer by another program, which has no part in this one's locks."""
    script = (
        "import sys; from datetime import datetime; from brinebook.desk.assess import assess; "
        "from tests.desk.test_remembering import _as_bytes; "
        "print(_as_bytes(assess(sys.argv[1], at=datetime.fromisoformat(sys.argv[2]))))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, address, AT.isoformat()],
        cwd=Path(__file__).parent.parent.parent,
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    return done.stdout.strip()


def test_a_read_only_book_answers(file_book: str) -> None:
    """A read-only mount, since the rights of a folder don't bind root."""
    here = str(Path(file_book).parent)
    for step in (["mount", "--bind", here, here], ["mount", "-o", "remount,bind,ro", here]):
        if subprocess.run(step, check=False, capture_output=True).returncode:
            pytest.skip("a read-only mount needs rights that this user doesn't have")
    try:
        assert _as_bytes(assess(file_book, at=AT)) == _from_scratch(file_book)
        assert _rows(file_book) == {}
    finally:
        subprocess.run(["umount", here], check=True)


def test_a_book_whose_memory_is_gone_answers(file_book: str) -> None:
    with store.open_book(file_book).write() as connection:
        connection.exec_driver_sql("DROP TABLE kept")
    assert _as_bytes(assess(file_book, at=AT)) == _from_scratch(file_book)


def test_old_answers_about_the_past_do_not_pile_up(
    file_book: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(remembering, "_MOST_SPARE", 2)
    assess(file_book, at=AT)
    past = START + timedelta(days=DAYS - 30)
    for amount in ("5 g", "6 g", "7 g"):
        add(
            open_system(file_book), "dose", words=["NaHCO3", amount], now=AT,
            when=(START + timedelta(days=40.5)).isoformat(),
        )  # fmt: skip
        found = assess(file_book, at=past)
        spare = set(_rows(file_book)) - _chapters(found)
        assert len(spare) <= 2


def test_a_changed_estimator_is_another_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "balance").mkdir()
    source = tmp_path / "balance" / "steps.py"
    monkeypatch.setattr(brinebook, "__file__", str(tmp_path / "__init__.py"))
    told = []
    for text in ("DRIFT = 0.1", "DRIFT = 0.2", "DRIFT = 0.1"):
        source.write_text(text)
        told.append(remembering.program.__wrapped__())
    assert told[0] == told[2] != told[1]
