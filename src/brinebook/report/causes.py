"""Explanations in words: each cause with what speaks for it, against it, and what would tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brinebook.balance.causes.explained import Explained
from brinebook.balance.rivals import Weighed
from brinebook.report.numbers import chance_text
from brinebook.report.reasons import reason
from brinebook.report.speech import Speech
from brinebook.report.tell_apart import tell_apart
from brinebook.texts import Spoken, begun, say

#: So many signs are told for or against a cause.
_MOST_REASONS = 2
#: Causes under this share are left out of sentences (the JSON has them all).
WORTH_NAMING = 0.05
_SERIOUS = 0.15

#: A cause in the words of a sentence: “… is likeliest”.
NAMES = Spoken(
    {
        "test_wrong": "a wrong test",
        "lot_changed": "another bottle of reagent",
        "method_drifting": "a kit or meter that has drifted",
        "dose_not_arriving": "dosing that doesn't arrive",
        "dose_entered_wrong": "a dose written down wrongly",
        "unlogged_change": "a water change not written down",
        "unlogged_dose": "something that went in and isn't written down",
        "use_changed": "a changed use",
        "volume_belief_wrong": "another volume than believed",
        "precipitation": "carbonate that fell out",
        "media_exhausted": "media that are used up",
        "evaporation_changed": "changed evaporation",
        "leak": "a leak",
        "room_air": "the air of the room",
        "probe_fault": "a probe at fault",
        "equipment": "a machine that doesn't do its part",
        "other": "something else",
    }
)


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause in words. ``asks`` is what a verdict on it names, or empty."""

    cause: str
    probability: float
    speaks_for: str
    speaks_against: str
    tell_apart: str
    asks: str


@dataclass(frozen=True, slots=True)
class Settled:
    """The keeper's word: what, when and by whom."""

    says: str
    when: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Rival causes of something seen lately, likeliest first."""

    about: tuple[str, ...]
    since: datetime
    causes: tuple[Cause, ...]
    settled: Settled | None
    source: Explained

    @property
    def lead(self) -> Cause:
        """The likeliest cause that has a name."""
        named = [cause for cause in self.causes if cause.cause != "other"]
        return named[0] if named else self.causes[0]


def explanations(speech: Speech, found: Sequence[Explained]) -> tuple[Explanation, ...]:
    """The balance's explanations in words, in the same order."""
    return tuple(_explanation(speech, one) for one in found)


def _explanation(speech: Speech, one: Explained) -> Explanation:
    settled = None
    if one.settled is not None:
        word = one.settled
        settled = Settled(word.says, speech.moment(word.t), word.by or say("the keeper"))
    causes = tuple(_cause(speech, one, each) for each in one.causes)
    return Explanation(one.about, speech.moment(one.begins), causes, settled, one)


def _cause(speech: Speech, one: Explained, each: Weighed) -> Cause:
    for_it = _told(speech, one, each.cause, each.speaks_for)
    against = _told(speech, one, each.cause, _fair(one, each))
    if one.settled is not None and not one.signs:
        for_it, against = _by_word(speech, one, each)
    return Cause(
        each.cause,
        each.probability,
        for_it or _no_sign_for(speech, one, each),
        against or say("Nothing that was seen speaks against it."),
        tell_apart(speech, one, each.cause),
        each.asks,
    )


def _fair(one: Explained, each: Weighed) -> list[str]:
    """The signs against a cause. The size of a fall speaks against it only where that size is what
    the dosing would have brought, and dosing that fails is a serious rival."""
    serious = one.share("dose_not_arriving") >= _SERIOUS or each.cause == "use_changed"
    against = [name for name in each.speaks_against if name != "size" or serious]
    return [name for name in against if (each.cause, name) != ("lot_changed", "lot_shift")]


def _told(speech: Speech, one: Explained, cause: str, names: Sequence[str]) -> str:
    chosen = list(names[:_MOST_REASONS])
    return " ".join(reason(speech, name, one.signs[name].numbers, cause) for name in chosen)


def _by_word(speech: Speech, one: Explained, each: Weighed) -> tuple[str, str]:
    assert one.settled is not None
    said = say(
        "Your verdict {on_day}: {says}.", on_day=speech.on_day(one.settled.t), says=one.settled.says
    )
    return (said, "") if each.probability > 0.5 else ("", said)


def _no_sign_for(speech: Speech, one: Explained, each: Weighed) -> str:
    """What to say for a cause that no sign speaks for: what was seen, or that it is usual."""
    if each.cause == "other":
        return say("What is left once every cause above has been weighed.")
    if one.kind == "tests":
        name = NAMES[each.cause]
        seen = what_was_seen(speech, one, each.cause)
        return say("{seen} {name} can do that.", seen=seen, name=begun(name)).strip()
    return say("It is a usual cause of this; no sign of its own was seen.")


def what_was_seen(speech: Speech, one: Explained, cause: str) -> str:
    """How far the tests moved, where that is known."""
    for name in ("size", "lot_shift"):
        sign = one.signs.get(name)
        if sign is not None:
            return reason(speech, name, sign.numbers, cause)
    return ""


def likeliest(explanation: Explanation) -> str:
    """“Likeliest is a stopped pump (about 7 in 10), then a changed use (about 1 in 10).”"""
    named = [c for c in explanation.causes if c.cause != "other" and c.probability >= WORTH_NAMING]
    if not named:
        return say("I can't tell what was behind it.")
    first = say(
        "Likeliest is {names} ({probability})",
        names=NAMES[named[0].cause],
        probability=chance_text(named[0].probability),
    )
    if len(named) == 1 or named[1].probability < 2 * WORTH_NAMING:
        return f"{first}."
    return say(
        "{first}, then {names} ({probability}).",
        first=first,
        names=NAMES[named[1].cause],
        probability=chance_text(named[1].probability),
    )
