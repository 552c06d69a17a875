"""Nothing that a keeper has to install may bring a licence that binds the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from scripts import licences


def test_every_locked_package_declares_a_permissive_licence() -> None:
    declared = licences.licences_of_lock(licences.LOCK)
    assert {"click", "numpy", "gsw", "sqlalchemy"} <= set(declared)
    assert licences.refused(declared) == []


def test_the_oracles_of_the_tests_are_not_locked_for_run_time() -> None:
    locked = licences.LOCK.read_text(encoding="utf-8").lower()
    for oracle in ("pyco2sys", "phreeqpython", "statsmodels", "scipy", "pandas", "psycopg"):
        assert f"\n{oracle}==" not in locked


@pytest.mark.parametrize(
    "licence",
    ["GPL-3.0-only", "GNU General Public License v3 (GPLv3)", "AGPL-3.0", "LGPL-3.0-only",
     "Other/Proprietary License", "nothing declared"],
)  # fmt: skip
def test_a_licence_that_binds_or_is_unknown_is_pointed_out(licence: str) -> None:
    assert licences.refused({"trial": licence, "click": "BSD-3-Clause"}) == ["trial"]


def test_every_locked_version_has_a_hash_to_be_checked_by() -> None:
    for lock in sorted(Path(licences.LOCK).parent.glob("*.lock")):
        blocks = lock.read_text(encoding="utf-8").split("\n")
        for number, line in enumerate(blocks):
            if "==" in line and not line.lstrip().startswith("#"):
                assert "--hash=sha256:" in blocks[number + 1], f"{lock.name}: {line}"
