"""A sentence by its English template, said in the language in use."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from string import Formatter
from typing import Any, ClassVar, Protocol, TypeVar, overload

from brinebook.texts.manner import ENGLISH, Language, in_use

Kind = TypeVar("Kind")


class Worded(Protocol):
    """A dataclass some of whose fields are texts for the keeper."""

    SAID: ClassVar[tuple[str, ...]]


Noun = TypeVar("Noun", bound=Worded)


class _Marked(Formatter):
    """Fills a template, its numbers with a decimal comma."""

    def format_field(self, value: Any, format_spec: str) -> str:
        text: str = format(value, format_spec)
        return text.replace(".", ",") if isinstance(value, float) else text


_MARKED = _Marked()


def say(template: str, /, **facts: object) -> str:
    """The sentence of a template with these facts in it.

    Without facts the template is taken as it stands, braces included.
    """
    found = in_use().language.sentences.get(template, template)
    if not facts:
        return found
    return filled(found, facts)


def say_count(count: float, one: str, many: str, /, **facts: object) -> str:
    """The sentence that goes with a count: ``one`` of it or ``many``; ``{count}`` is filled in."""
    language = in_use().language
    forms = language.counted.get(many)
    if forms is None:
        found = one if count == 1 else many
    else:
        found = forms[min(language.form_of(round(count)), len(forms) - 1)]
    return filled(found, {"count": count} | facts)


def _said(language: Language, fact: object) -> object:
    if not isinstance(fact, str):
        return fact
    if fact in language.sentences:
        return language.sentences[fact]
    small = within(fact)
    return begun(language.sentences[small]) if small in language.sentences else fact


def named(identifier: str) -> str:
    """An identifier that is shown as words: “box_area”; with a name in it, “set_…” or “…_fed”."""
    words = identifier.replace("_", " ")
    sentences = in_use().language.sentences
    if not sentences or words in sentences:
        return sentences.get(words, words)
    parts = words.split(" ")
    for cut in range(len(parts) - 1, 0, -1):
        template = f"{' '.join(parts[:cut])} {{name}}"
        if template in sentences:
            return say(template, name=" ".join(parts[cut:]))
    for cut in range(1, len(parts)):
        template = f"{{name}} {' '.join(parts[cut:])}"
        if template in sentences:
            return say(template, name=" ".join(parts[:cut]))
    return words


def phrase(template: str) -> str:
    """A text that is said later, where it is used: it stands in the catalogue from here."""
    return template


def begun(text: str) -> str:
    """A text at the start of a sentence: its first letter large."""
    return text[:1].upper() + text[1:]


def within(text: str) -> str:
    """A text inside a sentence: its first letter small."""
    return text[:1].lower() + text[1:]


class Spoken(Mapping[Kind, str]):
    """A table of texts, each said when it is looked up."""

    __slots__ = ("_templates",)

    def __init__(self, templates: Mapping[Kind, str]) -> None:
        self._templates = templates

    def __getitem__(self, key: Kind) -> str:
        return say(self._templates[key])

    def __iter__(self) -> Iterator[Kind]:
        return iter(self._templates)

    def __len__(self) -> int:
        return len(self._templates)


class SpokenLine(Sequence[str]):
    """A row of texts, such as the days of the week, each said when it is looked up."""

    __slots__ = ("_templates",)

    def __init__(self, *templates: str) -> None:
        self._templates = templates

    @overload
    def __getitem__(self, place: int) -> str: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[str]: ...

    def __getitem__(self, place: int | slice) -> str | Sequence[str]:
        if isinstance(place, slice):
            return [say(one) for one in self._templates[place]]
        return say(self._templates[place])

    def __len__(self) -> int:
        return len(self._templates)


def worded(noun: Noun) -> Noun:
    """A dataclass with its ``SAID`` fields in the language in use: texts, or tuples of texts.

    Its instances stand in tables that are made once; the catalogue has what stands in those fields.
    """
    found: dict[str, object] = {}
    for name in noun.SAID:
        value = getattr(noun, name)
        found[name] = say(value) if isinstance(value, str) else tuple(say(one) for one in value)
    return replace(noun, **found)  # type: ignore[type-var]


def filled(template: str, facts: Mapping[str, object]) -> str:
    """A text with facts in its places, numbers with the decimal mark in use.

    A fact that is itself a text of the catalogue (a quantity, a state) is said too.
    """
    language = in_use().language
    if language is not ENGLISH:
        facts = {name: _said(language, fact) for name, fact in facts.items()}
    if in_use().decimal_mark == "comma":
        return _MARKED.vformat(template, (), facts)
    return template.format(**facts)
