"""The bibliography: what the numbers rest on, and who cites it.

Code cites by key, in a docstring or a comment, on one line::

    Source: lueker2000 (eq. 1), dickson2007

What stands in brackets says where in the source. A fact that everyone uses and nobody published is
marked ``common practice, no source`` instead.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_CITATION = re.compile(r"\bSource:\s*(?P<list>[^\n]*)")
_BRACKETS = re.compile(r"\([^()]*\)?")
KEY = re.compile(r"[a-z]+(?:_[a-z]+)*[0-9]{4}[a-z]?")


@dataclass(frozen=True, slots=True)
class Source:
    """One publication, and how far reference and equation were checked."""

    key: str
    authors: str
    year: int
    title: str
    published: str
    verified: str
    doi: str = ""

    def __str__(self) -> str:
        doi = f", doi {self.doi}" if self.doi else ""
        return f"{self.authors} {self.year}: {self.title}. {self.published}{doi}"


def read_sources(text: str) -> Mapping[str, Source]:
    """The bibliography from TOML text, by key; raises TOMLDecodeError, TypeError or KeyError."""
    entries = tomllib.loads(text)
    return MappingProxyType({key: Source(key=key, **entry) for key, entry in entries.items()})


def load_sources() -> Mapping[str, Source]:
    """The bibliography that is part of the package, by key."""
    from importlib.resources import files

    return read_sources(files("brinebook").joinpath("sources.toml").read_text(encoding="utf-8"))


def cited_keys(text: str) -> tuple[str, ...]:
    """Every key cited in a piece of code or text, in order; what isn't a key is left as it stands.

    So a citation with a typing error comes back too, to be found missing from the bibliography.
    """
    keys: list[str] = []
    for match in _CITATION.finditer(text):
        listed = _BRACKETS.sub("", match["list"]).replace('"""', "")
        keys += [part.strip(" .;") for part in listed.split(",") if part.strip(" .;")]
    return tuple(keys)
