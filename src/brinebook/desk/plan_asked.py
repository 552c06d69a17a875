"""Any plan by its name and by what was typed into its fields: what a page of forms asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from zoneinfo import ZoneInfo

from brinebook.desk import plan_asked_doses as doses
from brinebook.desk import plan_asked_rest as rest
from brinebook.desk import plan_asked_slips as slips
from brinebook.desk.plan_asked_fields import Asked, PlanForm
from brinebook.plan import Plan
from brinebook.report.plan_json import named


@dataclass(frozen=True, slots=True)
class Answered:
    """A plan under its id, the zone and units that it is told in, and whether a book is behind."""

    plan: Plan
    zone: ZoneInfo
    units: Mapping[str, str]
    of_book: bool


def asked_plan(kind: str, asked: Asked) -> Answered:
    """The plan of that kind (a key of `FORMS`). Nothing is written.

    Raises FieldMissing, FieldNoNumber, and what the plan itself raises.
    """
    form = FORMS[kind]
    for field in form.needed:
        asked.need(field)
    plan, start = form.answer(asked)
    if start is None:
        return Answered(plan, asked.zone, {}, of_book=False)
    of_book = asked.said().volume is None
    return Answered(named(plan), start.zone, start.units, of_book=of_book)


_FED = ("protein", "phosphorus")
#: What may be said of the water that a slip happened in.
_SLIP = ("volume", "alkalinity", "calcium", "salinity", "temperature", "ph", "co2", "use")

#: Every plan that a page has a form for, by its name, in the order in which they are offered.
FORMS: Mapping[str, PlanForm] = MappingProxyType(
    {
        "dose": PlanForm(doses.dose, water=()),
        "use": PlanForm(doses.demand, ("use", "parts", "in_all_days"), ("use",)),
        "correct": PlanForm(
            doses.correct,
            ("quantity", "to", "substance", "days"),
            ("quantity",),
            water=("level", "volume", "salinity", "temperature", "ph", "co2"),
        ),
        "change": PlanForm(
            doses.change,
            (
                "quantity",
                "to",
                "amount",
                "every",
                "times",
                "made",
                "incoming",
                "new_salinity",
                "new_temperature",
            ),
            water=("level", "volume", "salinity", "temperature", "alkalinity"),
        ),
        "salinity": PlanForm(
            doses.salinity, ("to",), water=("level", "volume", "temperature", "evaporation")
        ),
        "nutrients": PlanForm(
            rest.nutrients, ("nutrient", "food", *_FED), water=("volume", "nitrate", "phosphate")
        ),
        "algae": PlanForm(rest.algae, ("cut", "left", "dry", "across", "grown_to", "growing_days")),
        "ferric": PlanForm(rest.ferric, ("grams", "flow"), water=("phosphate",)),
        "media-load": PlanForm(
            rest.media_load,
            ("load", "grams", "others", "held", "factor", "down_to"),
            ("load",),
            water=("volume", "phosphate"),
        ),
        "carbon": PlanForm(rest.carbon, ("grams", "flow", "across", "lies_in_bag")),
        "bottle": PlanForm(doses.bottle, ("worst", "away")),
        "solution": PlanForm(
            doses.solution,
            ("salt", "strength", "match", "volume", "temperature"),
            ("salt",),
            water=(),
        ),
        "mix": PlanForm(
            doses.mix, ("volume", "to", "temperature", "warm_to", "heater"), ("volume",), water=()
        ),
        "limewater": PlanForm(
            doses.limewater,
            ("evaporation", "strength", "hours", "use"),
            water=("volume", "alkalinity", "salinity", "temperature", "co2"),
        ),
        "reactor": PlanForm(
            doses.reactor,
            ("effluent", "flow", "effluent_ph", "co2_bottle", "use"),
            ("effluent",),
            water=("volume", "alkalinity", "salinity", "temperature", "ph", "co2"),
        ),
        "residue": PlanForm(doses.residue, ("amount", "every", "use")),
        "supply": PlanForm(
            doses.supply, ("salt", "packs", "a_year", "life"), ("salt", "packs"), water=()
        ),
        "acclimate": PlanForm(
            rest.acclimate,
            ("bag_salinity", "bag", "fish", "bag_hours", "ph", "ammonia", "flow", "swap"),
            ("bag_salinity",),
            water=("volume", "salinity", "alkalinity", "temperature", "ph", "co2"),
        ),
        "treatment": PlanForm(rest.treatment, ("label", "change"), ("label",)),
        "slip-dose": PlanForm(
            slips.too_much,
            ("what", "poured", "strength"),
            ("what", "poured"),
            slip=True,
            water=_SLIP,
        ),
        "slip-met": PlanForm(
            slips.met,
            ("first", "first_amount", "second", "second_amount"),
            ("first", "first_amount", "second", "second_amount"),
            slip=True,
        ),
        "slip-limewater": PlanForm(
            slips.limewater, ("litres", "strength"), ("litres",), slip=True, water=_SLIP
        ),
        "slip-salt-top-off": PlanForm(
            slips.salt_top_off,
            ("litres", "tested_since"),
            ("litres",),
            slip=True,
            water=_SLIP,
        ),
        "slip-fresh-flood": PlanForm(
            slips.fresh_flood, ("litres",), ("litres",), slip=True, water=_SLIP
        ),
        "slip-dried-out": PlanForm(
            slips.dried_out, ("litres",), ("litres",), slip=True, water=_SLIP
        ),
        "slip-fresh-change": PlanForm(
            slips.fresh_change, ("litres",), ("litres",), slip=True, water=_SLIP
        ),
        "slip-skimmate": PlanForm(
            slips.skimmate,
            ("thrown", "so_many_days"),
            ("thrown",),
            slip=True,
            water=_SLIP,
        ),
        "slip-overfed": PlanForm(
            slips.overfed, ("grams", *_FED), ("grams",), slip=True, water=_SLIP
        ),
        "slip-death": PlanForm(slips.death, ("grams",), ("grams",), slip=True, water=_SLIP),
        "slip-foreign": PlanForm(
            slips.foreign, ("what_got_in",), ("what_got_in",), slip=True, water=_SLIP
        ),
    }
)
