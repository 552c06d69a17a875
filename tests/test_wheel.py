"""What is built for users holds everything that the program needs, and nothing of the workshop."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project's wheel, built from this tree with the build backend that is installed."""
    if importlib.util.find_spec("hatchling") is None:
        pytest.skip("hatchling, which builds the wheel, is not installed (make test installs it)")
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--quiet"]
    subprocess.run([*command, "--wheel-dir", folder, ROOT], check=True, timeout=300)
    (built,) = folder.glob("brinebook-*.whl")
    return built


def _shipped(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_every_file_of_the_package_is_in_the_wheel(wheel: Path) -> None:
    source = ROOT / "src"
    tracked = {
        path.relative_to(source).as_posix()
        for path in (source / "brinebook").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert tracked - _shipped(wheel) == set()


def test_the_wheel_holds_the_package_and_nothing_else(wheel: Path) -> None:
    tops = {name.split("/")[0] for name in _shipped(wheel)}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"brinebook"}


@pytest.mark.parametrize(
    "ending", ["sources.toml", "demo/system.toml", "demo/history.csv", "py.typed"]
)
def test_data_that_the_program_reads_is_in_the_wheel(wheel: Path, ending: str) -> None:
    assert [name for name in _shipped(wheel) if name.endswith(ending)] != []


def test_the_migrations_are_in_the_wheel(wheel: Path) -> None:
    assert [name for name in _shipped(wheel) if "/book/migrations/versions/" in name] != []


def test_the_program_runs_from_the_wheel_alone(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path)
    script = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); import brinebook; "
    script += "from brinebook.cli.main import main; print(brinebook.__file__); main(['--version'])"
    outcome = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True
    )
    assert outcome.stdout.splitlines()[0].startswith(str(tmp_path))


def test_the_licence_goes_with_it(wheel: Path) -> None:
    assert [name for name in _shipped(wheel) if name.endswith("licenses/LICENSE")] != []
