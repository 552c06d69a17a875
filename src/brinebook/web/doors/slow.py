"""Each wrong password makes the next try wait longer, for its sender and a little for everyone."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

FREE_TRIES = 3
LONGEST_WAIT = 300.0
MOST_SENDERS = 1000
_EVERYONE = ""
_FREE_FOR_ALL = 30


@dataclass(slots=True)
class _Tries:
    wrong: int = 0
    until: float = 0.0


class Slow:
    """Counts wrong tries by sender; knows how long the next one has to wait."""

    def __init__(self, seconds: Callable[[], float]) -> None:
        self.seconds = seconds
        self._lock = threading.Lock()
        self._known: OrderedDict[str, _Tries] = OrderedDict()

    def wait(self, sender: str) -> float:
        """Seconds until this sender may try again; 0 where it may now."""
        with self._lock:
            return self._wait(sender, self.seconds())

    def begin(self, sender: str) -> float:
        """Seconds until this sender may try; 0 where it may now, and then the try counts as wrong
        until `right` is said of it: of many sent at once no more are let through than one by one.
        """
        now = self.seconds()
        with self._lock:
            wait = self._wait(sender, now)
            if not wait:
                self._count(sender, now)
        return wait

    def wrong(self, sender: str) -> None:
        """A try failed."""
        with self._lock:
            self._count(sender, self.seconds())

    def _wait(self, sender: str, now: float) -> float:
        untils = [self._known[one].until for one in (sender, _EVERYONE) if one in self._known]
        return max(0.0, *(until - now for until in untils)) if untils else 0.0

    def _count(self, sender: str, now: float) -> None:
        for one, free in ((sender, FREE_TRIES), (_EVERYONE, _FREE_FOR_ALL)):
            tries = self._known.setdefault(one, _Tries())
            self._known.move_to_end(one)
            tries.wrong += 1
            over = tries.wrong - free
            if over >= 0:
                tries.until = now + min(2.0 ** min(over, 30), LONGEST_WAIT)
        while len(self._known) > MOST_SENDERS:
            self._known.popitem(last=False)

    def right(self, sender: str) -> None:
        """A try succeeded: its sender, and everyone, starts anew."""
        with self._lock:
            self._known.pop(sender, None)
            self._known.pop(_EVERYONE, None)
