"""What a keeper has, and the truth that only the simulator knows."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from tests.simulated.scenario import Scenario

HEADER = ("when", "kind", "what", "value", "unit", "detail")


class Row(NamedTuple):
    """One line of history.csv, as text."""

    when: str
    kind: str
    what: str = ""
    value: str = ""
    unit: str = ""
    detail: str = ""

    @property
    def instant(self) -> datetime:
        return datetime.fromisoformat(self.when)


@dataclass(frozen=True)
class WrongTest:
    """A reading that does not tell about the water: ``row`` of history, and how far off it was.

    ``deviations`` counts in standard deviations of one sound test of that kit.
    """

    row: int
    when: datetime
    quantity: str
    kind: str
    deviations: float


@dataclass(frozen=True)
class Spell:
    """Consecutive tests from one bad bottle."""

    quantity: str
    rows: tuple[int, ...]
    whens: tuple[datetime, ...]
    deviations: float


@dataclass(frozen=True)
class Unlogged:
    """A change of the water that no row tells about; ``change`` in canonical units."""

    kind: str
    start: datetime
    end: datetime
    change: Mapping[str, float]
    deviations: Mapping[str, float]  # of a test of that quantity, for those that are tested


@dataclass(frozen=True)
class Moment:
    """The truth at an instant at which an answer is asked for."""

    when: datetime
    state: Mapping[str, float]
    consumption: Mapping[str, float]  # per day, mean of the 24 h before
    consumption_without_media: Mapping[str, float]
    forecast: Mapping[str, tuple[float, ...]]  # after 1 … 7 days
    pump_stopped: bool  # an unlogged stop was going on: the forecast is not judged


@dataclass(frozen=True)
class Truth:
    """All that is true; ``hours`` counts from ``start``, arrays are hourly."""

    start: datetime
    hours: npt.NDArray[np.float64]
    concentration: Mapping[str, npt.NDArray[np.float64]]
    consumption: Mapping[str, npt.NDArray[np.float64]]
    net_volume: float
    believed_volume: float
    moments: tuple[Moment, ...]
    wrong_tests: tuple[WrongTest, ...]
    spells: tuple[Spell, ...]
    unlogged: tuple[Unlogged, ...]
    use_steps: tuple[tuple[datetime, float], ...]  # factor on calcification
    pump_factors: Mapping[str, float]
    strengths: Mapping[str, float]
    method_bias: Mapping[tuple[str, str, str], float]  # (quantity, method, lot), canonical
    sudden_doses: int  # known single doses that moved a tested quantity by three deviations


@dataclass(frozen=True)
class Case:
    """One simulated system: exactly what its keeper has, and apart from it the truth."""

    family: str
    seed: int
    system_toml: str
    history: tuple[Row, ...]
    truth: Truth
    scenario: Scenario

    def until(self, at: datetime) -> Case:
        """The same case as its keeper knew it at ``at``."""
        known = tuple(row for row in self.history if row.instant <= at)
        return replace(self, history=known)

    def write(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "system.toml").write_text(self.system_toml, encoding="utf-8")
        write_history(folder / "history.csv", self.history)


def write_history(path: Path, rows: tuple[Row, ...] | list[Row]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADER)
        writer.writerows(rows)


def percent_encoded(text: str) -> str:
    """``; = %`` and line ends as the history format wants them in ``detail``."""
    for character in "%;=\n\r":
        text = text.replace(character, f"%{ord(character):02X}")
    return text


def detail_text(detail: Mapping[str, object]) -> str:
    pairs = ((key, value) for key, value in detail.items() if value not in (None, ""))
    return ";".join(f"{key}={percent_encoded(str(value))}" for key, value in pairs)
