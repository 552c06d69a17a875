"""Why the answer says so: one quantity unfolded to its inputs, its equation and the sources."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from brinebook.balance import beliefs
from brinebook.balance.answer import Answer, MethodVerdict, QuantityAnswer
from brinebook.balance.season import Season, Test, days_since_epoch, instant
from brinebook.measure import Measure
from brinebook.report.dates import date_text
from brinebook.report.numbers import measure_and_range_text, measure_text, value_text
from brinebook.report.shown import shown_measure
from brinebook.report.today import Today

_WIDTH = 78
_LAST_TESTS = 8

_EQUATION = {
    True: (
        "change of level = what dosing, changes and food bring − what is used − dilution. "
        "The use wanders slowly and may step; laying down skeleton takes 20.04 mg/L of calcium "
        "with each meq/L of alkalinity, as a belief and not a law. All tests of all quantities "
        "are weighed together, and every way in which a test may be wrong or something may have "
        "happened unseen keeps its share."
    ),
    False: "the level wanders from day to day; each test is that level and the method's noise.",
}
_SOURCES = ("durbin2012", "dejong1998", "shumway1982", "murillo2014")


def why_lines(
    answer: Answer, page: Today, name: str, zone: ZoneInfo, units: Mapping[str, str]
) -> list[str]:
    """The lines that unfold what is said of one quantity. ``name`` is in the answer."""
    quantity = answer.quantities[name]
    unit = units[name]
    now = measure_and_range_text(shown_measure(name, quantity.now, unit))
    lines = [f"{name.capitalize()}: about {now}, {quantity.status}.", ""]
    season = next(s.season for s in answer.seasons if name in s.season.quantities)
    lines += _tests(answer, season, name, zone, unit)
    lines += _methods(answer, name, unit)
    lines += _inputs(answer, season, name, unit)
    lines += _prior(answer, quantity)
    for each in page.explanations:
        if each.about == name:
            lines += ["", "What could have caused what was odd lately:"]
            lines += [
                f"  {cause.cause.replace('_', ' ')}: {cause.probability:.0%}. {cause.tell_apart}"
                for cause in each.causes
                if cause.probability >= 0.01
            ]
    has_mass = beliefs.BELIEFS[name].has_mass
    lines += ["", *textwrap.wrap("Equation: " + _EQUATION[has_mass], _WIDTH), "", "Sources:"]
    return lines + _sources(has_mass=has_mass)


def _tests(answer: Answer, season: Season, name: str, zone: ZoneInfo, unit: str) -> list[str]:
    suspects = {each.fact: each.probability for each in answer.suspects}
    tests = [t for t in season.tests if t.quantity == name and not t.target]
    shown = tests[-_LAST_TESTS:]
    lines = [f"It rests on {len(tests)} tests; the last {len(shown)}:"]
    for test in shown:
        day = date_text(instant(test.t), answer.at, zone)
        word = "sound"
        if test.verdict:
            word = f"{test.verdict}, by your verdict"
        elif test.fact in suspects:
            word = f"suspect, wrong with chance {suspects[test.fact]:.2f}"
        lines.append(f"  {day:<16} {_typed(test, name, unit):<18} {test.method or '':<16} {word}")
    return lines


def _typed(test: Test, name: str, unit: str) -> str:
    return test.typed or value_text(shown_measure(name, Measure(test.value, test.noise, ""), unit))


def _methods(answer: Answer, name: str, unit: str) -> list[str]:
    return [_method(each, name, unit) for each in answer.methods if each.quantity == name]


def _method(each: MethodVerdict, name: str, unit: str) -> str:
    noise = Measure(each.sd, each.sd / 10, "")
    sd = value_text(shown_measure(name, noise, unit, difference=True))
    bias = measure_text(shown_measure(name, each.bias, unit, difference=True))
    title = each.method or "method not named"
    lot = f", bottle {each.lot}" if each.lot else ""
    return f"{title}{lot}: one test is good to ± {sd}; it reads {bias} off."


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
        lines.append(f"{flow.name}: brings {shown} a day, as set.")
    quantity = answer.quantities[name]
    if quantity.consumption is not None:
        shown = measure_text(shown_measure(name, quantity.consumption, unit, difference=True))
        lines.append(f"Used: {shown} a day.")
        lines.append(
            f"Net volume: {measure_text(answer.volume)}, "
            f"believed {measure_text(answer.volume_belief)}."
        )
    return lines


def _prior(answer: Answer, quantity: QuantityAnswer) -> list[str]:
    lines = []
    if not answer.volume_given and quantity.consumption is not None:
        lines.append("The net volume was never given: it is a wide guess, and so is all dosing.")
    if quantity.tests < 5:
        lines.append(
            "With so few tests, much of this is what most reefs do and not what yours does."
        )
    return lines


def _sources(*, has_mass: bool) -> list[str]:
    from brinebook.sources import load_sources

    known = load_sources()
    keys = _SOURCES if has_mass else _SOURCES[:3]
    return [
        line
        for key in keys
        for line in textwrap.wrap(
            str(known[key]), _WIDTH, initial_indent="  ", subsequent_indent="    "
        )
    ]
