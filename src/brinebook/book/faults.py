"""What can go wrong with a book, each failure its own class."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.errors import BookProblem, UsageProblem
from brinebook.texts import say


class BookMissing(BookProblem):
    """There is no book at this address."""

    code = "E-BOOK-MISSING"
    http_status = 404

    def __init__(self, address: str) -> None:
        super().__init__(
            say("There is no book at {address}.", address=address),
            say(
                "Make one with: brinebook --book {address} new --system system.toml",
                address=address,
            ),
        )


class BookExists(UsageProblem):
    """A book is already there, and a new one would cover it."""

    code = "E-BOOK-EXISTS"
    http_status = 409

    def __init__(self, address: str, *, is_book: bool = True) -> None:
        what = say("a book") if is_book else say("another file")
        super().__init__(
            say(
                "There is {what} at {address} already; nothing was changed.",
                what=what,
                address=address,
            ),
            say("Choose another name with --book, or move the old one away first."),
        )


class BookLocked(BookProblem):
    """Another program is writing and did not finish in time."""

    code = "E-BOOK-LOCKED"

    def __init__(self, address: str, seconds: float) -> None:
        super().__init__(
            say(
                "Another program is writing to {address} and did not finish within {seconds:g} s.",
                address=address,
                seconds=seconds,
            ),
            say("Nothing was written. Try again when the other one is done."),
        )


class BookNewer(BookProblem):
    """The book was written by a later release."""

    code = "E-BOOK-NEWER"

    def __init__(self, address: str, found: str, known: str) -> None:
        super().__init__(
            say(
                "{address} has format {found}; this release knows formats up to {known}.",
                address=address,
                found=found,
                known=known,
            ),
            say("It was not touched. Install the release that wrote it, or a later one."),
        )


class BookDamaged(BookProblem):
    """The file is a book, but parts of it can't be read."""

    code = "E-BOOK-DAMAGED"

    def __init__(self, address: str, why: str) -> None:
        super().__init__(
            say("{address} is damaged: {why}.", address=address, why=why),
            say(
                "Keep the file as it is and restore the last backup: brinebook "
                "--book NEW restore BACKUP"
            ),
        )


class NotABook(BookProblem):
    """The file or database is something else."""

    code = "E-NOT-A-BOOK"

    def __init__(self, address: str, why: str) -> None:
        super().__init__(
            say("{address} is not a book: {why}.", address=address, why=why),
            say("It was not touched. Name the right file with --book or BRINEBOOK_BOOK."),
        )


class BookUnwritable(BookProblem):
    """The book, or the folder it lies in, can't be written to."""

    code = "E-BOOK-READ-ONLY"

    def __init__(self, address: str, why: str = "it is read-only here") -> None:
        super().__init__(
            say("{address} can't be written: {why}.", address=address, why=why),
            say(
                "Nothing was written. Check the rights of the file and its folder "
                "(the folder too has to be writable)."
            ),
        )


class NoRoomLeft(BookProblem):
    """The disk is full, or refuses to take more."""

    code = "E-BOOK-NO-ROOM"

    def __init__(self, address: str) -> None:
        super().__init__(
            say(
                "There is no room left to write {address}, or the disk refused it.", address=address
            ),
            say("The book is as it was before. Make room on the disk and try again."),
        )


class ServerTrouble(BookProblem):
    """The database server can't be reached, or stopped answering."""

    code = "E-BOOK-SERVER"

    def __init__(self, address: str, why: str) -> None:
        super().__init__(
            say(
                "The database server for {address} did not answer as expected: {why}.",
                address=address,
                why=why,
            ),
            say("Check that it runs, and that name and password in the address are right."),
        )


class DriverMissing(BookProblem):
    """PostgreSQL is asked for and its driver isn't installed."""

    code = "E-BOOK-DRIVER"

    def __init__(self) -> None:
        super().__init__(
            say("A postgresql:// book needs a driver that isn't installed."),
            say("Install it with: pip install 'brinebook[postgres]'"),
        )


class SystemUnknown(UsageProblem):
    """The book has no system of this name."""

    code = "E-SYSTEM-UNKNOWN"
    http_status = 404

    def __init__(self, name: str, names: Sequence[str]) -> None:
        listed = ", ".join(names) or say("none")
        super().__init__(
            say("The book has no system called {name!r}.", name=name),
            say("Systems in this book: {listed}.", listed=listed),
        )


class SystemNeeded(UsageProblem):
    """The book has several systems, and none was named."""

    code = "E-SYSTEM-NEEDED"

    def __init__(self, names: Sequence[str]) -> None:
        super().__init__(
            say("The book has several systems, and none was named."),
            say("Name one with --system: {names}.", names=", ".join(names)),
        )


class SystemTaken(UsageProblem):
    """Another system of the book has this name already."""

    code = "E-SYSTEM-TAKEN"
    http_status = 409

    def __init__(self, name: str) -> None:
        super().__init__(
            say("The book has a system called {name!r} already.", name=name),
            say("Give the other one another name in its system.toml."),
        )


class FactUnknown(UsageProblem):
    """No fact of the book has this id."""

    code = "E-FACT-UNKNOWN"
    http_status = 404

    def __init__(self, fact: str) -> None:
        super().__init__(
            say("No fact of this system has the id {fact!r}.", fact=fact[:40]),
            say("`brinebook history` shows every fact with its id."),
        )


class FactAmbiguous(UsageProblem):
    """The beginning of an id fits several facts."""

    code = "E-FACT-AMBIGUOUS"

    def __init__(self, fact: str, candidates: Sequence[str]) -> None:
        super().__init__(
            say(
                "{fact!r} is the beginning of several ids: {candidates}.",
                fact=fact,
                candidates=", ".join(candidates),
            ),
            say("Type one more letter or two."),
        )


class FactTaken(UsageProblem):
    """The same content stands in the book already, as another fact or an earlier form of one."""

    code = "E-FACT-TAKEN"
    http_status = 409

    def __init__(self, fact: str, now: str) -> None:
        super().__init__(
            say(
                "The same fact was entered before, as {fact}, and is now {now}; "
                "nothing was changed.",
                fact=fact,
                now=now,
            ),
            say("If both are meant, tell them apart with --replicate 2."),
        )


class FactWithdrawn(UsageProblem):
    """The fact was undone already."""

    code = "E-FACT-UNDONE"
    http_status = 409

    def __init__(self, fact: str, *, add_again: str) -> None:
        super().__init__(
            say("The fact {fact} was undone already; nothing was changed.", fact=fact),
            say("To have it back: {add_again}", add_again=add_again),
        )


class NothingToUndo(UsageProblem):
    """Nothing was written yet."""

    code = "E-NOTHING-TO-UNDO"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("There is nothing to undo: {why}.", why=why), say("See `brinebook history`.")
        )
