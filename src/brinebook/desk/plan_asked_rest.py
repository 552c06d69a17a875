"""Plans of nutrients, media, new animals and labels, each from what was typed into its form."""

from __future__ import annotations

from brinebook.desk.plan_amounts import grams_of
from brinebook.desk.plan_asked_fields import Asked
from brinebook.desk.plan_now import WaterNow
from brinebook.plan import Plan


def nutrients(asked: Asked) -> tuple[Plan, WaterNow]:
    """What food brings and where it goes; a quantity's levers."""
    from brinebook.desk.nutrient_story import nutrient_story
    from brinebook.desk.plan_algae_typed import Typed, read_content
    from brinebook.desk.plan_food import Label
    from brinebook.desk.plan_nutrients import nutrients_plan
    from brinebook.desk.plan_nutrients_typed import known_nutrient, read_food

    now, food, about = asked.water(), asked.get("food"), asked.get("nutrient")
    story = nutrient_story(
        now,
        label=Label(protein=asked.get("protein"), phosphorus=asked.get("phosphorus")),
        content=read_content(Typed()),
        food=None if food is None else read_food(food),
    )
    wanted = None if about is None else known_nutrient(story, about)
    return nutrients_plan(now, story, about=wanted), now


def algae(asked: Asked) -> tuple[Plan, WaterNow]:
    """How fast algae grow, and what a cut takes out."""
    from brinebook.desk.plan_algae import algae_plan, known_content
    from brinebook.desk.plan_algae_typed import Typed, read_content, read_grown

    now, cut = asked.water(), asked.get("cut")
    grown = read_grown(
        across=asked.get("across"),
        grown_to=asked.get("grown_to"),
        days=asked.number("growing_days", least=0.5, most=3650),
        left=asked.get("left"),
    )
    content = known_content(now, read_content(Typed(dry=asked.get("dry"))))
    return algae_plan(now, content, cut=None if cut is None else grams_of(cut), grown=grown), now


def ferric(asked: Asked) -> tuple[Plan, WaterNow]:
    """How long ferric media last, and how much may go in."""
    from brinebook.desk.plan_ferric import ferric_plan
    from brinebook.desk.plan_ferric_stated import flow_of

    now, grams, flow = asked.water(), asked.get("grams"), asked.get("flow")
    return ferric_plan(
        now,
        grams=None if grams is None else grams_of(grams),
        flow=None if flow is None else flow_of(flow),
    ), now


def media_load(asked: Asked) -> tuple[Plan, WaterNow]:
    """Days that ferric media last against a load that was typed."""
    from brinebook.desk.plan_ferric_stated import stated_plan

    now, grams = asked.water(), asked.get("grams")
    return stated_plan(
        now,
        asked.need("load"),
        grams=None if grams is None else grams_of(grams),
        others=asked.get("others"),
        held=asked.get("held"),
        factor=asked.number("factor", least=0.01, most=100.0) or 1.0,
        down_to=asked.get("down_to"),
    ), now


def carbon(asked: Asked) -> tuple[Plan, WaterNow]:
    """When to change carbon, and whether the water meets it."""
    from brinebook.desk.plan_carbon import carbon_plan
    from brinebook.desk.plan_carbon_typed import read_bed

    now = asked.water()
    bed = read_bed(
        grams=asked.get("grams"), flow=asked.get("flow"), across=asked.get("across"), grain=None,
        bag=asked.get("lies_in_bag") is not None, current=None, thick=None,
    )  # fmt: skip
    return carbon_plan(now, bed), now


def acclimate(asked: Asked) -> tuple[Plan, WaterNow]:
    """From the water of a bag to the system's, in stated steps."""
    from brinebook.desk.plan_acclimate import acclimate_plan
    from brinebook.desk.plan_acclimate_typed import read_bag, read_way

    inside = read_bag(
        asked.get("bag") or "1.5 L",
        asked.need("bag_salinity"),
        ph=asked.get("ph"),
        ammonia=asked.get("ammonia"),
        alkalinity=None,
        fish=asked.get("fish"),
        hours=asked.number("bag_hours", least=0, most=120),
    )
    way = read_way(
        flow=asked.get("flow"), drops=None, fills=False, swap=asked.get("swap"), until=None
    )
    now = asked.water()
    return acclimate_plan(now, inside, way), now


def treatment(asked: Asked) -> tuple[Plan, WaterNow]:
    """What a label's amount comes to for the water: arithmetic only."""
    from brinebook.desk.plan_treatment import treatment_plan

    now = asked.water()
    return treatment_plan(now, asked.need("label"), change=asked.get("change")), now
