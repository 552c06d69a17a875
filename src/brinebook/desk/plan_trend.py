"""How use has changed over the last weeks, read with all that is known since."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

import numpy as np

from brinebook.balance.drawn import Drawn
from brinebook.desk.plan_now import BookOrAnswer
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text, with_range_text
from brinebook.measure import Measure
from brinebook.plan import Figure
from brinebook.planning.dosing import Setting
from brinebook.planning.trend import WEEKS, Trend, weekly
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: Use now is held against use so many days ago.
_BACK = 28


def trends_of(
    source: BookOrAnswer,
    drawn: Drawn,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> dict[str, Trend]:
    """The trend of use of each quantity, where the book reaches back four weeks in one season."""
    from brinebook.balance.estimate import estimate
    from brinebook.desk.assess import loaded_of
    from brinebook.desk.remembering import recall

    loaded = loaded_of(source, name, at=at, known=known)
    back = loaded.at - timedelta(days=_BACK)
    seasons = estimate(
        loaded.system, loaded.facts, loaded.at, course=[back], remembered=recall(loaded)
    )
    season = next((each for each in seasons if each.volume is not None), None)
    if season is None or not season.course:
        return {}
    point, found = season.course[0], {}
    for place, quantity in enumerate(season.season.quantities):
        first = min((t.t for t in season.season.tests if t.quantity == quantity), default=np.inf)
        use, spread = float(point.use[place]), float(point.use_sd[place])
        if quantity in drawn.quantities and first <= point.t and np.isfinite(use):
            before = Measure(use, spread, f"{QUANTITIES[quantity].unit}/day")
            found[quantity] = Trend(quantity, before, middle_of(drawn.use(quantity)), _BACK)
    return found


def trend_notes(
    trends: Mapping[str, Trend], settings: Sequence[Setting], drawn: Drawn, units: Mapping[str, str]
) -> list[str]:
    """A sentence for each quantity that is dosed: whether more is used than four weeks ago."""
    notes = []
    for quantity in dict.fromkeys(one.pump.quantity for one in settings):
        trend = trends.get(quantity)
        if trend is None:
            continue
        before, now = (with_range_text(quantity, each, units) for each in (trend.before, trend.now))
        told = say(
            "Use of {quantity} a day: {before} four weeks ago, {now} now",
            quantity=quantity,
            before=before,
            now=now,
        )
        if not trend.is_sure:
            notes.append(say("{told}: whether it grows or falls can't be told.", told=told))
            continue
        grows = trend.per_week.value > 0.0
        each = quantity_text(quantity, abs(trend.per_week.value), units, difference=True)
        notes.append(
            say(
                "{told}: it {grows_or_falls} by about {each} a week.",
                told=told,
                grows_or_falls=say("grows") if grows else say("falls"),
                each=each,
            )
        )
        notes += [
            say(
                "Going on like that the {substance} would be at {amount} a day in the "
                "coming {weeks} weeks.",
                substance=one.pump.substance.name,
                amount=_weeks_text(one, trends, drawn),
                weeks=WEEKS,
            )
            for one in settings
            if one.pump.quantity == quantity and not one.pump.evaporates
        ]
    return notes


def weekly_figures(
    trends: Mapping[str, Trend], settings: Sequence[Setting], drawn: Drawn
) -> list[Figure]:
    """The settings of the coming weeks, and the trends that they follow."""
    figures = []
    for quantity, trend in trends.items():
        if any(one.pump.quantity == quantity for one in settings):
            each = trend.per_week
            unit = f"{QUANTITIES[quantity].unit}/day/week"
            figures.append(
                Figure(f"trend_{quantity}", each.value, unit, each.low, each.high, "estimated")
            )
    for one in settings:
        if one.pump.evaporates:
            continue
        for week, setting in enumerate(_weeks(one, trends, drawn), start=1):
            name, unit = one.pump.substance.name, one.pump.substance.unit
            figures.append(Figure(f"week_{week}_{name}", setting, f"{unit}/day"))
    return figures


def _weeks(one: Setting, trends: Mapping[str, Trend], drawn: Drawn) -> tuple[float, ...]:
    part = one.pump.substance
    brings = part.brings(one.pump.quantity) / drawn.litres * drawn.delivery(part.name)
    return weekly(one.new, trends.get(one.pump.quantity), per_unit=float(np.median(brings)))


def _weeks_text(one: Setting, trends: Mapping[str, Trend], drawn: Drawn) -> str:
    unit = one.pump.substance.unit
    weeks = _weeks(one, trends, drawn)
    texts = [plain_text(each, digits=3) for each in weeks[:-1]]
    return say("{texts} and {weeks}", texts=", ".join(texts), weeks=amount_text(weeks[-1], unit))
