"""Who calls: a machine with its token, or a browser that may look anyway."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import Depends, Query, Security
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from starlette.requests import Request

from brinebook.desk.opening import OpenSystem
from brinebook.desk.passes import ADD_FACTS, ADD_READINGS, READ, find_pass
from brinebook.desk.shelf import Shelf, SystemRow
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.texts import say
from brinebook.web.notebook import Notebook
from brinebook.web.visit import OnlyReading

bearer = HTTPBearer(auto_error=False, description="A token made on the page “Who may come in”.")
Token = Annotated[HTTPAuthorizationCredentials | None, Security(bearer)]


class TokenNeeded(BrinebookError):
    """The call has no token, and without one nothing is told here."""

    code = "E-TOKEN-NEEDED"
    http_status = 401

    def __init__(self) -> None:
        super().__init__(
            say("This takes a token, sent as “Authorization: Bearer …”."),
            say("Make one in the notebook, on the page “Who may come in”."),
        )


class TokenRefused(BrinebookError):
    """The token is unknown, ended, or may not do this."""

    code = "E-TOKEN-REFUSED"
    http_status = 403

    def __init__(self, scope: str) -> None:
        super().__init__(
            say("This token doesn't allow that ({scope}), or counts no longer.", scope=scope),
            say("Make one that does, in the notebook, on the page “Who may come in”."),
        )


class SystemChoice(UsageProblem):
    """Which system is meant can't be told."""

    code = "E-API-SYSTEM"
    http_status = 404

    def __init__(self, names: list[str]) -> None:
        super().__init__(
            say("Which system is meant can't be told."),
            say("Say system=, one of: {names}.", names=", ".join(names)),
        )


@dataclass(frozen=True, slots=True)
class Caller:
    """A call about one system, with leave to make it."""

    notebook: Notebook
    row: SystemRow
    name: str

    @property
    def shelf(self) -> Shelf:
        """The open book."""
        return self.notebook.shelf

    @property
    def opened(self) -> OpenSystem:
        """The system as described."""
        return self.notebook.shelf.opened(self.row)

    @property
    def now(self) -> datetime:
        """The notebook's present."""
        return self.notebook.now()


SystemName = Annotated[
    str | None, Query(description="Which system, by name, where the book holds several.")
]


def _caller(request: Request, token: Token, scope: str, system: str | None) -> Caller:
    notebook: Notebook = request.app.state.notebook
    shelf = notebook.shelf
    if token is not None:
        found = find_pass(shelf.book, token.credentials, now=notebook.now())
        if found is None or scope not in found.scopes:
            raise TokenRefused(scope)
        row = shelf.row(found.system_id)
        if row is None or system not in (None, row.name):
            raise TokenRefused(scope)
        return Caller(notebook, row, found.name)
    if scope != READ or not _may_look(request, notebook):
        raise TokenNeeded
    rows = shelf.systems()
    fitting = [one for one in rows if system in (None, one.name)]
    if len(fitting) != 1:
        raise SystemChoice([one.name for one in rows])
    return Caller(notebook, fitting[0], "")


def _may_look(request: Request, notebook: Notebook) -> bool:
    """Whether this browser may read pages: there is no password, or it has given it."""
    session = notebook.sessions.read(request)
    if session is not None and session.share:
        return False
    epoch = notebook.password.epoch()
    return not epoch or (session is not None and session.opened == epoch)


def reader(request: Request, token: Token, system: SystemName = None) -> Caller:
    """A call that reads."""
    return _caller(request, token, READ, system)


def fact_writer(request: Request, token: Token, system: SystemName = None) -> Caller:
    """A call that adds facts."""
    return _writer(request, token, ADD_FACTS, system)


def reading_writer(request: Request, token: Token, system: SystemName = None) -> Caller:
    """A call that adds readings of probes."""
    return _writer(request, token, ADD_READINGS, system)


def _writer(request: Request, token: Token, scope: str, system: str | None) -> Caller:
    caller = _caller(request, token, scope, system)
    if caller.notebook.options.read_only:
        raise OnlyReading
    return caller


Reader = Annotated[Caller, Depends(reader)]
FactWriter = Annotated[Caller, Depends(fact_writer)]
ReadingWriter = Annotated[Caller, Depends(reading_writer)]
