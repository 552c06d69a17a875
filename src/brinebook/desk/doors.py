"""The password of a book's notebook, and the secret that signs sessions; both lie in the book."""

from __future__ import annotations

import hashlib
import secrets

from brinebook.book import settings
from brinebook.book.identity import to_us
from brinebook.book.store import Book
from brinebook.desk import clock
from brinebook.errors import BookProblem, UsageProblem
from brinebook.texts import say

PASSWORD, SECRET = "doors.password", "doors.secret"
SHORTEST_PASSWORD = 10
LONGEST_PASSWORD = 1000


class PasswordPoor(UsageProblem):
    """A password that is too short, or longer than anybody types."""

    code = "E-PASSWORD"

    def __init__(self, length: int) -> None:
        super().__init__(
            say(
                "A password of {length} characters won't do: it takes "
                "{shortest_password} to {longest_password}.",
                length=length,
                shortest_password=SHORTEST_PASSWORD,
                longest_password=LONGEST_PASSWORD,
            ),
            say("A few unrelated words in a row are easy to keep and hard to guess."),
        )


def set_password(book: Book, password: str) -> None:
    """Keep the argon2id hash of a password; every session opened with the old one ends.

    Raises PasswordPoor.
    """
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise PasswordPoor(len(password))
    from argon2 import PasswordHasher

    hashed = PasswordHasher().hash(password)
    with book.write() as connection:
        settings.write_setting(connection, PASSWORD, hashed, now_us=to_us(clock.now()))


def password_hash(book: Book) -> str | None:
    """The hash that is kept; None where no password was set."""
    with book.read() as connection:
        return settings.read_setting(connection, PASSWORD)


def fits(password: str, hashed: str) -> bool:
    """Whether this is the password of that hash. Takes its time, on purpose."""
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(hashed, password[:LONGEST_PASSWORD])
    except (VerificationError, InvalidHashError):
        return False


def epoch(hashed: str) -> str:
    """What a session remembers of the password it was opened with."""
    return hashlib.sha256(hashed.encode()).hexdigest()[:16]


def signing_secret(book: Book) -> str:
    """The book's own secret, made the first time; one of this run where the book can't keep it."""
    with book.read() as connection:
        found = settings.read_setting(connection, SECRET)
    if found is not None:
        return found
    fresh = secrets.token_hex(32)
    try:
        with book.write() as connection:
            there = settings.read_setting(connection, SECRET)
            if there is not None:
                return there
            settings.write_setting(connection, SECRET, fresh, now_us=to_us(clock.now()))
    except BookProblem:
        return fresh  # a read-only book: sessions then end with the program
    return fresh
