"""What a form sent, read once, bounded, and only if it belongs to this visit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.web.visit import (
    FormStale,
    OnlyReading,
    Visit,
    any_visit,
    known_visit,
    spoken_visit,
)

MOST_FIELDS = 400
LONGEST_FIELD = 20_000
_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


class FormUnreadable(UsageProblem):
    """What was sent isn't a form as pages here have them."""

    code = "E-FORM-UNREADABLE"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("What was sent can't be read: {why}.", why=why),
            say("Load the page anew and try again."),
        )


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a form by name, stripped; the last of each counts."""

    fields: Mapping[str, str]
    files: Mapping[str, bytes] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        """The field's text; empty where the form has no such field."""
        return self.fields.get(name, "")

    def starting(self, prefix: str) -> dict[str, str]:
        """The filled fields whose name begins so, by the rest of the name."""
        return {
            name.removeprefix(prefix): text
            for name, text in self.fields.items()
            if name.startswith(prefix) and text
        }


async def read_form(request: Request) -> Form:
    """The form that was sent. Raises FormUnreadable."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in _FORMS:
        raise FormUnreadable(say("it isn't a form"))
    try:
        sent = await request.form(max_files=1, max_fields=MOST_FIELDS)
    except (HTTPException, ValueError, UnicodeDecodeError) as error:
        raise FormUnreadable(str(getattr(error, "detail", error)).rstrip(".").lower()) from None
    texts: dict[str, str] = {}
    files: dict[str, bytes] = {}
    for name, value in sent.multi_items():
        if isinstance(value, UploadFile):
            content = await value.read()
            if content:
                files[name] = content
            continue
        if len(value) > LONGEST_FIELD:
            raise FormUnreadable(say("{name!r} is too long", name=name[:40]))
        texts[name] = value.strip()
    await sent.close()
    return Form(texts, files)


def _own(visit: Visit, form: Form) -> Visit:
    if not visit.notebook.sessions.is_form_token(visit.session, form["token"]):
        raise FormStale
    return visit


Sent = Annotated[Form, Depends(read_form)]


def writer(visit: Annotated[Visit, Depends(spoken_visit)], form: Sent) -> Visit:
    """A visit that may write to a system, with a form of its own."""
    if not visit.can_write:
        raise OnlyReading
    return _own(visit, form)


def keeper(visit: Annotated[Visit, Depends(known_visit)], form: Sent) -> Visit:
    """A visit that may change what is of the whole book."""
    if not visit.can_write:
        raise OnlyReading
    return _own(visit, form)


def sender(visit: Annotated[Visit, Depends(any_visit)], form: Sent) -> Visit:
    """A visit of anybody with a form of its own."""
    return _own(visit, form)


Writer = Annotated[Visit, Depends(writer)]
Keeper = Annotated[Visit, Depends(keeper)]
Sender = Annotated[Visit, Depends(sender)]
