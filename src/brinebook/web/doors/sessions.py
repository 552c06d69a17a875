"""A visitor's session: a signed cookie, nothing kept here; and the token of every form."""

from __future__ import annotations

import hmac
import secrets
from dataclasses import asdict, dataclass, fields, replace

from itsdangerous import BadData, URLSafeTimedSerializer
from starlette.requests import Request
from starlette.responses import Response

COOKIE = "brinebook"
LASTS_SECONDS = 60 * 86_400


@dataclass(frozen=True, slots=True)
class Session:
    """What a browser is remembered by.

    ``opened`` is the epoch of the password that it signed in with; ``share`` the id of a link that
    lets it read one system; ``by`` who writes; ``system`` the system looked at last; ``cautioned``
    which cautions it was shown.
    """

    id: str
    opened: str = ""
    share: str = ""
    by: str = ""
    system: str = ""
    cautioned: tuple[str, ...] = ()

    def but(self, **changes: object) -> Session:
        """The same with some of it changed."""
        return replace(self, **changes)  # type: ignore[arg-type]


def fresh_session() -> Session:
    """A session nobody has yet."""
    return Session(secrets.token_urlsafe(18))


class Sessions:
    """Reads and writes the cookie, and makes the token of forms."""

    def __init__(self, secret: str) -> None:
        self._secret = secret.encode()
        self._serializer = URLSafeTimedSerializer(secret, salt="session")

    def read(self, request: Request) -> Session | None:
        """The session that the request carries; None where it has none that was signed here."""
        try:
            found = self._serializer.loads(request.cookies.get(COOKIE, ""), max_age=LASTS_SECONDS)
        except BadData:
            return None
        known = {field.name for field in fields(Session)}
        if not isinstance(found, dict) or set(found) - known or "id" not in found:
            return None
        found["cautioned"] = tuple(found.get("cautioned", ()))
        return Session(**found)

    def write(self, response: Response, session: Session, *, secure: bool) -> None:
        """Put the session into the answer."""
        value = {name: one for name, one in asdict(session).items() if one}
        response.set_cookie(
            COOKIE,
            str(self._serializer.dumps(value)),
            max_age=LASTS_SECONDS,
            httponly=True,
            samesite="lax",
            secure=secure,
            path="/",
        )

    def form_token(self, session: Session) -> str:
        """What a form of this session carries, so that no other page can send it."""
        return hmac.new(self._secret, f"form:{session.id}".encode(), "sha256").hexdigest()

    def is_form_token(self, session: Session, token: str) -> bool:
        """Whether a form's token is this session's."""
        return hmac.compare_digest(self.form_token(session).encode(), token.encode())
