"""What stands before every command: which book, which system; and where things live by default."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from pathlib import Path

BOOK_VARIABLE = "BRINEBOOK_BOOK"
DEFAULT_BOOK_NAME = "book.sqlite"


@dataclass(frozen=True, slots=True)
class Session:
    """What was said before the command: ``--book`` (a path or URL as typed) and ``--system``."""

    book: str
    system: str | None = None


def default_book() -> str:
    """The book that is meant when none is named: ``$BRINEBOOK_BOOK``, else the user's own."""
    return os.environ.get(BOOK_VARIABLE) or str(data_folder() / DEFAULT_BOOK_NAME)


def data_folder() -> Path:
    """Where this user's books live by default, by the custom of the platform."""
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "brinebook"
    if sys.platform == "win32":
        return _windows_folder()
    return _xdg_folder("XDG_DATA_HOME", Path(".local") / "share")


def state_folder() -> Path:
    """Where reports of unexpected failures are kept, by the custom of the platform."""
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Logs" / "brinebook"
    if sys.platform == "win32":
        return _windows_folder() / "reports"
    return _xdg_folder("XDG_STATE_HOME", Path(".local") / "state")


def _windows_folder() -> Path:
    local = os.environ.get("LOCALAPPDATA")
    base = Path(local) if local else Path.home() / "AppData" / "Local"
    return base / "brinebook"


def _xdg_folder(variable: str, under_home: Path) -> Path:
    # The XDG Base Directory Specification says that a relative path in the variable is ignored.
    named = os.environ.get(variable, "")
    base = Path(named) if named and Path(named).is_absolute() else Path.home() / under_home
    return base / "brinebook"
