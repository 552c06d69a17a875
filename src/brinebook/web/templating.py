"""Jinja2, strict: a name that a page doesn't have is a fault, not an empty place."""

from __future__ import annotations

from collections.abc import Mapping

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

from brinebook.report.page_rows import quantity_label, unit_label
from brinebook.web.statics import Statics
from brinebook.web.texts import Texts


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
        self._environment.globals["t"] = texts
        self._environment.globals["static"] = statics.url

    def render(self, name: str, context: Mapping[str, object]) -> str:
        """A page of a template."""
        return self._environment.get_template(name).render(context)
