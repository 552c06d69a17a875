"""The section [planning] of system.toml: what the keeper holds plans to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brinebook.book.description_notes import Notes, shown_value
from brinebook.measure import Measure
from brinebook.system import Planning
from brinebook.texts import say
from brinebook.units import QUANTITIES
from brinebook.water.quantities import check_range

#: The keys of the section.
PLANNING_KEYS = (
    "saturation", "saturation_rise", "air_co2", "air_hours", "pours_per_day", "pour_gap",
    "mixing_share", "change_share", "salt_moisture",
)  # fmt: skip


def planning(notes: Notes, value: object) -> Planning:
    """The section as read, faults noted."""
    if value is None:
        return Planning()
    if not isinstance(value, Mapping):
        notes.wrong(
            "planning",
            say("{shown_value} is not a section of keys", shown_value=shown_value(value)),
        )
        return Planning()

    def number(key: str, low: float, high: float) -> float | None:
        found = value.get(key)
        return None if found is None else notes.number(f"planning.{key}", found, low, high)

    def share(key: str) -> float | None:
        found = value.get(key)
        if found is None:
            return None
        read = notes.fraction(f"planning.{key}", found, 0.0)
        if read == 0.0:
            notes.wrong(
                f"planning.{key}",
                say("{shown_value} is not a share above nothing", shown_value=shown_value(found)),
            )
        return read or None

    pours = number("pours_per_day", 1, 24)
    return Planning(
        saturation=number("saturation", 1, 30),
        saturation_rise=number("saturation_rise", 0, 10),
        air_co2=_air_co2(notes, value.get("air_co2")),
        air_hours=number("air_hours", 0.1, 500),
        pours_per_day=None if pours is None else int(pours),
        pour_gap=number("pour_gap", 0.1, 24),
        mixing_share=share("mixing_share"),
        change_share=share("change_share"),
        salt_moisture=number("salt_moisture", 1, 2),
    )


def _air_co2(notes: Notes, value: object) -> Measure | None:
    """“600 ppm”, or a value with its sd."""
    from brinebook.book.description_parts import difference, level

    if value is None:
        return None
    row = QUANTITIES["room_co2"]
    parts: Mapping[str, Any] = value if isinstance(value, Mapping) else {"value": value}
    ppm = level(notes, "planning.air_co2.value", row, parts.get("value"))
    spread: float | None = None
    if parts.get("sd") is not None:
        spread = difference(notes, "planning.air_co2.sd", row, parts["sd"])
    if ppm is None:
        return None
    check_range(row, ppm)
    return Measure(ppm, 0.1 * ppm if spread is None else spread, "uatm")
