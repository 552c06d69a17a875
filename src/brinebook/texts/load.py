"""The catalogue: a folder of TOML files a language, read from the package.

``[sentences]`` and ``[counted]`` of any of them are said by `say` and `say_count`; ``[plurals]``
says how many forms a count has; every other table holds texts of the pages.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from importlib.resources import files
from string import Formatter
from types import MappingProxyType
from typing import Any

from brinebook.errors import InputProblem
from brinebook.texts.manner import ENGLISH, Language, Manner, one_or_many

_TABLES = ("sentences", "counted", "plurals")


class TranslationWrong(InputProblem):
    """A translation names a fact that its English text doesn't have."""

    code = "E-TRANSLATION"

    def __init__(self, tag: str, english: str, names: set[str]) -> None:
        super().__init__(
            f"The texts of “{tag}” put {', '.join(sorted(names))} into “{english}”, which has no "
            "such place.",
            "Use the names in braces that the English text has.",
        )


@lru_cache(maxsize=8)
def load_language(tag: str) -> Language:
    """The language of that tag; English where there is no folder of it. Raises TranslationWrong."""
    if tag not in languages():
        return ENGLISH
    pages: dict[str, str] = {}
    sentences: dict[str, str] = {}
    counted: dict[str, tuple[str, ...]] = {}
    form_of: Callable[[int], int] = one_or_many
    for found in _files(tag):
        sentences |= found.get("sentences", {})
        counted |= {key: tuple(forms) for key, forms in found.get("counted", {}).items()}
        form_of = _rule(found["plurals"]["rule"]) if "plurals" in found else form_of
        pages |= _flat({key: one for key, one in found.items() if key not in _TABLES})
    if tag == ENGLISH.tag:  # an English sentence is its own key
        return Language(tag, MappingProxyType(pages))
    _check(tag, sentences, counted, pages)
    return Language(
        tag,
        MappingProxyType(pages),
        MappingProxyType(sentences),
        MappingProxyType(counted),
        form_of,
    )


def manner(*, language: str, decimal_mark: str, dates: str) -> Manner:
    """How a system with these settings is spoken to. Raises TranslationWrong."""
    return Manner(load_language(language), decimal_mark, dates)


def languages() -> tuple[str, ...]:
    """The tags of the languages that the package has texts of."""
    return tuple(sorted(one.name for one in files("brinebook.texts").iterdir() if _is_one(one)))


def _is_one(folder: Any) -> bool:
    return folder.is_dir() and any(one.name.endswith(".toml") for one in folder.iterdir())


def _files(tag: str) -> Iterator[Mapping[str, Any]]:
    for place in files("brinebook.texts").joinpath(tag).iterdir():
        if place.name.endswith(".toml"):
            yield tomllib.loads(place.read_text(encoding="utf-8"))


def _rule(text: str) -> Callable[[int], int]:
    """A rule of plurals as other catalogues write it, such as ``n != 1``."""
    from gettext import c2py

    rule: Callable[[int], int] = c2py(text)
    return rule


def _flat(found: Mapping[str, object], before: str = "") -> Iterator[tuple[str, str]]:
    for key, value in found.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{before}{key}.")
        else:
            yield f"{before}{key}", str(value)


def _check(
    tag: str,
    sentences: Mapping[str, str],
    counted: Mapping[str, tuple[str, ...]],
    pages: Mapping[str, str],
) -> None:
    english = load_language(ENGLISH.tag).pages
    for key, text in sentences.items():
        _check_one(tag, key, text)
    for key, forms in counted.items():
        for form in forms:
            _check_one(tag, key, form)
    for key, text in pages.items():
        _check_one(tag, english.get(key, text), text)


def _check_one(tag: str, english: str, text: str) -> None:
    more = names_of(text) - names_of(english)
    if more:
        raise TranslationWrong(tag, english, more)


def names_of(template: str) -> set[str]:
    """The names of the places of a template."""
    try:
        return {name for _, name, _, _ in Formatter().parse(template) if name}
    except ValueError:  # a text without facts may hold a brace of its own
        return set()
