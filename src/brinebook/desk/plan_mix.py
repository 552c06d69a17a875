"""``plan mix``: salt by mass for a salinity, the time to warm the water, and what it then holds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime

from brinebook.desk.plan_words import amount_text
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.cautions import cautions
from brinebook.planning.mixing import MOISTURE, hours_to_warm, salt_grams
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import convert_amount

_ROOM = 25.0
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
#: Of the salt, in a first go: the rest after a reading, so that nobody overshoots.
_FIRST = 0.8


@dataclass(frozen=True, slots=True)
class Batch:
    """What was typed of a batch of new water."""

    volume: str
    salinity: str = "35"
    start: str = "0"
    temperature: str | None = None
    moisture: float | None = None
    warm_to: str | None = None
    heater: str | None = None
    room: str | None = None
    loss: float | None = None


def mix_plan(batch: Batch) -> Plan:
    """Grams of salt for so much water, and the hours to warm it. Needs no book."""
    value, unit = number_and_unit(batch.volume)
    litres = convert_amount(value, unit, "L", dimension="volume")
    target, before = (read_quantity("salinity", text) for text in (batch.salinity, batch.start))
    celsius = (
        _ROOM if batch.temperature is None else read_quantity("temperature", batch.temperature)
    )
    moisture = batch.moisture or MOISTURE
    dry = salt_grams(litres, start=before, target=target, temperature=celsius)
    figures = [
        Figure("litres", litres, "L"),
        Figure("salt_dry", dry, "g"),
        Figure(
            "salt",
            dry * moisture,
            "g",
            origin=say("{moisture:g} g of the bag's for a dry gram", moisture=moisture),
        ),
        Figure("temperature", celsius, "C"),
    ]
    hours = _hours(batch, litres, target, celsius)
    if hours is not None and math.isfinite(hours):
        figures.append(Figure("hours_to_warm", hours, "h"))
    return Plan(
        kind="mix",
        about=("salinity",),
        at=_EPOCH,
        verdict="told" if dry >= 0.0 else "cannot",
        headline=_headline(litres, before, target, dry * moisture),
        figures=tuple(figures),
        reasons=(
            Reason(
                say(
                    "Salt is what the finished water holds of it more than the old: "
                    "salinity times density, at the water's temperature."
                ),
                equation=say("g = L × (ρ(S2) S2 − ρ(S1) S1) × 35.165/35 × moisture"),
                sources=("millero2008", "ioc2010"),
            ),
        ),
        cautions=cautions("mains", "filter_line", *(("lifting",) if litres >= 15.0 else ())),
        notes=tuple(_notes(dry * moisture, hours, batch, moisture=moisture)),
    )


def _headline(litres: float, before: float, target: float, grams: float) -> str:
    water = amount_text(litres, "L")
    if grams < 0.0:
        return say(
            "{water} at {before} PSU holds too much salt already for {target}: thin "
            "it with fresh water.",
            water=water,
            before=plain_text(before),
            target=plain_text(target),
        )
    if before > 0.0:
        return say(
            "{grams} of salt bring {water} from {before} to {target} PSU.",
            grams=amount_text(grams, "g", digits=4),
            water=water,
            before=plain_text(before),
            target=plain_text(target),
        )
    return say(
        "{grams} of salt make {water} of {target} PSU.",
        grams=amount_text(grams, "g", digits=4),
        water=water,
        target=plain_text(target),
    )


def _hours(batch: Batch, litres: float, salinity: float, celsius: float) -> float | None:
    if batch.heater is None or batch.warm_to is None:
        return None
    value, unit = number_and_unit(batch.heater)
    watts = convert_amount(value, unit, "W", dimension="power")
    room = None if batch.room is None else read_quantity("room_temperature", batch.room)
    return hours_to_warm(
        litres,
        start=celsius,
        target=read_quantity("temperature", batch.warm_to),
        watts=watts,
        salinity=salinity,
        room=room,
        loss=batch.loss or 0.0,
    )


def _notes(grams: float, hours: float | None, batch: Batch, *, moisture: float) -> list[str]:
    notes = []
    if grams > 0.0:
        notes.append(
            say(
                "Put in {first} first, let it clear, read the salinity, and bring "
                "the rest by what it reads: an open bag draws water from the air.",
                first=amount_text(_FIRST * grams, "g"),
            )
        )
    if grams > 0.0 and moisture > 1.0:
        notes.append(
            say(
                "Of the salt as it comes from the bag {share:.0f} % more is counted than dry: the "
                "moisture that it has drawn.",
                share=100.0 * (moisture - 1.0),
            )
        )
    if hours is not None:
        if math.isinf(hours):
            notes.append(say("That heater never gets it so warm in such a room."))
        else:
            lost = (
                "" if batch.loss else say(", with nothing lost to the room (longer without a lid)")
            )
            notes.append(
                say(
                    "Warming it takes about {hours} hours{lost}.",
                    hours=plain_text(round(hours, 1)),
                    lost=lost,
                )
            )
    return notes
