"""One request: who asks, about which system, and how to answer. Every page starts from here."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import Depends
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brinebook.desk.opening import Loaded, OpenSystem, manner_of
from brinebook.desk.passes import pass_of
from brinebook.desk.plan_keep import as_of
from brinebook.desk.shelf import SystemRow, to_the_second
from brinebook.errors import BrinebookError
from brinebook.texts import Manner, say, speak
from brinebook.web.doors.sessions import Session, fresh_session
from brinebook.web.notebook import Notebook


class SignInNeeded(Exception):
    """The notebook has a password, and this browser hasn't given it."""

    def __init__(self, path: str) -> None:
        super().__init__(path)
        self.path = path


class PageMissing(BrinebookError):
    """There is no such page, or not for this visitor."""

    code = "E-PAGE"
    http_status = 404

    def __init__(self, what: str) -> None:
        page = re.sub(r"^/(s/[^/]+/)?", "", what)  # the key of a system says nothing to a person
        super().__init__(
            say("There is no page “{page}” here.", page=page[:80]),
            say("Look on Today, or in the Log."),
        )


class LinkExpired(BrinebookError):
    """A helper's link has run out, or was ended."""

    code = "E-LINK-EXPIRED"
    http_status = 403

    def __init__(self) -> None:
        super().__init__(say("The link that let you in has run out."), say("Ask for a new one."))


class OnlyReading(BrinebookError):
    """A write where only reading is allowed."""

    code = "E-ONLY-READING"
    http_status = 403

    def __init__(self) -> None:
        super().__init__(
            say("Nothing can be written here: this notebook was opened for reading."),
            say(
                "Whoever started it can start it without --read-only, or give you more than a link."
            ),
        )


class FormStale(BrinebookError):
    """A form without the token of this session."""

    code = "E-FORM"
    http_status = 403

    def __init__(self) -> None:
        super().__init__(
            say("This form doesn't belong to this visit, so nothing was written."),
            say("Go back, load the page anew and send it once more."),
        )


@dataclass(slots=True)
class Visit:
    """One request of a known visitor."""

    notebook: Notebook
    request: Request
    session: Session
    before: Session | None
    row: SystemRow | None = None
    manner: Manner = field(default_factory=Manner)
    described: OpenSystem | None = None

    @property
    def now(self) -> datetime:
        """The notebook's present."""
        return self.notebook.now()

    @property
    def can_write(self) -> bool:
        """Whether this visitor may write."""
        return not (self.notebook.options.read_only or self.session.share)

    @property
    def partial(self) -> bool:
        """Whether only a part of the page was asked for, by a script."""
        return self.request.headers.get("hx-request") == "true"

    @property
    def opened(self) -> OpenSystem:
        """The system as it is described; a page that only shows it asks the book once."""
        if self.described is None or self.request.method not in {"GET", "HEAD"}:
            self.described = self.notebook.shelf.opened(self.at)
        return self.described

    @property
    def loaded(self) -> Loaded:
        """The system with every fact that stands."""
        return self.notebook.shelf.loaded(self.at)

    @property
    def until_now(self) -> Loaded:
        """The system with every fact up to now, as answers are: to the next whole second."""
        return as_of(self.loaded, to_the_second(self.now))

    @property
    def at(self) -> SystemRow:
        """The system that is visited."""
        assert self.row is not None
        return self.row

    def t(self, key: str, **facts: object) -> str:
        """A text of the catalogue."""
        return self.notebook.texts(key, **facts)

    def url(self, path: str = "today", **query: object) -> str:
        """The address of a page of this system."""
        asked = {key: one for key, one in query.items() if one not in ("", None)}
        tail = f"?{urlencode(asked)}" if asked else ""
        return f"/s/{quote(self.at.system_id)}/{path}{tail}"

    def page(self, template: str, status: int = 200, **context: Any) -> Response:
        """A page of a template, with what every page has."""
        shown = {"visit": self, "pages": navigation(), **self._names(), **context}
        text = self.notebook.templates.render(template, shown)
        return self.remembered(HTMLResponse(text, status_code=status))

    def reckoning(self, here: str, *, anew: bool = False) -> Response:
        """That the answer is being worked out: a page, or the part that a script asked for."""
        template = "reckoning_part.html" if self.partial else "reckoning.html"
        return self.page(template, here=here, anew=anew)

    def _names(self) -> dict[str, Any]:
        # A guest of one system isn't told of the others.
        others = [] if self.session.share else list(self.notebook.shelf.systems())
        return {
            "system_name": self.row.name if self.row else "",
            "systems": others,
            "token": self.notebook.sessions.form_token(self.session),
        }

    def fresh_key(self) -> str:
        """A key for one more form: sent twice, it is written once."""
        return secrets.token_urlsafe(12)

    def caution(self, name: str) -> str:
        """The caution of an act, once a session; empty where there is none or it was shown."""
        key = f"caution.{name}"
        if not self.notebook.texts.has(key) or name in self.session.cautioned:
            return ""
        self.session = self.session.but(cautioned=(*self.session.cautioned, name))
        return self.t(key)

    def redirect(self, path: str) -> Response:
        """Go to another page, as after every write: so going back sends nothing again."""
        return self.remembered(RedirectResponse(path, status_code=303))

    def remembered(self, response: Response) -> Response:
        """The answer with the session in it, where it has changed."""
        if self.session != self.before:
            secure = self.request.url.scheme == "https"
            self.notebook.sessions.write(response, self.session, secure=secure)
        return response


def navigation() -> tuple[str, ...]:
    """The pages that stand in the line at the top, in order."""
    from brinebook.web.pages import NAVIGATION

    return NAVIGATION


def any_visit(request: Request) -> Visit:
    """A visit of anybody, signed in or not."""
    notebook: Notebook = request.app.state.notebook
    before = notebook.sessions.read(request)
    return Visit(notebook, request, before or fresh_session(), before)


def known_visit(visit: Annotated[Visit, Depends(any_visit)]) -> Visit:
    """A visit of somebody who may read: signed in, a guest with a link, or no password is set.

    Raises SignInNeeded.
    """
    if visit.session.share:
        found = pass_of(
            visit.notebook.shelf.book, visit.session.system, visit.session.share, now=visit.now
        )
        if found is None:
            raise LinkExpired
        return visit
    epoch = visit.notebook.password.epoch()
    if epoch and visit.session.opened != epoch:
        raise SignInNeeded(visit.request.url.path)
    return visit


def system_visit(system: str, visit: Annotated[Visit, Depends(known_visit)]) -> Visit:
    """A visit to one system. Raises PageMissing."""
    row = visit.notebook.shelf.row(system)
    if row is None or (visit.session.share and row.system_id != visit.session.system):
        raise PageMissing(visit.request.url.path)
    visit.row = row
    if visit.session.system != row.system_id:
        visit.session = visit.session.but(system=row.system_id)
    visit.manner = manner_of(visit.opened.system)
    return visit


async def spoken_visit(visit: Annotated[Visit, Depends(system_visit)]) -> Visit:
    """The same, spoken to in its system's manner: set here, where the whole request has it."""
    speak(visit.manner)
    return visit


Anyone = Annotated[Visit, Depends(any_visit)]
Known = Annotated[Visit, Depends(known_visit)]
AtSystem = Annotated[Visit, Depends(spoken_visit)]
