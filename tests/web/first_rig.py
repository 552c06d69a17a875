"""The twenty figures that somebody new types of a rig, and what they give.

python -m tests.web.first_rig
"""

from __future__ import annotations

from datetime import UTC, datetime

from brinebook.book.description import read_description
from brinebook.desk.drill import drilled
from brinebook.desk.rig import asked_of
from brinebook.desk.rig_first import FIRST, first_description

#: What a tape measure, two labels and a can say, as digits under a thumb.
TYPED = {
    "display_length": "120", "display_width": "60", "display_height": "55", "display_water": "51",
    "sump_length": "80", "sump_width": "40", "sump_height": "36", "sump_water": "22",
    "return_length": "25", "pump_head": "3,5", "pump_flow": "4000", "lift": "1,35",
    "pipe_bore": "26,6", "pipe_length": "2,2", "mouth": "60", "weir_length": "40",
    "drain_bore": "40,9", "drain_length": "1", "reservoir": "25", "heater_power": "300",
}  # fmt: skip
#: A dry thumb types four digits a second; ten minutes are what there is.
SECONDS_A_KEY = 0.25
TEN_MINUTES = 600.0
#: What is left for each figure to be measured in. Half a minute with a tape: common practice, no
#: source.
TO_MEASURE = 25.0


def main() -> None:
    """Print what the form asks and what comes of it."""
    asked = sum(len(group.fields) for group in FIRST)
    keys = sum(len(text) for text in TYPED.values())
    text = first_description('name = "New"\ntimezone = "UTC"\n', TYPED)
    system = read_description(text).system
    found = drilled(asked_of(system, at=datetime(2026, 1, 15, tzinfo=UTC)))
    print(
        "| figures asked | keys typed | seconds for them | left for each with the tape | drills |"
    )
    print("| --- | --- | --- | --- | --- |")
    typing = keys * SECONDS_A_KEY
    left = (TEN_MINUTES - typing) / asked
    print(f"| {asked} | {keys} | {typing:.0f} | {left:.0f} s | {len(found.drills)} |")
    worst = found.drills[0]
    print(f"\nThe worst of them: {worst.title}. {worst.told}")


if __name__ == "__main__":
    main()
