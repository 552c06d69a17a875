"""What to know besides of a series of changes: larger, oftener, or continuous ones."""

from __future__ import annotations

from dataclasses import replace

from brinebook.desk.plan_change_figures import series_figures
from brinebook.desk.plan_change_once import gentle_share, salt_figures, share_text
from brinebook.desk.plan_change_series import Series
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text
from brinebook.planning.changes import SHARE_AT_ONCE, ChangePlan, smaller_or_rarer
from brinebook.report.numbers import plain_text
from brinebook.texts import say

_INTERVALS = (3.5, 7.0, 14.0, 28.0)


def _days(days: float) -> str:
    return plain_text(days, digits=2)


def every_text(days: float) -> str:
    """“every day”, “every 7 days”."""
    if days == 1.0:
        return say("every day")
    return say("every {days} days", days=_days(days))


def large_notes(series: Series, plan: ChangePlan) -> list[str]:
    """That more was asked for at once than plans take otherwise."""
    own = series.start.planning.change_share
    most = own or SHARE_AT_ONCE
    if plan.share <= most * 1.001:
        gentle = gentle_share(series.start, series.new)
        if gentle >= most or series.times is not None or series.stated_share:
            return []
        return [
            say(
                "No change is larger than {share}: the new water would move warmth, salinity or "
                "alkalinity by more than a day's limit at once.",
                share=share_text(gentle),
            )
        ]
    return [
        say(
            "{share} at once is more than the {most} that plans keep to otherwise ({origin}): "
            "match the new water closely in salinity, warmth and alkalinity.",
            share=share_text(plan.share),
            most=share_text(most),
            origin=say("your own") if own else say("common practice, no source"),
        )
    ]


def continuous_note(series: Series) -> list[str]:
    """What a continuous change would take: it takes new water along with the old."""
    litres = next((f.value for f in series_figures(series) if f.name == "litres_continuous"), None)
    once = next((f.value for f in series_figures(series) if f.name == "litres_once"), None)
    if litres is None or once is None:
        return []
    return [
        say(
            "With nothing made meanwhile one change would take {once}, and a continuous one, which "
            "takes new water along with the old, {litres}.",
            once=amount_text(once, "L"),
            litres=amount_text(litres, "L"),
        )
    ]


def often_notes(series: Series) -> list[str]:
    """More often, or larger: the same level just after a change, told in litres and in peaks."""
    told = smaller_or_rarer(
        made=series.made,
        trough=series.target,
        incoming=series.incoming,
        litres=series.litres,
        intervals=_INTERVALS,
    )
    (bag, *_) = salt_figures(series.start, series.new, 1.0, series.moisture)
    salt = bag.value
    parts = [
        say(
            "{often} {share}: up to {told} in between; {month} and {salt} of salt a month.",
            often=every_text(every),
            share=share_text(share),
            told=series.told(peak),
            month=amount_text(month, "L"),
            salt=amount_text(salt * month, "g"),
        )
        for every, share, peak, month in told
        if share < 0.8
    ]
    beyond = (series.now - series.target) * (series.incoming - series.target) > 0.0
    if not parts or beyond:
        return []
    made = quantity_text(series.quantity, abs(series.made), series.start.units, difference=True)
    if not series.start.stated:
        doubt = middle_of(series.made_draws)
        rate = replace(doubt, value=abs(series.made))
        made = quantity_text(series.quantity, rate, series.start.units, difference=True)
    word = say("made") if series.made > 0 else say("used")
    return [
        say(
            "To hold {told} afterwards, with {made} {word} a day, one of these:",
            told=series.told(series.target),
            made=made,
            word=word,
        ),
        *(f"{part[:1].upper()}{part[1:]}" for part in parts),
    ]
