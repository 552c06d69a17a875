"""The one place that reads the clock."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """The present, aware and in UTC."""
    return datetime.now(UTC)
