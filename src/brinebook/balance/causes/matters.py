"""What was odd in the tests of late: the causes in the stories, gathered into matters.

The balance holds several stories of the last weeks, each with its share of belief. A matter is a
stretch of time and some quantities about which at least one of them says that something happened.
Each story has one voice in it: its cause that moves those quantities most, or none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brinebook.balance import beliefs
from brinebook.balance.chapters import Finding, Reading
from brinebook.balance.decided import effect
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.field import Cause
from brinebook.balance.said import change_id
from brinebook.balance.season import Floats

#: How long ago something may have ended and still be open, days; a changed use stays open longer.
OPEN_DAYS = 14.0
OPEN_DAYS_OF_USE = 21.0
#: Causes this near in time speak of the same thing, days.
_NEAR_DAYS = 1.5
#: A cause needs this share to open a matter, and all of a matter's causes together this much.
_OPENS, _WORTH_SAYING = 0.1, 0.3
#: What moves a quantity by less of one test's noise touches it not.
_TOUCHES = 0.7


@dataclass(frozen=True, slots=True)
class Voice:
    """What one story says: a cause, its share, and by how much it moves each quantity it touches.

    ``kind`` is that of the cause, with a jump told as ``rise`` or ``drop``. ``asks`` is the id that
    a verdict names: of a fact for tests, of the change for the rest. ``facts`` are the tests that
    it calls wrong.
    """

    kind: str
    what: str
    begins: float
    ends: float
    share: float
    moves: Mapping[str, float]
    asks: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Matter:
    """Something odd: the quantities it is about, main one first, when, and what the stories say.

    ``voices`` hold one voice a kind, likeliest first, each with the share of all stories of that
    kind; ``silent`` is the share of the stories that say nothing of it.
    """

    about: tuple[str, ...]
    begins: float
    ends: float
    voices: tuple[Voice, ...]
    silent: float

    @property
    def lead(self) -> Voice:
        """The likeliest voice."""
        return self.voices[0]


def noise_of(season: SeasonEstimate, quantity: str) -> float:
    """One undescribed test's standard deviation at the quantity's present level."""
    belief = beliefs.BELIEFS[quantity]
    return belief.noise + belief.noise_fraction * abs(season.now[quantity].value)


def matters_of(season: SeasonEstimate, at: float) -> list[Matter]:
    """The matters of a season that are still open at ``at``, likeliest first."""
    spoken = [
        (position, voice)
        for position, story in enumerate(season.last.stories)
        for voice in _voices(season, story.members, story.coefficients, math.exp(story.weight))
    ]
    found: list[Matter] = []
    while (lead := _leader(spoken)) is not None:
        inside = [one for one in spoken if _together(one[1], lead)]
        spoken = [one for one in spoken if not _together(one[1], lead)]
        matter = _matter(season, lead, inside)
        if matter is not None and _is_open(matter.lead, at):
            found.append(matter)
    return sorted(found, key=lambda one: (one.silent, one.about))


def _voices(
    season: SeasonEstimate, members: Sequence[int], coefficients: Floats, share: float
) -> list[Voice]:
    reading = season.last
    found = []
    for member, coefficient in zip(members, coefficients, strict=True):
        cause = reading.field.causes[reading.field.cause[member]]
        moves = _moves(season, int(reading.field.cause[member]), float(coefficient))
        if not moves:
            continue
        kind = cause.kind
        if kind == "jump":
            kind = "rise" if coefficient > 0.0 else "drop"
        facts = _tests_of(reading, cause)
        asks = facts[0] if facts else change_id(cause)
        found.append(Voice(kind, cause.what, cause.begins, cause.ends, share, moves, asks, facts))
    return found


def _moves(season: SeasonEstimate, position: int, coefficient: float) -> dict[str, float]:
    """By how much a cause moves each quantity that it touches: tests read off, or water changed."""
    cause = season.last.field.causes[position]
    backwards = cause.kind in ("stop", "fall", "exchange") and coefficient <= 0.0
    if cause.kind in ("refill", "order") or backwards:
        return {}
    names = season.season.quantities
    if cause.rows:
        test = season.last.window.rows[cause.rows[0]].test
        if test is None or test.target:
            return {}  # a standard or a mix that reads off is looked at by itself
        return {test.quantity: coefficient}
    if cause.kind == "step":
        days = max(season.at - cause.begins, 0.0)
        per_day = {cause.what: 1.0}
        if cause.what == "growth":
            per_day = {name: share for name, (share, _) in beliefs.SKELETON.items()
                       if name in ("alkalinity", "calcium")}  # fmt: skip
        sizes = {name: -coefficient * days * rate for name, rate in per_day.items()}
    elif cause.kind == "jump":
        sizes = {cause.what: coefficient * _shown(season.last, position)}
    else:
        each = effect(season.last, Finding(cause, coefficient, 0.0, 1.0))
        sizes = {name: float(each[k]) * coefficient for k, name in enumerate(names)}
    return {
        name: size
        for name, size in sizes.items()
        if name in names and abs(size) >= _TOUCHES * noise_of(season, name)
    }


def _shown(reading: Reading, position: int) -> float:
    """How much of a jump is left in the first test that shows it: some is used up by then."""
    cause = reading.field.causes[position]
    for row, seen in zip(reading.window.rows, reading.field.U[:, position], strict=True):
        if row.test is not None and row.test.quantity == cause.what and seen:
            return float(seen)
    return 1.0


def _tests_of(reading: Reading, cause: Cause) -> tuple[str, ...]:
    tests = [reading.window.rows[row].test for row in cause.rows]
    return tuple(test.fact for test in tests if test is not None)


def _leader(spoken: Sequence[tuple[int, Voice]]) -> Voice | None:
    """The cause that most of the belief names, or None where none has enough."""
    shares: dict[str, float] = {}
    voices: dict[str, Voice] = {}
    for _, voice in spoken:
        key = f"{voice.kind}|{voice.asks}|{len(voice.facts)}"
        shares[key] = shares.get(key, 0.0) + voice.share
        voices.setdefault(key, voice)
    if not shares:
        return None
    best = max(sorted(shares), key=lambda key: shares[key])
    return voices[best] if shares[best] >= _OPENS else None


def _together(voice: Voice, lead: Voice) -> bool:
    near = voice.begins <= lead.ends + _NEAR_DAYS and voice.ends >= lead.begins - _NEAR_DAYS
    return near and bool(voice.moves.keys() & lead.moves.keys())


def _matter(
    season: SeasonEstimate, lead: Voice, inside: Sequence[tuple[int, Voice]]
) -> Matter | None:
    """The matter around its leading cause, with every story heard once."""
    about = sorted(lead.moves, key=lambda name: -abs(lead.moves[name]) / noise_of(season, name))
    main = about[0]
    heard: dict[int, Voice] = {}
    for story, voice in inside:
        before = heard.get(story)
        if before is None or abs(voice.moves.get(main, 0.0)) > abs(before.moves.get(main, 0.0)):
            heard[story] = voice
    by_kind: dict[tuple[str, str], list[Voice]] = {}
    for voice in heard.values():
        by_kind.setdefault((voice.kind, voice.what), []).append(voice)
    voices = [_gathered(each) for each in by_kind.values()]
    said = math.fsum(voice.share for voice in voices)
    if said < _WORTH_SAYING:
        return None
    voices.sort(key=lambda one: (-one.share, one.kind, one.what))
    return Matter(tuple(about), lead.begins, lead.ends, tuple(voices), max(1.0 - said, 0.0))


def _gathered(voices: Sequence[Voice]) -> Voice:
    """The likeliest voice of a kind, with the share of them all."""
    best = max(voices, key=lambda one: (one.share, -one.begins))
    share = math.fsum(one.share for one in voices)
    return Voice(
        best.kind, best.what, best.begins, best.ends, share, best.moves, best.asks, best.facts
    )


def _is_open(lead: Voice, at: float) -> bool:
    if lead.kind == "step":
        return lead.begins >= at - OPEN_DAYS_OF_USE
    return lead.ends >= at - OPEN_DAYS
