"""The table of commands: a command's module is imported only when it is run or asked about.

Each module named here has a click command called ``command``. The summary stands here, and not in
the module, so that ``brinebook --help`` imports none of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Entry:
    """One command: under which heading it is listed, where it lives, and what it does in a line."""

    heading: str
    target: str  # "package.module:attribute"
    summary: str


ASK = "Ask"
TELL = "Tell"
KEEP = "Look after the book"
RECKON = "Reckon, without a book"

HEADINGS = (ASK, TELL, KEEP, RECKON)

COMMANDS = MappingProxyType(
    {
        "today": Entry(
            ASK, "brinebook.cli.today:command", "what needs you today, if anything, and why"
        ),
        "balance": Entry(
            ASK,
            "brinebook.cli.balance:command",
            "what is in the water, how fast it is used, where it is going",
        ),
        "history": Entry(
            ASK, "brinebook.cli.history:command", "what the book holds, newest last, with its ids"
        ),
        "plan": Entry(
            ASK, "brinebook.cli.plan:command", "what to put in, how much, how fast, and why"
        ),
        "rig": Entry(
            ASK, "brinebook.cli.rig:command", "what pipes, pumps, heat and power do, as described"
        ),
        "drill": Entry(
            ASK, "brinebook.cli.drill:command", "what if a part of the rig fails, worst first"
        ),
        "serve": Entry(
            ASK, "brinebook.cli.serve:command", "open the notebook for a browser on this machine"
        ),
        "add": Entry(
            TELL, "brinebook.cli.add:command", "write down a test, a dose, a change, anything"
        ),
        "edit": Entry(TELL, "brinebook.cli.edit:command", "correct a fact; the old one is kept"),
        "undo": Entry(TELL, "brinebook.cli.undo:command", "take back the last thing you entered"),
        "import": Entry(
            TELL, "brinebook.cli.import_:command", "bring in a past from a file, all or nothing"
        ),
        "new": Entry(KEEP, "brinebook.cli.new:command", "start a book"),
        "system": Entry(
            KEEP, "brinebook.cli.system:command", "show or edit what your system is made of"
        ),
        "export": Entry(KEEP, "brinebook.cli.export:command", "write the book out in plain files"),
        "check": Entry(KEEP, "brinebook.cli.check:command", "look the book over for faults"),
        "backup": Entry(KEEP, "brinebook.cli.backup:command", "put a copy of the book aside"),
        "restore": Entry(
            KEEP, "brinebook.cli.restore:command", "bring a book back from such a copy"
        ),
        "water": Entry(
            RECKON,
            "brinebook.cli.water:command",
            "the chemistry of one sample from what you know of it",
        ),
        "reckon": Entry(
            RECKON,
            "brinebook.cli.reckon:command",
            "heat, damp, circuits, an outage, the floor, from a few figures",
        ),
        "convert": Entry(RECKON, "brinebook.cli.convert:command", "one amount in another unit"),
    }
)
