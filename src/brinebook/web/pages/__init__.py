"""The pages, one module each. A new page is a module here, named in `MODULES`, with a `router`.

A module whose page stands in the line at the top is named in `NAVIGATION` too; its title is the
text ``nav.NAME`` of the catalogue.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module

from fastapi import APIRouter

MODULES = (
    "home", "sign_in", "today", "why", "water", "balance", "verdict",
    "enter", "enter_test", "enter_sitting", "enter_words", "enter_amount", "saved",
    "log", "fact", "photo", "system", "access", "look", "sources", "help",
    "life_support", "life_support_forms", "life_support_try", "dosing", "dosing_kept",
    "dosing_limits", "system_planning",
)  # fmt: skip
NAVIGATION = ("today", "water", "balance", "dosing", "life-support", "log", "system", "help")


def load_routers() -> Iterator[APIRouter]:
    """The router of every page."""
    for name in MODULES:
        router: APIRouter = import_module(f"{__name__}.{name}").router
        yield router


def system_router() -> APIRouter:
    """A router for pages of one system."""
    return APIRouter(prefix="/s/{system}", include_in_schema=False)
