"""From the words of a keeper to the columns of a fact: ``dose carbonate 30mL``, ``change 15%``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from brinebook import units
from brinebook.book.kinds import KIND_RULES, VERDICTS
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.system import System
from brinebook.texts import say
from brinebook.timeline import KINDS
from brinebook.units import QUANTITIES
from brinebook.water.salts import read_formula

#: Other words for a kind, as they come to mind.
KIND_WORDS: Mapping[str, str] = {
    "change": "water_change", "waterchange": "water_change", "water-change": "water_change",
    "topoff": "top_off", "top-off": "top_off", "remove": "removed", "chore": "done",
    "fed": "feed", "food": "feed",
}  # fmt: skip

EXAMPLES: Mapping[str, str] = {
    "test": "brinebook add test alk 8.2dKH",
    "dose": 'brinebook add dose "carbonate solution" 30mL',
    "dosing": 'brinebook add dosing "carbonate solution" 45mL/day --detail hours=22-06',
    "water_change": 'brinebook add change 15%, or: brinebook add change "house mix" 40L',
    "level": 'brinebook add level "carbonate solution" 420mL',
    "top_off": "brinebook add top_off 3.5L",
    "removed": "brinebook add removed 2L",
    "feed": "brinebook add feed flakes 1.5g",
    "media": "brinebook add media ferric 100g --detail flow=60",
    "harvest": "brinebook add harvest chaetomorpha 80g",
    "done": 'brinebook add done "cleaned the pump"',
    "event": 'brinebook add event livestock "two snails"',
    "verdict": "brinebook add verdict FACT wrong",
    "note": "brinebook add note the corals look pale",
}


class KindUnknown(UsageProblem):
    """There is no kind of fact of that name."""

    code = "E-KIND"

    def __init__(self, word: str) -> None:
        near = get_close_matches(word[:40], (*KINDS, *KIND_WORDS), n=1)
        meant = say("Did you mean {near}? ", near=near[0]) if near else ""
        super().__init__(
            say("There is no kind of fact called {word!r}.", word=word),
            say("{meant}Kinds are: {kinds}.", meant=meant, kinds=", ".join(KINDS)),
        )


class WordsUnclear(UsageProblem):
    """The words after the kind don't say what such a fact has to say."""

    code = "E-WORDS"

    def __init__(self, kind: str, why: str) -> None:
        super().__init__(f"{why}.", say("Write for instance: {examples}", examples=EXAMPLES[kind]))


@dataclass(frozen=True, slots=True)
class Worded:
    """The columns of a fact as read from words, and remarks on how they were read."""

    kind: str
    what: str = ""
    value: str = ""
    unit: str = ""
    detail: Mapping[str, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()


def read_words(
    kind_word: str, words: Sequence[str], *, detail: Mapping[str, str], system: System
) -> Worded:
    """What the words say. Raises KindUnknown, WordsUnclear, or a refusal of the units' readers."""
    kind = KIND_WORDS.get(kind_word.lower(), kind_word.lower())
    if kind not in KIND_RULES:
        raise KindUnknown(kind_word)
    if kind == "note":
        return Worded(kind, detail=_with_text(detail, words))
    if kind == "verdict":
        return _verdict(words, detail)
    if kind == "done":
        return Worded(kind, " ".join(words), detail=detail)
    if kind == "event":
        return _event(words, detail)
    if kind == "test":
        return _test(words, detail)
    return _amount(kind, words, detail, system)


def quantity_name(text: str) -> str:
    """The full name where the text is a short form of a quantity (`alk`), else the text."""
    try:
        return units.find_quantity(text).name if text else ""
    except BrinebookError:
        return text


def split_typed(text: str, *, quantity: str = "") -> tuple[str, str]:
    """``8,2dKH`` as ``("8.2", "dKH")``. Raises NumberUnreadable.

    Of a quantity that never comes to a thousand (a specific gravity, a pH) ``1,025`` is 1.025.
    """
    number, unit = units.split_amount(text)
    gravity = units.gravity_reference(unit) is not None
    small = quantity in QUANTITIES and QUANTITIES[quantity].high < 1000
    reading = units.parse_reading_value(
        number, decimal_comma=True, grouped_impossible=gravity or small
    )
    plain = number.strip().lstrip("<>").strip().replace("−", "-").replace(",", ".")
    return reading.censor + plain, unit


def _test(words: Sequence[str], detail: Mapping[str, str]) -> Worded:
    for count in range(1, len(words)):
        try:
            quantity = units.find_quantity(" ".join(words[:count]))
        except BrinebookError:
            continue
        value, unit = split_typed(" ".join(words[count:]), quantity=quantity.name)
        return Worded("test", quantity.name, value, unit, detail)
    if words:
        units.find_quantity(words[0])  # raises with the nearest names, if it isn't one
        raise WordsUnclear("test", say("A test of {words} needs its reading", words=words[0]))
    raise WordsUnclear("test", say("A test needs a quantity and its reading"))


def _verdict(words: Sequence[str], detail: Mapping[str, str]) -> Worded:
    if len(words) == 2 and words[1].lower() in VERDICTS:
        return Worded("verdict", words[0].lower(), detail={**detail, "says": words[1].lower()})
    if len(words) == 1 and "says" in detail:
        return Worded("verdict", words[0].lower(), detail=detail)
    raise WordsUnclear(
        "verdict",
        say("A verdict names a fact and says one of {verdicts}", verdicts=", ".join(VERDICTS)),
    )


def _event(words: Sequence[str], detail: Mapping[str, str]) -> Worded:
    if not words:
        raise WordsUnclear("event", say("An event needs a name"))
    rest = " ".join(words[1:])
    if not rest:
        return Worded("event", words[0], detail=detail)
    try:
        value, unit = split_typed(rest)
    except BrinebookError:
        return Worded("event", words[0], detail=_with_text(detail, words[1:]))
    return Worded("event", words[0], value, unit, detail)


def _amount(kind: str, words: Sequence[str], detail: Mapping[str, str], system: System) -> Worded:
    rule = KIND_RULES[kind]
    refusal: BrinebookError | None = None
    # The amount stands last (`carbonate solution 30 mL`) or first (`15% house mix`).
    splits = [(words[start:], words[:start]) for start in range(len(words))]
    splits += [(words[:end], words[end:]) for end in range(len(words) - 1, 0, -1)]
    for amount, name in splits:
        try:
            value, unit = split_typed(" ".join(amount))
        except BrinebookError as error:
            if amount[0][:1].isdigit():
                refusal = refusal or error
            continue
        if units.dimension_of(unit) in rule.dimensions:
            what, remarks = _name(kind, " ".join(name), system)
            return Worded(kind, what, value, unit, detail, remarks)
    if refusal is not None:
        raise refusal
    raise WordsUnclear(
        kind,
        say(
            "{kind} needs an amount with its unit ({units})", kind=kind, units=", ".join(rule.units)
        ),
    )


def _name(kind: str, text: str, system: System) -> tuple[str, tuple[str, ...]]:
    """The name as system.toml spells it, and what there is to say about that."""
    additives = [one.name for one in system.additives]
    known = {
        "dose": additives,
        "dosing": additives,
        "level": [*additives, "top-off"],
        "top_off": additives,
        "water_change": [one.name for one in system.mixes],
    }.get(kind)
    if known is None or not text:
        return text, ()
    for name in known:
        if name.casefold() == text.casefold():
            return name, ()
    formula = read_formula(text)
    if formula is not None and kind in {"dose", "dosing", "top_off"}:
        return formula, ()
    begun = [name for name in known if name.casefold().startswith(text.casefold())]
    if len(begun) == 1:
        return begun[0], (say("{text!r} is taken as {begun!r}.", text=text, begun=begun[0]),)
    near = get_close_matches(text, known, n=1)
    meant = say(" Did you mean {near!r}?", near=near[0]) if near else ""
    return text, (
        say(
            "{text!r} isn't in the system's description: what it brings is unknown.{meant}",
            text=text,
            meant=meant,
        ),
    )


def _with_text(detail: Mapping[str, str], words: Sequence[str]) -> Mapping[str, str]:
    return {**detail, "text": " ".join(words)} if words else detail
