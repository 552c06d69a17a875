"""The root of every error that Brinebook raises on purpose.

Each failure is its own small class next to where it happens; its constructor takes facts and
builds the sentence. A class carries a stable code, the exit status of the command line and the HTTP
status.
"""

from __future__ import annotations

from typing import ClassVar


class BrinebookError(Exception):
    """An error that a person can act on: what happened, which value, what to do next."""

    code: ClassVar[str] = "E-INTERNAL"
    exit_status: ClassVar[int] = 2
    http_status: ClassVar[int] = 400

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class UsageProblem(BrinebookError):
    """The command or its arguments are wrong (exit 2)."""

    code = "E-USAGE"
    exit_status = 2
    http_status = 400


class InputProblem(BrinebookError):
    """The input data is wrong and nothing was written (exit 3)."""

    code = "E-INPUT"
    exit_status = 3
    http_status = 422


class BookProblem(BrinebookError):
    """The book is missing, locked, newer than the program, damaged or can't be written (exit 4)."""

    code = "E-BOOK"
    exit_status = 4
    http_status = 503
