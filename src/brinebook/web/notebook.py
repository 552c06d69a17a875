"""What one running notebook is made of; every request sees the same one."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.desk import clock, doors
from brinebook.desk.opening import aware
from brinebook.desk.rig_shelf import Rigs
from brinebook.desk.shelf import Shelf
from brinebook.texts.pages import Texts
from brinebook.web.doors.sessions import Sessions
from brinebook.web.doors.slow import Slow
from brinebook.web.options import Options
from brinebook.web.statics import Statics
from brinebook.web.templating import Templates

#: A password set by another program counts after so many seconds.
_PASSWORD_READ_EVERY = 5.0


@dataclass(frozen=True, slots=True)
class Notebook:
    """The open book with everything that shows it."""

    options: Options
    shelf: Shelf
    rigs: Rigs
    sessions: Sessions
    texts: Texts
    templates: Templates
    statics: Statics
    slow: Slow
    password: Password

    def now(self) -> datetime:
        """The notebook's present."""
        return self.shelf.now()


class Password:
    """The hash of the book's password, read again every few seconds."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._read_at = float("-inf")
        self._hash: str | None = None

    def hash(self) -> str | None:
        """The hash; None where no password is set."""
        now = time.monotonic()
        if now - self._read_at > _PASSWORD_READ_EVERY:
            self._hash = doors.password_hash(self._shelf.book)
            self._read_at = now
        return self._hash

    def epoch(self) -> str:
        """What a session opened with the present password remembers; empty without one."""
        hashed = self.hash()
        return doors.epoch(hashed) if hashed else ""


def open_notebook(options: Options) -> Notebook:
    """Open the book and everything around it. Raises what opening a book raises."""
    shelf = Shelf(options.book)
    shelf.now = _clock(shelf, options.at)
    texts = Texts()
    statics = Statics()
    return Notebook(
        options=options,
        shelf=shelf,
        rigs=Rigs(shelf),
        sessions=Sessions(doors.signing_secret(shelf.book)),
        texts=texts,
        templates=Templates(texts, statics),
        statics=statics,
        slow=Slow(time.monotonic),
        password=Password(shelf),
    )


def _clock(shelf: Shelf, at: datetime | None) -> Callable[[], datetime]:
    """The clock of the machine, or one that begins at ``at`` and goes on from there.

    A naive ``at`` is read in the zone of the book's first system.
    """
    if at is None:
        return clock.now
    zone = shelf.opened(shelf.systems()[0]).zone
    ahead: timedelta = (aware(at, zone) or at) - clock.now()
    return lambda: clock.now() + ahead
