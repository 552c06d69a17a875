"""Signs put into sentences: what was seen, in the keeper's numbers, and nothing that wasn't."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from brinebook.balance.beliefs import SKELETON
from brinebook.balance.rivals import Numbers
from brinebook.report.numbers import decimals_for, number_text, plain_text
from brinebook.report.speech import Speech, counted, days_span, rounded_millilitres
from brinebook.texts import Spoken, say

#: A dose so many times as large as written.
_HAD_IT_BEEN = Spoken(
    {
        0.0: "Had it not gone in at all",
        0.1: "Had it been a tenth",
        0.5: "Had it been half",
        2.0: "Had it been twice as much",
        10.0: "Had it been ten times as much",
    }
)

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
    verb = say("fell") if change < 0 else say("rose")
    text = say(
        "{quantity} {verb} from {before} to {after} in {days}",
        quantity=speech.title(quantity),
        verb=verb,
        before=before,
        after=after,
        days=days_span(number(n, "days")),
    )
    brought = number(n, "brought")
    if cause == "dose_not_arriving" and brought:
        would = speech.change(quantity, brought, sd)
        return say(
            "{text}; the {additive} should have brought {would} in that time.",
            text=text,
            additive=n["additive"],
            would=would,
        )
    if brought and abs(abs(change) - brought) < 0.3 * brought:
        would = speech.change(quantity, brought, sd)
        return say(
            "{text}, as much as the {additive} brings in that time ({would}).",
            text=text,
            additive=n["additive"],
            would=would,
        )
    if cause == "use_changed":
        use = speech.change(quantity, number(n, "use"), sd)
        return say("{text}; the usual use is {use} a day.", text=text, use=use)
    return f"{text}."


def _beyond(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    fell = speech.change(quantity, number(n, "after") - number(n, "before"), sd)
    most = speech.change(quantity, number(n, "most"), sd)
    return say(
        "A fall of {fell} in {days} is beyond use: with no dosing at all the reef "
        "takes {most} at the most in that time.",
        fell=fell,
        days=days_span(number(n, "days")),
        most=most,
    )


def _later(speech: Speech, n: Numbers, cause: str) -> str:
    quantity = str(n["quantity"])
    read = speech.value(quantity, number(n, "last"), number(n, "sd"))
    tests = counted(number(n, "count"), "later test")
    if cause == "test_wrong":
        return say(
            "What came after ({tests}, the last {read}) is to be held against it.",
            tests=tests,
            read=read,
        )
    return say("What came after: {tests}, the last {read}.", tests=tests, read=read)


def _replicates(speech: Speech, n: Numbers, cause: str) -> str:
    quantity, sd = str(n["quantity"]), number(n, "sd")
    low, high = (
        speech.bare(quantity, number(n, "low"), sd),
        speech.value(quantity, number(n, "high"), sd),
    )
    same = low == high.partition(" ")[0]
    read = (
        say("the same, {high}", high=high) if same else say("{low} and {high}", low=low, high=high)
    )
    tail = say(" A slip seldom repeats itself.") if same and cause == "test_wrong" else ""
    return say(
        "{count} within the hour read {read}.{tail}",
        count=counted(number(n, "count"), "test").capitalize(),
        read=read,
        tail=tail,
    )


def _moved(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    before = speech.bare(quantity, number(n, "before"), sd)
    after = speech.value(quantity, number(n, "after"), sd)
    if before == after.partition(" ")[0]:
        return say(
            "{quantity} stayed at {after} meanwhile.", quantity=speech.title(quantity), after=after
        )
    return say(
        "{quantity} went from {before} to {after} meanwhile.",
        quantity=speech.title(quantity),
        before=before,
        after=after,
    )


def _bottle(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    fell, due = rounded_millilitres(number(n, "fell")), rounded_millilitres(number(n, "due"))
    share = number(n, "fell") / number(n, "due")
    since, until = speech.day(number(n, "since")), speech.day(number(n, "until"))
    return say(
        "The {additive} went down {fell} from {since} to {until}, where {due} were "
        "set: {share:.0f} %.",
        additive=n["additive"],
        fell=fell,
        since=since,
        until=until,
        due=due,
        share=100 * share,
    )


def _dose(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity, sd = str(n["quantity"]), number(n, "sd")
    times = number(n, "times")
    meant = _HAD_IT_BEEN[times]
    return say(
        "You wrote down {additive} {on_day}. {meant}, that would be {expected}; the "
        "tests say {change}.",
        additive=n["additive"],
        on_day=speech.on_day(number(n, "when")),
        meant=meant,
        expected=speech.change_and_sd(quantity, number(n, "expected"), sd),
        change=speech.change_and_sd(quantity, number(n, "change"), sd),
    )


def _lot(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    days = number(n, "days")
    age = say("was new") if days < 1 else say("had been in use for {days:.0f} days", days=days)
    return say("Its reagent bottle {lot} {age}.", lot=n["lot"], age=age)


def _new_lot(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    days = number(n, "days")
    beside = (
        say("just then")
        if abs(days) < 2
        else say(
            "{days:.0f} days {after_or_before} it",
            days=abs(days),
            after_or_before=say("after") if days > 0 else say("before"),
        )
    )
    return say(
        "The reagent bottle {lot} was begun {on_day}, {beside}.",
        lot=n["lot"],
        on_day=speech.on_day(number(n, "when")),
        beside=beside,
    )


def _saturation(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say(
        "Aragonite stood at {omega:.1f} times saturation (by {by}); in seawater "
        "carbonate was seen to fall out above about 7, and not at 5.",
        omega=number(n, "omega"),
        by=n["by"],
    )


def _event(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    text = f" ({n['text']})" if n["text"] else ""
    name = str(n["name"]).replace("_", " ")
    return say(
        "You wrote down “{name}”{text} {on_day}.",
        name=name,
        text=text,
        on_day=speech.on_day(number(n, "when")),
    )


def _tie(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    share = SKELETON["calcium"][0]
    sd = number(n, "sd") * share
    found = speech.change_and_sd("calcium", number(n, "change") * share, sd)
    whole = speech.change("calcium", number(n, "whole") * share, sd)
    return say(
        "{tests} alone put the change of use at {found} a day; {whole} would go with alkalinity.",
        tests=counted(number(n, "tests"), "calcium test").capitalize(),
        found=found,
        whole=whole,
    )


def _ratio(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say("It drinks {ratio:.1f} times what is usual.", ratio=number(n, "ratio"))


def _salinity(speech: Speech, n: Numbers, cause: str) -> str:
    sd = number(n, "sd")
    changed = speech.change_and_sd("salinity", number(n, "changed"), sd)
    by_leak = speech.change("salinity", number(n, "by_leak"), sd / 4)
    lost = number(n, "litres") > 0
    way = (
        say("a leak would have taken {by_leak} off", by_leak=by_leak)
        if lost
        else (say("water left missing would have added {by_leak}", by_leak=by_leak))
    )
    del cause
    return say("Salinity changed by {changed} since; {way}.", changed=changed, way=way)


def _co2(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    read = speech.value("ph", number(n, "ph"), 0.03)
    before = speech.value("ph", number(n, "before"), 0.03)
    return say(
        "At this alkalinity pH {read} means about {hundreds} ppm of CO2 in the air "
        "over the water; {before} meant about {hundreds_co2_before}.",
        read=read,
        hundreds=_hundreds(number(n, "co2")),
        before=before,
        hundreds_co2_before=_hundreds(number(n, "co2_before")),
    )


def _room_co2(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say("The room's meter read {meter:.0f} ppm of CO2.", meter=number(n, "meter"))


def _media_age(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say("The ferric media have been in for {age:.0f} days.", age=number(n, "age"))


def _high_tests(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say("{count} since read higher.", count=counted(number(n, "count"), "test").capitalize())


def _food(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    late, early = number(n, "late"), number(n, "early")
    decimals = max(decimals_for(0.1 * max(early, 1e-3)), 0)
    return say(
        "You fed {late} g a day since, and {early} g before.",
        late=number_text(late, decimals),
        early=number_text(early, decimals),
    )


def _lot_shift(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    quantity = str(n["quantity"])
    shift = speech.change(quantity, number(n, "shift"), number(n, "sd"))
    word = say("higher") if number(n, "shift") > 0 else say("lower")
    before = say("bottle {before}", before=n["before"]) if n["before"] else say("the bottle before")
    return say(
        "The first {tests} of bottle {lot} read {shift} {word} than the last of {before}.",
        tests=counted(number(n, "tests"), "test"),
        lot=n["lot"],
        shift=shift,
        word=word,
        before=before,
    )


def _coincides(speech: Speech, n: Numbers, cause: str) -> str:
    del cause
    return say(
        "It shows between the last test of the old bottle and the first of {lot} {on_day}.",
        lot=n["lot"],
        on_day=speech.on_day(number(n, "when")),
    )


def _standard(speech: Speech, n: Numbers, cause: str) -> str:
    quantity, sd = str(n["quantity"]), number(n, "sd")
    known = speech.value(quantity, number(n, "known"), sd)
    read = speech.value(quantity, number(n, "read"), sd)
    day = speech.on_day(number(n, "when"))
    text = say(
        "Your {standard} of {known} read {read} {day}",
        standard=n["standard"],
        known=known,
        read=read,
        day=day,
    )
    if number(n, "count") and cause != "test_wrong":
        off = speech.change_and_sd(quantity, number(n, "earlier"), sd)
        return say("{text}; earlier tests of it were off by {off}.", text=text, off=off)
    return f"{text}."


def _volume(speech: Speech, n: Numbers, cause: str) -> str:
    del speech, cause
    return say(
        "You gave the net volume as {believed:.0f} ± {believed_sd:.0f} L. By how far the tests "
        "moved after doses and water changes it would be about {litres}.",
        believed=number(n, "believed"),
        believed_sd=number(n, "believed_sd"),
        litres=f"{plain_text(number(n, 'litres'), digits=2)} L",
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
