"""Signs put into sentences: what was seen, in the keeper's numbers, and nothing that wasn't."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from brinebook.balance.beliefs import SKELETON
from brinebook.balance.rivals import Numbers
from brinebook.report.numbers import decimals_for, number_text
from brinebook.report.speech import Speech, counted, days_span, rounded_millilitres

#: A dose so many times as large as written.
_HAD_IT_BEEN = {
    0.0: "Had it not gone in at all",
    0.1: "Had it been a tenth",
    0.5: "Had it been half",
    2.0: "Had it been twice as much",
    10.0: "Had it been ten times as much",
}

Sentence = Callable[[Speech, Numbers, str], str]


def reason(speech: Speech, name: str, numbers: Numbers, cause: str) -> str:
    """The sentence of a sign, told with a view to one cause."""
    key = name.partition(":")[0]
    return _SENTENCES[key](speech, numbers, cause)


def number(numbers: Numbers, name: str) -> float:
    """A number of a sign."""
    return float(numbers[name])


def _size(speech: Speech, n: Numbers, cause: str) -> str:
    quantity, sd = str(n["quantity"]), number(n, "sd")
    before = speech.bare(quantity, number(n, "before"), sd)
    after = speech.value(quantity, number(n, "after"), sd)
    change = number(n, "after") - number(n, "before")
    verb = "fell" if change < 0 else "rose"
    text = (
        f"{speech.title(quantity)} {verb} from {before} to {after} in "
        f"{days_span(number(n, 'days'))}"
    )
    brought = number(n, "brought")
    if cause == "dose_not_arriving" and brought:
        would = speech.change(quantity, brought, sd)
        return f"{text}; the {n['additive']} should have brought {would} in that time."
    if brought and abs(abs(change) - brought) < 0.3 * brought:
        would = speech.change(quantity, brought, sd)
        return f"{text}, as much as the {n['additive']} brings in that time ({would})."
    if cause == "use_changed":
        use = speech.change(quantity, number(n, "use"), sd)
        return f"{text}; the usual use is {use} a day."
    return f"{text}."


def _beyond(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    fell = speech.change(quantity, number(n, "after") - number(n, "before"), sd)
    most = speech.change(quantity, number(n, "most"), sd)
    return (
        f"A fall of {fell} in {days_span(number(n, 'days'))} is beyond use: with no dosing at all "
        f"the reef takes about {most} in that time."
    )


def _later(speech: Speech, n: Numbers, cause: str) -> str:
    quantity = str(n["quantity"])
    read = speech.value(quantity, number(n, "last"), number(n, "sd"))
    tests = counted(number(n, "count"), "later test")
    if cause == "test_wrong":
        return f"What came after ({tests}, the last {read}) is to be held against it."
    return f"What came after: {tests}, the last {read}."


def _replicates(speech: Speech, n: Numbers, cause: str) -> str:
    quantity, sd = str(n["quantity"]), number(n, "sd")
    low, high = (
        speech.bare(quantity, number(n, "low"), sd),
        speech.value(quantity, number(n, "high"), sd),
    )
    same = low == high.partition(" ")[0]
    read = f"the same, {high}" if same else f"{low} and {high}"
    tail = " A slip seldom repeats itself." if same and cause == "test_wrong" else ""
    return f"{counted(number(n, 'count'), 'test').capitalize()} within the hour read {read}.{tail}"


def _moved(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    before = speech.bare(quantity, number(n, "before"), sd)
    after = speech.value(quantity, number(n, "after"), sd)
    if before == after.partition(" ")[0]:
        return f"{speech.title(quantity)} stayed at {after} meanwhile."
    return f"{speech.title(quantity)} went from {before} to {after} meanwhile."


def _bottle(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    fell, due = rounded_millilitres(number(n, "fell")), rounded_millilitres(number(n, "due"))
    share = number(n, "fell") / number(n, "due")
    since, until = speech.day(number(n, "since")), speech.day(number(n, "until"))
    return (
        f"The {n['additive']} went down {fell} from {since} to {until}, where {due} were set: "
        f"{100 * share:.0f} %."
    )


def _dose(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    times = number(n, "times")
    meant = _HAD_IT_BEEN[times]
    return (
        f"You wrote down {n['additive']} {speech.on_day(number(n, 'when'))}. {meant}, that would "
        f"be {speech.change_and_sd(quantity, number(n, 'expected'), sd)}; the tests say "
        f"{speech.change_and_sd(quantity, number(n, 'change'), sd)}."
    )


def _lot(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    days = number(n, "days")
    age = "was new" if days < 1 else f"had been in use for {days:.0f} days"
    return f"Its reagent bottle {n['lot']} {age}."


def _new_lot(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    days = number(n, "days")
    beside = (
        "just then"
        if abs(days) < 2
        else f"{abs(days):.0f} days {'after' if days > 0 else 'before'} it"
    )
    return f"The reagent bottle {n['lot']} was begun {speech.on_day(number(n, 'when'))}, {beside}."


def _saturation(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return (
        f"Aragonite stood at {number(n, 'omega'):.1f} times saturation (by {n['by']}); in seawater "
        "carbonate was seen to fall out above about 7, and not at 5."
    )


def _event(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    text = f" ({n['text']})" if n["text"] else ""
    name = str(n["name"]).replace("_", " ")
    return f"You wrote down “{name}”{text} {speech.on_day(number(n, 'when'))}."


def _tie(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    share = SKELETON["calcium"][0]
    sd = number(n, "sd") * share
    found = speech.change_and_sd("calcium", number(n, "change") * share, sd)
    whole = speech.change("calcium", number(n, "whole") * share, sd)
    return (
        f"{counted(number(n, 'tests'), 'calcium test').capitalize()} alone put the change of use "
        f"at {found} a day; {whole} would go with alkalinity."
    )


def _ratio(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return f"It drinks {number(n, 'ratio'):.1f} times what is usual."


def _salinity(speech: Speech, n: Numbers, cause: str) -> str:
    sd = number(n, "sd")
    changed = speech.change_and_sd("salinity", number(n, "changed"), sd)
    by_leak = speech.change("salinity", number(n, "by_leak"), sd / 4)
    lost = number(n, "litres") > 0
    way = (
        f"a leak would have taken {by_leak} off"
        if lost
        else (f"water left missing would have added {by_leak}")
    )
    del cause
    return f"Salinity changed by {changed} since; {way}."


def _co2(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    read = speech.value("ph", number(n, "ph"), 0.03)
    before = speech.value("ph", number(n, "before"), 0.03)
    return (
        f"At this alkalinity pH {read} means about {_hundreds(number(n, 'co2'))} ppm of CO2 in the "
        f"air over the water; {before} meant about {_hundreds(number(n, 'co2_before'))}."
    )


def _room_co2(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return f"The room's meter read {number(n, 'meter'):.0f} ppm of CO2."


def _media_age(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return f"The ferric media have been in for {number(n, 'age'):.0f} days."


def _high_tests(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return f"{counted(number(n, 'count'), 'test').capitalize()} since read higher."


def _food(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    late, early = number(n, "late"), number(n, "early")
    decimals = max(decimals_for(0.1 * max(early, 1e-3)), 0)
    return (
        f"You fed {number_text(late, decimals)} g a day since, and "
        f"{number_text(early, decimals)} g before."
    )


def _lot_shift(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity = str(n["quantity"])
    shift = speech.change(quantity, number(n, "shift"), number(n, "sd"))
    word = "higher" if number(n, "shift") > 0 else "lower"
    before = f"bottle {n['before']}" if n["before"] else "the bottle before"
    return (
        f"The first {counted(number(n, 'tests'), 'test')} of bottle {n['lot']} read {shift} {word} "
        f"than the last of {before}."
    )


def _coincides(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    return (
        f"It shows between the last test of the old bottle and the first of {n['lot']} "
        f"{speech.on_day(number(n, 'when'))}."
    )


def _standard(speech: Speech, n: Numbers, cause: str) -> str:
    quantity, sd = str(n["quantity"]), number(n, "sd")
    known = speech.value(quantity, number(n, "known"), sd)
    read = speech.value(quantity, number(n, "read"), sd)
    day = speech.on_day(number(n, "when"))
    text = f"Your {n['standard']} of {known} read {read} {day}"
    if number(n, "count") and cause != "test_wrong":
        off = speech.change_and_sd(quantity, number(n, "earlier"), sd)
        return f"{text}; earlier tests of it were off by {off}."
    return f"{text}."


def _volume(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return (
        f"You believe {number(n, 'believed'):.0f} ± {number(n, 'believed_sd'):.0f} L; what doses "
        f"and changes did says about {number(n, 'litres'):.0f} L."
    )


def _hundreds(ppm: float) -> str:
    return number_text(ppm, -2 if ppm >= 1000 else -1)


_SENTENCES: Mapping[str, Sentence] = {
    "size": _size,
    "beyond": _beyond,
    "later": _later,
    "replicates": _replicates,
    "moved": _moved,
    "bottle": _bottle,
    "dose": _dose,
    "lot": _lot,
    "new_lot": _new_lot,
    "saturation": _saturation,
    "event": _event,
    "tie": _tie,
    "ratio": _ratio,
    "salinity": _salinity,
    "co2": _co2,
    "room_co2": _room_co2,
    "media_age": _media_age,
    "high_tests": _high_tests,
    "food": _food,
    "lot_shift": _lot_shift,
    "coincides": _coincides,
    "standard": _standard,
    "volume": _volume,
}
