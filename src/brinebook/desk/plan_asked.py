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
    return Answered(named(plan), start.zone, start.units, of_book=True)


_FED = ("protein", "phosphorus")

#: Every plan that a page has a form for, by its name, in the order in which they are offered.
FORMS: Mapping[str, PlanForm] = MappingProxyType(
    {
        "dose": PlanForm(doses.dose),
        "correct": PlanForm(doses.correct, ("quantity", "to", "substance", "days"), ("quantity",)),
        "change": PlanForm(
            doses.change, ("quantity", "to", "amount", "every", "times", "new_temperature")
        ),
        "salinity": PlanForm(doses.salinity, ("to",)),
        "nutrients": PlanForm(rest.nutrients, ("nutrient", "food", *_FED)),
        "algae": PlanForm(rest.algae, ("cut", "dry", "across", "grown_to", "growing_days")),
        "ferric": PlanForm(rest.ferric, ("grams", "flow")),
        "carbon": PlanForm(rest.carbon, ("grams", "flow", "across", "lies_in_bag")),
        "bottle": PlanForm(doses.bottle, ("worst", "away")),
        "solution": PlanForm(
            doses.solution, ("salt", "strength", "volume", "temperature"), ("salt",)
        ),
        "mix": PlanForm(
            doses.mix, ("volume", "to", "temperature", "warm_to", "heater"), ("volume",)
        ),
        "limewater": PlanForm(doses.limewater, ("evaporation", "strength", "hours")),
        "reactor": PlanForm(
            doses.reactor, ("effluent", "flow", "effluent_ph", "co2_bottle"), ("effluent",)
        ),
        "residue": PlanForm(doses.residue, ("amount", "every")),
        "acclimate": PlanForm(
            rest.acclimate,
            ("bag_salinity", "bag", "fish", "bag_hours", "ph", "ammonia", "flow", "swap"),
            ("bag_salinity",),
        ),
        "treatment": PlanForm(rest.treatment, ("label", "change"), ("label",)),
        "slip-dose": PlanForm(
            slips.too_much, ("what", "poured", "strength"), ("what", "poured"), slip=True
        ),
        "slip-met": PlanForm(
            slips.met,
            ("first", "first_amount", "second", "second_amount"),
            ("first", "first_amount", "second", "second_amount"),
            slip=True,
        ),
        "slip-limewater": PlanForm(slips.limewater, ("litres", "strength"), ("litres",), slip=True),
        "slip-salt-top-off": PlanForm(
            slips.salt_top_off, ("litres", "tested_since"), ("litres",), slip=True
        ),
        "slip-fresh-flood": PlanForm(slips.fresh_flood, ("litres",), ("litres",), slip=True),
        "slip-dried-out": PlanForm(slips.dried_out, ("litres",), ("litres",), slip=True),
        "slip-fresh-change": PlanForm(slips.fresh_change, ("litres",), ("litres",), slip=True),
        "slip-skimmate": PlanForm(
            slips.skimmate, ("thrown", "so_many_days"), ("thrown",), slip=True
        ),
        "slip-overfed": PlanForm(slips.overfed, ("grams", *_FED), ("grams",), slip=True),
        "slip-death": PlanForm(slips.death, ("grams",), ("grams",), slip=True),
        "slip-foreign": PlanForm(slips.foreign, ("what_got_in",), ("what_got_in",), slip=True),
    }
)
