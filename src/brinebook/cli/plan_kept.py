"""``brinebook plan kept``, ``show``, ``done``, ``skip`` and ``drop``: what became of plans."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli import options, output
from brinebook.cli.session import Session
from brinebook.cli.telling import by_option

if TYPE_CHECKING:
    from brinebook.desk.opening import Loaded


def _loaded(
    session: Session, system: str | None, at: datetime | None = None, known: datetime | None = None
) -> Loaded:
    from brinebook.desk import clock
    from brinebook.desk.opening import load

    return load(session.book, system, now=clock.now(), at=at, known=known)


@click.command("kept")
@options.json_option
@options.system_option
@options.known_option
@options.at_option
@click.pass_obj
def kept(
    session: Session,
    *,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """The plans that were accepted, newest first, and how far each has come.

    \b
    brinebook plan kept
    """
    from brinebook.desk.plan_keep import kept_plans
    from brinebook.report.plan_json import kept_json
    from brinebook.report.plan_text import kept_line

    loaded = _loaded(session, system, at, known)
    found = kept_plans(loaded, known=known)
    if as_json:
        output.emit_json({"plans": [kept_json(one) for one in found]})
        return
    for one in found:
        output.show(kept_line(one, loaded.zone))
    if not found:
        output.show("No plan was accepted yet.")


@click.command("show")
@click.argument("plan")
@options.json_option
@options.system_option
@options.at_option
@click.pass_obj
def show(
    session: Session, *, plan: str, at: datetime | None, system: str | None, as_json: bool
) -> None:
    """An accepted PLAN: what became of each step, and what came against what was expected.

    \b
    brinebook plan show 3f9a12c4
    """
    from brinebook.desk.plan_keep import kept_plan, what_came
    from brinebook.report.plan_json import kept_json
    from brinebook.report.plan_text import kept_lines
    from brinebook.report.shown import shown_units

    loaded = _loaded(session, system, at)
    found = kept_plan(loaded, plan)
    came = what_came(loaded, found)
    if as_json:
        output.emit_json(kept_json(found, came))
        return
    units = shown_units(loaded.system, loaded.facts)
    for line in kept_lines(found, came, loaded.zone, units):
        output.show(line)


@click.command("done")
@click.argument("plan")
@click.argument("step", type=click.IntRange(1), required=False)
@click.option("--amount", metavar="AMOUNT", help="If not as planned; of a test, its reading.")
@click.option("--when", metavar="WHEN", help="When it was; else now.")
@by_option
@options.json_option
@options.system_option
@click.pass_obj
def done(
    session: Session,
    *,
    plan: str,
    step: int | None,
    amount: str | None,
    when: str | None,
    by: str | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Write a step of PLAN down as done: the first that is due, or number STEP.

    \b
    brinebook plan done 3f9a12c4
    brinebook plan done 3f9a12c4 3 --amount 8.2dKH --when "this morning"
    """
    from brinebook.cli.telling import fact_text, recorded_json
    from brinebook.desk import clock
    from brinebook.desk.moments import read_moment
    from brinebook.desk.plan_keep import do_step

    loaded, now = _loaded(session, system), clock.now()
    moment = None if when is None else read_moment(when, zone=loaded.zone, now=now)
    written = do_step(loaded, plan, step, amount=amount, when=moment, now=now, by=by or "")
    for remark in written.remarks:
        output.say(remark)
    if as_json:
        output.emit_json(recorded_json(written))
        return
    output.show(f"Written down: {fact_text(written.fact, loaded.zone)}")
    output.hint(f"brinebook undo {written.fact.id} takes it back; the step is then due again.")


@click.command("skip")
@click.argument("plan")
@click.argument("step", type=click.IntRange(1), required=False)
@by_option
@options.json_option
@options.system_option
@click.pass_obj
def skip(
    session: Session,
    *,
    plan: str,
    step: int | None,
    by: str | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Leave a step of PLAN out: the first that is due, or number STEP.

    \b
    brinebook plan skip 3f9a12c4 2
    """
    from brinebook.desk import clock
    from brinebook.desk.plan_keep import skip_step

    loaded = _loaded(session, system)
    found = skip_step(loaded, plan, step, now=clock.now(), by=by or "")
    _tell(found, loaded, as_json=as_json)


@click.command("drop")
@click.argument("plan")
@by_option
@options.json_option
@options.system_option
@click.pass_obj
def drop(session: Session, *, plan: str, by: str | None, system: str | None, as_json: bool) -> None:
    """Give PLAN up: nothing of it is due any more. What was done of it stays.

    \b
    brinebook plan drop 3f9a12c4
    """
    from brinebook.desk import clock
    from brinebook.desk.plan_keep import drop as give_up

    loaded = _loaded(session, system)
    found = give_up(loaded, plan, now=clock.now(), by=by or "")
    _tell(found, loaded, as_json=as_json)


def _tell(found: object, loaded: Loaded, *, as_json: bool) -> None:
    from brinebook.plan import KeptPlan
    from brinebook.report.plan_json import kept_json
    from brinebook.report.plan_text import kept_lines

    assert isinstance(found, KeptPlan)
    if as_json:
        output.emit_json(kept_json(found))
        return
    for line in kept_lines(found, (), loaded.zone, {}):
        output.show(line)
