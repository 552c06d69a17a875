"""``brinebook serve``: the notebook for a browser, from this machine."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from brinebook.cli import output
from brinebook.cli.options import at_option
from brinebook.cli.session import Session


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option("--port", default=8410, show_default=True, type=click.IntRange(1, 65535))
@click.option("--name", "names", multiple=True, metavar="HOST", help="A name it is reached by.")
@click.option("--read-only", is_flag=True, help="Show everything, write nothing.")
@click.option("--cert", type=click.Path(path_type=Path), help="A certificate, to serve by TLS.")
@click.option("--key", type=click.Path(path_type=Path), help="The key of that certificate.")
@click.option("--set-password", is_flag=True, help="Ask for a password, keep its hash, and end.")
@at_option
@click.pass_obj
def command(
    session: Session,
    *,
    host: str,
    port: int,
    names: tuple[str, ...],
    read_only: bool,
    cert: Path | None,
    key: Path | None,
    set_password: bool,
    at: datetime | None,
) -> None:
    """Open the notebook for a browser, until Ctrl-C.

    \b
    brinebook serve
    brinebook serve --set-password
    brinebook serve --host 0.0.0.0 --cert reef.pem --key reef.key

    At 127.0.0.1 only this machine reaches it and no password is asked. Any other address needs one
    first. With --at its clock begins at that instant, for looking at a book of the past.
    """
    if set_password:
        _set_password(session)
        return
    if (cert is None) != (key is None):
        raise click.UsageError("--cert and --key go together.")
    from brinebook.web.options import Options
    from brinebook.web.server import serve

    options = Options(
        session.book,
        host=host,
        port=port,
        read_only=read_only,
        cert=cert,
        key=key,
        names=names,
        at=at,
    )
    serve(options, ready=_say)


def _say(address: str) -> None:
    output.say(f"The notebook lies open at {address} (Ctrl-C closes it).")


def _set_password(session: Session) -> None:
    from brinebook.book.store import open_book
    from brinebook.desk import doors

    book = open_book(session.book)
    typed = click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
    doors.set_password(book, typed)
    output.say("The password is set; every browser has to give it anew.")
