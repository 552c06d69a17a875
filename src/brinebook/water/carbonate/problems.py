"""What can be wrong with a question to the carbonate system."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.errors import UsageProblem

PAIRS_IN_WORDS = (
    "alkalinity with DIC, alkalinity with pH, alkalinity with pCO2, DIC with pH, DIC with pCO2, "
    "pH with pCO2"
)


class PairNeeded(UsageProblem):
    """Not exactly two of the four were given."""

    code = "E-PAIR"

    def __init__(self, given: Sequence[str]) -> None:
        if len(given) < 2:
            what = f"only {given[0]} was given" if given else "none of the four was given"
            message = f"Two of alkalinity, DIC, pH and pCO2 say it all, and {what}."
        else:
            names = f"{', '.join(given[:-1])} and {given[-1]}"
            message = f"{names} were given: two say it all, and more would contradict each other."
        super().__init__(message, f"Give exactly one pair: {PAIRS_IN_WORDS}.")
        self.given = tuple(given)


class InputsImpossible(UsageProblem):
    """No seawater has both of the numbers."""

    code = "E-IMPOSSIBLE"

    def __init__(self, first: str, second: str, because: str) -> None:
        super().__init__(
            f"No seawater has {first} together with {second}: {because}.",
            "One of the two is off, or in another unit or pH scale than was said.",
        )


class InputNotPositive(UsageProblem):
    """A number that has to be finite and above zero isn't."""

    code = "E-IMPOSSIBLE"

    def __init__(self, name: str, value: float, allowed: str = "above zero") -> None:
        super().__init__(
            f"{name} of {value:g} can't be.", f"{name} is a finite number {allowed}: look again."
        )
