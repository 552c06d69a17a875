"""Jinja2, strict: a name that a page doesn't have is a fault, not an empty place."""

from __future__ import annotations

import re
from collections.abc import Mapping

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

from brinebook.report.act import was_it
from brinebook.report.causes import NAMES
from brinebook.report.dates import date_text
from brinebook.report.facts import KIND_LABELS
from brinebook.report.numbers import chance_text
from brinebook.report.page_rows import unit_label
from brinebook.texts import begun, named, say, typed_as_marked
from brinebook.texts.names import quantity_label
from brinebook.texts.pages import Texts
from brinebook.web.glue import glued
from brinebook.web.statics import Statics


class Templates:
    """Every template of the package, compiled once."""

    def __init__(self, texts: Texts, statics: Statics) -> None:
        self._environment = Environment(
            loader=PackageLoader("brinebook.web", "templates"),
            autoescape=select_autoescape(default=True),
            undefined=StrictUndefined,
            auto_reload=False,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters["quantity"] = quantity_label
        self._environment.filters["unit"] = unit_label
        self._environment.filters["unit_in"] = _with_printed_unit
        self._environment.filters["kind"] = lambda kind: KIND_LABELS.get(kind, texts("chart.lot"))
        self._environment.filters["day"] = lambda when, told: date_text(
            when, told.at, told.assessed.loaded.zone
        )
        self._environment.filters["chance"] = chance_text
        self._environment.filters["cause"] = lambda cause: NAMES.get(cause, cause)
        self._environment.filters["in_browser"] = _in_browser
        self._environment.filters["was_it"] = was_it
        self._environment.filters["named"] = named
        self._environment.filters["marked"] = typed_as_marked
        self._environment.globals["t"] = texts
        self._environment.globals["static"] = statics.url
        self._environment.globals["begun"] = begun

    def render(self, name: str, context: Mapping[str, object]) -> str:
        """A page of a template."""
        return glued(self._environment.get_template(name).render(context))


def _in_browser(hint: str) -> str:
    """A hint without the sentences that name a command: there is none to type here."""
    sentences = re.split(r"(?<=[.]) ", hint)
    return " ".join(one for one in sentences if "brinebook " not in one)


def _with_printed_unit(text: str) -> str:
    """A number with its unit, the unit as people write it."""
    number, _, unit = text.rpartition(" ")
    return typed_as_marked(f"{number} {say(unit_label(unit))}" if number else text)
