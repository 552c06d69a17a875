"""What an entry is told: that it stands, whatever the reckoning after it meets; and the night."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from brinebook.desk import record
from brinebook.desk.looking import Chosen, history
from brinebook.desk.opening import OpenSystem, open_system
from tests.conftest import Run

#: Half past one at night in Lisbon, where it is UTC in January.
NIGHT = datetime(2026, 1, 17, 1, 30, tzinfo=UTC)


@pytest.fixture
def shelf(reef: Run, tmp_path: Path) -> OpenSystem:
    assert reef("history").status == 0
    return open_system(str(tmp_path / "reef.book"))


def _add(shelf: OpenSystem, value: str, now: datetime, when: str | None = None) -> record.Recorded:
    return record.add(shelf, "test", words=("alk", value), now=now, when=when)


def test_a_stored_test_is_told_as_stored_though_the_reckoning_fails(
    reef: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> str | None:
        raise ZeroDivisionError("something odd")

    monkeypatch.setattr(record, "said_of", broken)
    outcome = reef("add", "test", "alk", "8.2dKH", "--json")
    assert outcome.status == 0
    assert outcome.json["written"]
    (remark,) = outcome.json["remarks"]
    assert remark.startswith("It is written down.")
    assert "ZeroDivisionError" in remark
    assert len(reef("history", "--json").json["facts"]) == 1


def test_after_midnight_the_day_is_named_once_with_how_to_change_it(shelf: OpenSystem) -> None:
    first = _add(shelf, "8.2dKH", NIGHT)
    (remark,) = first.remarks
    assert "stands under Sat 17 January" in remark
    assert f'brinebook edit {first.fact.id} --when "yesterday evening"' in remark
    assert _add(shelf, "8.3dKH", NIGHT + timedelta(minutes=20)).remarks == ()
    assert len(_add(shelf, "8.4dKH", NIGHT + timedelta(days=1)).remarks) == 1


def test_by_day_or_with_a_time_named_nothing_is_said_of_it(shelf: OpenSystem) -> None:
    assert _add(shelf, "8.2dKH", NIGHT + timedelta(hours=8)).remarks == ()
    assert _add(shelf, "8.3dKH", NIGHT, when="yesterday evening").remarks == ()


def test_of_two_corrections_of_one_revision_only_the_first_is_written(shelf: OpenSystem) -> None:
    fact = _add(shelf, "8.2dKH", NIGHT + timedelta(hours=9)).fact
    later = NIGHT + timedelta(hours=10)
    loaded = history(shelf, Chosen(fact=fact.id))[0].newest.number
    record.edit(shelf, fact.id, amount="8.3dKH", seen=loaded, now=later)
    with pytest.raises(record.FactMovedOn):
        record.edit(shelf, fact.id, amount="8.4dKH", seen=loaded, now=later)
    with pytest.raises(record.FactMovedOn):
        record.undo(shelf, fact.id, seen=loaded, now=later)
    assert history(shelf, Chosen(fact=fact.id))[0].fact.value == "8.3"


def test_yes_on_a_fact_is_kept_and_said_to_settle_nothing(shelf: OpenSystem) -> None:
    fact = _add(shelf, "8.2dKH", NIGHT + timedelta(hours=9)).fact
    said = record.add(
        shelf, "verdict", words=(fact.id, "yes"), now=NIGHT + timedelta(hours=10)
    ).remarks
    assert any("wrong or sound" in each for each in said)


@pytest.mark.parametrize(
    ("typed", "limits"),
    [
        (("alk", "140dKH"), "0 to 42.1 dKH"),
        (("alk", "900ppm CaCO3"), "0 to 751 ppm CaCO3"),
        (("alk", "16meq/L"), "0 to 15 meq/L"),
        (("temp", "200F"), "28.4 to 113 F"),
        (("salinity", "90PSU"), "0 to 60 PSU"),
        (("ph", "14"), "4 to 11)."),
        (("phosphate", "99999ppb P"), "0 to 16300 ppb P"),
    ],
)
def test_a_reading_out_of_range_is_told_in_the_unit_that_was_typed(
    reef: Run, typed: tuple[str, ...], limits: str
) -> None:
    outcome = reef("add", "test", *typed)
    assert outcome.status == 2
    assert limits in outcome.err
