"""Files that a command was told to read or write, with errors that name them."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterable
from pathlib import Path

from brinebook.errors import UsageProblem
from brinebook.texts import say


class FileMissing(UsageProblem):
    """A file to read isn't there, or can't be read."""

    code = "E-FILE"
    http_status = 404

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            say("{path} can't be read: {why}.", path=path, why=why),
            say("Check the name and the folder."),
        )


class FileUnwritable(UsageProblem):
    """A file can't be written where it was asked for."""

    code = "E-FILE-WRITE"

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            say("{path} can't be written: {why}.", path=path, why=why),
            say("Choose another place with --out."),
        )


def check_readable(path: Path) -> None:
    """Raise FileMissing where the file can't be opened for reading."""
    try:
        path.open("rb").close()
    except OSError as error:
        raise FileMissing(path, _why(error)) from None


def read_file(path: Path) -> bytes:
    """The whole file. Raises FileMissing."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileMissing(path, _why(error)) from None


def write_file(path: Path, lines: Iterable[str]) -> None:
    """Write a file whole or not at all, covering an older one. Raises FileUnwritable."""
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")
    try:
        try:
            with temporary.open("x", encoding="utf-8", newline="") as file:
                for line in lines:
                    file.write(line)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(path)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as error:
        raise FileUnwritable(path, _why(error)) from None


def _why(error: OSError) -> str:
    if error.errno == errno.ENOENT:
        return say("it isn't there")
    return (error.strerror or str(error)).lower()
