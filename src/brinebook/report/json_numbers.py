"""Answers for programs: every number at nine significant digits, keys in the order given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from brinebook.report.numbers import rounded


def for_json(value: object, name: str = "answer") -> Any:
    """The answer with its numbers rounded. Raises ValueError where one is not finite."""
    if isinstance(value, float):
        return rounded(value, name=name)
    if isinstance(value, Mapping):
        return {str(key): for_json(part, f"{name}.{key}") for key, part in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [for_json(part, f"{name}[{place}]") for place, part in enumerate(value)]
    return value
