"""The description as forms: what was left out, bands, parts, and two who change it at once."""

from __future__ import annotations

import tomllib

import pytest

from brinebook.desk.looking import Chosen, history
from brinebook.desk.opening import open_system
from tests.web.conftest import Reader, fields_of


def _described(book: str) -> dict[str, object]:
    return tomllib.loads(open_system(book).text)


def test_what_was_left_out_is_said(reader: Reader) -> None:
    page = reader.get("system")
    assert "What was left out, and is taken instead" in page
    assert "carbonate solution" in page


def test_a_changed_band_is_kept_and_the_rest_stays_as_written(reader: Reader, book: str) -> None:
    fields = reader.fields("system/bands") | {"low.calcium": "390,5 mg/L"}
    before = open_system(book).text
    reader.post("system/bands", fields)
    after = open_system(book).text
    assert _described(book)["bands"]["calcium"] == ["390.5 mg/L", "450 mg/L"]  # type: ignore[index]
    changed = [line for line in before.splitlines() if line not in after.splitlines()]
    assert changed == ['calcium = ["400 mg/L", "450 mg/L"]']


def test_half_a_band_is_refused_and_what_was_typed_comes_back(reader: Reader, book: str) -> None:
    fields = reader.fields("system/bands") | {"low.nitrate": "2 mg/L"}
    page = reader.post("system/bands", fields, status=400)
    assert 'value="2 mg/L"' in page
    assert "nitrate" not in _described(book)["bands"]  # type: ignore[operator]


def test_a_suggestion_fills_the_form_and_writes_nothing(reader: Reader, book: str) -> None:
    before = open_system(book).text
    page = reader.get("system/bands?suggest=1")
    assert "Common practice, no source" in page
    assert 'value="20 mg/L"' in page
    assert open_system(book).text == before


def test_an_additive_is_added_corrected_and_taken_out(reader: Reader, book: str) -> None:
    fields = reader.fields("system/additives/new")
    typed = {"v.name": "magnesium solution", "v.recipe.salt": "MgCl2.6H2O",
             "v.recipe.grams_per_litre": "250"}  # fmt: skip
    reader.post("system/additives/new", fields | typed)
    assert open_system(book).system.additives[-1].salt == "MgCl2.6H2O"
    fields = reader.fields("system/additives/2") | {"v.recipe.grams_per_litre": "200,5"}
    reader.post("system/additives/2", fields)
    assert open_system(book).system.additives[-1].grams_per_litre == 200.5
    reader.post("system/additives/2", reader.fields("system/additives/2") | {"remove": "1"})
    assert len(open_system(book).system.additives) == 2


def test_what_can_not_be_is_said_with_the_key(reader: Reader, book: str) -> None:
    fields = reader.fields("system/additives/0") | {"v.recipe.salt": "NaHXO3"}
    page = reader.post("system/additives/0", fields, status=422)
    assert "recipe.salt" in page
    assert 'value="NaHXO3"' in page


@pytest.mark.parametrize("path", ["system/additives/9", "system/nothing/0", "system/additives/x"])
def test_a_part_that_is_not_there_is_a_missing_page(reader: Reader, path: str) -> None:
    reader.get(path, status=404)


def test_two_who_change_it_at_once_both_keep_their_words(reader: Reader, book: str) -> None:
    mine = reader.fields("system/general") | {"net_volume.value": "333 L"}
    reader.post("system/general", reader.fields("system/general") | {"net_volume.value": "320 L"})
    page = reader.post("system/general", mine, status=409)
    assert "320 L" in page
    assert "333 L" in page
    assert open_system(book).system.net_volume.value == 320  # type: ignore[union-attr]
    text = open_system(book).text.replace("320 L", "333 L")
    reader.post("system/text", fields_of(page) | {"text": text})
    assert open_system(book).system.net_volume.value == 333  # type: ignore[union-attr]


def test_a_fact_changed_by_two_shows_both_and_loses_neither(reader: Reader, book: str) -> None:
    page = reader.enter("test", query="?what=alkalinity", value="8.1")
    path = page.partition("/fact/")[2].partition("/")[0]
    mine = reader.fields(f"fact/{path}") | {"amount": "8.4 dKH"}
    reader.post(f"fact/{path}", reader.fields(f"fact/{path}") | {"amount": "8.2 dKH"})
    page = reader.post(f"fact/{path}", mine, status=409)
    assert 'value="8.4 dKH"' in page
    assert "8.2 dKH" in page
    reader.post(f"fact/{path}", fields_of(page))
    assert "8.4 dKH" in reader.get(f"fact/{path}")


def test_undo_twice_by_the_same_button_undoes_once(reader: Reader) -> None:
    page = reader.enter("test", query="?what=alkalinity", value="8.1")
    path = page.partition("/fact/")[2].partition("/")[0]
    reader.post(f"fact/{path}", reader.fields(f"fact/{path}") | {"amount": "8.2 dKH"})
    undo = reader.fields(f"fact/{path}")
    once = reader.post(f"fact/{path}/undo", undo)
    assert "<h1>Test: alkalinity, 8.1 dKH</h1>" in once
    twice = reader.post(f"fact/{path}/undo", undo)
    assert "<h1>Test: alkalinity, 8.1 dKH</h1>" in twice
    assert "It was taken back" not in twice


def test_help_and_sources_are_found_by_words(reader: Reader) -> None:
    assert "Safety" in reader.get("help?find=quicklime")
    assert "<h1>Safety</h1>" in reader.get("help/safety")
    assert "Lueker" in reader.get("sources?find=lueker")
    assert "Nothing with these words." in reader.get("sources?find=zzzz")
    reader.get("help/nowhere", status=404)


def test_numbers_and_dates_follow_the_systems_settings(reader: Reader, book: str) -> None:
    fields = reader.fields("system/general")
    chosen = {"language": "en", "decimal_mark": "comma", "dates": "month first"}
    reader.post("system/general", fields | chosen)
    assert _described(book)["decimal_mark"] == "comma"
    page = reader.get("log")
    assert "Sun March 1" in page
    assert "8,0 dKH" in page
    assert "8.0 dKH" not in page
    # What a form hands back is as it was typed, and either mark is read.
    saved = reader.enter("test", query="?what=alkalinity", value="7,9")
    assert "7,9 dKH" in saved
    facts = history(open_system(book), Chosen(kinds=("test",)))
    assert "7.9" in {one.fact.value for one in facts}


def test_a_language_without_texts_is_refused_as_text(reader: Reader, book: str) -> None:
    fields = reader.fields("system/text")
    text = f'language = "xx"\n{open_system(book).text}'
    page = reader.post("system/text", fields | {"text": text}, status=422)
    assert "is none of" in page


def test_a_table_of_sentences_can_be_set_as_paragraphs_and_stays_a_table(reader: Reader) -> None:
    page = reader.get("help/safety")
    table = page.partition('<table class="long" role="table">')[2].partition("</table>")[0]
    rows = table.count('<tr role="row">')
    assert rows > 10
    # The first two columns are heading and text; what follows says what it is.
    assert table.count('<td role="cell">') == 2 * (rows - 1)
    assert table.count('<td role="cell" data-label="whom to ask">') == rows - 1
    assert 'class="long"' not in reader.get("help/trust").partition("<table")[2][:4000]
