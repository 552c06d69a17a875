"""The keeper's word on explanations: what a verdict settles, and for how long it is still shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.explained import Explained, Word
from brinebook.balance.rivals import Weighed

#: A settled matter is listed for so many days after the word.
SHOWN_DAYS = 7.0
#: A word on something slow, which has no instant of its own, holds for so many days.
HOLDS_DAYS = 14.0
#: After a “no”, a matter of which this much is left to ``other`` is settled.
_NOTHING_LEFT = 0.6
_NEAR_DAYS = 1.5

_CAUSE_OF_KIND = {
    "stop": "dose_not_arriving", "exchange": "unlogged_change", "fall": "precipitation",
    "step": "use_changed", "jump": "other",
}  # fmt: skip


def heard(case: Case, found: Sequence[Explained], words: Sequence[Word]) -> tuple[Explained, ...]:
    """The open matters, surest first, then those settled within the last week, newest first."""
    last = {word.about: word for word in sorted(words, key=lambda one: (one.t, one.about))
            if word.t <= case.at}  # fmt: skip
    told = [_with_word(one, last, case.at) for one in found]
    open_ones = [one for one in told if one.settled is None]
    settled = [one for one in told if one.settled is not None]
    said = {one.settled.about for one in settled if one.settled is not None}
    for word in last.values():
        if word.about not in said and word.t > case.at - SHOWN_DAYS:
            made = _made_of(case, word, open_ones)
            settled += [made] if made is not None else []
    shown = [one for one in settled if one.settled and one.settled.t > case.at - SHOWN_DAYS]
    open_ones.sort(key=lambda one: (-one.lead.probability, one.about))
    shown.sort(key=lambda one: (-one.settled.t if one.settled else 0.0, one.about))
    return (*open_ones, *shown)


def _with_word(one: Explained, last: dict[str, Word], at: float) -> Explained:
    """An explanation with what the keeper said of any of its causes."""
    for cause in one.causes:
        word = last.get(cause.asks)
        if word is None or (_is_lasting(word.about) and word.t < at - HOLDS_DAYS):
            continue
        if word.says in ("yes", "wrong"):
            sure = tuple(replace(each, probability=float(each is cause)) for each in one.causes)
            return replace(one, causes=_sorted(sure), settled=word)
        if word.says == "no":
            rest = _without(one.causes, cause)
            other = sum(each.probability for each in rest if each.cause == "other")
            denied = word if other > _NOTHING_LEFT else None
            one = replace(one, causes=rest, settled=denied)
    return one


def _is_lasting(identifier: str) -> bool:
    """Whether an id names a cause at large, and neither a test nor a change with its times."""
    return "-" in identifier and subject_of_change(identifier) is None


def _without(causes: tuple[Weighed, ...], denied: Weighed) -> tuple[Weighed, ...]:
    left = 1.0 - denied.probability
    if left <= 1e-9:
        return (Weighed("other", 1.0, (), ()), replace(denied, probability=0.0))
    return _sorted(tuple(
        replace(each, probability=0.0 if each is denied else each.probability / left)
        for each in causes
    ))  # fmt: skip


def _sorted(causes: tuple[Weighed, ...]) -> tuple[Weighed, ...]:
    return tuple(sorted(causes, key=lambda one: (-one.probability, one.cause)))


def _made_of(case: Case, word: Word, open_ones: Sequence[Explained]) -> Explained | None:
    """A settled matter that the balance has no more doubt of, made of the word alone.

    None where the word left other causes open: then the matter is still told as open.
    """
    about, begins, ends, cause = _subject(case, word)
    if not about:
        return None
    if word.says in ("no", "sound") and any(_overlaps(one, about, begins, ends)
                                            for one in open_ones):  # fmt: skip
        return None
    sure = cause if word.says in ("yes", "wrong") else "other"
    causes = [Weighed(sure, 1.0, (), (), word.about)]
    if sure != cause:
        causes.append(Weighed(cause, 0.0, (), (), word.about))
    return Explained("verdict", (about,), begins, ends, tuple(causes), {}, settled=word)


def _overlaps(one: Explained, about: str, begins: float, ends: float) -> bool:
    near = one.begins <= ends + _NEAR_DAYS and one.ends >= begins - _NEAR_DAYS
    return near and about in one.about


def _subject(case: Case, word: Word) -> tuple[str, float, float, str]:
    """What a word is about: quantity, when it began and ended, and the cause that it speaks of."""
    for season in case.answer.seasons:
        for test in season.season.tests:
            if test.fact == word.about:
                return test.quantity, test.t, test.t, "test_wrong"
    return subject_of_change(word.about) or _subject_of_slow(word)


def subject_of_change(identifier: str) -> tuple[str, float, float, str] | None:
    """Quantity, begin, end and cause of an id such as ``stop-carbonate-9510.275-9513.275``."""
    kind, _, rest = identifier.partition("-")
    parts = rest.rsplit("-", 2)
    if kind not in _CAUSE_OF_KIND or len(parts) != 3:
        return None
    what, begins, ends = parts
    try:
        times = float(begins), float(ends)
    except ValueError:
        return None
    about = what if kind in ("jump", "step") and what != "growth" else "alkalinity"
    return about, *times, _CAUSE_OF_KIND[kind]


def _subject_of_slow(word: Word) -> tuple[str, float, float, str]:
    cause, _, about = word.about.partition("-")
    return (about.partition("-")[0] if "_" in cause or cause in ("leak", "equipment") else "",
            word.t, word.t, cause)  # fmt: skip
