"""history.csv: what is read, what is refused and how, and that writing and reading agree."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.book.history_csv import HeaderWrong, History, read_history, write_history
from brinebook.book.identity import make_fact
from brinebook.book.rows import settle
from brinebook.timeline import KINDS, Fact
from tests.moments import LISBON, NOW

HEADER = "when,kind,what,value,unit,detail\n"


def _read(rows: str | bytes) -> History:
    data = rows if isinstance(rows, bytes) else (HEADER + rows).encode()
    return read_history(data, zone=LISBON, now=NOW)


def _one(row: str) -> Fact:
    history = _read(row)
    assert history.bad == ()
    (fact,) = history.facts
    return fact


#: One good row of each kind and form that the contract names.
GOOD = """\
2026-02-01T08:00:00+00:00,done,pump cleaned,,,
2026-02-01T08:00:00+00:00,dose,NaHCO3,10.786,g,
2026-02-01T08:00:00+00:00,dose,carbonate solution,30,mL,
2026-02-01T08:00:00+00:00,dosing,carbonate solution,30,mL/day,hours=22-06
2026-02-01T08:00:00+00:00,event,livestock,2,snails,colour=red;from=shop
2026-02-01T08:00:00+00:00,event,power_cut,,,
2026-02-01T08:00:00+00:00,feed,flakes,1.5,g,n=0.08;p=0.012
2026-02-01T08:00:00+00:00,harvest,chaetomorpha,80,g,
2026-02-01T08:00:00+00:00,level,top-off,18,L,
2026-02-01T08:00:00+00:00,media,ferric,100,g,flow=60
2026-02-01T08:00:00+00:00,note,,,,"text=pale, on top"
2026-02-01T08:00:00+00:00,removed,,2,L,
2026-02-01T08:00:00+00:00,test,alkalinity,8.2,dKH,lot=A1;method=drop count;replicate=2
2026-02-01T08:00:00+00:00,test,ammonia,<0.02,mg/L NH3,
2026-02-01T08:00:00+00:00,test,nitrate,>100,ppm,
2026-02-01T08:00:00+00:00,test,ph,8.1,,
2026-02-01T08:00:00+00:00,test,salinity,53.07,mS/cm,temperature=25
2026-02-01T08:00:00+00:00,top_off,,3,L/day,
2026-02-01T08:00:00+00:00,verdict,abcdefghijkl,,,says=wrong
2026-02-01T08:00:00+00:00,water_change,,15,%,
2026-02-01T08:00:00+00:00,water_change,house mix,2,%/day,alkalinity=2.9;salinity=35
"""


def test_every_form_of_the_contract_reads_and_is_written_back_alike() -> None:
    history = _read(GOOD)
    assert history.bad == ()
    assert {fact.kind for fact in history.facts} == set(KINDS)
    assert "".join(write_history(history.facts)) == HEADER + GOOD


@pytest.mark.parametrize(
    ("row", "column", "reason"),
    [
        ("2026-02-01,test,alkalinity,8.2,ppm,", "unit", "ambiguous"),
        ("2026-02-01,test,phosphate,31,ppb,", "unit", "ambiguous"),
        ("2026-02-01,test,ammonia,0.1,ppm,", "unit", "ambiguous"),
        ("2026-02-01,test,salinity,1.025,,", "unit", "needs a unit"),
        ("2026-02-01,test,calcium,420,,", "unit", "needs a unit"),
        ("2026-02-01,test,salinity,53,mS/cm,", "unit", "temperature"),
        ("2026-02-01,test,calcium,420,dKH,", "unit", "not a unit"),
        ("2026-02-01,test,alkalinity,82,dKH,", "value", "outside what can be"),
        ("2026-02-01,test,calcium,-1,mg/L,", "value", "outside what can be"),
        ("2026-02-01,test,calcium,1e9,mg/L,", "value", "outside what can be"),
        ("2026-02-01,test,calcium,nan,mg/L,", "value", "finite"),
        ("2026-02-01,test,calcium,inf,mg/L,", "value", "finite"),
        ('2026-02-01,test,calcium,"8,2",mg/L,', "value", "decimal point"),
        ('2026-02-01,test,calcium,"1,320",mg/L,', "value", "thousands"),
        ("2026-02-01,test,calcium,,mg/L,", "value", "empty"),
        ("2026-02-01,test,calcum,420,mg/L,", "what", "not a quantity"),
        ("2026-02-01,test,,420,mg/L,", "what", "empty"),
        ("2026-02-01,tset,calcium,420,mg/L,", "kind", "no such kind"),
        (",test,calcium,420,mg/L,", "when", "empty"),
        ("2026-02-30,test,calcium,420,mg/L,", "when", "ISO 8601"),
        ("01/02/2026,test,calcium,420,mg/L,", "when", "ISO 8601"),
        ("2026-03-02T09:00:01Z,test,calcium,420,mg/L,", "when", "ahead of the clock"),
        ("1900-01-01,test,calcium,420,mg/L,", "when", "before 1950"),
        ("2026-02-01,dose,carbonate solution,-3,mL,", "value", "negative"),
        ("2026-02-01,dose,carbonate solution,1e9,mL,", "value", "more than"),
        ("2026-02-01,dose,carbonate solution,30,mL/day,", "unit", "fit"),
        ("2026-02-01,dose,carbonate solution,30,,", "unit", "missing"),
        ("2026-02-01,dosing,carbonate solution,30,mL,", "unit", "fit"),
        ("2026-02-01,dosing,carbonate solution,30,mL/day,hours=25-26", "detail", "clock times"),
        ("2026-02-01,water_change,,101,%,", "value", "more than 100"),
        ("2026-02-01,water_change,,10,%,alkalinity=8.2dKH", "detail", "number"),
        ("2026-02-01,water_change,,10,%,salinity=99", "detail", "between 0 and 60"),
        ("2026-02-01,removed,x,1,L,", "what", "stays empty"),
        ("2026-02-01,feed,flakes,1,g,n=8", "detail", "between 0 and 1"),
        ("2026-02-01,done,pump,3,,", "value", "stays empty"),
        ("2026-02-01,verdict,abcdefghijkl,,,says=perhaps", "detail", "says"),
        ("2026-02-01,verdict,abcdefghijkl,,,", "detail", "says"),
        ("2026-02-01,note,,,,text", "detail", "key=value"),
        ("2026-02-01,note,,,,text=a;text=b", "detail", "twice"),
        ("2026-02-01,note,,,,text=%FF", "detail", "UTF-8"),
        ("2026-02-01,note,,,,text=a%00b", "detail", "U+0000"),
        ("2026-02-01,test,calcium,420", "row", "4 columns instead of 6"),
        ("2026-02-01,note,,,,text=a,b", "row", "7 columns instead of 6"),
        ('2026-02-01,"note,,,,', "row", "quotation marks"),
        ("2026-02-01,note,,,,text=a\x00b", "row", "NUL"),
    ],
)
def test_a_bad_row_names_its_column_and_the_reason(row: str, column: str, reason: str) -> None:
    good = "2026-02-01,test,calcium,420,mg/L,\n"
    history = _read(f"{good}{row}\n{good}2026-02-02,test,calcium,421,mg/L,\n")
    assert (history.bad[0].line, history.bad[0].column) == (3, column)
    assert reason in history.bad[0].sentence
    assert [fact.value for fact in history.facts] == ["420", "421"]


def test_a_row_with_several_faults_tells_them_all() -> None:
    history = _read("yesterday,test,calcum,x,mg/L,says\n")
    assert [bad.column for bad in history.bad] == ["when", "detail", "what", "value"]


def test_bytes_that_are_not_utf8_spoil_their_row_only() -> None:
    data = HEADER.encode() + b"2026-02-01,note,,,,text=caf\xe9\n2026-02-01,note,,,,text=tea\n"
    history = _read(data)
    assert [(bad.line, bad.reason) for bad in history.bad] == [(2, "it isn't UTF-8")]
    assert len(history.facts) == 1


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_field_over_100_000_characters_spoils_its_row_only(quote: str) -> None:
    history = _read(
        f"2026-02-01,note,,,,{quote}text={'a' * 100_000}{quote}\n"
        f"2026-02-01,note,,,,{quote}text={'b' * 99_995}{quote}\n"
    )
    assert [bad.line for bad in history.bad] == [2]
    assert len(history.facts) == 1


def test_a_stray_quotation_mark_does_not_swallow_the_rows_after_it() -> None:
    history = _read('2026-02-01,"note,,,,\n2026-02-01,note,,,,"text=a\nb"\n2026-02-02,note,,,,\n')
    assert [bad.line for bad in history.bad] == [2]
    assert [dict(fact.detail) for fact in history.facts] == [{"text": "a\nb"}, {}]


def test_a_byte_order_mark_and_crlf_are_read() -> None:
    rows = (HEADER + GOOD).replace("\n", "\r\n").encode()
    assert _read(b"\xef\xbb\xbf" + rows).facts == _read(GOOD).facts


@pytest.mark.parametrize(
    "data",
    [b"", b"when,kind\n", b"when;kind;what;value;unit;detail\n", b"\xff\xfew\x00h\x00", b"\n" * 9],
)
def test_a_wrong_header_is_refused_whole(data: bytes) -> None:
    with pytest.raises(HeaderWrong) as caught:
        _read(data)
    assert caught.value.exit_status == 3


def test_times_without_an_offset_are_in_the_systems_zone() -> None:
    # Portugal keeps UTC in winter and UTC+1 in summer (tz database, Europe/Lisbon).
    assert _one("2026-01-10T09:00,note,,,,").when == datetime(2026, 1, 10, 9, tzinfo=UTC)
    assert _one("2025-07-10T09:00,note,,,,").when == datetime(2025, 7, 10, 8, tzinfo=UTC)
    assert _one("2025-07-10T09:00-03:00,note,,,,").when == datetime(2025, 7, 10, 12, tzinfo=UTC)


def test_a_day_ahead_of_the_clock_is_still_allowed() -> None:
    when = (NOW + timedelta(days=1)).isoformat()
    assert _one(f"{when},note,,,,").when == NOW + timedelta(days=1)


def test_identical_rows_are_one_fact_unless_replicate_differs() -> None:
    row = "2026-02-01,test,calcium,420,mg/L,"
    history = _read(f"{row}\n{row}\n{row}replicate=2\n2026-02-01,test,calcium,420.0,mg/L,\n")
    assert len(history.facts) == 2
    assert history.repeated == 2


def test_of_something_else_widens_the_range_ten_times() -> None:
    assert _one("2026-02-01,test,calcium,19000,mg/L,of=effluent").detail["of"] == "effluent"
    assert _one("2026-02-01,test,ph,3,,of=effluent").value == "3"
    assert _read("2026-02-01,test,calcium,21000,mg/L,of=effluent\n").bad[0].column == "value"
    assert _read("2026-02-01,test,temperature,50,C,of=tap\n").bad[0].column == "value"


def test_the_id_comes_from_the_content_alone() -> None:
    fact = _one("2026-02-01T09:00+01:00,test,calcium,420,mg/L,lot=A;method=m")
    same = _one("2026-02-01T08:00Z,test,calcium,420.00,mg/L,method=m;lot=A")
    assert fact.id == same.id
    assert len(fact.id) == 12
    other = _one("2026-02-01T08:00Z,test,calcium,420,ppm,method=m;lot=A")
    assert other.id != fact.id


def test_swapped_columns_are_one_remark_and_block_nothing() -> None:
    rows = "".join(
        f"2026-01-{day:02d},test,calcium,13{day:02d},mg/L,\n"
        f"2026-01-{day:02d},test,magnesium,4{day:02d},mg/L,\n"
        for day in range(1, 29)
    )
    history = _read(rows)
    assert history.bad == ()
    assert len(history.remarks) == 1
    assert "calcium and magnesium look swapped at 28 times" in history.remarks[0]


def test_sound_columns_draw_no_remark() -> None:
    rows = "2026-01-01,test,calcium,420,mg/L,\n2026-01-01,test,magnesium,1320,mg/L,\n"
    assert _read(rows).remarks == ()


def test_an_unknown_detail_key_is_kept_and_remarked_on_once() -> None:
    rows = "".join(f"2026-01-0{day},test,calcium,420,mg/L,metod=x\n" for day in range(1, 9))
    history = _read(rows)
    assert history.facts[0].detail["metod"] == "x"
    assert len(history.remarks) == 1
    assert "did you mean method?" in history.remarks[0]


_TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12).map(str.strip)
_KEYS = _TEXT.filter(bool)


@given(
    days=st.floats(-10_000, 0),
    name=_KEYS,
    detail=st.dictionaries(_KEYS, st.text(max_size=20).map(lambda text: f"a{text}b"), max_size=4),
)
def test_whatever_an_event_holds_reads_back_as_it_was_written(
    days: float, name: str, detail: dict[str, str]
) -> None:
    settled = settle("event", what=name, detail=detail)
    if settled.problems:
        return
    fact = make_fact(NOW + timedelta(days=days), "event", what=name, detail=detail)
    written = "".join(write_history([fact]))
    history = _read(written.encode())
    assert history.bad == ()
    assert history.facts == (fact,)
    assert "".join(write_history(history.facts)) == written


_PIECES = st.sampled_from(
    [
        *GOOD.splitlines(), "2026-02-01", "test", "dose", "alkalinity", "8.2", "dKH", "SG 20/4",
        "\x00", '"', ",", ";", "=", "%", "%3", "<", ">", "\r", "\n", "nan", "1e999", "é", "\u2028",
        "method=x", "temperature=", "of=", "٣", "-", "999999999999", "mS/cm", "% sat", "total",
    ]
)  # fmt: skip


@settings(max_examples=300)
@given(st.lists(st.one_of(_PIECES, st.text(max_size=8), st.just(",")), max_size=30))
def test_no_text_at_all_makes_the_reader_stumble(pieces: list[str]) -> None:
    history = _read((HEADER + "".join(pieces)).encode("utf-8", "surrogatepass"))
    for bad in history.bad:
        assert bad.sentence
    written = "".join(write_history(history.facts))
    again = read_history(written.encode(), zone=LISBON, now=NOW)
    assert again.bad == ()
    assert "".join(write_history(again.facts)) == written


@given(st.binary(max_size=200))
def test_no_bytes_at_all_make_the_reader_stumble(data: bytes) -> None:
    _read(HEADER.encode() + data)
