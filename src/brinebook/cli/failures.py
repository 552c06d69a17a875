"""From any failure to one readable block on stderr, and with --json one object on stdout."""

from __future__ import annotations

import contextlib
import platform
import re
import sys
import tempfile
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import click

from brinebook import __version__
from brinebook.cli import output
from brinebook.cli.session import state_folder
from brinebook.errors import BrinebookError

#: A fault of the program itself. Not one of the contract's 1 to 4, which speak of the caller's
#: command, data and book; 70 is EX_SOFTWARE of BSD's sysexits.
EXIT_INTERNAL = 70
#: 128 + the number of the signal, as shells have it.
EXIT_INTERRUPTED = 130
EXIT_PIPE_CLOSED = 141

_PASSWORD = re.compile(r"(?<=://)([^\s:/@]*):[^\s@]*@")


@dataclass(frozen=True, slots=True)
class Failure:
    """What the caller is told: the code and sentence, what to do next, and the exit status."""

    code: str
    message: str
    hint: str
    exit_status: int


def describe(error: BaseException, arguments: Sequence[str]) -> Failure:
    """Put any error into words. An unexpected one also leaves a report file, named in the hint."""
    if isinstance(error, BrinebookError):
        return Failure(error.code, error.message, error.hint, error.exit_status)
    if isinstance(error, click.ClickException):
        return Failure("E-USAGE", error.format_message(), _usage_hint(error), 2)
    if isinstance(error, KeyboardInterrupt | click.Abort):
        return Failure(
            "E-INTERRUPTED",
            "Stopped, as you asked.",
            "Whatever was half written has been dropped; the book is as it was before.",
            EXIT_INTERRUPTED,
        )
    return _unexpected(error, arguments)


def announce(failure: Failure, *, as_json: bool) -> None:
    """Write the failure: a block on stderr for people and, on request, an object on stdout."""
    if as_json:
        body = {"code": failure.code, "message": failure.message, "hint": failure.hint}
        output.emit_json({"error": body})
    output.say(f"{output.strong('Not done:', sys.stderr)} {hide_passwords(failure.message)}")
    if failure.hint:
        output.hint(failure.hint)
    output.say(f"  ({failure.code}, exit status {failure.exit_status})")


def hide_passwords(text: str) -> str:
    """The text with the password of every URL in it replaced by stars."""
    return _PASSWORD.sub(r"\1:***@", text)


def _usage_hint(error: click.ClickException) -> str:
    context = getattr(error, "ctx", None)
    option = getattr(error, "option_name", None)
    if option == "--book":
        return "--book stands before the command: brinebook --book FILE COMMAND …"
    path = context.command_path if context else "brinebook"
    return f"“{path} --help” shows what it takes, with examples."


def _unexpected(error: BaseException, arguments: Sequence[str]) -> Failure:
    message = (
        f"Brinebook met something that it wasn't made for ({type(error).__name__}: {error}). "
        "This is a fault of the program, not of yours."
    )
    place = _write_report(error, arguments)
    if place is None:
        hint = "Run it once more; if it fails again, report it with the command and this message."
    else:
        hint = (
            f"The details are in {place}. It stays on this machine; "
            "send it along when you report the fault."
        )
    return Failure("E-INTERNAL", message, hint, EXIT_INTERNAL)


def _write_report(error: BaseException, arguments: Sequence[str]) -> Path | None:
    now = datetime.now(UTC)
    lines = [
        f"brinebook {__version__}, Python {platform.python_version()}, {platform.platform()}",
        f"at {now.isoformat(timespec='seconds')}",
        f"arguments: {list(arguments)!r}",
        "",
        *traceback.format_exception(error),
    ]
    text = hide_passwords("\n".join(lines))
    for folder in _report_folders():
        try:
            folder.mkdir(parents=True, exist_ok=True)
            # mkstemp makes the file readable by its owner only.
            handle, name = tempfile.mkstemp(
                prefix=f"report-{now:%Y%m%dT%H%M%S}-", suffix=".txt", dir=folder
            )
            with open(handle, "w", encoding="utf-8", errors="backslashreplace") as file:  # noqa: PTH123
                file.write(text)
        except OSError:
            continue
        return Path(name)
    return None


def _report_folders() -> list[Path]:
    folders = [Path(tempfile.gettempdir())]
    with contextlib.suppress(RuntimeError):  # raised where no home folder can be found
        folders.insert(0, state_folder())
    return folders
