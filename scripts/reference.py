"""Remake docs/commands.md and docs/errors.md from the program, so that neither can lag behind.

python scripts/reference.py
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import click

import brinebook
from brinebook.cli.commands import COMMANDS, HEADINGS
from brinebook.cli.main import brinebook as front_door
from brinebook.errors import BrinebookError

DOCS = Path(__file__).resolve().parent.parent / "docs"

_COMMANDS_HEAD = """\
# Every command and option

This page is made from the program by `make docs`. What scripts may rely on is in
[contract](contract.md).

    brinebook [--book FILE] [--system NAME] COMMAND …
"""

_ERRORS_HEAD = """\
# Every error code

This page is made from the program by `make docs`. Codes and exit statuses stay as they
are; the sentences that come with them may change. What each status means is in
[contract](contract.md).

| code | exit status | what happened |
| --- | --- | --- |
"""

#: Failures that are no class of ours: Click's, the keyboard's, and faults of the program.
_OTHER_ERRORS = (
    ("E-INTERNAL", 70, "A fault of the program; the hint names a file with the details."),
    ("E-INTERRUPTED", 130, "Interrupted from the keyboard."),
    ("E-USAGE", 2, "The command or its arguments are wrong."),
)


def all_commands() -> dict[str, click.Command]:
    """Every command of the table by its name, imported."""
    context = click.Context(front_door, info_name="brinebook")
    found = {name: front_door.get_command(context, name) for name in COMMANDS}
    return {name: command for name, command in found.items() if command is not None}


def commands_page(commands: Mapping[str, click.Command]) -> str:
    """The reference of these commands, under the headings of the program's own overview."""
    context = click.Context(front_door, info_name="brinebook")
    parts = [_COMMANDS_HEAD, _options(front_door, context)]
    for heading in HEADINGS:
        parts.append(f"## {heading}\n")
        for name, command in commands.items():
            if COMMANDS[name].heading == heading:
                parts.extend(_command(name, command, context, depth=3))
    return "\n".join(parts)


def errors_page(errors: Mapping[str, tuple[int, str]]) -> str:
    """The table of codes, in alphabetical order."""
    rows = [f"| `{code}` | {status} | {told} |" for code, (status, told) in sorted(errors.items())]
    return _ERRORS_HEAD + "\n".join(rows) + "\n"


def all_errors() -> dict[str, tuple[int, str]]:
    """Code -> exit status and first sentence of the docstring, for every error of the package.

    Raises ValueError where one code stands for two exit statuses.
    """
    for module in pkgutil.walk_packages(brinebook.__path__, "brinebook."):
        if module.name.rpartition(".")[2] != "__main__" and ".migrations." not in module.name:
            importlib.import_module(module.name)
    found: dict[str, tuple[int, str]] = {
        code: (status, told) for code, status, told in _OTHER_ERRORS
    }
    for error in _below(BrinebookError):
        # The roots of errors.py only sort the others by status; nothing raises them.
        if error.__module__ == BrinebookError.__module__ or "code" not in vars(error):
            continue
        if not error.__module__.startswith("brinebook."):
            continue
        told = _first_sentence(error)
        status, before = found.get(error.code, (error.exit_status, told))
        if status != error.exit_status:
            raise ValueError(f"{error.code} has the exit statuses {status} and {error.exit_status}")
        found[error.code] = (status, before if told in before else f"{before} {told}")
    return found


def _below(error: type[BrinebookError]) -> Iterator[type[BrinebookError]]:
    for child in sorted(error.__subclasses__(), key=lambda one: (one.__module__, one.__name__)):
        yield child
        yield from _below(child)


def _first_sentence(error: type[BrinebookError]) -> str:
    text = inspect.getdoc(error) or ""
    return " ".join(text.partition("\n\n")[0].split()).replace("``", "`")


def _command(
    name: str, command: click.Command, parent: click.Context, *, depth: int
) -> Iterator[str]:
    context = click.Context(command, info_name=name, parent=parent)
    yield f"{'#' * depth} `{context.command_path}`\n"
    usage = " ".join(command.collect_usage_pieces(context))
    yield f"    {context.command_path} {usage}\n"
    yield from _paragraphs(command.help)
    yield _options(command, context)
    yield from _paragraphs(command.epilog)
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            child = command.get_command(context, below)
            if child is not None:
                yield from _command(below, child, context, depth=depth + 1)


def _paragraphs(text: str | None) -> Iterator[str]:
    """The paragraphs of a help text; those marked with \\b are kept line by line."""
    for paragraph in re.split(r"\n\s*\n", inspect.cleandoc(text or "")):
        lines = paragraph.splitlines()
        if lines and lines[0].strip() == "\b":
            yield "\n".join(f"    {line.rstrip()}" for line in lines[1:]) + "\n"
        elif lines:
            yield " ".join(line.strip() for line in lines) + "\n"


def _options(command: click.Command, context: click.Context) -> str:
    rows = []
    for parameter in command.get_params(context):
        record = parameter.get_help_record(context)
        if record and "--help" not in parameter.opts:
            spelled, told = (part.replace("|", "\\|") for part in record)
            rows.append(f"| `{spelled}` | {told} |")
    return "\n".join(["| option | |", "| --- | --- |", *rows]) + "\n" if rows else ""


def main() -> None:
    """Write both pages."""
    (DOCS / "commands.md").write_text(commands_page(all_commands()), encoding="utf-8")
    (DOCS / "errors.md").write_text(errors_page(all_errors()), encoding="utf-8")
    print("docs/commands.md and docs/errors.md are made anew.")


if __name__ == "__main__":
    main()
