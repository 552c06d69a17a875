"""``brinebook system``: show or edit what the system is made of."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.describing import Described
    from brinebook.desk.opening import OpenSystem


@click.command("system")
@click.option("--edit", "in_editor", is_flag=True, help="Open it in your editor ($EDITOR).")
@click.option(
    "--from", "file", type=click.Path(path_type=Path), metavar="FILE", help="Replace it by a file."
)
@click.option(
    "--set", "keys", multiple=True, metavar="KEY=VALUE", help="Set one key; KEY= takes it out."
)
@click.option("--by", metavar="NAME", default="", help="Who changes it.")
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    *,
    in_editor: bool,
    file: Path | None,
    keys: tuple[str, ...],
    by: str,
    system: str | None,
    as_json: bool,
) -> None:
    """Show what your system is made of, or change it.

    \b
    brinebook system
    brinebook system --edit
    brinebook system --from system.toml
    brinebook system --set net_volume="312 L" --set 'bands.calcium=["400 mg/L", "450 mg/L"]'

    Every change is a new revision; earlier answers can still be asked for with --known.
    """
    from brinebook.desk.opening import open_system

    if sum((in_editor, file is not None, bool(keys))) > 1:
        raise click.UsageError("--edit, --from and --set exclude each other.")
    opened = open_system(session.book, system)
    text = _changed_text(opened, in_editor=in_editor, file=file, keys=keys)
    if text is None:
        _show(opened, as_json=as_json)
        return
    from brinebook.desk import clock, describing

    through = "system --from" if file else "system --edit" if in_editor else "system --set"
    done = describing.describe(opened, text, now=clock.now(), by=by, through=through)
    _tell(done, as_json=as_json)


def _changed_text(
    opened: OpenSystem, *, in_editor: bool, file: Path | None, keys: tuple[str, ...]
) -> str | None:
    from brinebook.desk.describing import read_text, with_keys

    if file is not None:
        return read_text(file)
    if keys:
        return with_keys(opened.text, keys)
    if in_editor:
        edited = click.edit(opened.text, extension=".toml")
        return opened.text if edited is None else edited
    return None


def _show(opened: OpenSystem, *, as_json: bool) -> None:
    from brinebook.desk.describing import as_plain, warnings_of

    warnings = warnings_of(opened)
    for warning in warnings:
        output.say(warning)
    if as_json:
        answer = as_plain(opened.system)
        output.emit_json({**answer, "warnings": list(warnings), "toml": opened.text})
        return
    output.show(opened.text.rstrip("\n"))
    for sentence in opened.system.assumed:
        output.say(sentence)


def _tell(done: Described, *, as_json: bool) -> None:
    for warning in done.warnings:
        output.say(warning)
    if as_json:
        output.emit_json(
            {
                "system": done.system.name,
                "changed": done.changed,
                "revision": done.revision if done.changed else None,
                "warnings": list(done.warnings),
                "assumed": list(done.system.assumed),
            }
        )
        return
    if done.changed:
        output.show(f"{done.system.name} is described anew (revision {done.revision}).")
    else:
        output.show("Nothing changed.")
