"""Which open question a yes or no is meant for: by its short id, or the beginning of one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from brinebook.book import facts as stored
from brinebook.book import faults
from brinebook.book.identity import to_us
from brinebook.desk.opening import Loaded, OpenSystem
from brinebook.errors import UsageProblem
from brinebook.report.short_id import short_id
from brinebook.texts import say

#: So much of an id has to be typed.
FEWEST_LETTERS = 4


class QuestionUnknown(UsageProblem):
    """No fact and no open question has this id."""

    code = "E-QUESTION-UNKNOWN"
    http_status = 404

    def __init__(self, typed: str) -> None:
        super().__init__(
            say("Nothing was asked under the id {typed!r}, and no fact has it.", typed=typed),
            say("`brinebook today` and `brinebook balance` show what is asked, each with its id."),
        )


class QuestionAmbiguous(UsageProblem):
    """The beginning of an id fits several questions."""

    code = "E-QUESTION-AMBIGUOUS"

    def __init__(self, typed: str, candidates: Sequence[str]) -> None:
        listed = ", ".join(f"{short_id(one)} ({one})" for one in candidates)
        super().__init__(
            say("{typed!r} is the beginning of several ids: {listed}.", typed=typed, listed=listed),
            say("Type one more letter or two."),
        )


def question_meant(opened: OpenSystem, typed: str, *, now: datetime) -> str:
    """The full id of the question that ``typed`` means; a fact's id is left as it is.

    Raises QuestionUnknown or QuestionAmbiguous, and FactAmbiguous where it begins several facts.
    """
    if _is_fact(opened, typed):
        return typed
    asked = _asked(opened, now)
    wanted = typed.casefold()
    exact = [one for one in asked if wanted in (one.casefold(), short_id(one))]
    if exact:
        return exact[0]
    begun = [one for one in asked if _begins(one, wanted)]
    if len(begun) > 1:
        raise QuestionAmbiguous(typed, begun)
    if begun:
        return begun[0]
    if _was_asked_once(typed):
        return typed
    raise QuestionUnknown(typed)


def _begins(identifier: str, wanted: str) -> bool:
    if len(wanted) < FEWEST_LETTERS:
        return False
    return short_id(identifier).startswith(wanted) or identifier.casefold().startswith(wanted)


def _is_fact(opened: OpenSystem, typed: str) -> bool:
    with opened.book.read() as connection:
        try:
            stored.chain_of(connection, opened.system_id, typed)
        except faults.FactUnknown:
            return False
    return True


def _asked(opened: OpenSystem, now: datetime) -> list[str]:
    """The ids of all that is asked at present: unlogged changes, and causes of open matters."""
    from brinebook.balance.answer import answer
    from brinebook.balance.causes.lately import lately
    from brinebook.desk.daily import words_of

    with opened.book.read() as connection:
        found = stored.current(connection, opened.system_id, at_us=to_us(now))
    told = answer(opened.system, found, now)
    words = words_of(Loaded(opened, tuple(found), now))
    matters = lately(told, opened.system, found, words)
    causes = [cause.asks for matter in matters for cause in matter.causes if "-" in cause.asks]
    return list(dict.fromkeys([*(each.id for each in told.unlogged), *causes]))


def _was_asked_once(typed: str) -> bool:
    """Whether it is a full id of a change: the question may have changed its gap since."""
    from brinebook.balance.causes.heard import subject_of_change

    return subject_of_change(typed) is not None
