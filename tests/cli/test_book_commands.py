"""The commands about the book, as a person and as a program use them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import SYSTEM_TOML, Run

HEADER = "when,kind,what,value,unit,detail\n"
ROWS = """\
2026-01-05T08:00:00+00:00,test,alkalinity,8.2,dKH,method=drop count
2026-01-05T08:00:00+00:00,test,calcium,420,mg/L,
2026-01-06T08:00:00+00:00,dose,carbonate solution,30,mL,
2026-01-07T08:00:00+00:00,water_change,house mix,15,%,
"""


@pytest.fixture
def history_csv(tmp_path: Path) -> Path:
    path = tmp_path / "history.csv"
    path.write_text(HEADER + ROWS)
    return path


@pytest.fixture
def filled(reef: Run, history_csv: Path) -> Run:
    assert reef("import", str(history_csv)).status == 0
    return reef


def _ids(run: Run) -> list[str]:
    return [fact["fact"] for fact in run("history", "--json").json["facts"]]


def test_new_says_what_was_guessed_and_never_covers_a_book(run: Run, tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_text('name = "Pond"\nnam = 3\n')
    first = run("new", "--system", "s.toml", "--json")
    assert first.status == 0
    assert first.json["system"] == "Pond"
    assert len(first.json["assumed"]) == 2
    assert "Did you mean name?" in first.err
    again = run("new", "--system", "s.toml", "--json")
    assert again.status == 2
    assert again.json["error"]["code"] == "E-BOOK-EXISTS"


def test_new_with_a_bad_description_makes_nothing(run: Run, tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_text("net_volume = 3\n")
    outcome = run("new", "--system", "s.toml", "--json")
    assert outcome.status == 3
    assert "net_volume" in outcome.json["error"]["message"]
    assert not (tmp_path / "reef.book").exists()
    assert run("new", "--system", "nowhere.toml").status == 2


def test_import_twice_adds_nothing_not_even_what_was_edited_or_undone(
    filled: Run, history_csv: Path
) -> None:
    first, second, *_ = _ids(filled)
    assert filled("edit", first, "8.4dKH").status == 0
    assert filled("undo", second).status == 0
    before = filled("export").out
    again = filled("import", str(history_csv), "--json")
    assert (again.json["added"], again.json["known"]) == (0, 4)
    assert filled("export").out == before


def test_what_was_exported_imports_to_the_same_book_and_exports_the_same_bytes(
    filled: Run, tmp_path: Path
) -> None:
    filled("add", "note", "a; b = c % d\ne, é")
    filled("add", "verdict", _ids(filled)[0], "wrong")
    written = filled("export", "--csv").out
    (tmp_path / "out.csv").write_text(written, newline="")
    filled("export", "--out", "same.csv")
    assert (tmp_path / "same.csv").read_text() == written
    other = ("--book", str(tmp_path / "other.book"))
    assert filled(*other, "new", "--system", "system.toml").status == 0
    assert filled(*other, "import", "out.csv").status == 0
    assert filled(*other, "export").out == written
    assert [one["fact"] for one in filled(*other, "history", "--json").json["facts"]] == _ids(
        filled
    )


def test_a_verdict_on_what_a_fact_was_comes_in_as_one_on_what_it_is(
    filled: Run, tmp_path: Path
) -> None:
    first = _ids(filled)[0]
    new = json.loads(filled("edit", first, "8.4dKH", "--json").out)["fact"]
    path = tmp_path / "late.csv"
    path.write_text(HEADER + f"2026-01-09T08:00:00+00:00,verdict,{first},,,says=wrong\n")
    assert filled("import", "late.csv", "--json").json["added"] == 1
    assert f"verdict,{new},,,says=wrong" in filled("export").out
    assert filled("import", "late.csv", "--json").json["added"] == 0
    assert filled("check", "--json").json["faults"] == []


def test_bad_rows_are_all_told_and_nothing_comes_in(reef: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text(HEADER + ROWS + "x,test,calcum,1,mg/L,\n,note,,,,\n")
    outcome = reef("import", "bad.csv", "--json")
    assert outcome.status == 3
    message = outcome.json["error"]["message"]
    assert message.count("line 6") == 2
    assert message.count("line 7") == 1
    assert reef("history", "--json").json["facts"] == []
    skipped = reef("import", "--skip-bad", "bad.csv", "--json")
    assert skipped.status == 0
    assert skipped.json["added"] == 4
    assert [row["line"] for row in skipped.json["skipped"]] == [6, 6, 7]
    assert "line 7" in skipped.err


def test_a_wrong_header_and_a_missing_file_have_their_own_status(reef: Run, tmp_path: Path) -> None:
    (tmp_path / "h.csv").write_text("a,b\n")
    assert reef("import", "h.csv").status == 3
    assert reef("import", "nowhere.csv").status == 2
    assert reef("import", str(tmp_path)).status == 2


def test_add_edit_undo_and_history_tell_one_story(reef: Run) -> None:
    added = reef("add", "test", "alk", "8,2dKH", "--method", "drop count", "--json").json
    assert (added["value"], added["unit"], added["written"]) == ("8.2", "dKH", True)
    assert reef("add", "verdict", added["fact"][:6], "sound").status == 0
    edited = reef("edit", added["fact"], "8.3", "--lot", "A1", "--by", "Ann", "--json").json
    assert edited["before"]["fact"] == added["fact"]
    assert edited["detail"] == {"by": "Ann", "lot": "A1", "method": "drop count"}
    assert len(edited["verdicts"]) == 1
    (story,) = reef("history", added["fact"], "--json").json["facts"]
    assert story["fact"] == edited["fact"]
    assert [one["action"] for one in story["revisions"]] == ["entered", "edited"]
    assert story["revisions"][1]["entered_by"] == "Ann"
    undone = reef("undo", "--json").json["undone"]
    assert [one["fact"] for one in undone] == [added["fact"]]
    reef("undo")
    reef("undo")
    assert reef("history", "--json").json["facts"] == []
    assert len(reef("history", "--undone", "--json").json["facts"]) == 2
    assert reef("undo").status == 2
    assert reef("undo", added["fact"]).status == 2


def test_history_can_be_narrowed(filled: Run) -> None:
    def kinds(*more: str) -> list[str]:
        return [one["kind"] for one in filled("history", "--json", *more).json["facts"]]

    assert kinds() == ["test", "test", "dose", "water_change"]
    assert kinds("--kind", "change") == ["water_change"]
    assert kinds("--what", "alk") == ["test"]
    assert kinds("--from", "2026-01-06", "--to", "2026-01-06") == ["dose"]
    assert kinds("--last", "2") == ["dose", "water_change"]
    assert kinds("--at", "2026-01-06") == ["test", "test"]
    assert kinds("--known", "2020-01-01") == []
    assert "carbonate solution" in filled("history").out
    assert filled("history", "nonesuch").status == 2


def test_an_import_is_undone_as_a_whole_or_not_at_all(filled: Run) -> None:
    assert filled("undo").status == 2
    assert len(filled("undo", "--whole-import", "--json").json["undone"]) == 4
    assert _ids(filled) == []


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (("test", "alk", "82dKH"), "Did you mean 8.2 dKH?"),
        (("test", "alk", "8.2ppm"), "dKH"),
        (("test", "sal", "1.025"), "PSU"),
        (("test", "ca", "nan"), "decimal point"),
        (("test", "ca", "-420mg/L"), "Did you mean 420 mg/L?"),
        (("change", "150%"), "add --help"),
        (("note", "x", "--when", "2030-01-01"), "yesterday"),
        (("test", "sal", "53mS/cm"), "temperature"),
        (("note", "x", "--detail", "novalue"), "flow=60"),
        (("test", "ca", "420mg/L", "--metod", "x"), "--help"),
    ],
)
def test_what_can_not_be_is_refused_when_typed(
    reef: Run, words: tuple[str, ...], hint: str
) -> None:
    outcome = reef("add", *words, "--json")
    assert outcome.status == 2
    assert hint in json.dumps(outcome.json["error"], ensure_ascii=False)
    assert reef("history", "--json").json["facts"] == []


def test_the_same_entry_twice_is_one_and_minutes_later_it_is_asked_about(reef: Run) -> None:
    first = reef("add", "dose", "carbonate", "30mL", "--when", "2026-01-01T08:00", "--json").json
    again = reef("add", "dose", "carbonate", "30mL", "--when", "2026-01-01T08:00", "--json").json
    assert (again["fact"], again["written"]) == (first["fact"], False)
    later = reef("add", "dose", "carbonate", "30mL", "--when", "2026-01-01T08:05", "--json")
    assert later.json["written"]
    assert f"brinebook undo {later.json['fact']}" in later.err


def test_a_negative_reading_is_a_word_and_not_an_option(reef: Run) -> None:
    assert reef("add", "test", "orp", "-50mV", "--json").json["value"] == "-50"


def test_two_systems_in_one_book_are_told_apart_by_name(reef: Run, tmp_path: Path) -> None:
    (tmp_path / "two.toml").write_text('name = "Pond"\ntimezone = "UTC"\n')
    assert reef("new", "--system", "two.toml", "--also").status == 0
    assert reef("new", "--system", "two.toml", "--also").status == 2
    needed = reef("history", "--json")
    assert needed.status == 2
    assert needed.json["error"]["code"] == "E-SYSTEM-NEEDED"
    assert reef("add", "note", "x", "--system", "Pond").status == 0
    assert len(reef("history", "--system", "Pond", "--json").json["facts"]) == 1
    assert reef("--system", "Lantern Shelf", "history", "--json").json["facts"] == []
    assert "x" in reef("--system", "Pond", "export").out
    assert reef("history", "--system", "Lake").status == 2


def test_the_description_is_shown_changed_and_written_back(reef: Run) -> None:
    assert reef("export", "--system").out == SYSTEM_TOML
    shown = reef("system", "--json").json
    assert shown["net_volume"] == {"value": 310.0, "sd": 25.0, "unit": "L"}
    assert shown["toml"] == SYSTEM_TOML
    changed = reef(
        "system",
        "--set", 'net_volume.value="320 L"',
        "--set", "targets.calcium=430 mg/L",
        "--set", "methods.drop count.trueness=",
        "--json",
    )  # fmt: skip
    assert changed.json["revision"] == 2
    again = reef("system", "--json").json
    assert again["net_volume"]["value"] == 320.0
    assert again["targets"]["calcium"] == 430.0
    assert again["methods"][0]["trueness"] is None
    assert "# a belief" in again["toml"]
    assert reef("system", "--set", "bands.calcium=[1", "--json").status == 2
    assert reef("system", "--set", "bands.calcium=420 mg/L", "--json").status == 3
    assert reef("system", "--from", "system.toml", "--json").json["changed"]
    assert not reef("system", "--from", "system.toml", "--json").json["changed"]
    assert reef("system", "--from", "system.toml", "--set", "a=b").status == 2


def test_check_finds_faults_with_the_command_that_repairs_them(filled: Run) -> None:
    assert filled("check").status == 0
    filled("add", "dose", "mystery drops", "3mL")
    filled("add", "change", "nameless mix", "10L")
    filled("add", "level", "mystery drops", "300mL")
    filled("add", "dose", "NaHCO3", "30mL")
    filled("add", "test", "alk", "8dKH", "--method", "strips")
    filled("add", "test", "alk", "8dKH", "--of", "bucket")
    outcome = filled("check", "--json")
    assert outcome.status == 1
    faults = [one["check"] for one in outcome.json["faults"]]
    assert faults == ["additives", "additives", "mixes", "containers"]
    assert [one["check"] for one in outcome.json["hints"]] == ["samples", "methods"]
    assert all(one["repair"] for one in outcome.json["faults"])
    assert filled("check").status == 1


def test_check_finds_a_book_changed_behind_its_back(filled: Run, tmp_path: Path) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(tmp_path / "reef.book")) as raw:
        raw.execute("UPDATE facts SET value = '9.9' WHERE value = '8.2'")
        raw.execute("UPDATE facts SET revision = 2 WHERE value = '420'")
        raw.commit()
    outcome = filled("check", "--json")
    assert outcome.status == 1
    assert [one["check"] for one in outcome.json["faults"]] == ["content", "revisions"]


def test_a_copy_is_put_aside_and_brought_back(filled: Run, tmp_path: Path) -> None:
    made = filled("backup", "--out", "copy.book", "--json").json
    assert made == {
        "backup": "copy.book",
        "rows": {
            "systems": 1, "descriptions": 1, "facts": 4, "probes": 0, "probe_readings": 0,
            "settings": 0, "passes": 0, "photos": 0, "saves": 0,
        },
    }  # fmt: skip
    assert filled("backup").status == 0
    assert filled("restore", "copy.book").status == 2
    filled("add", "note", "later")
    assert filled("restore", "copy.book", "--replace", "--json").json["aside"]
    assert len(_ids(filled)) == 4
    assert filled("restore", "nowhere.book").status == 2


def test_probe_readings_come_in_and_go_out(reef: Run, tmp_path: Path) -> None:
    text = "when,probe,value,unit\n2026-02-01T08:00:00+00:00,display,25.3,C\n"
    (tmp_path / "p.csv").write_text(text)
    assert reef("import", "--probes", "p.csv", "--json").json["added"] == 1
    assert reef("import", "--probes", "p.csv", "--json").json["added"] == 0
    assert reef("export", "--probes").out == text
    assert reef("export").out == HEADER
    assert reef("import", "--probes", "nowhere.csv").status == 2
    assert reef("import", "--probes", str(tmp_path)).status == 2


@pytest.mark.parametrize(
    "command",
    [
        ("history",), ("add", "note", "x"), ("edit", "abcd", "3"), ("undo",), ("check",),
        ("system",), ("backup",), ("import", "history.csv"),
    ],
)  # fmt: skip
def test_without_a_book_every_command_ends_with_4(
    run: Run, history_csv: Path, command: tuple[str, ...]
) -> None:
    outcome = run(*command, "--json")
    assert outcome.status == 4
    assert outcome.json["error"]["code"] == "E-BOOK-MISSING"
    assert "new --system" in outcome.json["error"]["hint"]


def test_what_is_no_book_is_left_alone(run: Run, tmp_path: Path) -> None:
    (tmp_path / "reef.book").write_text("dear diary")
    outcome = run("history", "--json")
    assert outcome.status == 4
    assert outcome.json["error"]["code"] == "E-NOT-A-BOOK"
    assert (tmp_path / "reef.book").read_text() == "dear diary"


def test_an_import_killed_on_the_way_leaves_the_book_as_it_was(filled: Run, tmp_path: Path) -> None:
    """Killed at ten moments from the first to the last of a longer import."""
    rows = "".join(f"2026-01-08T08:00:00Z,note,,,,text={n}\n" for n in range(8000))
    (tmp_path / "long.csv").write_text(HEADER + rows)
    before = filled("export").out
    command = [sys.executable, "-m", "brinebook", "import", "long.csv"]
    environment = {**os.environ, "BRINEBOOK_BOOK": str(tmp_path / "reef.book")}
    ended = 0
    for tenths in range(1, 11):
        victim = subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=subprocess.DEVNULL)
        try:
            victim.wait(timeout=tenths * 0.08)
        except subprocess.TimeoutExpired:
            victim.kill()
        ended = victim.wait(timeout=20)
        count = filled("export").out.count("\n")
        assert count in {before.count("\n"), before.count("\n") + 8000}
        if count > before.count("\n"):
            break
    assert ended in {0, -9}
    assert filled("import", "long.csv").status == 0
    assert filled("export").out.count("\n") == before.count("\n") + 8000
    assert filled("check").status == 0
