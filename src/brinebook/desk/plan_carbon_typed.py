"""A bed or bag of carbon as typed, read into numbers."""

from __future__ import annotations

from brinebook.desk.plan_amounts import grams_of
from brinebook.desk.plan_carbon import Bed, BedImpossible
from brinebook.desk.plan_ferric_stated import flow_of
from brinebook.texts import say
from brinebook.units import convert_amount, parse_amount


def metres_of(text: str) -> float:
    """A typed length in m; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension="length", decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "m")


def read_bed(
    *,
    grams: str | None,
    flow: str | None,
    across: str | None,
    grain: str | None,
    bag: bool,
    current: float | None,
    thick: str | None,
) -> Bed:
    """The bed; raises BedImpossible and what the readers of amounts raise."""
    if current is not None and not 0.0 < current <= 200.0:
        raise BedImpossible(
            say("{current:g} cm/s isn't a current.", current=current),
            say("Give centimetres a second."),
        )
    if thick is not None and not 0.001 <= metres_of(thick) <= 1.0:
        raise BedImpossible(
            say("{thick} isn't the thickness of a bag.", thick=thick), say("Give --thick “30 mm”.")
        )
    said = Bed()
    return Bed(
        grams=None if grams is None else grams_of(grams),
        flow=None if flow is None else flow_of(flow),
        across=None if across is None else metres_of(across),
        grain=said.grain if grain is None else metres_of(grain),
        bag=bag,
        current=said.current if current is None else current / 100.0,
        thick=said.thick if thick is None else metres_of(thick),
    )
