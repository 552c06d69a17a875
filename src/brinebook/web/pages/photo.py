"""The photo of a fact: shown, put there, taken away."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk import photos
from brinebook.desk.looking import Chosen, history
from brinebook.texts import say
from brinebook.web.forms import Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing

router = system_router()


@router.get("/photo/{chain}")
def show(visit: AtSystem, chain: str, size: str = "") -> Response:
    """The picture itself."""
    found = photos.photo_of(visit.opened, chain, small=size == "small")
    if found is None:
        raise PageMissing(visit.request.url.path)
    headers = {"Cache-Control": "private, no-cache"}
    return Response(found, media_type="image/jpeg", headers=headers)


@router.post("/photo/{chain}")
def put(visit: Writer, form: Sent, chain: str) -> Response:
    """Keep a photo with the fact, or take away the one it has."""
    story = history(visit.opened, Chosen(fact=chain))[0]
    if form["remove"]:
        photos.remove_photo(visit.opened, story.newest.chain)
    else:
        if "photo" not in form.files:
            raise photos.PhotoUnreadable(say("none was chosen"))
        photo = photos.read_photo(form.files["photo"])
        photos.add_photo(
            visit.opened, story.newest.chain, photo, now=visit.now, by=visit.session.by
        )
    return visit.redirect(visit.url(f"fact/{story.newest.chain}"))
