"""Food and the level that is meant, as typed."""

from __future__ import annotations

from brinebook.desk.nutrient_story import Story
from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.units import convert_amount, find_quantity, parse_amount


class NutrientUnknown(UsageProblem):
    """Levers were asked for of something that has none here."""

    code = "E-NUTRIENT"

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        listed = say(" and ").join(known) or say("none is known here")
        super().__init__(
            say("There are no levers of {name} to tell.", name=name),
            say(
                "It is asked of nitrate and phosphate, where they were tested ({listed}).",
                listed=listed,
            ),
        )


def read_food(text: str) -> float:
    """Grams of food a day; raises what the readers of amounts raise."""
    amount = parse_amount(text, dimension=say("mass a day"), decimal_comma=True)
    return convert_amount(amount.value, amount.unit, "g/day")


def known_nutrient(story: Story, text: str) -> str:
    """The level that is meant; raises NutrientUnknown."""
    name = find_quantity(text).name
    if name not in story.nutrients:
        raise NutrientUnknown(name, tuple(story.nutrients))
    return name
