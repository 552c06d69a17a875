"""The package's own documentation, read and searched without any network."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from brinebook.errors import UsageProblem
from brinebook.texts import say

#: What a keeper reads, in this order; the rest follows by name.
FIRST = (
    "start",
    "concepts",
    "notebook",
    "safety",
    "system-toml",
    "history-csv",
    "probes-csv",
    "commands",
    "models",
    "trust",
)
_LEFT_OUT = ("decisions", "trust.d", "index")
#: Blocks of code, and rows of tables.
_CODE = re.compile(r"```.*?```|^ {4}[^\n]*$|^\|[^\n]*$", re.DOTALL | re.MULTILINE)
_TABLE = re.compile(r"<table>.*?</table>", re.DOTALL)
_HEAD, _CELL = re.compile(r"<th\b[^>]*>(.*?)</th>"), re.compile(r"<td\b[^>]*>(.*?)</td>")
#: From so many letters on a cell is a sentence and not a figure.
_LONG_CELL = 50
_LINK = re.compile(r'href="(?!https?:|#|/)([^"]*?)(?:\.md)?(#[^"]*)?"')


class ManualPageMissing(UsageProblem):
    """There is no page of that name in the manual."""

    code = "E-HELP-PAGE"
    http_status = 404

    def __init__(self, name: str) -> None:
        super().__init__(
            say("The help has no page {name!r}.", name=name[:60]), say("Look in its list of pages.")
        )


@dataclass(frozen=True, slots=True)
class ManualPage:
    """One page: its name (with slashes for folders), its title and its text in Markdown."""

    name: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class Hit:
    """A page with the words that were looked for, and the lines around the first of them."""

    page: ManualPage
    excerpt: str


@lru_cache(maxsize=1)
def manual() -> Mapping[str, ManualPage]:
    """Every page by name, in reading order: from the package, or beside it in a source tree."""
    folder = _folder()
    found: dict[str, ManualPage] = {}
    for path in sorted(folder.rglob("*.md")):
        name = path.relative_to(folder).with_suffix("").as_posix()
        if name.split("/")[0] in _LEFT_OUT:
            continue
        text = path.read_text(encoding="utf-8")
        title = next(
            (line[2:].strip() for line in text.splitlines() if line.startswith("# ")), name
        )
        found[name] = ManualPage(name, title, text)
    return dict(sorted(found.items(), key=lambda item: _order(item[0])))


def manual_page(name: str) -> ManualPage:
    """The page of a name. Raises ManualPageMissing."""
    pages = manual()
    for candidate in (name, f"{name}/index"):
        if candidate in pages:
            return pages[candidate]
    raise ManualPageMissing(name)


def search_manual(find: str) -> list[Hit]:
    """The pages that have all these words, those with a word in the title first."""
    words = find.casefold().split()
    hits = []
    for page in manual().values():
        text = page.text.casefold()
        if words and all(word in text for word in words):
            hits.append(Hit(page, _excerpt(page.text, words[0])))
    return sorted(hits, key=lambda hit: not any(w in hit.page.title.casefold() for w in words))


def as_html(page: ManualPage, *, base: str) -> str:
    """The page as HTML: the Markdown's own HTML is shown as text; links stay in the manual."""
    from markdown_it import MarkdownIt

    body = MarkdownIt("commonmark", {"html": False}).enable("table").render(page.text)
    folder = page.name.rpartition("/")[0]

    def inside(found: re.Match[str]) -> str:
        target = _resolved(folder, found[1])
        anchor = found[2] or ""
        known = target in manual() or f"{target}/index" in manual()
        return f'href="{base}/{target}{anchor}"' if known else f'href="{base}"'

    return _TABLE.sub(_laid_out, _LINK.sub(inside, body))


def _laid_out(found: re.Match[str]) -> str:
    """A table with sentences in it, so that each of its rows can be set as a paragraph where three
    columns would be slivers; the roles keep it a table for who hears it (WAI-ARIA 1.2, table)."""
    table = found[0]
    heads = [_plain(one) for one in _HEAD.findall(table)]
    cells = _CELL.findall(table)
    if len(heads) < 3 or max((len(_plain(one)) for one in cells), default=0) < _LONG_CELL:
        return table
    number = -1

    def named(_: re.Match[str]) -> str:
        nonlocal number
        number += 1
        at = number % len(heads)
        label = f' data-label="{heads[at]}"' if at > 1 and heads[at] else ""
        return f'<td role="cell"{label}>'

    table = re.sub("<td[^>]*>", named, table)
    for tag, role in (("tr", "row"), ("tbody", "rowgroup"), ("th", "columnheader")):
        table = re.sub(f"<{tag}\\b", f'<{tag} role="{role}"', table)
    table = table.replace("<thead>", '<thead class="over" role="rowgroup">')
    return table.replace("<table>", '<table class="long" role="table">')


def _plain(cell: str) -> str:
    return re.sub("<[^>]*>", "", cell).strip()


def _resolved(folder: str, target: str) -> str:
    parts = [one for one in folder.split("/") if one]
    for step in target.split("/"):
        if step == "..":
            parts = parts[:-1]
        elif step not in ("", "."):
            parts.append(step)
    return "/".join(parts)


def _excerpt(text: str, word: str) -> str:
    """Some words about the first place in prose that has this one, else in code or a table."""
    prose = _CODE.sub(" ", text)
    if word not in prose.casefold():
        prose = text
    plain = " ".join(re.sub(r"[#*`|>]+|-{3,}|\]\([^)]*\)|\[", " ", prose).split())
    plain = re.sub(r" ([,.;:)\]])", r"\1", plain).replace("( ", "(")
    at = plain.casefold().find(word)
    start = plain.rfind(" ", 0, max(at - 80, 0)) + 1
    end = plain.find(" ", at + 100)
    end = len(plain) if end < 0 else end
    before, after = ("… " if start else ""), (" …" if end < len(plain) else "")
    return f"{before}{plain[start:end]}{after}"


def _order(name: str) -> tuple[int, str]:
    head = name.split("/", maxsplit=1)[0]
    return (FIRST.index(head) if head in FIRST else len(FIRST), name)


def _folder() -> Path:
    packed = Path(str(files("brinebook"))) / "docs"
    return packed if packed.is_dir() else Path(str(files("brinebook"))).parents[1] / "docs"
