"""Texts of the pages, by key: what a template names with ``t('today.title')``."""

from __future__ import annotations

from brinebook.texts.load import load_language
from brinebook.texts.manner import ENGLISH, in_use
from brinebook.texts.saying import filled


class TextMissing(KeyError):
    """A page asked for a text that the catalogue doesn't have: a fault of the program."""


class Texts:
    """The texts of the pages in the language in use, else in English."""

    def __init__(self) -> None:
        self.known = load_language(ENGLISH.tag).pages

    def __call__(self, key: str, **facts: object) -> str:
        """The text of a key with these facts in it; with ``count``, its form for one or more."""
        found = self._found(key)
        if found is None and "count" in facts:
            found = self._found(f"{key}.{'one' if facts['count'] == 1 else 'other'}")
        if found is None:
            raise TextMissing(key)
        return filled(found, facts) if facts else found

    @property
    def language(self) -> str:
        """The tag of the language in use, as a page states it."""
        return in_use().language.tag

    def has(self, key: str) -> bool:
        """Whether there is a text of that key."""
        return key in self.known

    def _found(self, key: str) -> str | None:
        return in_use().language.pages.get(key) or self.known.get(key)
