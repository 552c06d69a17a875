"""The door with a password: asked once a browser, and slower after every wrong try."""

from __future__ import annotations

import math

from fastapi import APIRouter
from starlette.responses import Response

from brinebook.desk import doors
from brinebook.web.doors.sessions import fresh_session
from brinebook.web.forms import Sender, Sent
from brinebook.web.visit import Anyone, Visit

router = APIRouter(include_in_schema=False)


def ask(visit: Visit, path: str, *, problem: str = "", status: int = 401) -> Response:
    """The page that asks for the password, and then leads on to ``path``."""
    return visit.page("sign_in.html", status=status, then=own_path(path), problem=problem)


def own_path(path: str) -> str:
    """A path of this notebook; anything else is the way in."""
    plain = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if plain and not path.startswith("/sign-") else "/"


@router.get("/sign-in")
def page(visit: Anyone) -> Response:
    """Ask for the password."""
    return ask(visit, "/", status=200)


@router.post("/sign-in")
def sign_in(visit: Sender, form: Sent) -> Response:
    """Open the door for whoever knows the password."""
    sender = visit.request.client.host if visit.request.client else "unknown"
    slow = visit.notebook.slow
    wait = slow.begin(sender)
    if wait > 0:
        problem = visit.t("sign_in.wait", seconds=math.ceil(wait))
        answer = ask(visit, form["then"], problem=problem, status=429)
        answer.headers["Retry-After"] = str(math.ceil(wait))
        return answer
    hashed = visit.notebook.password.hash()
    if hashed is None or not doors.fits(form["password"], hashed):
        return ask(visit, form["then"], problem=visit.t("sign_in.wrong"))
    slow.right(sender)
    # A new id: whoever planted the old one in this browser gains nothing by it.
    visit.session = fresh_session().but(
        opened=doors.epoch(hashed), by=visit.session.by, system=visit.session.system
    )
    return visit.redirect(own_path(form["then"]))


@router.post("/sign-out")
def sign_out(visit: Sender) -> Response:
    """Close the door behind."""
    visit.session = fresh_session()
    answer = visit.redirect("/sign-in")
    answer.headers["Clear-Site-Data"] = '"cache"'  # going back shows nothing any more
    return answer
