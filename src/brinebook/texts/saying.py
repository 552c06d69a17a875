"""A sentence by its English template, said in the language in use."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from string import Formatter
from typing import Any, TypeVar, overload

from brinebook.texts.manner import Manner, in_use

Kind = TypeVar("Kind")


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
    manner = in_use()
    found = manner.language.sentences.get(template, template)
    return _filled(manner, found, facts) if facts else found


def say_count(count: float, one: str, many: str, /, **facts: object) -> str:
    """The sentence that goes with a count: ``one`` of it or ``many``; ``{count}`` is filled in."""
    manner = in_use()
    forms = manner.language.counted.get(many)
    if forms is None:
        found = one if count == 1 else many
    else:
        found = forms[min(manner.language.form_of(round(count)), len(forms) - 1)]
    return _filled(manner, found, {"count": count} | facts)


def phrase(template: str) -> str:
    """A text that is said later, where it is used: it stands in the catalogue from here."""
    return template


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


def _filled(manner: Manner, template: str, facts: Mapping[str, object]) -> str:
    if manner.decimal_mark == "comma":
        return _MARKED.vformat(template, (), facts)
    return template.format(**facts)
