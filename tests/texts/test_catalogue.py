"""The catalogue is what the code says, and a translation of it is a folder of files."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from brinebook.texts import ENGLISH, load, say, say_count, speaking
from brinebook.texts.load import TranslationWrong, languages, load_language
from brinebook.texts.pages import Texts
from scripts import sentences
from tests.test_words import TOO_SURE


def test_the_catalogue_of_sentences_is_the_one_that_the_code_makes() -> None:
    # Remade by: python -m scripts.sentences
    assert sentences.CATALOGUE.read_text(encoding="utf-8") == sentences.page(sentences.collect())


def test_the_names_of_facts_can_be_read() -> None:
    texts = tomllib.loads(sentences.CATALOGUE.read_text(encoding="utf-8"))
    names = {
        name for text in [*texts["sentences"], *texts["counted"]] for name in load.names_of(text)
    }
    assert [name for name in names if not name.isidentifier() or name.startswith("_")] == []


def test_no_sentence_promises_too_much() -> None:
    texts = tomllib.loads(sentences.CATALOGUE.read_text(encoding="utf-8"))["sentences"]
    assert [text for text in texts if TOO_SURE.search(text)] == []


def test_a_sentence_that_nobody_could_collect_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "hidden.py").write_text('say(f"{name} falls.")\n', encoding="utf-8")
    with pytest.raises(sentences.TemplateHidden):
        sentences.collect(tmp_path)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of texts of its own, with English in it."""
    shutil.copytree(sentences.TEXTS / "en", tmp_path / "en")
    monkeypatch.setattr(load, "files", lambda _package: tmp_path)
    load_language.cache_clear()
    yield tmp_path
    load_language.cache_clear()


def test_a_translation_is_a_folder_beside_english(folder: Path) -> None:
    (folder / "cs").mkdir()
    (folder / "cs" / "all.toml").write_text(
        '[plurals]\nrule = "n==1 ? 0 : n>=2 && n<=4 ? 1 : 2"\n'
        '[nav]\ntoday = "Dnes"\n'
        '[sentences]\n"Look again in {days}." = "Za {days} se podívejte znovu."\n'
        '[counted]\n"{count} tests" = ["{count} test", "{count} testy", "{count} testů"]\n',
        encoding="utf-8",
    )
    assert languages() == ("cs", "en")
    texts = Texts()
    with speaking(load.manner(language="cs", decimal_mark="comma", dates="day first")):
        assert texts("nav.today") == "Dnes"
        assert texts("nav.water") == "Water"  # what it lacks is in English
        assert texts.language == "cs"
        assert say("Look again in {days}.", days="2 dny") == "Za 2 dny se podívejte znovu."
        told = [say_count(count, "{count} test", "{count} tests") for count in (1, 3, 7)]
    assert told == ["1 test", "3 testy", "7 testů"]
    assert texts("nav.today") == "Today"


def test_a_place_that_the_english_text_lacks_is_refused(folder: Path) -> None:
    (folder / "cs").mkdir()
    (folder / "cs" / "all.toml").write_text(
        '[sentences]\n"Look again in {days}." = "Za {dni} znovu."\n', encoding="utf-8"
    )
    with pytest.raises(TranslationWrong, match="dni"):
        load_language("cs")


def test_an_unknown_language_is_english(folder: Path) -> None:
    assert load_language("xx") is ENGLISH
