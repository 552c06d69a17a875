"""A test far from what was expected is stored and said so once, with the likely slip."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from brinebook.book.identity import make_fact
from brinebook.desk.expect import remark_on
from brinebook.measure import Measure
from brinebook.timeline import Fact
from tests.conftest import Run
from tests.moments import NOW

EXPECTED = {
    "alkalinity": Measure(2.9, 0.06, "meq/L"),
    "calcium": Measure(420.0, 8.0, "mg/L"),
    "magnesium": Measure(1320.0, 25.0, "mg/L"),
}


def _fact(what: str, value: str, unit: str, **detail: str) -> Fact:
    return make_fact(NOW, "test", what=what, value=value, unit=unit, detail=detail)


def _said(fact: Fact, *, test_sd: float = 0.05, last: Fact | None = None) -> str | None:
    return remark_on(fact, EXPECTED, test_sd=test_sd, last=last)


def test_a_test_as_expected_draws_no_word() -> None:
    assert _said(_fact("alkalinity", "8.2", "dKH")) is None


def test_a_test_far_off_is_told_in_the_unit_it_was_typed_in_with_the_slip() -> None:
    fact = _fact("alkalinity", "2.9", "dKH")
    said = _said(fact)
    assert said is not None
    assert "7.8 to 8.46 dKH" in said
    assert "Did you mean 2.9 meq/L?" in said
    assert fact.id in said


def test_a_swap_is_told() -> None:
    said = _said(_fact("calcium", "1310", "mg/L"), test_sd=10)
    assert said is not None
    assert "magnesium" in said


def test_without_a_fitting_slip_a_second_test_is_named() -> None:
    said = _said(_fact("calcium", "520", "mg/L"), test_sd=10)
    assert said is not None
    assert said.endswith("A second test would tell.")


def test_what_can_not_be_compared_draws_no_word() -> None:
    assert _said(_fact("calcium", "1310", "mg/L", of="house mix")) is None
    assert _said(_fact("calcium", ">1000", "mg/L")) is None
    assert _said(_fact("nitrate", "5", "mg/L")) is None
    assert _said(make_fact(NOW, "note")) is None


def _season(reef: Run, tmp_path: Path, *, weeks: int = 8) -> None:
    """A quiet invented season: three quantities tested weekly, nothing used."""
    rows = ["when,kind,what,value,unit,detail"]
    start = datetime.now(UTC).replace(microsecond=0) - timedelta(days=7 * weeks)
    for week in range(weeks):
        when = (start + timedelta(days=7 * week)).isoformat()
        rows += [
            f"{when},test,alkalinity,{8.2 + 0.1 * (week % 2):.1f},dKH,method=drop count",
            f"{when},test,calcium,{420 + 5 * (week % 2)},mg/L,",
            f"{when},test,magnesium,{1320 + 10 * (week % 2)},mg/L,",
        ]
    (tmp_path / "season.csv").write_text("\n".join(rows) + "\n")
    assert reef("import", "season.csv").status == 0


def test_a_slip_typed_is_stored_and_told_once(reef: Run, tmp_path: Path) -> None:
    _season(reef, tmp_path)
    slipped = reef("add", "test", "alk", "2.9dKH", "--method", "drop count", "--json")
    assert slipped.json["written"]
    assert "Did you mean 2.9 meq/L?" in slipped.json["remarks"][0]
    assert "Did you mean 2.9 meq/L?" in slipped.err
    swapped = reef("add", "test", "ca", "1310mg/L", "--json")
    assert "magnesium" in swapped.json["remarks"][0]
    assert reef("add", "test", "mg", "1310mg/L", "--json").json["remarks"] == []
    assert len(reef("history", "--json").json["facts"]) == 27


def test_with_too_few_tests_before_it_nothing_is_said(reef: Run, tmp_path: Path) -> None:
    _season(reef, tmp_path, weeks=2)
    assert reef("add", "test", "alk", "2.9dKH", "--json").json["remarks"] == []
