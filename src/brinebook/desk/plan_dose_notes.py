"""What to know besides the daily doses: the pair, the hours, the day's swing, the bottles."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_dose_figures import Pair, drift_of
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text
from brinebook.measure import Measure
from brinebook.planning.daylevel import day_level
from brinebook.planning.dayswing import Daily, clock_hours, days_of_ph
from brinebook.planning.dosing import Container, Setting
from brinebook.planning.pours import water_of
from brinebook.report.dates import date_text
from brinebook.report.numbers import plain_text
from brinebook.texts import named, say

#: A day's swing is told from this share of the band's width on.
_TOLD_SWING = 0.15
#: A swing of pH that no probe at home tells from none: common practice, no source.
_NO_SWING = 0.03


def pair_notes(start: Start, settings: Sequence[Setting], pair: Pair | None) -> list[str]:
    """How much of the one goes with the other, and what equal volumes would do."""
    if pair is None:
        return []
    carbonate, calcium, ratio = pair
    notes = [
        say(
            "By their recipes 10 {unit} of {substance} go with {ratio} "
            "{substance_unit} of {substance_name}: 2 meq of alkalinity to 1 mmol of "
            "calcium, as chalk takes them.",
            unit=carbonate.substance.unit,
            substance=carbonate.substance.name,
            ratio=plain_text(10 * ratio, digits=3),
            substance_unit=calcium.substance.unit,
            substance_name=calcium.substance.name,
        )
    ]
    if abs(ratio - 1.0) > 0.03:
        drift = drift_of(start, pair)
        way = say("up") if drift > 0 else say("down")
        notes.append(
            say(
                "So equal volumes of the two would take calcium {way} by about "
                "{drift} mg/L a week at today's carbonate.",
                way=way,
                drift=plain_text(abs(drift), digits=2),
            )
        )
    second = next((one for one in settings if one.pump is calcium), None)
    if second is not None and second.because == "pair":
        notes.append(say("Calcium is kept in that ratio: its tests don't say otherwise."))
    elif second is not None and second.changes:
        notes.append(say("Calcium's own tests speak against that ratio, so it goes by them."))
    return notes


def hours_notes(start: Start, settings: Sequence[Setting]) -> list[str]:
    """What the hours of the carbonate do to the day's pH, against round the clock."""
    one = next((s for s in settings if s.pump.quantity == "alkalinity"), None)
    if one is None or one.new <= 0.0 or "alkalinity" not in start.drawn.quantities:
        return []
    litres = float(np.median(start.drawn.litres))
    at, part = start.conditions, one.pump.substance
    alkalinity = one.new * part.brings("alkalinity") / litres
    carbon = one.new * part.carbon_worst / litres
    pco2, hours = float(np.median(start.air.pco2)), float(np.median(start.air.hours))
    water = water_of(
        np.array([float(np.median(start.drawn.level("alkalinity")))]),
        salinity=at.salinity, temperature=at.temperature, pco2=pco2,
    )  # fmt: skip
    begins, ends = clock_hours(one.pump.hours)
    spans = {"round the clock": (0.0, 0.0), "22-06": (22.0, 6.0), "08-20": (8.0, 20.0)}
    if one.pump.hours:
        spans = {one.pump.hours: (begins, ends)} | spans
    days = [Daily(alkalinity, carbon, 0.0, alkalinity, *span) for span in spans.values()]
    table = days_of_ph(water, days, pco2=pco2, air_hours=hours)
    told = [
        (label, float(ph.max() - ph.min()), float(ph[5] - ph[17]))
        for label, ph in zip(spans, table.T, strict=True)
    ]
    lowers = say(" Bicarbonate lowers pH while it runs.") if carbon > 0.9 * alkalinity else ""
    most = max(swing for _, swing, _ in told)
    if most < _NO_SWING:
        return [
            say(
                "At which hours the {part} goes in hardly moves pH: by {most:.2f} within the day, "
                "by the dose alone ({hours}).{lowers}",
                part=part.name,
                most=most,
                hours=", ".join(named(one) for one in spans),
                lowers=lowers,
            )
        ]
    texts = [
        say(
            "{label} a swing of {swing:.2f} (06:00 {over_or_under} 18:00 by {night:.2f})",
            label=label,
            swing=swing,
            over_or_under=say("over") if night >= 0 else say("under"),
            night=abs(night),
        )
        for label, swing, night in told
    ]
    return [
        say(
            "Hours of the {part}, by the dose alone without the lights' own swing: "
            "{texts}.{lowers}",
            part=part.name,
            texts="; ".join(texts),
            lowers=lowers,
        )
    ]


def swing_notes(start: Start, settings: Sequence[Setting]) -> list[str]:
    """How far a level goes up and down within the day, where that is a good part of its band."""
    told = []
    for one in settings:
        name = one.pump.quantity
        day = day_level(start.drawn, name)
        if day.swing < _TOLD_SWING * (one.limits.band[1] - one.limits.band[0]):
            continue
        below, above = (
            quantity_text(
                name, Measure(abs(each), 0.1 * day.swing, ""), start.units, difference=True
            )
            for each in (day.low, day.high)
        )
        hour = start.at.astimezone(start.zone)
        told.append(
            say(
                "Within a day {name} goes down to {below} under and up to {above} "
                "over what it is at {hour:%H:%M}, as the {substance} goes in by "
                "hours: the band is judged at that hour of each day.",
                name=name,
                below=below,
                above=above,
                hour=hour,
                substance=one.pump.substance.name,
            )
        )
    return told


def bottle_notes(start: Start, bottle: Container) -> list[str]:
    """When a bottle runs dry, and what a stuck pump could do with what is left."""
    name, unit = bottle.pump.substance.name, bottle.pump.substance.unit
    notes = []
    if bottle.days is not None:
        bad = float(np.quantile(bottle.days, 0.05))
        day = date_text(_later(start.at, bad), start.at, start.zone)
        notes.append(
            say(
                "The {name} lasts until {day} at the bad 1 in 20 ({bad} days).",
                name=name,
                day=day,
                bad=plain_text(round(bad)),
            )
        )
    if bottle.rise is not None:
        rise = quantity_text(
            bottle.pump.quantity, middle_of(bottle.rise), start.units, difference=True
        )
        keep = amount_text(bottle.keep, unit)
        days = bottle.keep / bottle.pump.setting if bottle.pump.setting > 0.0 else 99.0
        small = say(", {days} days' worth", days=plain_text(days, digits=1)) if days < 10.0 else ""
        notes.append(
            say(
                "Stuck on, its pump could put in all that is left: {rise} more. Your "
                "limit a day would stand even then with no more than {keep} in "
                "it{small}.",
                rise=rise,
                keep=keep,
                small=small,
            )
        )
    return notes


def _later(when: datetime, days: float) -> datetime:
    return when + timedelta(days=min(days, 3650.0))
