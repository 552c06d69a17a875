"""The bag and the drip as typed, read into numbers."""

from __future__ import annotations

from brinebook.desk.acclimating import Bag, BagImpossible, Way
from brinebook.desk.plan_amounts import grams_of, litres_of
from brinebook.desk.plan_food import share_of
from brinebook.desk.typed import read_quantity
from brinebook.planning.acclimate import flow_of_drops
from brinebook.texts import say
from brinebook.units import convert_amount, parse_amount


def read_bag(
    litres: str,
    salinity: str,
    *,
    ph: str | None,
    ammonia: str | None,
    alkalinity: str | None,
    fish: str | None,
    hours: float | None,
) -> Bag:
    """The bag; raises what the readers of amounts raise, and BagImpossible."""
    if hours is not None and not 0.0 <= hours <= 120.0:
        raise BagImpossible(
            say("{hours:g} hours in a bag can't be.", hours=hours),
            say("Say how long it was closed."),
        )
    return Bag(
        litres=litres_of(litres),
        salinity=read_quantity("salinity", salinity),
        ph=None if ph is None else read_quantity("ph", ph),
        ammonia=None if ammonia is None else read_quantity("ammonia", ammonia),
        alkalinity=None if alkalinity is None else read_quantity("alkalinity", alkalinity),
        fish_grams=None if fish is None else grams_of(fish),
        hours=hours,
    )


def read_way(
    *,
    flow: str | None,
    drops: float | None,
    fills: bool,
    swap: str | None,
    until: str | None,
) -> Way:
    """The way in which the system's water comes in; raises BagImpossible where two are given."""
    if sum(each is not None for each in (flow, drops, swap)) > 1:
        raise BagImpossible(
            say("A drip by flow, by drops and swaps are three ways."), say("Give one of them.")
        )
    rate = None
    if flow is not None:
        amount = parse_amount(flow, dimension="flow", decimal_comma=True)
        rate = convert_amount(amount.value, amount.unit, "L/h")
    elif drops is not None:
        rate = flow_of_drops(drops)
    return Way(
        flow=rate,
        fills=fills,
        swap=None if swap is None else share_of(swap),
        until=None if until is None else read_quantity("salinity", until),
    )
