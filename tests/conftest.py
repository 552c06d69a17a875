"""What the tests of several rooms share: a book of their own and the command line run in it."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from brinebook.cli.main import main
from brinebook.texts import Manner, speak

#: A made-up system, as the contract's example has it.
SYSTEM_TOML = """\
name = "Lantern Shelf"
timezone = "Europe/Lisbon"
net_volume = { value = "310 L", sd = "25 L" }      # a belief

[units]
alkalinity = "dKH"

[bands]
alkalinity = ["7.5 dKH", "9 dKH"]
calcium = ["400 mg/L", "450 mg/L"]

[targets]
salinity = "35 PSU"

[limits_per_day]
alkalinity = "1 dKH"
calcium = "30 mg/L"

[[additives]]
name = "carbonate solution"
recipe = { salt = "NaHCO3", grams_per_litre = 80 }
strength_sd = "3 %"
pump_sd = "5 %"

[[additives]]
name = "calcium solution"
recipe = { salt = "CaCl2.2H2O", grams_per_litre = 70 }

[[mixes]]
name = "house mix"
at_salinity = 35
alkalinity = "8.2 dKH"
calcium = "425 mg/L"
magnesium = "1320 mg/L"
sd = "4 %"

[[references]]
name = "own standard"
alkalinity = { value = "8 dKH", sd = "0.05 dKH" }

[[methods]]
name = "drop count"
quantity = "alkalinity"
resolution = "0.3 dKH"
repeatability = "0.15 dKH"
trueness = "0.08 dKH"
"""


@dataclass(frozen=True)
class Outcome:
    """How a command ended and what it wrote."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one object on stdout."""
        return json.loads(self.out)


Run = Callable[..., Outcome]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Run the command line in this process, with ``tmp_path`` as the folder to work in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("BRINEBOOK_BOOK", str(tmp_path / "reef.book"))

    def call(*arguments: str) -> Outcome:
        capsys.readouterr()
        status = main(arguments)
        captured = capsys.readouterr()
        assert "Traceback" not in captured.err
        return Outcome(status, captured.out, captured.err)

    return call


@pytest.fixture
def system_toml(tmp_path: Path) -> Path:
    """The made-up system's description as a file."""
    path = tmp_path / "system.toml"
    path.write_text(SYSTEM_TOML, encoding="utf-8")
    return path


@pytest.fixture
def reef(run: Run, system_toml: Path) -> Run:
    """The command line over a new book of the made-up system."""
    outcome = run("new", "--system", str(system_toml))
    assert outcome.status == 0, outcome.err
    return run


def server_address() -> str:
    """The PostgreSQL server of the tests; skips where there is none."""
    address = os.environ.get("BRINEBOOK_TEST_POSTGRES", "")
    if not address:
        pytest.skip("BRINEBOOK_TEST_POSTGRES names no PostgreSQL server (scripts/postgres start)")
    return address


@pytest.fixture(autouse=True)
def _plain_manner() -> None:
    """No test is spoken to in the manner of another one's system."""
    speak(Manner())
