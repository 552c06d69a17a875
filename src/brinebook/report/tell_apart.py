"""What would tell one cause from the others: one thing to look at, for each, in this very case."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from brinebook.balance.causes.explained import Explained
from brinebook.report.reasons import number
from brinebook.report.speech import Speech, days_span, rounded_litres, rounded_millilitres
from brinebook.texts import Spoken, say

Question = Callable[[Speech, Explained], str]


def tell_apart(speech: Speech, one: Explained, cause: str) -> str:
    """The one look, test or question that speaks for or against a cause."""
    return _QUESTIONS[cause](speech, one)


def _main(one: Explained) -> str:
    return str(one.numbers.get("quantity", one.about[0]))


def _test_wrong(speech: Speech, one: Explained) -> str:
    return say(
        "Test {quantity} once more, with another kit or a fresh bottle if you have one.",
        quantity=speech.name(_main(one)),
    )


def _lot(speech: Speech, one: Explained) -> str:
    quantity = speech.name(_main(one))
    return say(
        "Test one glass of water for {quantity} with the old bottle and with the new one.",
        quantity=quantity,
    )


def _drifting(speech: Speech, one: Explained) -> str:
    if one.kind == "standard":
        return say(
            "Test the standard once more: twice off the same way is the kit, or an old standard."
        )
    if _main(one) == "salinity":
        return say("Calibrate the meter with a standard, then read the water again.")
    return say(
        "Test a standard for {quantity}, or have the water read by another kit.",
        quantity=speech.name(_main(one)),
    )


def _not_arriving(speech: Speech, one: Explained) -> str:
    n = one.numbers
    if "due" not in n:
        additive = str(n.get("additive") or "dosing")
        return say(
            "Let the {additive} pump run into a measuring glass for one dose.", additive=additive
        )
    day = number(n, "since")
    since = (
        say("your mark {on_day}", on_day=speech.on_day(day))
        if number(n, "marked")
        else speech.day(day)
    )
    due = rounded_millilitres(number(n, "due"))
    return say(
        "The {additive} should have gone down about {due} since {since}. Has it?",
        additive=n["additive"],
        due=due,
        since=since,
    )


def _entered_wrong(speech: Speech, one: Explained) -> str:
    sign = one.signs.get("dose")
    if sign is None:
        return say("Look through the doses in the book: is one of them not what was poured?")
    n = sign.numbers
    day = speech.on_day(number(n, "when"))
    return say(
        "Is what you wrote down of {additive} {day} what went in?", additive=n["additive"], day=day
    )


def _unlogged_change(speech: Speech, one: Explained) -> str:
    return say("Was water changed about {when} and not written down?", when=_when(speech, one))


def _unlogged_dose(speech: Speech, one: Explained) -> str:
    return say(
        "Did something go in about {when} that isn't written down, or went in twice?",
        when=_when(speech, one),
    )


def _when(speech: Speech, one: Explained) -> str:
    return speech.day((one.begins + one.ends) / 2.0)


def _use(speech: Speech, one: Explained) -> str:
    del speech
    if one.about[0] in ("alkalinity", "calcium"):
        return say(
            "Test calcium too: it falls with the use of alkalinity, and not with a pump or a kit."
        )
    return say("Two tests a few days apart show whether it goes on.")


def _volume(speech: Speech, one: Explained) -> str:
    del speech, one
    return say(
        "When there is time, test before and after a weighed dose: that tells the net volume. "
        "Until then, give it a wider ± in the description."
    )


def _precipitation(speech: Speech, one: Explained) -> str:
    look = say("Look for a white film on heater and pumps")
    fell = number(one.numbers, "calcium") if "calcium" in one.numbers else 0.0
    if abs(fell) < 1.0:
        return say("{look}, and test calcium: it falls along.", look=look)
    change = speech.change("calcium", fell, max(0.2 * abs(fell), 1.0))
    return say(
        "{look}, and test calcium: about {change} would have gone with it.",
        look=look,
        change=change,
    )


def _media(speech: Speech, one: Explained) -> str:
    del speech, one
    return say(
        "Test phosphate in the water that leaves the media: as high as in the tank says used up."
    )


def _evaporation(speech: Speech, one: Explained) -> str:
    del speech, one
    return say("Has the room's air become drier or warmer, or has a lid, a fan or a light changed?")


def _leak(speech: Speech, one: Explained) -> str:
    look = say("Look once under the stand and along every joint")
    more = number(one.numbers, "more") if "more" in one.numbers else 0.0
    if more <= 0.0:
        return say(
            "{look}; a leak topped off with fresh water lowers salinity, evaporation doesn't.",
            look=look,
        )
    fall = number(one.numbers, "salinity_a_day")
    by = speech.change("salinity", fall, 0.2 * abs(fall))
    return say(
        "{look}, and test salinity: {more} a day lost would take {by} off a day.",
        look=look,
        more=rounded_litres(more),
        by=by,
    )


def _room_air(speech: Speech, one: Explained) -> str:
    del speech
    if number(one.numbers, "rest") > 0.0 if "rest" in one.numbers else False:
        return say("Shut the window for an evening and read pH again. Nothing to dose for.")
    return say("Open a window for an hour and read pH again. Don't dose for it.")


def _probe(speech: Speech, one: Explained) -> str:
    if _main(one) == "temperature":
        return say("Hold a second thermometer into the water.")
    if _main(one) == "ph":
        return say("Read a fresh buffer solution with it.")
    return say("Read {quantity} with something else.", quantity=speech.name(_main(one)))


_EQUIPMENT = Spoken(
    {
        "temperature": "Feel whether the heater is on when it should be, and off when it "
        "should be.",
        "salinity": "Look whether the top-off's float moves freely and its pump stops.",
        "top-off": "Look whether the float moves freely, and how high the water stands "
        "in the sump.",
        "alkalinity": "Let the dosing pump run into a measuring glass: does it bring more "
        "than set?",
        "ph": "Look at skimmer, air and return pump: does the water move as it did?",
    }
)


def _equipment(speech: Speech, one: Explained) -> str:
    del speech
    return _EQUIPMENT.get(_main(one), say("Look at every pump once: does it run as it did?"))


def _other(speech: Speech, one: Explained) -> str:
    days = days_span(3)
    main = _main(one)
    if main in speech.units:
        return say(
            "A test of {quantity} in {days} tells whether it goes on.",
            quantity=speech.name(main),
            days=days,
        )
    return say("Look again in {days}.", days=days)


_QUESTIONS: Mapping[str, Question] = {
    "test_wrong": _test_wrong, "lot_changed": _lot, "method_drifting": _drifting,
    "dose_not_arriving": _not_arriving, "dose_entered_wrong": _entered_wrong,
    "unlogged_change": _unlogged_change, "unlogged_dose": _unlogged_dose, "use_changed": _use,
    "volume_belief_wrong": _volume, "precipitation": _precipitation, "media_exhausted": _media,
    "evaporation_changed": _evaporation, "leak": _leak, "room_air": _room_air,
    "probe_fault": _probe, "equipment": _equipment, "other": _other,
}  # fmt: skip
