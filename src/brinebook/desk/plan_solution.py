"""``plan solution``: a recipe, with what it brings and what to mind."""

from __future__ import annotations

from datetime import UTC, datetime

from brinebook.desk.plan_words import amount_text
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning import cautions
from brinebook.planning.solutions import (
    NEARLY_FULL,
    Recipe,
    StrengthImpossible,
    enemies,
    heated,
    matching_strength,
    other_hydrates,
    recipe,
)
from brinebook.planning.strengths import grams_in_a_litre
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES, parse_amount, parse_number, split_amount
from brinebook.water.salts import SALTS, find_salt

_ROOM = 20.0
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


def solution_plan(
    salt: str,
    *,
    strength: str | None = None,
    match: str | None = None,
    volume: str = "1 L",
    temperature: str | None = None,
    at: datetime = _EPOCH,
) -> Plan:
    """The recipe for a volume of a strength, or of the strength that matches another solution.

    Raises SaltUnknown, StrengthImpossible, SaltAddsNone and what the readers of amounts raise.
    """
    from brinebook.desk.typed import read_quantity

    formula = find_salt(salt).formula
    litres = _litres(volume)
    celsius = _ROOM if temperature is None else read_quantity("temperature", temperature)
    made = recipe(
        formula, _grams_per_litre(formula, strength, match), litres=litres, temperature=celsius
    )
    return Plan(
        kind="solution",
        about=tuple(name for name in made.per_ml if name in QUANTITIES),
        at=at,
        verdict="told" if made.dissolves else "cannot",
        headline=_headline(made),
        figures=_figures(made),
        reasons=_reasons(made),
        cautions=cautions.cautions(*cautions.of_salt(formula), *_dish(formula), "reagents"),
        notes=tuple(_notes(made)),
    )


def _dish(formula: str) -> tuple[str, ...]:
    """The caution of heating baking soda, as the plan tells how."""
    return ("soda",) if formula == "NaHCO3" else ()


def _litres(text: str) -> float:
    amount = parse_amount(text, dimension="volume", decimal_comma=True)
    from brinebook.units import convert_amount

    return convert_amount(amount.value, amount.unit, "L")


def _grams_per_litre(formula: str, strength: str | None, match: str | None) -> float:
    if (strength is None) == (match is None):
        raise StrengthImpossible(
            "Nothing" if strength is None else "Both", say("say one of the two")
        )
    if match is not None:
        other, _, rest = match.strip().partition(" ")
        value, unit = split_amount(rest)
        if unit.replace(" ", "") != "g/L":
            raise StrengthImpossible(match, say("the other solution is a salt with its g/L"))
        grams = parse_number(value, decimal_comma=True)
        return matching_strength(formula, other, other_grams_per_litre=grams)
    assert strength is not None
    return grams_in_a_litre(formula, strength)


def _headline(made: Recipe) -> str:
    what = f"{made.salt.name} ({made.salt.formula})"
    volume = amount_text(made.litres, "L")
    if not made.dissolves and made.holds is not None:
        most = amount_text(made.holds.grams_per_litre, "g")
        return say(
            "That much {what} doesn't dissolve at {temperature} °C: a litre holds "
            "about {most}, and you ask for {grams_per_litre}.",
            what=what,
            temperature=plain_text(made.temperature),
            most=most,
            grams_per_litre=amount_text(made.grams_per_litre, "g"),
        )
    return say(
        "Weigh {grams} of {what}, dissolve it in about four fifths of the water and "
        "fill up with fresh water to {volume}.",
        grams=amount_text(made.grams, "g", digits=4),
        what=what,
        volume=volume,
    )


def _figures(made: Recipe) -> tuple[Figure, ...]:
    found = [
        Figure("grams", made.grams, "g"),
        Figure("grams_per_litre", made.grams_per_litre, "g/L"),
        Figure("volume", made.litres, "L"),
    ]
    for name, each in made.per_ml.items():
        unit = {"alkalinity": "meq/mL", "iodine": "ug/mL", "iron": "ug/mL"}.get(name, "mg/mL")
        found.append(Figure(f"{name}_per_ml", each, unit))
    if made.holds is not None and made.fullness is not None:
        origin = say("handbook; density estimated")
        found.append(Figure("holds", made.holds.grams_per_litre, "g/L", origin=origin))
        found.append(Figure("fullness", 100.0 * made.fullness, "%"))
    if made.salt.formula == "NaHCO3":
        found.append(Figure("soda_ash_if_heated", heated(made.grams), "g"))
    if made.salt.formula == "Na2CO3":
        found.append(Figure("baking_soda_to_heat", made.grams / heated(1.0), "g"))
    if made.warms_by is not None and made.dissolves:
        found.append(Figure("warms_by", made.warms_by, "dC"))
        found.append(Figure("ends_at", made.temperature + made.warms_by, "C"))
    return tuple(found)


def _reasons(made: Recipe) -> tuple[Reason, ...]:
    brings = ", ".join(
        say(
            "{each} {meq_or_mg} of {name}",
            each=plain_text(each, digits=4),
            meq_or_mg="meq" if name == "alkalinity" else "mg",
            name=name,
        )
        for name, each in made.per_ml.items()
        if name not in ("iodine", "iron")
    )
    text = (
        say("A millilitre then brings {brings}.", brings=brings)
        if brings
        else say("It brings traces only.")
    )
    return (Reason(text, equation=say("grams = strength × volume"), sources=("prohaska2022",)),)


def _notes(made: Recipe) -> list[str]:
    found = []
    warm = plain_text(made.temperature)
    if made.holds is None:
        found.append(
            say("How much of it dissolves isn't in the table here: make a trial glass first.")
        )
    elif made.dissolves and made.fullness is not None:
        share = plain_text(round(100 * made.fullness)) if made.fullness >= 0.01 else say("under 1")
        end = say("it may drop crystals when it gets colder") if made.fullness > NEARLY_FULL else ""
        found.append(
            say("That is {share} % of what water holds at {warm} °C", share=share, warm=warm)
            + (f": {end}." if end else ".")
        )
        if not made.holds.within:
            found.append(say("The table ends at 0 and 40 °C; its nearest end was taken."))
    if made.warms_by is not None and made.dissolves and abs(made.warms_by) >= 1.0:
        verb = say("warms") if made.warms_by > 0 else say("cools")
        found.append(
            say(
                "Dissolving it {verb} the water by about {warms_by} K if it all goes in at once.",
                verb=verb,
                warms_by=plain_text(round(abs(made.warms_by))),
            )
        )
    for other, factor in other_hydrates(made.salt.formula).items():
        found.append(
            say(
                "If the jar holds {salts} ({other}) instead, it comes out at "
                "{factor} % of the strength.",
                salts=SALTS[other].name,
                other=other,
                factor=plain_text(round(100 * factor)),
            )
        )
    found += _heated(made)
    met = enemies(made.salt.formula)
    if met:
        by_outcome: dict[str, list[str]] = {}
        for other, outcome in met.items():
            by_outcome.setdefault(outcome, []).append(other)
        found += [
            say(
                "Its strong solution must never meet {names}: {outcome}.",
                names=say(" or ").join(others),
                outcome=say(outcome),
            )
            for outcome, others in by_outcome.items()
        ]
        found.append(
            say("Rinse vessels and lines between them, and let a dose spread before the next.")
        )
    return found


def _heated(made: Recipe) -> list[str]:
    """How soda ash is made of baking soda, on either side."""
    if made.salt.formula == "NaHCO3":
        return [
            say(
                "Heated until it gets no lighter, {grams} of it become {ash} of soda ash (Na2CO3) "
                "with the same alkalinity, which lifts pH where baking soda lowers it at first.",
                grams=amount_text(made.grams, "g", digits=4),
                ash=amount_text(heated(made.grams), "g", digits=4),
            )
        ]
    if made.salt.formula == "Na2CO3":
        soda = made.grams / heated(1.0)
        return [
            say(
                "{soda} of baking soda (NaHCO3), heated until it gets no lighter, make as much.",
                soda=amount_text(soda, "g", digits=4),
            )
        ]
    return []
