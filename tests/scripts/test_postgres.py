"""The throw-away server of the tests: started for a command, and gone with it."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[2] / "scripts" / "postgres"


def _run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(SCRIPT), *arguments],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, **environment},
    )


def test_without_a_word_it_says_what_it_does() -> None:
    done = _run()
    assert done.returncode == 2
    assert "scripts/postgres run COMMAND" in done.stdout


@pytest.mark.postgres
def test_a_command_gets_a_server_of_its_own_that_is_gone_afterwards() -> None:
    if not os.environ.get("BRINEBOOK_TEST_POSTGRES"):
        pytest.skip("BRINEBOOK_TEST_POSTGRES names no PostgreSQL server (scripts/postgres start)")
    before = _servers()
    done = _run("run", "sh", "-c", 'echo "$BRINEBOOK_TEST_POSTGRES"; exit 7')
    assert done.returncode == 7, done.stderr
    assert done.stdout.startswith("postgresql://brinebook@127.0.0.1:")
    assert _servers() == before


def _servers() -> list[Path]:
    return sorted(Path("/tmp").glob(f"brinebook-postgres-{os.getuid()}/server-*"))


@pytest.mark.postgres
@pytest.mark.skipif(os.getuid() != 0, reason="only root's server runs as another user")
def test_where_the_servers_user_may_not_go_it_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    if not os.environ.get("BRINEBOOK_TEST_POSTGRES"):
        pytest.skip("BRINEBOOK_TEST_POSTGRES names no PostgreSQL server (scripts/postgres start)")
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    done = _run("start", BRINEBOOK_POSTGRES_FOLDER=str(closed))
    assert done.returncode == 3
    assert "may not enter" in done.stderr
    assert done.stdout == ""
    assert list(closed.iterdir()) == []
