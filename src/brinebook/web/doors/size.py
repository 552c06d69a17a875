"""A body larger than anything that a form here holds is not read to its end."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from brinebook.texts import phrase, say

#: A photo as phones make them, with its form; everything else is far smaller.
MOST_BYTES = 16 * 2**20
_SAID = phrase("That is more than this notebook reads at once.")


class TooLarge(Exception):
    """The body went over the limit while it was read."""


class Size:
    """Bounds every request's body, by what it says of itself and by what comes."""

    def __init__(self, app: ASGIApp, *, most: int = MOST_BYTES) -> None:
        self.app, self.most = app, most

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with a counted body."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        said = Headers(scope=scope).get("content-length", "0")
        if not said.isdecimal() or int(said) > self.most:
            await PlainTextResponse(say(_SAID), status_code=413)(scope, receive, send)
            return
        read = 0
        begun = False

        async def counted() -> Message:
            nonlocal read
            message = await receive()
            read += len(message.get("body", b""))
            if read > self.most:
                raise TooLarge
            return message

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self.app(scope, counted, watched)
        except TooLarge:
            if not begun:
                await PlainTextResponse(say(_SAID), status_code=413)(scope, receive, send)
