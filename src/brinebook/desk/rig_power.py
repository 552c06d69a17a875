"""Power of the rig: the JSON of docs/rig-json.md, and the lines for a person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from brinebook.desk.rig_figures import Json, figure, percent
from brinebook.lifesupport.power import Held
from brinebook.lifesupport.power_answer import CircuitHeld, Found, Hanging, PowerAnswer
from brinebook.report.numbers import number_text
from brinebook.texts import Spoken, say

#: What is worth a look, for a person; {about}, {detail} and {figure} are filled in.
_WORDS: Spoken[str] = Spoken(
    {
        "unprotected": "{about} has no residual-current (ground-fault) protection: ask an "
        "electrician before anything else here",
        "protection unknown": "whether {about} has residual-current (ground-fault) protection is "
        "not described: look for its test button",
        "protection too high": "{about} trips at {figure} mA only: people are protected from 30 mA "
        "down; ask an electrician",
        "test due": "press the test button of {about}: the last time was {figure} days ago. Know "
        "first what stops with it",
        "test unknown": "when the test button of {about} was last pressed is not described; once "
        "a month is usual",
        "no drip loop": "at {about} cables hang no lower than the socket: water can run along them "
        "into it",
        "drip loop unknown": "whether cables at {about} hang lower than it is not described",
        "goes dark together": "all that {detail} hangs on {about}: one trip there takes it all",
        "trips": "{about} draws up to {figure} A with everything on: more than its breaker carries",
        "over the share": "{about} draws up to {figure} A with everything on: over its share for "
        "hours on end",
        "heater of the room beside it": "{detail} hangs on {about} too, and runs when it is cold: "
        "just when the tank's heaters do",
    }
)


def power_json(answer: PowerAnswer) -> Json:
    """The ``power`` object."""
    return {
        "circuits": [_circuit_json(one) for one in answer.circuits],
        "findings": [
            {
                "kind": one.kind,
                "about": one.about,
                "detail": one.detail,
                "figure": one.figure,
                "text": finding_words(one),
            }
            for one in answer.findings
        ],
        "unplaced": list(answer.unplaced),
        "assumed_on": answer.assumed_on or None,
        "power": figure(answer.watts, "W"),
        "apparent_power": figure(answer.apparent, "VA"),
    }


def power_lines(answer: PowerAnswer) -> Iterator[str]:
    """What a person reads: each circuit against its limit, then what is worth a look."""
    if not answer.circuits and not answer.watts:
        yield say("The load can't be told before a circuit is described.")
    elif not answer.circuits:
        yield say(
            "All that is described draws {watts} W, up to {european} A at 230 V or {american} A at "
            "120 V. What a circuit bears of that can't be told before one is described.",
            watts=number_text(answer.watts, 0),
            european=number_text(answer.apparent / 230.0, 1),
            american=number_text(answer.apparent / 120.0, 1),
        )
    for one in answer.circuits:
        yield from _circuit_lines(one)
    if answer.assumed_on:
        yield say(
            "Loads without a socket are taken to hang on {assumed_on}.",
            assumed_on=answer.assumed_on,
        )
    if answer.unplaced and answer.circuits:
        yield say("Without a socket or circuit: {unplaced}.", unplaced=", ".join(answer.unplaced))
    if answer.findings:
        yield say("Worth a look:")
    for found in _gathered(answer.findings):
        yield f"  {finding_words(found)}."


def _gathered(findings: Iterable[Found]) -> Iterator[Found]:
    """The findings with all that goes dark with one strip or circuit said in one breath."""
    for (kind, about), group in groupby(findings, key=lambda one: (one.kind, one.about)):
        several = list(group)
        if kind == "goes dark together":
            yield Found(kind, about, say(" or ").join(say(one.detail) for one in several))
        else:
            yield from several


def finding_words(found: Found) -> str:
    """The finding as a sentence without its full stop."""
    shown = "" if found.figure is None else number_text(found.figure, _decimals(found))
    return say(_WORDS[found.kind], about=found.about, detail=found.detail, figure=shown)


def _decimals(found: Found) -> int:
    return 1 if found.kind in ("trips", "over the share") else 0


def _circuit_lines(one: CircuitHeld) -> Iterator[str]:
    circuit = one.circuit
    yield (
        say(
            "{circuit}, {volts} V and {amps} A: {held} all year",
            circuit=circuit.name,
            volts=number_text(circuit.volts, 0),
            amps=number_text(circuit.amps, 0),
            held=_held_words(one.all_year),
        )
    )
    if one.worst_season and one.worst.drawn.watts > one.all_year.drawn.watts:
        yield say(
            "  in {worst_season}: {held}",
            worst_season=one.worst_season,
            held=_held_words(one.worst),
        )
    yield say(
        "  limit {limit} A: {source}",
        limit=number_text(one.worst.limit, 1),
        source=one.worst.rule.source,
    )
    ranked = sorted(one.hanging, key=lambda load: -load.draw.watts)
    yield "  " + ", ".join(_load_words(load) for load in ranked)


def _held_words(held: Held) -> str:
    drawn = held.drawn
    low, high = number_text(drawn.least, 1), number_text(drawn.most, 1)
    amps = f"{low} A" if low == high else say("{low} to {high} A", low=low, high=high)
    return say(
        "{watts} W, {amps}, {most_share} of the limit",
        watts=number_text(drawn.watts, 0),
        amps=amps,
        most_share=percent(held.most_share),
    )


def _load_words(load: Hanging) -> str:
    season = say(" in {season}", season=load.draw.season) if load.draw.season else ""
    return f"{load.draw.name} {number_text(load.draw.watts, 0)} W{season}"


def _circuit_json(one: CircuitHeld) -> Json:
    return {
        "circuit": one.circuit.name,
        "volts": figure(one.circuit.volts, "V"),
        "breaker": figure(one.circuit.amps, "A"),
        "rule": {"share": one.worst.rule.share, "law": one.worst.rule.law,
                 "source": one.worst.rule.source},
        "limit": figure(one.worst.limit, "A"),
        "all_year": _held_json(one.all_year),
        "worst": {"season": one.worst_season, **_held_json(one.worst)},
        "loads": [
            {
                "name": load.draw.name,
                "part": load.part,
                "socket": load.socket or None,
                "power": figure(load.draw.watts, "W"),
                "apparent_power": figure(load.draw.apparent, "VA"),
                "season": load.draw.season or None,
            }
            for load in one.hanging
        ],
        "protection": figure(one.circuit.protection, "mA"),
    }  # fmt: skip


def _held_json(held: Held) -> Json:
    return {
        "power": figure(held.drawn.watts, "W"),
        "apparent_power": figure(held.drawn.apparent, "VA"),
        "current": {"low": held.drawn.least, "high": held.drawn.most, "unit": "A"},
        "share_of_limit": {"low": held.least_share, "high": held.most_share},
        "trips": held.trips,
    }
