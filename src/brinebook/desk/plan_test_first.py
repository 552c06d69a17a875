"""A plan that asks for a test before anything else."""

from __future__ import annotations

from datetime import timedelta

from brinebook.desk.plan_now import WaterNow
from brinebook.plan import Figure, Plan, Step
from brinebook.report.dates import ago_text
from brinebook.texts import say


def test_first(now: WaterNow, kind: str, names: tuple[str, ...], why: str) -> Plan:
    """“Test nitrate first: it was last tested 9 weeks ago …”, with the tests as steps."""
    assert now.answer is not None
    ages = {name: now.answer.quantities[name].tested for name in names}
    oldest = min(when for when in ages.values() if when is not None)
    listed = say(" and ").join(names)
    return Plan(
        kind=kind,
        about=names,
        at=now.at,
        verdict="test first",
        headline=say(
            "Test {listed} first: the last test was {oldest}, and {why}.",
            listed=listed,
            oldest=ago_text(oldest, now.at, now.zone),
            why=why,
        ),
        steps=tuple(
            Step(
                now.at,
                now.at + timedelta(days=3),
                "test",
                name,
                "",
                "",
                say("Test {name}, then ask again.", name=name),
            )
            for name in names
        ),
        figures=tuple(
            Figure(f"{name}_now", each.value, each.unit, each.low, each.high, "estimated")
            for name in names
            for each in (now.answer.quantities[name].now,)
        ),
    )
