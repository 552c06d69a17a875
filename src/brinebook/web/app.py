"""The application: doors outside, pages and the interface for programs inside."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, PlainTextResponse, Response

from brinebook import __version__
from brinebook.errors import BrinebookError
from brinebook.texts import say
from brinebook.web.api import v1
from brinebook.web.doors.head import Head
from brinebook.web.doors.headers import Headers
from brinebook.web.doors.origin import Origin, known_names
from brinebook.web.doors.size import Size
from brinebook.web.notebook import Notebook, open_notebook
from brinebook.web.options import Options
from brinebook.web.pages import load_routers
from brinebook.web.visit import PageMissing, SignInNeeded, any_visit

_log = logging.getLogger(__name__)


def create_app(options: Options) -> FastAPI:
    """The notebook over one book. Raises what opening a book raises."""
    notebook = open_notebook(options)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        yield
        notebook.rigs.close()
        notebook.shelf.close()

    app = FastAPI(
        title="Brinebook",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/openapi.json",
        lifespan=lifespan,
    )
    app.state.notebook = notebook
    app.include_router(v1.router)
    for router in load_routers():
        app.include_router(router)
    _faults(app)
    app.add_middleware(Head)
    app.add_middleware(Size)
    app.add_middleware(Origin, names=known_names(options), loopback=options.loopback)
    app.add_middleware(Headers, secure=options.cert is not None)
    return app


def _faults(app: FastAPI) -> None:
    """Every failure as a page for people, as JSON for programs."""

    @app.exception_handler(SignInNeeded)
    def _sign_in(request: Request, error: SignInNeeded) -> Response:
        from brinebook.web.pages.sign_in import ask

        return ask(any_visit(request), error.path)

    @app.exception_handler(BrinebookError)
    def _refused(request: Request, error: BrinebookError) -> Response:
        return fault_answer(request, error)

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404:
            return fault_answer(request, PageMissing(request.url.path))
        text = say("That can't be done at this address.") if error.status_code == 405 else ""
        return fault_answer(request, _Plain(text or str(error.detail), error.status_code))

    @app.exception_handler(RequestValidationError)
    def _unreadable(request: Request, error: RequestValidationError) -> Response:
        said = _said(error) if _is_of_a_program(request) else say("The request can't be read.")
        return fault_answer(request, _Plain(said, 422))

    @app.exception_handler(Exception)
    def _unexpected(request: Request, error: Exception) -> Response:
        _log.error("%s %s failed", request.method, request.url.path, exc_info=error)
        return fault_answer(request, _Broken())


class _Plain(BrinebookError):
    """A request that can't be answered as it stands."""

    code = "E-REQUEST"

    def __init__(self, message: str, status: int) -> None:
        super().__init__(message, "")
        self.http_status = status  # type: ignore[misc]


class _Broken(BrinebookError):
    """Something that the program wasn't made for: a fault of its own, under the root's code."""

    http_status = 500

    def __init__(self) -> None:
        super().__init__(
            say("The notebook met something that it wasn't made for. Nothing was half written."),
            say(
                "What happened stands where the program was started; send it along "
                "when you report it."
            ),
        )


def _said(error: RequestValidationError) -> str:
    found = [f"{one['loc'][-1]}: {one['msg']}" for one in error.errors()[:5]]
    return "; ".join(found) or say("The request can't be read.")


def _is_of_a_program(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def fault_answer(request: Request, error: BrinebookError) -> Response:
    """A failure in words: JSON where a program asked, else a page."""
    status = error.http_status
    if _is_of_a_program(request):
        body = {"code": error.code, "message": error.message, "hint": error.hint}
        return JSONResponse({"error": body}, status_code=status)
    try:
        return _fault_page(request, error)
    except BrinebookError:  # the book itself is out of reach: words without a page around them
        text = f"{error.message}\n{error.hint}\n({error.code})\n"
        return PlainTextResponse(text, status_code=status)


def _fault_page(request: Request, error: BrinebookError) -> Response:
    visit = any_visit(request)
    notebook: Notebook = request.app.state.notebook
    if visit.session.system:
        visit.row = notebook.shelf.row(visit.session.system)
    return visit.page("fault.html", status=error.http_status, fault=error)
