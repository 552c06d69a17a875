"""What a test is worth: by how much it would narrow what is known of the water."""

from __future__ import annotations

import math


def narrowing(now_sd: float, test_sd: float, *, bias_sd: float = 0.0) -> float:
    """By which share (0 to 1) one more test narrows the belief about a level.

    ``now_sd`` is the belief's standard deviation, ``test_sd`` one test's noise, ``bias_sd`` the
    doubt about the method's own bias, which more tests of the same kind don't lessen. Two normals
    combine by their weights.
    """
    if now_sd <= 0.0:
        return 0.0
    kept = min(bias_sd, now_sd) ** 2
    open_part = now_sd**2 - kept
    if open_part <= 0.0 or test_sd <= 0.0:
        return 0.0 if open_part <= 0.0 else 1.0 - math.sqrt(kept) / now_sd
    after = 1.0 / (1.0 / open_part + 1.0 / test_sd**2)
    return 1.0 - math.sqrt(kept + after) / now_sd
