"""What can be wrong with a number or a unit, each as its own small error that teaches."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.errors import UsageProblem
from brinebook.texts import say

_LONGEST_SHOWN = 60


def shown(text: str) -> str:
    """The text in quotes, safe to print: control characters escaped, long text cut."""
    cut = text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."
    printable = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut)
    return f'"{printable}"'


def listed(names: Sequence[str]) -> str:
    """Names in a sentence: ``a, b or c``."""
    if len(names) < 2:
        return "".join(names)
    return say("{names} or {last}", names=", ".join(names[:-1]), last=names[-1])


class NumberUnreadable(UsageProblem):
    """The text is not a number that can be read in only one way."""

    code = "E-NUMBER"

    def __init__(self, text: str, reason: str, hint: str = "") -> None:
        super().__init__(
            say("{shown} can't be read as a number: {reason}.", shown=shown(text), reason=reason),
            hint
            or say("Write it with a decimal point and no thousands mark, such as 1320 or 8.2."),
        )
        self.text = text


class QuantityUnknown(UsageProblem):
    """No quantity goes by that name."""

    code = "E-QUANTITY"

    def __init__(self, text: str, known: Sequence[str], close: Sequence[str] = ()) -> None:
        hint = (
            say("Did you mean {close}?", close=listed(close))
            if close
            else say("Known are: {known}.", known=", ".join(known))
        )
        super().__init__(
            say("{shown} is not a quantity that Brinebook knows.", shown=shown(text)), hint
        )
        self.text = text


class UnitUnknown(UsageProblem):
    """The unit is not one that this quantity (or any) is read in."""

    code = "E-UNIT-UNKNOWN"

    def __init__(self, unit: str, about: str, known: Sequence[str]) -> None:
        super().__init__(
            say("{unit} is not a unit that {about} is read in.", unit=shown(unit), about=about),
            say("Use {known}.", known=listed(known)),
        )
        self.unit = unit


class UnitMissing(UsageProblem):
    """A number stands without its unit where only a unit makes it mean something."""

    code = "E-UNIT-MISSING"

    def __init__(self, about: str, known: Sequence[str], because: str = "") -> None:
        message = say("{about} needs a unit.", about=about)
        super().__init__(
            f"{message} {because}".strip(), say("Add one of {known}.", known=listed(known))
        )


class UnitAmbiguous(UsageProblem):
    """The unit has more than one meaning in use, far enough apart to do harm."""

    code = "E-UNIT-AMBIGUOUS"

    def __init__(self, unit: str, about: str, because: str, use: Sequence[str]) -> None:
        super().__init__(
            say(
                "{unit} alone is ambiguous for {about}: {because}.",
                unit=shown(unit),
                about=about,
                because=because,
            ),
            say("Say which: {use}.", use=listed(use)),
        )
        self.unit = unit


class OutOfRange(UsageProblem):
    """The value can't be: outside what water, a room or the instrument can hold."""

    code = "E-RANGE"

    def __init__(
        self, about: str, *, typed: str, low: float, high: float, unit: str, slip: str = ""
    ) -> None:
        super().__init__(
            say(
                "{about} of {typed} is outside what can be: {low}.",
                about=about,
                typed=typed,
                low=say("{low:g} to {high:g} {unit}", low=low, high=high, unit=unit).strip(),
            ),
            slip or say("Look at the reading and its unit once more."),
        )
        self.slip = slip


class TemperatureNeeded(UsageProblem):
    """A conductivity means nothing without the temperature at which it was read."""

    code = "E-TEMPERATURE-NEEDED"

    def __init__(self) -> None:
        super().__init__(
            say(
                "A conductivity in mS/cm needs the water's temperature: one degree "
                "is worth 0.8 PSU."
            ),
            say(
                "Give the temperature of the sample too: temperature=25 in detail, "
                "or --temperature."
            ),
        )


class QuantityNeeded(UsageProblem):
    """The conversion gives different results for different quantities."""

    code = "E-QUANTITY-NEEDED"

    def __init__(self, unit: str, to_unit: str, candidates: Sequence[str]) -> None:
        super().__init__(
            say(
                "From {unit} to {to_unit} depends on what is measured.", unit=unit, to_unit=to_unit
            ),
            say("Say so with --quantity: {candidates}.", candidates=listed(candidates)),
        )


class DimensionMismatch(UsageProblem):
    """The two units don't measure the same kind of thing."""

    code = "E-DIMENSION"

    def __init__(self, unit: str, to_unit: str) -> None:
        super().__init__(
            say(
                "{unit} can't be turned into {to_unit}: no one quantity is read in both of them.",
                unit=shown(unit),
                to_unit=shown(to_unit),
            ),
            say("Check both units; docs/models/units.md lists what can be converted into what."),
        )
