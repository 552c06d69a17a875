"""Volume arithmetic for a treatment whose label and vet say how much: nothing here gives a dose."""

from __future__ import annotations


def amount_by_label(litres: float, *, label_amount: float, label_litres: float) -> float:
    """What the label's amount for ``label_litres`` comes to for the real volume, same unit."""
    return label_amount * litres / label_litres


def left_after_changes(share: float, times: int) -> float:
    """Share of a substance left after so many changes of ``share`` of the water, none decaying.

    Source: levenspiel1999
    """
    return (1.0 - share) ** times


def refill_amount(amount: float, changed_litres: float, litres: float) -> float:
    """What a change of water takes out of the whole amount, where a label says to replace it."""
    return amount * changed_litres / litres


def changes_until(share: float, left: float) -> int:
    """Changes of ``share`` (0 to 1, both left out) until at most ``left`` of a substance is in."""
    count, still = 0, 1.0
    while still > left * (1.0 + 1e-12):
        count, still = count + 1, still * (1.0 - share)
    return count
