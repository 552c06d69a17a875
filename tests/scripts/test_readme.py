"""The screen in the README is what the program prints, and not what somebody wished it would."""

from __future__ import annotations

import re

from scripts import readme


def _skeleton(screen: str) -> list[str]:
    """The screen without its digits and blocks: those may differ in the last place elsewhere."""
    return [re.sub(r"\s+", " ", re.sub(r"[\d▁-█·]+", "#", line)) for line in screen.splitlines()]


def test_the_screen_in_the_readme_is_what_the_demo_prints() -> None:
    shown = readme.shown_screen(readme.README.read_text(encoding="utf-8"))
    assert _skeleton(shown) == _skeleton(readme.todays_screen())


def test_a_new_screen_takes_the_place_of_the_old_one() -> None:
    text = f"above\n{readme.START}\n```text\nold\n```\n{readme.END}\nbelow\n"
    new = readme.with_screen(text, "new screen")
    assert readme.shown_screen(new) == "new screen"
    assert new.startswith("above\n")
    assert new.endswith(f"{readme.END}\nbelow\n")
