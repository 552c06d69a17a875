"""Amounts as they are typed for a plan: litres, grams, a room's CO2."""

from __future__ import annotations

from brinebook.desk.typed import read_quantity
from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.units import convert_amount, parse_amount

#: Scrubbed air of an aerated tank may hold this little, uatm: common practice, no source.
_LEAST_CO2 = 50.0


class VolumeImpossible(UsageProblem):
    """A volume of water that no system has."""

    code = "E-PLAN-VOLUME"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("{text} can't be the net volume of a system.", text=text),
            say("Give litres above 0, such as 300 L."),
        )


class AirImpossible(UsageProblem):
    """A room whose air holds less CO2 than any air does."""

    code = "E-PLAN-AIR"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("{text} is less CO2 than any room's air holds.", text=text),
            say("Outside air holds about 420 ppm; say what was measured, such as “600 ppm”."),
        )


def room_co2_of(text: str) -> float:
    """Typed CO2 of a room, uatm. Raises AirImpossible, and what the readers of amounts raise."""
    found = read_quantity("room_co2", text)
    if found < _LEAST_CO2:
        raise AirImpossible(text)
    return found


def litres_of(text: str) -> float:
    """A typed volume in litres; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension="volume", decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "L")


def litres_a_day(text: str) -> float:
    """A typed volume a day in litres; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension=say("volume a day"), decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "L/day")


def grams_of(text: str) -> float:
    """A typed mass in grams; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension="mass", decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "g")
