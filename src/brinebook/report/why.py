"""Why the answer says so: one quantity unfolded to its inputs, its equation and the sources."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

from brinebook.balance import beliefs
from brinebook.balance.answer import Answer, MethodVerdict, QuantityAnswer
from brinebook.balance.daycourse import moved_since
from brinebook.balance.season import Season, Test, days_since_epoch, instant
from brinebook.measure import Measure
from brinebook.report.causes import NAMES, Explanation
from brinebook.report.dates import date_text
from brinebook.report.numbers import chance_text, measure_text, plain_text, value_text
from brinebook.report.short_id import short_id
from brinebook.report.shown import shown_measure
from brinebook.report.speech import Speech
from brinebook.report.today import Today
from brinebook.report.view import is_unknown
from brinebook.texts import Spoken, say, say_count, typed_as_marked

_WIDTH = 78
_LAST_TESTS = 8

_EQUATION = Spoken(
    {
        True: (
            "change of level = what dosing, changes and food bring − what is used − dilution. "
            "The use wanders slowly and may step; laying down skeleton takes 20.04 mg/L of calcium "
            "with each meq/L of alkalinity, as a belief and not a law. All tests of all quantities "
            "are weighed together, and every way in which a test may be wrong or something may "
            "have happened unseen keeps its share."
        ),
        False: "the level wanders from day to day; each test is that level and the method's noise.",
    }
)
_SOURCES = ("durbin2012", "dejong1998", "shumway1982", "murillo2014")
_SOURCES_OF_SIGN = {"saturation": "moras2022", "co2": "lueker2000"}
#: Causes under this share are left out.
_LEAST_SHOWN = 0.01


def why_lines(
    answer: Answer, page: Today, name: str, zone: ZoneInfo, units: Mapping[str, str]
) -> list[str]:
    """The lines that unfold what is said of one quantity. ``name`` is in the answer.

    First what Today says of it, then what each of those sentences rests on: tests, methods, what
    goes in, the band, causes weighed, the equation, the sources.
    """
    quantity = answer.quantities[name]
    speech = Speech(answer.at, zone, units)
    season = next(s.season for s in answer.seasons if name in s.season.quantities)
    lines = [_first(speech, quantity), *_sayings(page, speech, name), ""]
    lines += _tests(answer, season, name, zone, units[name])
    lines += ["", say("What goes into it:")]
    lines += _methods(answer, name, units[name])
    lines += _inputs(answer, season, name, units[name])
    lines += _hour(answer, season, speech, quantity)
    lines += _prior(answer, quantity)
    lines += _ahead(speech, quantity)
    lines += _testing(page, name)
    for each in page.explanations:
        if name in each.about:
            lines += causes_lines(each, speech)
    has_mass = beliefs.BELIEFS[name].has_mass
    lines += [
        "",
        *textwrap.wrap(say("Equation: ") + _EQUATION[has_mass], _WIDTH),
        "",
        say("Sources:"),
    ]
    return lines + _sources(_SOURCES if has_mass else _SOURCES[:3], page, name)


def _first(speech: Speech, quantity: QuantityAnswer) -> str:
    title = speech.title(quantity.name)
    if is_unknown(quantity):
        return say("{title}: the last test is too old to say where it is.", title=title)
    return say(
        "{title}: about {value}, {status}.",
        title=title,
        value=speech.with_range(quantity.name, quantity.now),
        status=quantity.status,
    )


def _sayings(page: Today, speech: Speech, name: str) -> list[str]:
    """What Today says of it."""
    title = speech.title(name)
    said = [act.text for act in page.acts if act.about == name or title in act.why]
    said += [each for each in page.sentences if each.startswith(title)]
    lines = ["", say("Today says:")] if said else []
    for text in said:
        lines += textwrap.wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="  ")
    return lines


def _ahead(speech: Speech, quantity: QuantityAnswer) -> list[str]:
    """Where it goes, and the band that this is held against."""
    lines = []
    if quantity.net_rate is not None:
        net = speech.with_range(quantity.name, quantity.net_rate, difference=True)
        lines.append(say("All in all it changes by {net} a day.", net=net))
    _, last = quantity.forecast[-1]
    ahead = speech.with_range(quantity.name, last)
    lines.append(say("In seven days, all going on as it is: {ahead}.", ahead=ahead))
    if quantity.band is not None and quantity.outside is not None:
        low, high = (chance_text(chance) for chance in quantity.outside)
        band = speech.band(quantity.name, *quantity.band)
        lines.append(
            say(
                "Your band is {band}; under it within a week: {low}; over it: {high}.",
                band=band,
                low=low,
                high=high,
            )
        )
    return lines


def _testing(page: Today, name: str) -> list[str]:
    found = [test for test in page.next_tests if test.quantity == name]
    return [say("Next test: {why}", why=test.why) for test in found]


def causes_lines(each: Explanation, speech: Speech) -> list[str]:
    """One explanation in full: every cause with what speaks for it, against it, what would tell."""
    day = speech.day(days_since_epoch(each.since))
    lines = ["", say("What was odd since {day}, and what may have caused it:", day=day)]
    if each.settled is not None:
        word = each.settled
        when = speech.on_day(days_since_epoch(word.when))
        lines.append(
            say("  Settled {when} by {by}: {says}.", when=when, by=word.by, says=word.says)
        )
    for cause in each.causes:
        if cause.probability < _LEAST_SHOWN:
            continue
        lines.append(f"  {NAMES[cause.cause]}: {chance_text(cause.probability)}")
        for label, text in (
            (say("for"), cause.speaks_for),
            (say("against"), cause.speaks_against),
            (say("to tell"), cause.tell_apart),
        ):
            lines += textwrap.wrap(
                f"{label}: {text}", _WIDTH, initial_indent="    ", subsequent_indent="      "
            )
        if cause.asks and each.settled is None:
            lines.append(
                say(
                    "    yours to say: brinebook add verdict {fact} {verdict}",
                    fact=short_id(cause.asks),
                    verdict="yes" if "-" in cause.asks else "wrong",
                )
            )
    return lines


def _tests(answer: Answer, season: Season, name: str, zone: ZoneInfo, unit: str) -> list[str]:
    suspects = {each.fact: each.probability for each in answer.suspects}
    tests = [t for t in season.tests if t.quantity == name and not t.target]
    shown = tests[-_LAST_TESTS:]
    lines = [
        say("It rests on {count} tests; the last {shown}:", count=len(tests), shown=len(shown))
        if len(tests) > len(shown)
        else say_count(len(tests), "It rests on one test:", "It rests on {count} tests:")
    ]
    for test in shown:
        day = date_text(instant(test.t), answer.at, zone)
        word = say("sound")
        if test.verdict:
            word = say("{verdict}, by your verdict", verdict=test.verdict)
        elif test.fact in suspects:
            word = say("suspect, wrong with chance {suspects:.2f}", suspects=suspects[test.fact])
        lines.append(f"  {day:<16} {_typed(test, name, unit):<18} {test.method or '':<16} {word}")
    return lines


def _typed(test: Test, name: str, unit: str) -> str:
    return typed_as_marked(test.typed) or value_text(
        shown_measure(name, Measure(test.value, test.noise, ""), unit)
    )


def _methods(answer: Answer, name: str, unit: str) -> list[str]:
    found = [_method(each, name, unit) for each in answer.methods if each.quantity == name]
    return [line for text in found for line in textwrap.wrap(text, _WIDTH, subsequent_indent="  ")]


def _method(each: MethodVerdict, name: str, unit: str) -> str:
    noise = Measure(each.sd, each.sd / 10, "")
    sd = value_text(shown_measure(name, noise, unit, difference=True))
    off = Measure(abs(each.bias.value), each.bias.sd, "")
    bias = measure_text(shown_measure(name, off, unit, difference=True))
    title = each.method or say("method not named")
    lot = say(", bottle {lot}", lot=each.lot) if each.lot else ""
    facts = {"title": title, "lot": lot, "sd": sd, "bias": bias}
    if _is_nothing(bias):
        return say(
            "{title}{lot}: one test is good to ± {sd}; it reads neither high nor low ({bias}).",
            **facts,
        )
    if each.bias.value >= 0:
        return say("{title}{lot}: one test is good to ± {sd}; it reads {bias} high.", **facts)
    return say("{title}{lot}: one test is good to ± {sd}; it reads {bias} low.", **facts)


def _is_nothing(shown: str) -> bool:
    """Whether a printed measure begins with zero and nothing else: “0.00 ± 0.08 dKH”."""
    return not shown.partition("±")[0].strip(" 0.,")


def _inputs(answer: Answer, season: Season, name: str, unit: str) -> list[str]:
    lines = []
    position = season.quantities.index(name)
    at = days_since_epoch(answer.at)
    for flow in season.flows:
        rate = (float(flow.upto(at)) - float(flow.upto(at - 1.0))) * float(flow.brings[position])
        if rate == 0.0:
            continue
        brought = Measure(rate / answer.volume.value, abs(rate) / answer.volume.value * 0.06, "")
        shown = measure_text(shown_measure(name, brought, unit, difference=True))
        lines.append(say("{flow}: brings {shown} a day, as set.", flow=flow.name, shown=shown))
    quantity = answer.quantities[name]
    if quantity.consumption is not None:
        shown = measure_text(shown_measure(name, quantity.consumption, unit, difference=True))
        lines.append(say("Used: {shown} a day.", shown=shown))
        lines.append(
            say(
                "Net volume: {volume}, believed {volume_belief}.",
                volume=measure_text(answer.volume),
                volume_belief=_as_given(answer.volume_belief),
            )
        )
    return lines


def _as_given(belief: Measure) -> str:
    """What the keeper believes, with the keeper's own ±: it was typed, so it isn't rounded away."""
    return f"{plain_text(belief.value, digits=3)} ± {plain_text(belief.sd, digits=2)} L"


def hour_text(answer: Answer, name: str, zone: ZoneInfo, units: Mapping[str, str]) -> str:
    """What the hour alone does to a quantity of the answer since its last test; empty where that
    is less than a test can see. It is why a line may step up or down before the present."""
    season = next(s.season for s in answer.seasons if name in s.season.quantities)
    speech = Speech(answer.at, zone, units)
    return " ".join(one.strip() for one in _hour(answer, season, speech, answer.quantities[name]))


def _hour(answer: Answer, season: Season, speech: Speech, quantity: QuantityAnswer) -> list[str]:
    """What the hour does: dosing by night and use by day make now another level than a test saw."""
    tests = [test for test in season.tests if test.quantity == quantity.name and not test.target]
    if not tests or quantity.consumption is None:
        return []
    at = days_since_epoch(answer.at)
    since = tests[-1].t + math.floor(at - tests[-1].t)
    moved = moved_since(
        season, quantity.name, begins=since, ends=at, use=quantity.consumption.value,
        litres=answer.volume.value,
    )  # fmt: skip
    least = [each.sd for each in answer.methods if each.quantity == quantity.name]
    if not least or abs(moved) < min(least):
        return []
    told = speech.change(quantity.name, moved, min(least))
    hours = {
        "now": instant(at).astimezone(speech.zone).strftime("%H:%M"),
        "then": instant(since).astimezone(speech.zone).strftime("%H:%M"),
    }
    text = (
        say(
            "By dosing and light alone it stands {told} higher at {now} than at {then}, the hour "
            "of your last test.",
            told=told,
            **hours,
        )
        if moved > 0.0
        else say(
            "By dosing and light alone it stands {told} lower at {now} than at {then}, the hour "
            "of your last test.",
            told=told,
            **hours,
        )
    )
    return textwrap.wrap(text, _WIDTH, subsequent_indent="  ")


def _prior(answer: Answer, quantity: QuantityAnswer) -> list[str]:
    lines = []
    if not answer.volume_given and quantity.consumption is not None:
        lines.append(
            say("The net volume was never given: it is a wide guess, and so is all dosing.")
        )
    if quantity.tests < 5:
        lines.append(
            say("With so few tests, much of this is what most reefs do and not what yours does.")
        )
    return lines


def _sources(keys: Sequence[str], page: Today, name: str) -> list[str]:
    """The papers behind it, and those behind a cause or a danger that is told of it."""
    from brinebook.sources import load_sources

    signs = {sign for each in page.explanations if name in each.about for sign in each.source.signs}
    more = [key for sign, key in _SOURCES_OF_SIGN.items() if sign in signs]
    if name == "ammonia":
        more += ["clegg1995", "epa1989"]
    known = load_sources()
    return [
        line
        for key in dict.fromkeys([*keys, *more])
        for line in textwrap.wrap(
            str(known[key]), _WIDTH, initial_indent="  ", subsequent_indent="    "
        )
    ]
