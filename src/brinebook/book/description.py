"""system.toml: what the system is. Read into a `System` in canonical units, all faults at once.

The text is kept as the keeper wrote it; keys that this release doesn't know stay in it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from brinebook.book.description_notes import Notes
from brinebook.book.description_parts import (
    additive,
    band,
    chosen,
    limit,
    method,
    mix,
    net_volume,
    reference,
    target,
    unit_shown,
    zone_name,
)
from brinebook.book.description_planning import PLANNING_KEYS, planning
from brinebook.book.description_rig import RIG_SECTIONS, rig, volume_of_vessels
from brinebook.errors import InputProblem
from brinebook.system import System
from brinebook.texts import say, speak
from brinebook.texts.load import languages, manner
from brinebook.texts.manner import DATE_ORDERS, DECIMAL_MARKS

#: Sections whose keys this release gives a meaning to, and those keys; None: names of quantities.
KNOWN_KEYS: Mapping[str, tuple[str, ...] | None] = {
    "": (
        "name", "timezone", "language", "decimal_mark", "dates", "net_volume", "units", "bands",
        "targets", "limits_per_day", "additives", "mixes", "references", "methods", "planning",
    ),
    "net_volume": ("value", "sd"),
    "units": None,
    "bands": None,
    "targets": None,
    "limits_per_day": None,
    "planning": PLANNING_KEYS,
    "additives": ("name", "recipe", "per_ml", "strength_sd", "pump_sd", "container"),
    "additives.recipe": ("salt", "grams_per_litre", "per_ml"),
    "mixes": ("name", "at_salinity", "sd"),
    "references": ("name",),
    "methods": ("name", "quantity", "resolution", "repeatability", "trueness"),
}  # fmt: skip

#: Sections that extend the file and are kept as they are.
KEPT_SECTIONS = ("probes", "chores", "stores")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one key of the file."""

    where: str
    reason: str
    #: Whether it may only come of a part that doesn't count for a fault of its own.
    follows: bool = False

    @property
    def sentence(self) -> str:
        """The key and what is wrong with it."""
        return f"{self.where}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Described:
    """A description read: the system, and warnings that block nothing."""

    system: System
    warnings: tuple[str, ...]


class TomlUnreadable(InputProblem):
    """The file isn't TOML."""

    code = "E-TOML"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("The description of the system can't be read as TOML: {why}.", why=why),
            say("Nothing was written. docs/system-toml.md shows every key with an example."),
        )


class DescriptionWrong(InputProblem):
    """The file is TOML, and some of its values can't be used; all of them are named."""

    code = "E-SYSTEM-TOML"

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        lines = "\n".join(f"  {fault.sentence}" for fault in faults)
        super().__init__(
            say(
                "The description of the system has {count} {fault_or_faults}; "
                "nothing was written.\n"
                "{lines}",
                count=len(faults),
                fault_or_faults=say("fault") if len(faults) == 1 else say("faults"),
                lines=lines,
            ),
            say(
                "Correct the file and try again. docs/system-toml.md shows every key "
                "with an example."
            ),
        )
        self.faults = faults


def decode_toml(data: bytes) -> str:
    """The file's bytes as text. Raises TomlUnreadable where they aren't UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TomlUnreadable(say("byte {start} isn't UTF-8", start=error.start)) from None


def read_description(text: str) -> Described:
    """Read a system.toml. Raises TomlUnreadable, or DescriptionWrong with every fault.

    From here on, in this context, its keeper is spoken to as it asks: what is said of its own
    faults too.
    """
    try:
        # A line of its own for CR alone, as editors of old wrote it, isn't TOML.
        found = tomllib.loads(text.replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise TomlUnreadable(str(error) or say("it is nested too deeply")) from None
    notes = Notes()
    speak(manner(**_settings(found, Notes())))
    system = _system(found, notes)
    _unknown_keys(found, notes)
    if notes.faults:
        raise DescriptionWrong(tuple(Fault(*one) for one in notes.faults))
    return Described(system, tuple(notes.warnings))


def _settings(found: Mapping[str, Any], notes: Notes) -> dict[str, str]:
    """How the keeper wants to be spoken to."""
    return {
        "language": chosen(notes, found, "language", languages()),
        "decimal_mark": chosen(notes, found, "decimal_mark", DECIMAL_MARKS),
        "dates": chosen(notes, found, "dates", DATE_ORDERS),
    }


def _system(found: Mapping[str, Any], notes: Notes) -> System:
    name = notes.text("name", found.get("name"), needed=True)
    units = notes.table("units", found.get("units"), unit_shown)
    described_rig = rig(notes, found)
    system = System(
        name=name,
        timezone=zone_name(notes, found.get("timezone")),
        **_settings(found, notes),
        net_volume=net_volume(
            notes, found.get("net_volume"), of_vessels=volume_of_vessels(described_rig)
        ),
        units=units,
        bands=notes.table("bands", found.get("bands"), band),
        targets=notes.table("targets", found.get("targets"), target),
        limits_per_day=notes.table("limits_per_day", found.get("limits_per_day"), limit),
        additives=notes.array("additives", found.get("additives"), additive),
        mixes=notes.array("mixes", found.get("mixes"), mix),
        references=notes.array("references", found.get("references"), reference),
        methods=notes.array("methods", found.get("methods"), method),
        planning=planning(notes, found.get("planning")),
        rig=described_rig,
        assumed=tuple(notes.assumed),
    )
    notes.unique("additives", [one.name.casefold() for one in system.additives])
    notes.unique("mixes", [one.name.casefold() for one in system.mixes])
    notes.unique("references", [one.name.casefold() for one in system.references])
    notes.unique(
        "methods",
        [
            say("{name} for {quantity}", name=one.name.casefold(), quantity=one.quantity)
            for one in system.methods
        ],
    )
    return system


def _unknown_keys(found: Mapping[str, Any], notes: Notes) -> None:
    """Warn of keys that mean nothing here; a misspelt one would otherwise be silently lost."""
    for key, value in found.items():
        if key in KEPT_SECTIONS or key in RIG_SECTIONS:
            continue
        notes.known(key, KNOWN_KEYS[""] or (), where="")
        names = KNOWN_KEYS.get(key)
        if names is None:
            continue
        parts = value if isinstance(value, list) else [value]
        for part in parts:
            if isinstance(part, Mapping):
                _unknown_in(key, part, names, notes)


def _unknown_in(
    section: str, part: Mapping[str, Any], names: tuple[str, ...], notes: Notes
) -> None:
    from brinebook.units import QUANTITIES

    of_quantities = section in ("mixes", "references")
    for key, value in part.items():
        if of_quantities and key in QUANTITIES:
            continue
        notes.known(key, (*names, *QUANTITIES) if of_quantities else names, where=section)
        inner = KNOWN_KEYS.get(f"{section}.{key}")
        if inner is not None and isinstance(value, Mapping):
            _unknown_in(f"{section}.{key}", value, inner, notes)
