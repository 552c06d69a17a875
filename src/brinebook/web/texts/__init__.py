"""Every text of the pages, from one catalogue; a translation is another set of files beside it.

A language has its ``en.toml``, and ``en.PART.toml`` for a part of the pages that has many texts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType

DEFAULT = "en"


class TextMissing(KeyError):
    """A page asked for a text that the catalogue doesn't have: a fault of the program."""


class Texts:
    """The texts of one language, by dotted key, falling back to the first language's."""

    def __init__(self, known: Mapping[str, str], language: str) -> None:
        self.known, self.language = known, language

    def __call__(self, key: str, **facts: object) -> str:
        """The text of a key with these facts in it; with ``count``, its form for one or more."""
        found = self.known.get(key)
        if found is None and "count" in facts:
            form = "one" if facts["count"] == 1 else "other"
            found = self.known.get(f"{key}.{form}")
        if found is None:
            raise TextMissing(key)
        return found.format(**facts) if facts else found

    def has(self, key: str) -> bool:
        """Whether there is a text of that key."""
        return key in self.known


def load_texts(language: str = DEFAULT) -> Texts:
    """The catalogue of a language over the default one."""
    known = _read(DEFAULT)
    if language != DEFAULT:
        known |= _read(language)
    return Texts(MappingProxyType(known), language)


def _read(language: str) -> dict[str, str]:
    known: dict[str, str] = {}
    for place in files("brinebook.web.texts").iterdir():
        if place.name.startswith(f"{language}.") and place.name.endswith(".toml"):
            known |= _flat(tomllib.loads(place.read_text(encoding="utf-8")))
    return known


def _flat(found: Mapping[str, object], before: str = "") -> list[tuple[str, str]]:
    flat: list[tuple[str, str]] = []
    for key, value in found.items():
        if isinstance(value, Mapping):
            flat += _flat(value, f"{before}{key}.")
        else:
            flat.append((f"{before}{key}", str(value)))
    return flat
