"""Which quantities a sentence speaks of, so that it can be unfolded to what they rest on."""

from __future__ import annotations

import re
from collections.abc import Iterable

from brinebook.texts.names import quantity_label


def mentioned(text: str, quantities: Iterable[str]) -> list[str]:
    """The quantities named in a text, in the order in which it names them."""
    found = []
    for name in quantities:
        place = re.search(rf"\b{re.escape(quantity_label(name))}\b", text, re.IGNORECASE)
        if place is not None:
            found.append((place.start(), name))
    return [name for _, name in sorted(found)]
