"""Many small checks of a book, each with what it found and the command that puts it right."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from brinebook.book import facts as stored
from brinebook.book.description import read_description
from brinebook.book.identity import detail_text, fact_id
from brinebook.book.rows import settle_text
from brinebook.desk.checking_tests import tests_in_their_place
from brinebook.desk.finding import Check, Examined, Finding
from brinebook.desk.opening import OpenSystem
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.water.salts import read_formula


def check(opened: OpenSystem, *, now: datetime) -> tuple[Finding, ...]:
    """Run every check, in the order of `CHECKS`; faults and hints as they come."""
    wrong = _file_faults(opened)
    if wrong:
        return tuple(wrong)
    with opened.book.read() as connection:
        facts = stored.current(connection, opened.system_id)
        revisions = stored.all_revisions(connection, opened.system_id)
    examined = Examined(opened, facts, revisions, now)
    return tuple(finding for one in CHECKS for finding in one(examined))


def _file_faults(opened: OpenSystem) -> list[Finding]:
    """Whether the engine finds the file whole (SQLite; a PostgreSQL server looks after its own)."""
    if opened.book.on_server:
        return []
    from brinebook.book.backup import check_file

    wrong = check_file(Path(opened.book.address))
    if not wrong:
        return []
    return [
        Finding(
            "file",
            "fault",
            say("The file of the book is damaged."),
            tuple(wrong),
            "brinebook --book NEW restore BACKUP",
        )
    ]


def _content(examined: Examined) -> Iterator[Finding]:
    """Each fact's id has to be the one that its content gives."""
    astray = []
    for revision in examined.revisions:
        fact = revision.fact
        expected = fact_id(
            happened=fact.when.isoformat(),
            kind=fact.kind,
            what=fact.what,
            value=fact.value,
            unit=fact.unit,
            detail=detail_text(fact.detail),
        )
        if expected != fact.id:
            astray.append(fact.id)
    if astray:
        yield Finding(
            "content",
            "fault",
            say(
                "These facts were changed behind the book's back: their content "
                "isn't what was entered."
            ),
            tuple(astray),
            "brinebook --book NEW restore BACKUP",
        )


def _revisions(examined: Examined) -> Iterator[Finding]:
    """Revisions of a fact count from 1 without a gap."""
    numbers: dict[str, list[int]] = {}
    for revision in examined.revisions:
        numbers.setdefault(revision.chain, []).append(revision.number)
    broken = [
        chain
        for chain, found in sorted(numbers.items())
        if sorted(found) != list(range(1, len(found) + 1))
    ]
    if broken:
        yield Finding(
            "revisions",
            "fault",
            say("Of these facts a revision is missing."),
            tuple(broken),
            "brinebook --book NEW restore BACKUP",
        )


def _readable(examined: Examined) -> Iterator[Finding]:
    """Each fact still obeys the rules of its kind."""
    for fact in examined.facts:
        settled = settle_text(fact.kind, fact.what, fact.value, fact.unit, detail_text(fact.detail))
        for problem in settled.problems:
            yield Finding(
                "readable",
                "fault",
                f"{_said(fact)}: {problem.column} {problem.value!r}: {problem.reason}.",
                (fact.id,),
                f"brinebook edit {fact.id} …",
            )


def _future(examined: Examined) -> Iterator[Finding]:
    """No fact lies more than a day ahead."""
    for fact in examined.facts:
        if fact.when > examined.now + timedelta(days=1):
            yield Finding(
                "future",
                "fault",
                say("{said} lies in the future.", said=_said(fact)),
                (fact.id,),
                f"brinebook edit {fact.id} --when …",
            )


def _verdicts(examined: Examined) -> Iterator[Finding]:
    """A verdict of wrong or sound names a fact that stands."""
    ids = {fact.id for fact in examined.facts}
    chains = {revision.fact.id: revision.chain for revision in examined.revisions}
    standing = {chains[one] for one in ids}
    for fact in examined.facts:
        if fact.kind != "verdict" or fact.detail.get("says") not in {"wrong", "sound"}:
            continue
        chain = chains.get(fact.what)
        if chain is None:
            why = say("names a fact that isn't in the book")
        elif chain not in standing:
            why = say("names a fact that was undone")
        else:
            continue
        yield Finding(
            "verdicts",
            "fault" if chain is None else "hint",
            say("The verdict {id} {why}: {what}.", id=fact.id, why=why, what=fact.what),
            (fact.id,),
            f"brinebook undo {fact.id}",
        )


def _additives(examined: Examined) -> Iterator[Finding]:
    """Every additive dosed is described, or is a salt by its formula."""
    known = {one.name.casefold() for one in examined.opened.system.additives}
    kinds = {"dose", "dosing"}
    yield from _undescribed(
        examined,
        "additives",
        kinds=kinds,
        fits=lambda fact: fact.what.casefold() in known or read_formula(fact.what) is not None,
        why=say("is dosed and isn't described: what it brings is unknown"),
        repair=say("brinebook system --edit  (add it under [[additives]])"),
    )
    grams = [
        fact for fact in examined.facts
        if fact.kind in kinds and read_formula(fact.what) is not None
        and fact.what.casefold() not in known and fact.unit.strip().lower().startswith("m")
        and "l" in fact.unit.lower()
    ]  # fmt: skip
    if grams:
        yield Finding(
            "additives",
            "fault",
            say("A salt is dosed by volume, but how strong its solution is isn't described."),
            tuple(fact.id for fact in grams),
            say("brinebook system --edit  (add the solution under [[additives]])"),
        )


def _mixes(examined: Examined) -> Iterator[Finding]:
    """Every salt mix changed with is described."""
    known = {one.name.casefold() for one in examined.opened.system.mixes}
    yield from _undescribed(
        examined,
        "mixes",
        kinds={"water_change"},
        fits=lambda fact: not fact.what or fact.what.casefold() in known,
        why=say("is changed with and isn't described: its water is taken as seawater"),
        repair=say("brinebook system --edit  (add it under [[mixes]])"),
    )


def _containers(examined: Examined) -> Iterator[Finding]:
    """Every container whose level is noted belongs to an additive, or is the top-off."""
    known = {one.name.casefold() for one in examined.opened.system.additives} | {"top-off"}
    yield from _undescribed(
        examined,
        "containers",
        kinds={"level"},
        fits=lambda fact: fact.what.casefold() in known,
        why=say("has a level noted and isn't an additive or top-off"),
        repair=say("brinebook system --edit  (add it under [[additives]])"),
    )


def _samples(examined: Examined) -> Iterator[Finding]:
    """What a test is `of` is known, so that the test says something."""
    system = examined.opened.system
    known = {one.name.casefold() for one in system.mixes}
    known |= {one.name.casefold() for one in system.references}
    known |= {one.name.casefold() for one in system.additives}
    known |= {"effluent", "tap", "ro", "rodi"}
    for name, facts in _grouped(examined, {"test"}, lambda fact: fact.detail.get("of", "")):
        if name and name.casefold() not in known:
            yield Finding(
                "samples",
                "hint",
                say("{name!r} is tested and isn't described.", name=name),
                tuple(fact.id for fact in facts[:10]),
                say("brinebook system --edit  (add it under [[mixes]] or [[references]])"),
            )


def _methods(examined: Examined) -> Iterator[Finding]:
    """Every method named in a test says how far it can be trusted."""
    described = {(one.name.casefold(), one.quantity) for one in examined.opened.system.methods}
    for quantity, facts in _grouped(examined, {"test"}, lambda fact: fact.what):
        names = {fact.detail["method"] for fact in facts if "method" in fact.detail}
        missing = sorted(one for one in names if (one.casefold(), quantity) not in described)
        if missing:
            yield Finding(
                "methods",
                "hint",
                say(
                    "How far {missing} can be trusted for {quantity} isn't "
                    "described; a wide guess is used.",
                    missing=", ".join(missing),
                    quantity=quantity,
                ),
                tuple(missing),
                say("brinebook system --edit  (add it under [[methods]])"),
            )


def _bands(examined: Examined) -> Iterator[Finding]:
    """Every quantity tested has the keeper's own band."""
    bands = examined.opened.system.bands
    without = sorted(
        {fact.what for fact in examined.facts if fact.kind == "test" and fact.what not in bands}
    )
    if without:
        yield Finding(
            "bands",
            "hint",
            say(
                "No band is set for {without}: nothing can be said of in or out of it.",
                without=", ".join(without),
            ),
            tuple(without),
            'brinebook system --set \'bands.QUANTITY=["LOW UNIT", "HIGH UNIT"]\'',
        )


def _doubles(examined: Examined) -> Iterator[Finding]:
    """Facts that look as if they were entered twice: all the same but minutes apart."""
    seen: dict[tuple[str, str, str, str, str], Fact] = {}
    for fact in examined.facts:
        if fact.kind in {"note", "verdict", "done", "event"}:
            continue
        key = (fact.kind, fact.what, fact.value, fact.unit, detail_text(fact.detail))
        earlier = seen.get(key)
        seen[key] = fact
        if earlier is not None and fact.when - earlier.when <= timedelta(minutes=10):
            yield Finding(
                "doubles",
                "hint",
                say("{said} stands twice within ten minutes.", said=_said(fact)),
                (earlier.id, fact.id),
                f"brinebook undo {fact.id}",
            )


def _description(examined: Examined) -> Iterator[Finding]:
    """Keys of the description that mean nothing, and what was left out and guessed."""
    described = read_description(examined.opened.text)
    for warning in described.warnings:
        yield Finding("description", "hint", warning, (), "brinebook system --edit")


CHECKS: tuple[Check, ...] = (
    _content, _revisions, _readable, _future, _verdicts, _additives, _mixes, _containers,
    _samples, _methods, _bands, _doubles, _description, tests_in_their_place,
)  # fmt: skip


def _undescribed(
    examined: Examined,
    check_name: str,
    *,
    kinds: set[str],
    fits: Callable[[Fact], bool],
    why: str,
    repair: str,
) -> Iterator[Finding]:
    for name, facts in _grouped(examined, kinds, lambda fact: fact.what):
        astray = [fact for fact in facts if not fits(fact)]
        if astray:
            times = say("1 time") if len(astray) == 1 else say("{count} times", count=len(astray))
            ids = tuple(fact.id for fact in astray[:10])
            yield Finding(check_name, "fault", f"{name!r} {why} ({times}).", ids, repair)


def _grouped(
    examined: Examined, kinds: set[str], by: Callable[[Fact], str]
) -> list[tuple[str, list[Fact]]]:
    groups: dict[str, list[Fact]] = {}
    for fact in examined.facts:
        if fact.kind in kinds:
            groups.setdefault(by(fact), []).append(fact)
    return sorted(groups.items())


def _said(fact: Fact) -> str:
    parts = (fact.kind, fact.what, f"{fact.value} {fact.unit}".strip(), fact.when.isoformat())
    return " ".join(part for part in parts if part)
