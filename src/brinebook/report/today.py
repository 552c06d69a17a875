"""Today: is anyone in danger, is anything to be done, what does it rest on, when to look again.

Sentences carry the number with its range and the age of its evidence; a calm page is earned by
recent tests.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer
from brinebook.balance.causes.case import Case
from brinebook.balance.causes.explained import Word
from brinebook.balance.causes.lately import lately
from brinebook.balance.season import days_since_epoch
from brinebook.report.act import Act
from brinebook.report.acts import acts_of
from brinebook.report.advice import NextTest, next_test
from brinebook.report.causes import Explanation, explanations
from brinebook.report.danger import dangers
from brinebook.report.sentences import next_sentence, sentences_of
from brinebook.report.speech import Speech
from brinebook.report.view import View
from brinebook.system import System
from brinebook.texts import say
from brinebook.timeline import Fact

#: A calm page rests on tests of alkalinity, or of anything where it was never tested, this recent.
_EARNED = timedelta(days=6)


@dataclass(frozen=True, slots=True)
class Today:
    """What the page and the command show. ``danger``: someone may be in trouble, words go first."""

    at: datetime
    headline: str
    danger: bool
    sentences: tuple[str, ...]
    acts: tuple[Act, ...]
    explanations: tuple[Explanation, ...]
    next_tests: tuple[NextTest, ...]
    next_sentence: str


def today(
    answer: Answer,
    zone: ZoneInfo,
    units: Mapping[str, str],
    *,
    system: System,
    facts: Sequence[Fact],
    words: Sequence[Word] = (),
) -> Today:
    """Everything that Today says. ``words`` are the keeper's verdicts, with who gave them."""
    case = Case(system, tuple(facts), answer, days_since_epoch(answer.at))
    speech = Speech(answer.at, zone, units)
    tests = tuple(
        sorted(
            (next_test(answer, each) for each in answer.quantities.values()),
            key=lambda test: (test.by, test.quantity),
        )
    )
    told = explanations(speech, lately(answer, system, facts, words))
    view = View(case, speech, told, tests)
    found = dangers(case, speech)
    # What is due today before what has time, each by what hangs on it.
    acts = sorted(acts_of(view, found), key=lambda act: not _is_today(act, answer.at, zone))
    return Today(
        at=answer.at,
        headline=_headline(view, acts),
        danger=bool(found),
        sentences=tuple(sentences_of(view, acts)),
        acts=tuple(acts),
        explanations=told,
        next_tests=tests,
        next_sentence=next_sentence(view),
    )


def _is_today(act: Act, at: datetime, zone: ZoneInfo) -> bool:
    """Whether something is to be done before the day is over where the system stands."""
    return act.by.astimezone(zone).date() <= at.astimezone(zone).date()


def _headline(view: View, acts: Sequence[Act]) -> str:
    """The first thing that is due today; else that nothing is, with the age of what says so."""
    answer = view.case.answer
    if not answer.quantities:
        return say("Nothing is known yet: the book holds no test.")
    if acts and _is_today(acts[0], answer.at, view.speech.zone):
        return acts[0].text
    newest = [each.tested for each in answer.quantities.values() if each.tested is not None]
    main = answer.quantities.get("alkalinity")
    tested = main.tested if main is not None and main.tested is not None else max(newest)
    about = say("alkalinity tested") if main is not None else say("newest test")
    ago = view.speech.ago(tested)
    if answer.at - tested <= _EARNED:
        return say("Nothing needs you today ({about} {ago}).", about=about, ago=ago)
    return say("Nothing calls for you today, as far as tests from {ago} can say.", ago=ago)
