"""Short ids: from the id alone, easy to type, apart from each other."""

from __future__ import annotations

import base64
import hashlib

from hypothesis import given
from hypothesis import strategies as st

from brinebook.report.short_id import LETTERS, short_id


def test_a_facts_own_id_is_kept() -> None:
    assert short_id("fuwqqnzzo7aj") == "fuwqqnzzo7aj"


def test_a_changes_id_becomes_six_letters_that_come_from_it_alone() -> None:
    long = "exchange-exchange-8888.667-8890.740"
    # sha256 and base32 as their standards have them (FIPS 180-4, RFC 4648), first letters.
    expected = base64.b32encode(hashlib.sha256(long.encode()).digest())[:LETTERS].decode().lower()
    assert short_id(long) == expected
    assert len(expected) == 6


@given(st.lists(st.floats(0, 20000).map(lambda t: f"jump-calcium-{t:.3f}-{t + 3:.3f}"),
                min_size=2, max_size=30, unique=True))  # fmt: skip
def test_a_seasons_questions_have_short_ids_apart(ids: list[str]) -> None:
    # 30 of 2^30: the chance of two alike is under one in a million; hypothesis would find a bug.
    assert len({short_id(one) for one in ids}) == len(ids)
