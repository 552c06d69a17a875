"""An invented reef with fourteen months of invented facts, to try the program on.

The system, its place, its people and every number were made by ``scripts/make_demo.py``. They show
what the program does; they prove nothing about real water.
"""

from __future__ import annotations

from importlib import resources

#: Stands in the demo system's name, so that every answer about it says what it rests on.
MARK = "invented data"


def system_toml() -> str:
    """The text of the demo's system.toml."""
    return _text("system.toml")


def history_csv() -> str:
    """The text of the demo's history.csv, in the format that ``import`` reads."""
    return _text("history.csv")


def _text(name: str) -> str:
    return resources.files(__name__).joinpath(name).read_text(encoding="utf-8")
