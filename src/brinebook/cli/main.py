"""The command line's front door: picks the command, runs it, and turns every failure into words."""

from __future__ import annotations

import errno
import importlib
import os
import sys
from collections.abc import Sequence
from contextvars import copy_context

import click

from brinebook import __version__
from brinebook.cli import failures, output
from brinebook.cli.commands import COMMANDS, HEADINGS
from brinebook.cli.session import BOOK_VARIABLE, Session, default_book
from brinebook.errors import BookProblem, UsageProblem

_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}

OVERVIEW = """\
Brinebook keeps the books of a home reef's water: what went in, what is there now and how sure
that is, what the reef uses in a day, and what to do today. It advises; it switches nothing.

Write it like this

  brinebook [--book FILE] [--system NAME] COMMAND …
"""

EXAMPLES = """\
For instance

  brinebook new --system system.toml        start a book for your system
  brinebook import history.csv              bring in the past
  brinebook add test alk 8.2dKH             write down a test, just now
  brinebook today                           read what needs doing
  brinebook convert "8 dKH" meq/L           works without any book

“brinebook COMMAND --help” says more of each.
"""


class NoHomeFolder(BookProblem):
    """No book was named and there is no home folder to look for one in."""

    code = "E-BOOK-NO-HOME"

    def __init__(self) -> None:
        super().__init__(
            "No book was named, and this user has no home folder in which to look for one.",
            f"Name it: brinebook --book FILE COMMAND …, or set ${BOOK_VARIABLE}.",
        )


class OutputRefused(BookProblem):
    """What should have been written to stdout could not be."""

    code = "E-OUTPUT"

    def __init__(self, error: BaseException) -> None:
        reason = getattr(error, "strerror", None) or str(error)
        super().__init__(
            f"The answer could not be written to where you sent it ({reason}).",
            "Make room there, or send it somewhere else, and run the command once more.",
        )


class CommandTable(click.Group):
    """A group whose commands are looked up in a table and imported when they are needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click calls it so
        """Every command's name, in the table's order."""
        return list(COMMANDS)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002 - click calls it so
        cmd_name: str,
    ) -> click.Command | None:
        """The command, imported now; None where there is none of that name."""
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        module_name, _, attribute = entry.target.partition(":")
        command: click.Command = getattr(importlib.import_module(module_name), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which ones come near what was typed."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            raise CommandUnknown(args[0])
        return super().resolve_command(ctx, args)

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Our own page: the job, the commands under four headings, the options, examples."""
        formatter.write(OVERVIEW)
        for heading in HEADINGS:
            formatter.write(f"\n{heading}\n\n")
            for name, entry in COMMANDS.items():
                if entry.heading == heading:
                    formatter.write(f"  {name:<9} {entry.summary}\n")
        formatter.write("\nBefore the command\n\n")
        records = [
            record for param in self.get_params(ctx) if (record := param.get_help_record(ctx))
        ]
        with formatter.indentation():
            formatter.write_dl(records)
        formatter.write(f"\n{EXAMPLES}")


class CommandUnknown(UsageProblem):
    """There is no command of that name."""

    code = "E-COMMAND-UNKNOWN"

    def __init__(self, name: str) -> None:
        import difflib

        near = difflib.get_close_matches(name, COMMANDS, n=2)
        hint = "“brinebook --help” lists the commands."
        if near:
            hint = f"Did you mean {' or '.join(f'“{one}”' for one in near)}? {hint}"
        super().__init__(f"There is no command “{name}”.", hint)


@click.group(cls=CommandTable, invoke_without_command=False, no_args_is_help=False)
@click.option(
    "--book",
    metavar="FILE",
    help="The book: a file, or a postgresql:// URL. Left out: $BRINEBOOK_BOOK, else your own book "
    "in your data folder.",
)
@click.option("--system", metavar="NAME", help="Which system, where the book holds several.")
@click.version_option(__version__, prog_name="brinebook", message="%(prog)s %(version)s")
@click.pass_context
def brinebook(ctx: click.Context, book: str | None, system: str | None) -> None:
    """Keep the books of a home reef's water."""
    ctx.obj = Session(book=book or _default_book(), system=system)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status; see docs/contract.md for what each means."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    output.prepare_streams()
    try:
        # In a context of its own: how one system is spoken to ends with the command.
        status = copy_context().run(_run, given or ["--help"])
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our answer has gone (a pager was closed): nobody is left to be told.
        _leave_stdout()
        return failures.EXIT_PIPE_CLOSED
    except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001 - the one place that catches all
        return _fail(error, given)
    return status


def wants_json(arguments: Sequence[str]) -> bool:
    """Whether --json was asked for, even if the arguments as a whole can't be read."""
    before_rest = arguments[: arguments.index("--")] if "--" in arguments else arguments
    return "--json" in before_rest


def _run(arguments: Sequence[str]) -> int:
    try:
        # A copy, for the parser eats what it is given, and a failure still needs the arguments.
        with brinebook.make_context("brinebook", list(arguments)) as ctx:
            brinebook.invoke(ctx)
    except click.exceptions.Exit as ending:
        return ending.exit_code
    return 0


def _fail(error: BaseException, arguments: Sequence[str]) -> int:
    if _is_refused_write(error):
        _leave_stdout()
        error = OutputRefused(error)
    failure = failures.describe(error, arguments)
    try:
        failures.announce(failure, as_json=wants_json(arguments))
        sys.stdout.flush()
    except OSError:
        _leave_stdout()
    return failure.exit_status


def _is_refused_write(error: BaseException) -> bool:
    # An error of opening a file has the file's name; one of writing to an open stream has none.
    return isinstance(error, OSError) and error.errno in _NO_ROOM and error.filename is None


def _leave_stdout() -> None:
    # What is still in the buffer can't be written; send it nowhere, or the interpreter complains of
    # it once more on its way out.
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
    except (OSError, ValueError) as error:
        if getattr(error, "errno", None) not in (None, errno.EBADF, errno.EINVAL):
            raise


def _default_book() -> str:
    try:
        return default_book()
    except RuntimeError as error:
        raise NoHomeFolder from error


if __name__ == "__main__":
    sys.exit(main())
