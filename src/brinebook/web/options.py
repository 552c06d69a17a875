"""What ``brinebook serve`` was told."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Options:
    """Which book, at which address, and with what leave.

    ``names`` are host names by which browsers may ask for it, besides numbers and this machine's
    own. With ``at`` the notebook's clock starts there, for looking at a book of the past.
    """

    book: str
    host: str = "127.0.0.1"
    port: int = 8410
    read_only: bool = False
    cert: Path | None = None
    key: Path | None = None
    names: tuple[str, ...] = ()
    at: datetime | None = None

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach it, and by no other name."""
        return is_loopback(self.host) and not self.names

    @property
    def address(self) -> str:
        """What to type into a browser."""
        scheme = "https" if self.cert else "http"
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{scheme}://{host}:{self.port}/"


def is_loopback(host: str) -> bool:
    """Whether a host is this machine alone."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
