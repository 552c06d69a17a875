"""The bibliography and the code hold each other to it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import brinebook
from brinebook.sources import KEY, cited_keys, load_sources, read_sources

PACKAGE = Path(brinebook.__file__).parent
FILES = sorted(PACKAGE.rglob("*.py"))
#: Explains how to cite, so it holds an example.
EXPLAINS = PACKAGE / "sources.py"
YEAR_IN_NAME = re.compile(r"_(?P<year>(?:19|20)\d\d)$")


def citations() -> dict[str, list[str]]:
    """Key -> the files that cite it."""
    found: dict[str, list[str]] = {}
    for path in FILES:
        if path == EXPLAINS:
            continue
        for key in cited_keys(path.read_text(encoding="utf-8")):
            found.setdefault(key, []).append(str(path.relative_to(PACKAGE)))
    return found


def test_every_citation_has_an_entry_in_the_bibliography() -> None:
    missing = {key: places for key, places in citations().items() if key not in load_sources()}
    assert missing == {}


def test_every_entry_of_the_bibliography_is_cited() -> None:
    assert set(load_sources()) - set(citations()) == set()


def test_every_function_named_after_a_publication_cites_one_of_that_year() -> None:
    uncited = []
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.FunctionDef):
                continue
            named = YEAR_IN_NAME.search(node.name)
            if named is None or node.name.startswith("_"):
                continue
            keys = cited_keys(ast.get_docstring(node) or "")
            if not any(named["year"] in key for key in keys):
                uncited.append(f"{path.name}:{node.name}")
    assert uncited == []


def test_every_entry_is_complete_and_its_key_carries_its_year() -> None:
    for key, source in load_sources().items():
        assert KEY.fullmatch(key), key
        assert str(source.year) in key
        assert all((source.authors, source.title, source.published, source.verified)), key
        assert source.doi == "" or re.fullmatch(r"10\.\d{4,9}/\S+", source.doi), key


def test_the_entries_stand_in_the_order_of_their_keys() -> None:
    keys = list(load_sources())
    assert keys == sorted(keys)


def test_a_citation_may_name_several_sources_and_say_where() -> None:
    docstring = '"""Doc.\n\n    Source: one1990a (eqs. 1, 2 and 3), two2001 (table 4)\n    """\n'
    text = f"{docstring}# Source: three2010."
    assert cited_keys(text) == ("one1990a", "two2001", "three2010")


def test_a_mistyped_citation_comes_back_to_be_found_missing() -> None:
    assert cited_keys("Source: Lueker et al 2000") == ("Lueker et al 2000",)


def test_a_source_reads_as_a_reference() -> None:
    (source,) = read_sources(
        '[a1999]\nauthors = "A, B."\nyear = 1999\ntitle = "T"\npublished = "P 1"\n'
        'verified = "seen"\ndoi = "10.1000/x"\n'
    ).values()
    assert str(source) == "A, B. 1999: T. P 1, doi 10.1000/x"
