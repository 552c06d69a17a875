"""Whether a test just typed lies far from what the balance expected, and which slip would fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook import units
from brinebook.balance.slips import Slip, is_far, likely_slip
from brinebook.book import facts as stored
from brinebook.book.identity import to_us
from brinebook.desk.opening import OpenSystem
from brinebook.measure import Measure
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import format_number
from brinebook.water.quantities import from_canonical, to_canonical

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer

#: The balance is asked about so much of the past: enough to know the water, quick to reckon.
SPAN = timedelta(days=60)
#: With fewer tests of a quantity in it, what is expected rests on a guess, and nothing is said.
FEWEST_TESTS = 3
#: The last one of these before the span goes on into it, however long ago it was written down.
_LASTING = ("dosing", "media", "water_change", "top_off")


def said_of(opened: OpenSystem, fact: Fact) -> str | None:
    """What there is to say of a test just written down, by the balance of the last 60 days.

    None where nothing is out of the way, or too little is known to tell.
    """
    if fact.kind != "test" or fact.detail.get("of"):
        return None
    with opened.book.read() as connection:
        found = stored.current(connection, opened.system_id, at_us=to_us(fact.when))
    before = _recent([one for one in found if one.id != fact.id], fact.when - SPAN)
    tests = [
        one
        for one in before
        if one.kind == "test" and one.what == fact.what and not one.detail.get("of")
    ]
    if len(tests) < FEWEST_TESTS:
        return None
    from brinebook.balance.answer import answer

    told = answer(opened.system, before, fact.when)
    expected = {name: one.now for name, one in told.quantities.items()}
    return remark_on(fact, expected, test_sd=spread_of_test(told, fact), last=tests[-1])


def spread_of_test(told: Answer, fact: Fact) -> float:
    """One standard deviation of such a test, in its quantity's canonical unit."""
    method, lot = fact.detail.get("method", ""), fact.detail.get("lot", "")
    # The same bottle knows best, then the same method, then any other test of the quantity.
    known = sorted(
        (one for one in told.methods if one.quantity == fact.what),
        key=lambda one: (one.method != method, one.lot != lot, -one.sd),
    )
    return known[0].sd if known else told.quantities[fact.what].now.sd


def _recent(found: Sequence[Fact], since: datetime) -> list[Fact]:
    """The facts since then, and of what went on at the time the last one of each."""
    lasting: dict[tuple[str, str], Fact] = {}
    for one in found:
        if one.when < since and one.kind in _LASTING and (one.kind == "media" or "/" in one.unit):
            what = "" if one.kind == "water_change" else one.what.casefold()
            lasting[one.kind, what] = one
    return [*lasting.values(), *(one for one in found if one.when >= since)]


def remark_on(
    fact: Fact,
    expected: Mapping[str, Measure],
    *,
    test_sd: float,
    last: Fact | None = None,
) -> str | None:
    """One sentence on a test far from what was expected of it; None where there is nothing to say.

    See `far_off` for what is handed in. The fact is stored either way.
    """
    found = far_off(fact, expected, test_sd=test_sd, last=last)
    return None if found is None else _sentence(fact, found.low, found.high, found.slip)


@dataclass(frozen=True, slots=True)
class FarOff:
    """A test far from what was expected: the expected range in the test's unit, and the slip that
    would explain it (None where none is a hundred times likelier)."""

    low: float
    high: float
    slip: Slip | None


def far_off(
    fact: Fact,
    expected: Mapping[str, Measure],
    *,
    test_sd: float,
    last: Fact | None = None,
) -> FarOff | None:
    """Whether a test lies far from what was expected of it, and which slip fits.

    ``expected`` holds the belief about each quantity just before the test, in canonical units, and
    ``test_sd`` the test's own standard deviation there. ``last`` is the test before of the same
    quantity.
    """
    belief = expected.get(fact.what)
    if belief is None or fact.kind != "test" or fact.detail.get("of"):
        return None
    reading = units.parse_reading_value(fact.value)
    degrees = fact.detail.get("temperature")
    celsius = units.parse_number(degrees) if degrees else None
    canonical = to_canonical(fact.what, reading.value, fact.unit, detail_temperature=celsius).value
    if reading.censor or not is_far(canonical, belief, test_sd=test_sd):
        return None
    slip = likely_slip(
        fact.what,
        reading.value,
        fact.unit,
        expected=belief,
        test_sd=test_sd,
        last_value=_last_value(fact, last),
        siblings={name: one for name, one in expected.items() if name != fact.what},
    )
    low, high = (
        from_canonical(fact.what, bound, fact.unit, detail_temperature=celsius)
        for bound in (belief.low, belief.high)
    )
    return FarOff(low, high, slip)


def _sentence(fact: Fact, low: float, high: float, slip: Slip | None) -> str:
    usual = say(
        "{low} to {high} {unit}",
        low=format_number(low, digits=3),
        high=format_number(high, digits=3),
        unit=fact.unit,
    ).strip()
    typed = f"{fact.value} {fact.unit}".strip()
    said = say(
        "Written down. By what is known, {what} should be about {usual}; {typed} is far from that.",
        what=fact.what,
        usual=usual,
        typed=typed,
    )
    if slip is None:
        return say("{said} A second test would tell.", said=said)
    return say(
        "{said} {slip} If so: brinebook edit {id} …", said=said, slip=slip.sentence, id=fact.id
    )


def _last_value(fact: Fact, last: Fact | None) -> float | None:
    if last is None or last.unit != fact.unit or last.value[:1] in "<>":
        return None
    return units.parse_number(last.value)
