"""Is anyone in danger: what the tests of the last hours and days say of life in the water.

Words first, numbers second. On a reading that the balance calls suspect nothing is done but to
make it again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from brinebook.balance.answer import QuantityAnswer
from brinebook.balance.causes.case import Case, test_noise
from brinebook.balance.causes.water_signs import ACUTE_NH3, CHRONIC_NH3, unionised_ammonia
from brinebook.measure import Measure
from brinebook.report.speech import Speech
from brinebook.texts import phrase, say

#: Temperatures (°C) at which one acts at once, and where oxygen (mg/L) and pH (NBS) are no longer
#: a matter of taste (common practice, no source).
HOT, COLD = 28.5, 22.0
LITTLE_OXYGEN = 4.0
HIGH_PH, LOW_PH = 8.8, 7.5
#: How long a reading speaks of the present (common practice).
_HOURS = {"temperature": 24, "oxygen": 12, "ph": 24, "ammonia": 72}

LOOK_FIRST = phrase("Look at the animals first: if they are in trouble, act on what you see.")
_SECOND = phrase("Hold a second thermometer in too.")
_MAINS = phrase("Switch off at the socket before your hands go in.")


@dataclass(frozen=True, slots=True)
class Danger:
    """One danger: what to do now, and what it rests on."""

    about: str
    text: str
    why: str
    kind: str = "check"
    asks: str = ""


def dangers(case: Case, speech: Speech) -> list[Danger]:
    """Dangers by how soon they hurt. Empty nearly always.

    Where the newest reading would be one and the balance doubts it, it is to be made again now.
    """
    suspect = {each.fact for each in case.answer.suspects}
    found = []
    for name in ("oxygen", "temperature", "ammonia", "ph"):
        quantity = case.answer.quantities.get(name)
        tests = case.tests_of(name)
        if quantity is None or quantity.tested is None or not tests:
            continue
        if case.answer.at - quantity.tested > timedelta(hours=_HOURS[name]):
            continue
        danger = _CHECKS[name](case, speech, quantity)
        if danger is not None and tests[-1].fact not in suspect:
            found.append(danger)
            continue
        read = tests[-1].value
        as_read = replace(quantity, now=Measure(read, quantity.now.sd, quantity.unit))
        if _CHECKS[name](case, speech, as_read) is not None:
            found.append(_again(speech, name, read, test_noise(tests[-1]), tests[-1].fact))
    return found


def _again(speech: Speech, name: str, read: float, sd: float, fact: str) -> Danger:
    """A doubtful reading that would be a danger if it were true."""
    said = speech.value(name, read, sd)
    text = say(
        "Test {quantity} again now: {said} would be dangerous, and may be wrong.",
        quantity=speech.name(name),
        said=said,
    )
    meanwhile = {
        "ammonia": say("Until you know, don't feed, and move the water's surface."),
        "oxygen": say("Until you know, move the water's surface."),
        "temperature": say(
            "A second thermometer tells; the heater can stay unplugged for an hour."
        ),
        "ph": say("Until you know, dose nothing."),
    }[name]
    return Danger(name, text, f"{meanwhile} {say(LOOK_FIRST)}", kind="retest", asks=fact)


def _seen(speech: Speech, quantity: QuantityAnswer) -> str:
    assert quantity.tested is not None
    now = speech.with_range(quantity.name, quantity.now)
    return say(
        "{quantity} is about {now}, tested {ago}.",
        quantity=speech.title(quantity.name),
        now=now,
        ago=speech.ago(quantity.tested),
    )


def _temperature(case: Case, speech: Speech, quantity: QuantityAnswer) -> Danger | None:
    del case
    low, high = quantity.band or (COLD, HOT)
    seen = _seen(speech, quantity)
    if quantity.now.value >= max(HOT, high):
        text = say(
            "Cool the water now: unplug the heater, lid off, move the surface, a fan across it."
        )
        why = say(
            "{seen} {mains} Bring it down over hours, not at once. {second} {look_first}",
            seen=seen,
            mains=say(_MAINS),
            second=say(_SECOND),
            look_first=say(LOOK_FIRST),
        )
        return Danger("temperature", text, why)
    if quantity.now.value <= min(COLD, low):
        text = say(
            "Warm the water now: look at the heater and its socket, and wrap the tank's sides."
        )
        why = say(
            "{seen} {mains} Keep the surface moving: wrapped glass still needs air. {look_first}",
            seen=seen,
            mains=say(_MAINS),
            look_first=say(LOOK_FIRST),
        )
        return Danger("temperature", text, why)
    return None


def _ammonia(case: Case, speech: Speech, quantity: QuantityAnswer) -> Danger | None:
    toxic, ph, measured = unionised_ammonia(case, quantity.now.value, case.at)
    if toxic < CHRONIC_NH3 or quantity.now.low <= 0.0:
        return None
    known = say("your pH") if measured else say("pH taken as")
    seen = say(
        "{seen} At {known} {ph:.1f} about {toxic:.2f} mg/L of that is the toxic "
        "kind; a published guide for salt water draws its lines at {acute_nh3:g} for "
        "an hour and {chronic_nh3:g} for days.",
        seen=_seen(speech, quantity),
        known=known,
        ph=ph,
        toxic=toxic,
        acute_nh3=ACUTE_NH3,
        chronic_nh3=CHRONIC_NH3,
    )
    if toxic >= ACUTE_NH3:
        text = say(
            "If animals are in it: move the surface, don't feed, change much of the water now."
        )
    else:
        text = say("If animals are in it: don't feed, move the surface, get new water ready today.")
    return Danger("ammonia", text, f"{seen} {say(LOOK_FIRST)}")


def _oxygen(case: Case, speech: Speech, quantity: QuantityAnswer) -> Danger | None:
    del case
    if quantity.now.value >= LITTLE_OXYGEN:
        return None
    text = say(
        "Move the water's surface now: a pump turned up at it, an air stone. Then come back."
    )
    return Danger("oxygen", text, f"{_seen(speech, quantity)} {say(LOOK_FIRST)}")


def _ph(case: Case, speech: Speech, quantity: QuantityAnswer) -> Danger | None:
    del case
    seen = _seen(speech, quantity)
    if quantity.now.value >= HIGH_PH:
        text = say("Stop everything alkaline that is dosed, and move the water's surface hard.")
        return Danger(
            "ph",
            text,
            say(
                "{seen} Air brings pH down; acid would overdo it. {look_first}",
                seen=seen,
                look_first=say(LOOK_FIRST),
            ),
        )
    if quantity.now.value <= LOW_PH:
        text = say("Move the water's surface and open a window: pH is very low.")
        return Danger(
            "ph",
            text,
            say(
                "{seen} Shut off CO2 where you use it. {look_first}",
                seen=seen,
                look_first=say(LOOK_FIRST),
            ),
        )
    return None


_CHECKS: dict[str, Callable[[Case, Speech, QuantityAnswer], Danger | None]] = {
    "oxygen": _oxygen, "temperature": _temperature, "ammonia": _ammonia, "ph": _ph
}  # fmt: skip
