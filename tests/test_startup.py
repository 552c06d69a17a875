"""What a start costs, counted in modules: seconds differ from machine to machine, imports don't."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

#: Each of these costs more than everything else that a calculator needs.
HEAVY = {
    "numpy", "gsw", "sqlalchemy", "alembic", "rich", "psycopg", "tomlkit", "scipy", "pandas",
    "fastapi", "starlette", "uvicorn", "jinja2", "pydantic", "argon2", "PIL", "markdown_it",
}  # fmt: skip

_COUNT = """
import json, sys
before = set(sys.modules)
from brinebook.cli.main import main
status = main(json.loads(sys.argv[1]))
print("\\n" + json.dumps([status, sorted(set(sys.modules) - before)]))
"""


def _loaded_by(*arguments: str, status: int = 0) -> set[str]:
    outcome = subprocess.run(
        [sys.executable, "-c", _COUNT, json.dumps(arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    ended_with, modules = json.loads(outcome.stdout.splitlines()[-1])
    assert ended_with == status, outcome.stderr
    return set(modules)


def _heavy(modules: set[str]) -> set[str]:
    return {module.split(".")[0] for module in modules} & HEAVY


@pytest.mark.parametrize(
    ("arguments", "status"), [(("--help",), 0), (("--version",), 0), ((), 0), (("nonsense",), 2)]
)
def test_the_overview_loads_none_of_the_heavy_parts(
    arguments: tuple[str, ...], status: int
) -> None:
    modules = _loaded_by(*arguments, status=status)
    assert _heavy(modules) == set()
    # 104 with Python 3.11 and Click 8.5, most of them Click's and the standard library's.
    assert len(modules) < 140


def test_the_overview_loads_none_of_the_lower_rooms() -> None:
    rooms = {name.split(".")[1] for name in _loaded_by("--help") if name.startswith("brinebook.")}
    assert rooms <= {"cli", "report", "errors", "measure", "texts"}


@pytest.mark.parametrize(
    "arguments",
    [
        ("convert", "8 dKH", "meq/L", "--json"),
        ("convert", "20 gal", "L"),
        ("convert", "--help"),
        ("water", "--help"),
    ],
)
def test_a_plain_conversion_pays_for_no_array_and_no_storage(arguments: tuple[str, ...]) -> None:
    modules = _loaded_by(*arguments)
    assert _heavy(modules) == set()
    assert len(modules) < 250


def test_the_chemistry_of_a_sample_pays_for_no_storage() -> None:
    sample = ("--alkalinity", "8 dKH", "--ph", "8.1 NBS", "--salinity", "35", "--temperature")
    modules = _loaded_by("water", *sample, "25 C", "--json")
    assert _heavy(modules) <= {"numpy", "gsw"}


@pytest.mark.parametrize(
    "command",
    ["today", "balance", "plan", "history", "add", "edit", "undo", "import", "new", "system",
     "export", "check", "backup", "restore", "serve"],
)  # fmt: skip
def test_help_for_a_command_loads_none_of_the_heavy_parts(command: str) -> None:
    assert _heavy(_loaded_by(command, "--help")) == set()
