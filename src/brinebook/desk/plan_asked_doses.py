"""Plans of doses, bottles and water changes, each from what was typed into its form."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from brinebook.desk.plan_asked_fields import Asked
from brinebook.plan import Plan

if TYPE_CHECKING:
    from brinebook.desk.plan_start import Start


def dose(asked: Asked) -> tuple[Plan, Start]:
    """The daily doses."""
    from brinebook.desk.plan_dose import dosing_plan

    return dosing_plan(asked.source, asked.name, at=asked.at)


def demand(asked: Asked) -> tuple[Plan, Start]:
    """What meets a use that was typed."""
    from brinebook.desk.plan_demand import Demand, demand_plan

    parts = tuple(each.strip() for each in (asked.get("parts") or "").split(";") if each.strip())
    days = asked.number("in_all_days", least=0.1, most=3650) or 7.0
    return demand_plan(
        asked.source,
        asked.name,
        said=asked.said(),
        demand=Demand(asked.need("use"), parts, days),
        at=asked.at,
    )


def correct(asked: Asked) -> tuple[Plan, Start]:
    """A level brought to a value."""
    from brinebook.desk.plan_correct import correction_plan

    return correction_plan(
        asked.source,
        asked.need("quantity"),
        asked.name,
        said=asked.said(),
        to=asked.get("to"),
        level=asked.level(),
        substance=asked.get("substance"),
        days=int(asked.number("days", least=1, most=14) or 1),
        at=asked.at,
    )


def change(asked: Asked) -> tuple[Plan, Start]:
    """Water changes."""
    from brinebook.desk.plan_change import Change, change_plan

    times = asked.number("times", least=1, most=60)
    return change_plan(
        asked.source,
        asked.get("quantity"),
        asked.name,
        said=asked.said(),
        typed=Change(
            to=asked.get("to"),
            amount=asked.get("amount"),
            every=asked.number("every", least=0.5, most=60),
            times=None if times is None else int(times),
            temperature=asked.get("new_temperature"),
            salinity=asked.get("new_salinity"),
            made=asked.get("made"),
            incoming=asked.get("incoming"),
        ),
        level=asked.level(),
        at=asked.at,
    )


def salinity(asked: Asked) -> tuple[Plan, Start]:
    """Salinity brought back."""
    from brinebook.desk.plan_salinity import salinity_plan

    return salinity_plan(
        asked.source,
        asked.name,
        said=asked.said(),
        to=asked.get("to"),
        level=asked.level(),
        at=asked.at,
    )


def bottle(asked: Asked) -> tuple[Plan, Start]:
    """When bottles run dry, and what a stuck pump could do."""
    from brinebook.desk.plan_bottle import Stated, bottle_plan

    away = int(asked.number("away", least=1, most=365) or 0)
    stated = Stated(worst=asked.get("worst"), away=away)
    return bottle_plan(asked.source, asked.name, said=asked.said(), stated=stated, at=asked.at)


def limewater(asked: Asked) -> tuple[Plan, Start]:
    """What limewater brings."""
    from brinebook.desk.plan_limewater import Lime, limewater_plan

    return limewater_plan(
        asked.source,
        asked.name,
        said=replace(asked.said(), evaporation=asked.get("evaporation")),
        lime=Lime(asked.get("strength"), asked.get("hours") or "", asked.get("use")),
        at=asked.at,
    )


def reactor(asked: Asked) -> tuple[Plan, Start]:
    """A calcium reactor's drip."""
    from brinebook.desk.plan_reactor import Drip, reactor_plan

    drip = Drip(
        asked.need("effluent"),
        asked.get("flow"),
        asked.get("effluent_ph"),
        asked.get("co2_bottle"),
        asked.get("use"),
    )
    return reactor_plan(asked.source, asked.name, said=asked.said(), drip=drip, at=asked.at)


def residue(asked: Asked) -> tuple[Plan, Start]:
    """What a year of dosing leaves behind."""
    from brinebook.desk.plan_residue import Dosed, residue_plan

    dosed = Dosed(
        use=asked.get("use"),
        change=asked.get("amount"),
        every=asked.number("every", least=0.5, most=365) or 7.0,
    )
    return residue_plan(asked.source, asked.name, said=asked.said(), dosed=dosed, at=asked.at)


def solution(asked: Asked) -> tuple[Plan, None]:
    """What to weigh for a solution; needs no book."""
    from brinebook.desk.plan_solution import solution_plan

    return solution_plan(
        asked.need("salt"),
        strength=asked.get("strength"),
        match=asked.get("match"),
        volume=asked.get("volume") or "1 L",
        temperature=asked.get("temperature"),
    ), None


def supply(asked: Asked) -> tuple[Plan, Start | None]:
    """Which pack of a salt to buy."""
    from brinebook.desk.plan_supply import LIFE, Shop, supply_plan

    packs = tuple(text for text in asked.need("packs").split(";") if text.strip())
    shop = Shop(packs, asked.get("a_year"), asked.number("life", least=0.1, most=30) or LIFE)
    return supply_plan(asked.source, asked.need("salt"), asked.name, shop=shop, at=asked.at)


def mix(asked: Asked) -> tuple[Plan, None]:
    """Salt for new water, and the time to warm it; needs no book."""
    from brinebook.desk.plan_mix import Batch, mix_plan

    return mix_plan(
        Batch(
            asked.need("volume"),
            asked.get("to") or "35",
            temperature=asked.get("temperature"),
            warm_to=asked.get("warm_to"),
            heater=asked.get("heater"),
        )
    ), None
