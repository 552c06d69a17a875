"""The few files that pages load, each under a name with its own hash in it, packed once."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

_TYPES = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
    "webmanifest": "application/manifest+json",
}
NAMES = (
    "notebook.css", "life.css", "notebook.js", "chart.js", "mark.svg", "notebook.webmanifest",
    "vendor/htmx.min.js", "vendor/uplot.min.js", "vendor/uplot.min.css",
)  # fmt: skip
_FOR_A_YEAR = "public, max-age=31536000, immutable"


@dataclass(frozen=True, slots=True)
class _File:
    media_type: str
    plain: bytes
    packed: bytes
    digest: str


class Statics:
    """The files by name, read once when the notebook opens."""

    def __init__(self) -> None:
        self._files = {name: _read(name) for name in NAMES}

    def url(self, name: str) -> str:
        """Where a page loads a file from."""
        return f"/static/{self._files[name].digest}/{name}"

    def answer(self, request: Request, name: str) -> Response:
        """The file, packed for those who can unpack it; 404 where there is none of that name."""
        found = self._files.get(name)
        if found is None:
            return Response(status_code=404)
        headers = {"Cache-Control": _FOR_A_YEAR, "Vary": "Accept-Encoding"}
        if "gzip" in request.headers.get("accept-encoding", ""):
            headers["Content-Encoding"] = "gzip"
            return Response(found.packed, media_type=found.media_type, headers=headers)
        return Response(found.plain, media_type=found.media_type, headers=headers)


def _read(name: str) -> _File:
    plain = files("brinebook.web").joinpath("static", *name.split("/")).read_bytes()
    digest = hashlib.sha256(plain).hexdigest()[:12]
    packed = gzip.compress(plain, 9, mtime=0)
    return _File(_TYPES[name.rpartition(".")[2]], plain, packed, digest)
