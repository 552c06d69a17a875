"""Whether a test just typed lies far from what the balance expected, and which slip would fit."""

from __future__ import annotations

from collections.abc import Mapping

from brinebook import units
from brinebook.balance.slips import is_far, likely_slip
from brinebook.measure import Measure
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, format_number
from brinebook.water.quantities import from_canonical, to_canonical


def remark_on(
    fact: Fact,
    expected: Mapping[str, Measure],
    *,
    test_sd: float,
    last: Fact | None = None,
) -> str | None:
    """One sentence on a test far from what was expected of it; None where there is nothing to say.

    ``expected`` holds the belief about each quantity just before the test, in canonical units, and
    ``test_sd`` the test's own standard deviation there. ``last`` is the test before of the same
    quantity. The fact is stored either way.
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
    siblings = {name: one for name, one in expected.items() if name != fact.what}
    slip = likely_slip(
        fact.what,
        reading.value,
        fact.unit,
        expected=belief,
        test_sd=test_sd,
        last_value=_last_value(fact, last),
        siblings=siblings,
    )
    range_said = " to ".join(
        format_number(
            from_canonical(fact.what, bound, fact.unit, detail_temperature=celsius), digits=3
        )
        for bound in (belief.low, belief.high)
    )
    title = QUANTITIES[fact.what].name
    sentence = (
        f"Written down. By what is known, {title} should be about {range_said} {fact.unit}".rstrip()
        + f"; {fact.value} {fact.unit}".rstrip()
        + " is far from that."
    )
    if slip is None:
        return f"{sentence} A second test would tell."
    return f"{sentence} {slip.sentence} If so: brinebook edit {fact.id} …"


def _last_value(fact: Fact, last: Fact | None) -> float | None:
    if last is None or last.unit != fact.unit or last.value[:1] in "<>":
        return None
    return units.parse_number(last.value)
