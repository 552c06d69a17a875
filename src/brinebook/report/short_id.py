"""Short names for long ids: what a keeper types to answer a question.

The id of an unlogged change names its kind, additive and times, and is too long to type. Its short
form comes from the id alone, so it is the same in every book and on every machine.
"""

from __future__ import annotations

import base64
import hashlib

LETTERS = 6


def short_id(identifier: str) -> str:
    """Six letters and digits for the id of a change or a cause; a fact's own id is kept."""
    if "-" not in identifier:
        return identifier
    digest = hashlib.sha256(identifier.encode("utf-8")).digest()
    return base64.b32encode(digest[:5])[:LETTERS].decode("ascii").lower()
