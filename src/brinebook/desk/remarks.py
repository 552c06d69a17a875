"""What there is to say of facts just written down: nothing most of the time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from brinebook.desk.moments import SMALL_HOURS
from brinebook.desk.opening import OpenSystem
from brinebook.measure import Measure
from brinebook.timeline import Fact
from brinebook.units import convert_amount, parse_number

_DOUBLE = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Remark:
    """``again`` (the same minutes apart), ``past_midnight``, or ``share`` (litres as % of the net
    volume, or the other way round); with the fact or number it is about."""

    kind: str
    other: Fact | None = None
    said: str = ""


def remarks_on(fact: Fact, facts: Sequence[Fact], zone: ZoneInfo) -> list[Remark]:
    """What there is to say of a fact that stands among ``facts`` (in order of time)."""
    found = []
    for other in reversed(facts):
        if other.when < fact.when - _DOUBLE:
            break
        if other.id != fact.id and _alike(other, fact) and abs(other.when - fact.when) <= _DOUBLE:
            found.append(Remark("again", other=other))
            break
    if fact.when.astimezone(zone).hour < SMALL_HOURS:
        found.append(Remark("past_midnight"))
    return found


def _alike(one: Fact, other: Fact) -> bool:
    return (one.kind, one.what, one.value, one.unit, dict(one.detail)) == (
        other.kind, other.what, other.value, other.unit, dict(other.detail),
    )  # fmt: skip


def share_of_volume(
    opened: OpenSystem, value: str, unit: str, *, volume: Measure | None
) -> tuple[float, float] | None:
    """An amount of water as litres and as a share of the net volume (0 to 1); None where it is
    neither, or the volume isn't known. Raises what reading numbers and units raises."""
    litres = volume or opened.system.net_volume
    if litres is None or litres.value <= 0:
        return None
    number = parse_number(value, decimal_comma=True)
    if unit == "%":
        return number / 100 * litres.value, number / 100
    amount = convert_amount(number, unit, "L")
    return amount, amount / litres.value
