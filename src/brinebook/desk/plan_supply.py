"""``plan supply``: which pack of a salt to buy, by what is used of it before it is too old."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from typing import TYPE_CHECKING

from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_words import amount_text
from brinebook.desk.typed import number_and_unit
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning.cautions import cautions, of_salt
from brinebook.planning.supply import Pack, cost_per_used, pays_from, used_of
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import convert_amount, parse_number
from brinebook.water.salts import find_salt

if TYPE_CHECKING:
    from brinebook.desk.plan_start import Start

#: Years that a dry salt keeps in a closed jar: common practice, no source.
LIFE = 3.0
#: A pack that is too heavy to lift without thought, kg: 23 to 25 kg is the usual reference mass.
_HEAVY = 20.0
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
_PACK = re.compile(r"^\s*(\S+\s*[A-Za-z]+)\s*(?:[:=,]|\s)\s*([\d.,]+)(?:\s*[+ ]\s*([\d.,]+))?\s*$")


class PackUnclear(UsageProblem):
    """A pack can't be read, or there is none."""

    code = "E-PLAN-PACK"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("“{text}” is no pack with its price.", text=text)
            if text
            else say("No pack was named to choose from."),
            say("Write what is in it, its price, and what its sending costs: “5 kg 24+9”."),
        )


class SupplyUnused(UsageProblem):
    """Nobody knows how much of a salt is used in a year."""

    code = "E-PLAN-SUPPLY-USE"

    def __init__(self, salt: str) -> None:
        super().__init__(
            say(
                "How much {salt} is used in a year isn't known: no bottle of it is dosed.",
                salt=salt,
            ),
            say("Say it, such as 0.9 kg."),
        )


@dataclass(frozen=True, slots=True)
class Shop:
    """What was typed: packs (“5 kg 24+9”), use a year, years that the salt keeps."""

    packs: tuple[str, ...]
    use: str | None = None
    life: float = LIFE


def supply_plan(
    source: BookOrAnswer,
    salt: str,
    name: str | None = None,
    *,
    shop: Shop,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start | None]:
    """What each pack costs for a kilogram that is used; the book is asked for the use left out.

    Raises PackUnclear, SupplyUnused, SaltUnknown and what opening a book and reading amounts raise.
    """
    formula = find_salt(salt).formula
    packs = sorted((read_pack(text) for text in shop.packs), key=lambda one: one.kilograms)
    if not packs:
        raise PackUnclear("")
    start: Start | None = None
    if shop.use is None:
        from brinebook.desk.plan_start import start_of

        start = start_of(source, name, said=Said(), at=at, known=known)
        a_year = _used(start, formula)
    else:
        value, unit = number_and_unit(shop.use.removesuffix("/year"))
        a_year = convert_amount(value, unit, "g", dimension="mass") / 1000.0
    if a_year <= 0.0:
        raise SupplyUnused(formula)
    return _worded(start, formula, packs, a_year=a_year, years=shop.life), start


def read_pack(text: str) -> Pack:
    """“5 kg 24+9” as a pack. Raises PackUnclear and what the readers of amounts raise."""
    found = _PACK.match(text)
    if found is None:
        raise PackUnclear(text)
    value, unit = number_and_unit(found[1])
    kilograms = convert_amount(value, unit, "g", dimension="mass") / 1000.0
    price = parse_number(found[2], decimal_comma=True)
    sending = parse_number(found[3] or "0", decimal_comma=True)
    if kilograms <= 0.0 or price < 0.0 or sending < 0.0 or price + sending <= 0.0:
        raise PackUnclear(text)
    return Pack(kilograms, price, sending)


def _used(start: Start, formula: str) -> float:
    """Kilograms a year at what the pumps are set to now."""
    from brinebook.desk.plan_dose import pumps_now

    strengths = {a.name: a.grams_per_litre or 0.0 for a in start.water.system.additives}
    grams = 0.0
    for pump in pumps_now(start):
        part = pump.substance
        if part.salt == formula:
            each = 1.0 if part.unit == "g" else strengths.get(part.name, 0.0) / 1000.0
            grams += pump.setting * each
    return grams * 365.0 / 1000.0


def _worded(
    start: Start | None, formula: str, packs: Sequence[Pack], *, a_year: float, years: float
) -> Plan:
    best = min(packs, key=lambda one: cost_per_used(one, a_year=a_year, years=years))
    return Plan(
        kind="supply",
        about=(),
        at=_EPOCH if start is None else start.at,
        verdict="told",
        headline=say(
            "At {used} of {formula} a year the pack of {pack} comes cheapest: {cost} for each kg "
            "that is used.",
            used=_mass(a_year),
            formula=formula,
            pack=_mass(best.kilograms),
            cost=_money(cost_per_used(best, a_year=a_year, years=years)),
        ),
        figures=tuple(_figures(packs, a_year=a_year, years=years)),
        reasons=(
            Reason(
                say(
                    "What is thrown away has been paid for: only what is used within the {years:g} "
                    "years that it keeps counts.",
                    years=years,
                ),
                equation=say("(price + sending) ÷ min(pack, use a year × years)"),
            ),
        ),
        cautions=cautions(
            *of_salt(formula),
            *(("lifting",) if max(one.kilograms for one in packs) >= _HEAVY else ()),
            "reagents",
        ),
        notes=tuple(_notes(packs, a_year=a_year, years=years)),
    )


def _figures(packs: Sequence[Pack], *, a_year: float, years: float) -> list[Figure]:
    figures = [Figure("used_a_year", a_year, "kg"), Figure("keeps", years, "years")]
    for pack in packs:
        size = f"{pack.kilograms:g}_kg"
        cost = cost_per_used(pack, a_year=a_year, years=years)
        figures.append(Figure(f"cost_per_used_kg_of_{size}", cost, ""))
        figures.append(Figure(f"years_of_supply_of_{size}", pack.kilograms / a_year, "years"))
    for smaller, larger in pairwise(packs):
        found = pays_from(larger, smaller, years=years)
        if found is not None:
            name = f"pays_{larger.kilograms:g}_kg_over_{smaller.kilograms:g}_kg_from"
            figures.append(Figure(name, found, "kg"))
    return figures


def _notes(packs: Sequence[Pack], *, a_year: float, years: float) -> list[str]:
    notes = []
    for pack in packs:
        used = used_of(pack, a_year=a_year, years=years)
        text = say(
            "The pack of {pack} costs {cost} for each kg that is used and lasts {lasts} years.",
            pack=_mass(pack.kilograms),
            cost=_money(cost_per_used(pack, a_year=a_year, years=years)),
            lasts=plain_text(pack.kilograms / a_year, digits=2),
        )
        if used < pack.kilograms:
            text = f"{text} " + say(
                "{left} of it would be too old first.", left=_mass(pack.kilograms - used)
            )
        notes.append(text)
    for smaller, larger in pairwise(packs):
        found = pays_from(larger, smaller, years=years)
        pair = {"larger": _mass(larger.kilograms), "smaller": _mass(smaller.kilograms)}
        notes.append(
            say("{larger} never pays against {smaller}.", **pair)
            if found is None
            else say(
                "{larger} pays against {smaller} from {use} a year on.", use=_mass(found), **pair
            )
        )
    notes.append(
        say(
            "It keeps only dry and closed: an open bag draws water, and weighs more than it brings."
        )
    )
    return notes


def _mass(kilograms: float) -> str:
    return amount_text(1000.0 * kilograms, "g")


def _money(value: float) -> str:
    return plain_text(value, digits=3)
