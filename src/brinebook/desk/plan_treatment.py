"""``plan treatment``: the volume arithmetic of a label, and nothing more."""

from __future__ import annotations

import re

from brinebook.desk.plan_amounts import litres_of
from brinebook.desk.plan_food import share_of
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text, measurable
from brinebook.errors import UsageProblem
from brinebook.plan import Figure, Plan, Reason
from brinebook.planning import cautions, treatment
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.units import Amount, parse_amount

_LABEL = re.compile(r"(?P<amount>.+?)\s+(?:per|in|to|for|/)\s+(?P<litres>.+)", re.IGNORECASE)


class LabelUnreadable(UsageProblem):
    """A label's instruction that isn't an amount for a volume."""

    code = "E-LABEL"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("“{text}” isn't an amount for a volume.", text=text),
            say("Copy it from the label: “5 mL per 100 L”. Without a label, no arithmetic."),
        )


def read_label(text: str) -> tuple[Amount, float]:
    """“5 mL per 100 L” as the amount and litres; raises LabelUnreadable."""
    found = _LABEL.fullmatch(text.strip())
    if found is None:
        raise LabelUnreadable(text)
    amount = parse_amount(found["amount"], decimal_comma=True)
    litres = litres_of(found["litres"])
    if amount.dimension not in ("volume", "mass") or amount.value <= 0.0 or litres <= 0.0:
        raise LabelUnreadable(text)
    return amount, litres


def treatment_plan(now: WaterNow, label: str, *, change: str | None = None) -> Plan:
    """What the label's amount comes to for this much water, and what changes leave of it.

    ``change`` is the share of a water change. Raises LabelUnreadable, ShareUnreadable.
    """
    amount, per = read_label(label)
    litres = now.litres
    low, middle, high = (
        treatment.amount_by_label(each, label_amount=amount.value, label_litres=per)
        for each in (litres.low, litres.value, litres.high)
    )
    figures = [
        Figure("amount", middle, amount.unit, low, high, say("the label")),
        Figure("volume", litres.value, "L", litres.low, litres.high),
    ]
    notes = [
        say(
            "Count the water, not the glass: rock, sand and the space above the "
            "water take their part, and an amount for the glass is too much."
        ),
        say(
            "Carbon, skimmer, ozone and UV take many treatments out again: the label "
            "says what has to be off."
        ),
    ]
    if change is not None:
        more, note = _after_change(middle, amount.unit, litres.value, share_of(change))
        figures += more
        notes.append(note)
    return Plan(
        kind="treatment",
        about=(),
        at=now.at,
        verdict="told",
        headline=say(
            "Read the label and ask a vet first. What it says, {label}, is "
            "{measurable} {unit} for {litres} L. Whether, and for how long, isn't "
            "for Brinebook to say.",
            label=label.strip(),
            measurable=plain_text(measurable(middle, amount.unit)),
            unit=amount.unit,
            litres=plain_text(round(litres.value, 1)),
        ),
        figures=tuple(figures),
        reasons=(
            Reason(
                say("Volume arithmetic, nothing else."),
                equation=say("amount = label amount × litres / label litres"),
                sources=("levenspiel1999",) if change is not None else (),
            ),
        ),
        cautions=cautions.cautions("medicine", "peroxide", "leftovers"),
        notes=(*notes, *_reef_note(now)),
    )


def _after_change(
    amount: float, unit: str, litres: float, share: float
) -> tuple[list[Figure], str]:
    """What a change of a share takes along, and how many of them leave little."""
    back = treatment.refill_amount(amount, share * litres, litres)
    tenth = treatment.changes_until(share, 0.1)
    figures = [
        Figure("amount_after_change", back, unit, origin=say("only if the label says so")),
        Figure("left_after_change", 100 * (1 - share), "%"),
        Figure("changes_to_a_tenth", tenth, ""),
        Figure("changes_to_a_hundredth", treatment.changes_until(share, 0.01), ""),
    ]
    note = say(
        "A change of {share:.0f} % takes {back} of it along; after {tenth} such "
        "changes a tenth is left, if it doesn't decay.",
        share=100 * share,
        back=amount_text(back, unit),
        tenth=tenth,
    )
    return figures, note


def _reef_note(now: WaterNow) -> tuple[str, ...]:
    if now.answer is None:
        return ()
    return (
        say(
            "That is the volume of the reef itself. Treat in a tank of its own, "
            "by its own volume: in a reef much of it ends in rock and sand, and kills what "
            "isn't fish."
        ),
    )
