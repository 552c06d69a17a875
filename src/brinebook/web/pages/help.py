"""Help: the package's own pages, offline, searched."""

from __future__ import annotations

from markupsafe import Markup, escape
from starlette.responses import Response

from brinebook.desk.manual import as_html, manual, manual_page, search_manual
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/help")
def contents(visit: AtSystem, find: str = "") -> Response:
    """The list of pages, or those with these words."""
    hits = search_manual(find) if find.strip() else []
    return visit.page("help.html", here="help", pages_of_help=list(manual().values()),
                      find=find, hits=hits)  # fmt: skip


@router.get("/help/{name:path}")
def page(visit: AtSystem, name: str) -> Response:
    """One page."""
    found = manual_page(name.strip("/"))
    # Markdown with HTML switched off: nothing of the text can become markup of its own.
    body = Markup(_scrolling(as_html(found, base=visit.url("help")), visit.t("site.table")))
    return visit.page("help_page.html", here="help", found=found, body=body)


def _scrolling(body: str, label: str) -> str:
    """Tables and code that may scroll sideways can be reached by the keyboard."""
    opening = f'<div class="wide" tabindex="0" role="group" aria-label="{escape(label)}"><table>'
    tables = body.replace("<table>", opening).replace("</table>", "</table></div>")
    return tables.replace("<pre>", '<pre tabindex="0">')
