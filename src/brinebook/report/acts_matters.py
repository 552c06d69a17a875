"""What to do about something odd: look, test again, answer a question; or nothing."""

from __future__ import annotations

from brinebook.report.act import Act
from brinebook.report.causes import Explanation, likeliest
from brinebook.report.numbers import chance_text
from brinebook.report.reasons import reason
from brinebook.report.view import View

#: A cause is named in the first line from this share on; below it the line asks more openly.
_NAMED = 0.4


def act_of_matter(view: View, matter: Explanation) -> Act | None:
    """What to do about something odd: look, test again, answer; or nothing."""
    lead = matter.lead
    about = matter.about[0]
    if lead.cause in ("use_changed", "other"):
        return None  # told in a sentence: there is nothing to look at
    if lead.cause == "test_wrong":
        return _retest(view, matter)
    if lead.cause in ("lot_changed", "method_drifting") and matter.source.kind == "tests":
        return _retest(view, matter) or _look(view, matter, about)
    if lead.cause == "room_air":
        text = "Don't dose for pH."
        return Act("wait", about, text, _why(view, matter), view.case.answer.at, asks=lead.asks)
    return _look(view, matter, about)


def _look(view: View, matter: Explanation, about: str) -> Act:
    lead = matter.lead
    at = view.case.answer.at
    text = lead.tell_apart
    if lead.cause == "dose_not_arriving" and lead.probability >= _NAMED:
        additive = matter.source.numbers.get("additive", "dosing")
        text = f"Check the line of the {additive} before you dose anything."
    elif lead.probability < _NAMED:
        text = f"Something moved {view.speech.name(about)}. {lead.tell_apart}"
    return Act("check", about, text, _why(view, matter), at, asks=lead.asks)


def _why(view: View, matter: Explanation) -> str:
    lead = matter.lead
    parts = [lead.speaks_for if lead.speaks_for[:9] != "The tests" else _seen(view, matter)]
    parts.append(likeliest(matter))
    if lead.cause == "dose_not_arriving":
        parts.append(lead.tell_apart)
        parts.append("If it has, don't raise the dose: test again with another kit first.")
    return " ".join(part for part in parts if part)


def _seen(view: View, matter: Explanation) -> str:
    """What the tests showed, where no sign of its own speaks for the leading cause."""
    sign = matter.source.signs.get("size")
    if sign is None:
        return ""
    return reason(view.speech, "size", sign.numbers, matter.lead.cause)


def _retest(view: View, matter: Explanation) -> Act | None:
    """Test again, where the doubtful reading is the newest: later tests have settled it else."""
    about = matter.about[0]
    suspects = {each.fact: each for each in view.case.answer.suspects}
    tests = view.case.tests_of(about)
    if not tests or tests[-1].fact not in suspects:
        return None
    last = tests[-1]
    quantity = view.case.answer.quantities[about]
    read = view.speech.value(about, last.value, quantity.now.sd)
    now = view.speech.with_range(about, quantity.now)
    chance = chance_text(suspects[last.fact].probability)
    return Act(
        "retest",
        about,
        f"Test {view.speech.name(about)} again before you act on {read}.",
        f"From all the rest it should be about {now}, so the test is likely wrong ({chance}). "
        f"{_against(matter)}Another kit or a fresh bottle tells most.",
        view.case.answer.at,
        asks=last.fact,
    )


def _against(matter: Explanation) -> str:
    rivals = [c for c in matter.causes if c.cause not in ("test_wrong", "other")]
    if not rivals or rivals[0].probability < 0.1:
        return ""
    return f"{likeliest(matter)} "
