"""A fixed present for tests: nothing here reads the clock."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

NOW = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
LISBON = ZoneInfo("Europe/Lisbon")
