"""Life support: the rig drawn, what fails worst, what is missing, and each part of the answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from markupsafe import Markup
from starlette.responses import Response

from brinebook.desk.drill import Drilled
from brinebook.desk.drill_page import ChangeRow, Harmed, change_rows, harmed, unfolded
from brinebook.desk.rig import described_counts
from brinebook.desk.rig_cautions import cautions_for
from brinebook.desk.rig_parts import PARTS
from brinebook.desk.rig_places import NEW, find, plain, words_of
from brinebook.desk.rig_why import why
from brinebook.report.numbers import number_text
from brinebook.report.outline import outlined
from brinebook.report.page_rows import printed_amounts
from brinebook.rig import Assumed, Missing
from brinebook.texts import named, say
from brinebook.web.pages import system_router
from brinebook.web.pages.system import seen_mark
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()
#: A page waits so long for its drills: with a script it comes again, without it has a link.
WAIT = 20.0
#: So many of the drills stand on the page; the rest has one of its own.
_WORST_AT_ONCE = 6
#: So many of the missing figures stand on the page; the rest unfolds.
_NAMED_AT_ONCE = 6


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that isn't described: its key, what there is to say, and where its form is."""

    where: str
    value: str
    says: str
    form: str


@router.get("/life-support")
def life_support(visit: AtSystem) -> Response:
    """The page, at once; its drills come after."""
    opened = visit.opened
    if opened.system.rig is None:
        return visit.page("life_none.html", here="life-support", cautions=cautions_for("overview"))
    asked = visit.notebook.rigs.asked(visit.at)
    drawn = visit.notebook.rigs.drawn(visit.at)
    rig = asked.rig
    ready = visit.notebook.rigs.drilled(visit.at, wait=0.0)
    return visit.page(
        "life.html",
        here="life-support",
        cautions=cautions_for("overview"),
        counts=[(kind, count) for kind, count in described_counts(rig).items() if count],
        litres=number_text(asked.litres, 0),
        asked=asked,
        drawing=Markup(drawn.svg),
        legend=drawn.legend,
        missing=_missing(visit, rig.missing),
        named_at_once=_NAMED_AT_ONCE,
        assumed=_assumed(visit, rig.assumed.values()),
        parts=tuple(PARTS),
        shown=shown_drills(ready),
    )


@router.get("/life-support/drills")
def drills(visit: AtSystem) -> Response:
    """Every drill, worst first: a part of the page for a script, else a page."""
    found = visit.notebook.rigs.drilled(visit.at, wait=WAIT)
    template = "life_drills_part.html" if visit.partial else "life_drills.html"
    return visit.page(
        template,
        here="life-support",
        cautions=cautions_for("drills"),
        shown=shown_drills(found, full=not visit.partial),
    )


@router.get("/life-support/drill/{asked:path}")
def drill(visit: AtSystem, asked: str) -> Response:
    """One failure: by the hour, what shows it first, what would help."""
    found = visit.notebook.rigs.drilled(visit.at, wait=WAIT)
    if found is None:
        return visit.page("life_wait.html", here="life-support")
    return visit.page(
        "life_drill.html",
        here="life-support",
        one=unfolded(found, asked),
        seen=seen_mark(visit),
    )


@router.get("/life-support/part/{part}")
def part(visit: AtSystem, part: str) -> Response:
    """One part of what is told, with its reasons: a part of the page for a script, else a page."""
    if part not in PARTS:
        raise PageMissing(visit.request.url.path)
    because = why(visit.notebook.rigs.asked(visit.at), part)
    return visit.page(
        "life_part_body.html" if visit.partial else "life_part.html",
        here="life-support",
        part=part,
        cautions=cautions_for(part),
        blocks=outlined(visit.notebook.rigs.lines(visit.at, part)),
        why=because,
        missing=_missing(visit, because.missing),
        assumed=_assumed(visit, because.assumed),
    )


@dataclass(frozen=True, slots=True)
class Shown:
    """The drills as the page lists them, or that they are still worked out."""

    coming: bool
    harmed: tuple[Harmed, ...] = ()
    changes: tuple[ChangeRow, ...] = ()
    water_told: bool = True
    full: bool = False


def shown_drills(found: Drilled | None, *, full: bool = False) -> Shown:
    """What there is to show of them; ``full`` with what comes of each."""
    if found is None:
        return Shown(coming=True)
    told = found.water_told or not found.asked.rig.dosers
    return Shown(
        coming=False,
        harmed=harmed(found) if full else harmed(found, most=_WORST_AT_ONCE),
        changes=change_rows(found) if full else change_rows(found, _WORST_AT_ONCE // 2),
        water_told=told,
        full=full,
    )


def _missing(visit: Visit, missing: Iterable[Missing]) -> list[Figure]:
    found = plain(visit.opened.text)
    return [
        Figure(_name(visit, found, one.where), "", say(one.wanted_for), form_of(found, one.where))
        for one in missing
    ]


def _assumed(visit: Visit, assumed: Iterable[Assumed]) -> list[Figure]:
    found = plain(visit.opened.text)
    return [
        Figure(
            _name(visit, found, one.where),
            printed_amounts(say(one.value)),
            say(one.reason),
            form_of(found, one.where),
        )
        for one in assumed
    ]


def _name(visit: Visit, found: Mapping[str, object], where: str) -> str:
    """“Heat: salinity”, “The room”, “upper riser: roughness”."""
    at = find(found, where)
    if at is None or "[" in where:
        return words_of(where)
    place, key = at
    tables = [one for one in place if one != NEW]
    table = visit.t(f"life.kind.{tables[-1]}")
    _, opened, role = where.partition(" (")
    more = f" ({role}" if opened else f": {named(key)}" if key else ""
    return table + more


def form_of(found: Mapping[str, object], where: str) -> str:
    """Where the form of a key is, under the pages of the life support; the list, if nowhere."""
    at = find(found, where)
    if at is None:
        return "describe"
    place, key = at
    return f"describe/{'/'.join(place)}" + (f"#f-{key}" if key else "")
