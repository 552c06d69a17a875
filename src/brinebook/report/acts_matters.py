"""What to do about something odd: look, test again, answer a question; or nothing."""

from __future__ import annotations

from datetime import timedelta

from brinebook.report.act import Act
from brinebook.report.causes import NAMES, Explanation, likeliest, what_was_seen
from brinebook.report.numbers import chance_text
from brinebook.report.view import View
from brinebook.texts import say

#: A cause is named in the first line from this share on; below it the line asks more openly.
_NAMED = 0.4
#: A newest test is made again from this chance of its being wrong on, and a leak looked for.
_WORTH_A_RETEST, _WORTH_A_LOOK = 0.2, 0.15
#: From this chance on, the rest of the book is told against a test.
_LIKELY_WRONG = 0.5
#: How much water there is hurries nobody.
_UNHURRIED = timedelta(days=7)


def act_of_matter(view: View, matter: Explanation) -> Act | None:
    """What to do about something odd: look, test again, answer; or nothing."""
    lead = matter.lead
    about = matter.about[0]
    if matter.source.kind == "tests" and matter.source.share("test_wrong") >= _WORTH_A_RETEST:
        act = _retest(view, matter)
        if act is not None or lead.cause == "test_wrong":
            return act
    if lead.cause in ("use_changed", "other"):
        return None  # told in a sentence: there is nothing to look at
    if lead.cause == "evaporation_changed" and matter.source.share("leak") < _WORTH_A_LOOK:
        return None
    if lead.cause == "room_air":
        text = say("Don't dose for pH.")
        return Act("wait", about, text, _why(view, matter), view.case.answer.at, asks=lead.asks)
    return _look(view, matter, about)


def _look(view: View, matter: Explanation, about: str) -> Act:
    lead = matter.lead
    at = view.case.answer.at
    text = lead.tell_apart
    if lead.cause == "dose_not_arriving" and lead.probability >= _NAMED:
        additive = matter.source.numbers.get("additive", say("dosing"))
        text = say("Check the line of the {additive} before you dose anything.", additive=additive)
    elif lead.probability < _NAMED:
        text = say(
            "Something moved {quantity}. {tell_apart}",
            quantity=view.speech.name(about),
            tell_apart=lead.tell_apart,
        )
    # The id of a test has no dash: of that one says whether it was wrong.
    cause = NAMES[lead.cause] if "-" in lead.asks else ""
    by = at + _UNHURRIED if about == "volume" else at
    return Act("check", about, text, _why(view, matter), by, asks=lead.asks, cause=cause)


def _why(view: View, matter: Explanation) -> str:
    lead = matter.lead
    seen = what_was_seen(view.speech, matter.source, lead.cause)
    parts = [] if lead.speaks_for.startswith(seen) else [seen]
    parts += [lead.speaks_for, likeliest(matter)]
    if lead.cause == "dose_not_arriving":
        parts.append(lead.tell_apart)
        parts.append(say("If it has, don't raise the dose: test again with another kit first."))
    return " ".join(part for part in parts if part)


def _retest(view: View, matter: Explanation) -> Act | None:
    """Test again, where the doubtful reading is the newest and stands alone."""
    about = matter.about[0]
    wrong = [cause for cause in matter.causes if cause.cause == "test_wrong"]
    tests = view.case.tests_of(about)
    if not tests or tests[-1].fact != wrong[0].asks:
        return None
    last = tests[-1]
    read = view.speech.value(about, last.value, view.test_sd(about))
    return Act(
        "retest",
        about,
        say(
            "Test {quantity} again before you act on {read}.",
            quantity=view.speech.name(about),
            read=read,
        ),
        say(
            "{doubt} Another kit or a fresh bottle tells most.",
            doubt=_doubt(view, matter, wrong[0].probability),
        ),
        view.case.answer.at,
        asks=last.fact,
    )


def _doubt(view: View, matter: Explanation, chance: float) -> str:
    """Why a newest test is doubted: by what all the rest says, or as one of several causes."""
    about = matter.about[0]
    if chance < _LIKELY_WRONG:
        seen = what_was_seen(view.speech, matter.source, "test_wrong")
        return f"{seen} {likeliest(matter)}".strip()
    now = view.speech.with_range(about, view.case.answer.quantities[about].now)
    text = say(
        "From all there is it should be about {now}; the chance that the test is "
        "wrong is {chance}.",
        now=now,
        chance=chance_text(chance),
    )
    rivals = [c for c in matter.causes if c.cause not in ("test_wrong", "other")]
    if not rivals or rivals[0].probability < _WORTH_A_LOOK:
        return text
    return f"{text} {likeliest(matter)}"
