"""The levers of nutrients in words and steps: sizes, what comes of each, and the acts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from brinebook.desk.nutrient_story import Story
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text, measurable, typed
from brinebook.plan import Expected, Step
from brinebook.planning.levers import (
    algae_lever,
    change_lever,
    dose_lever,
    less_food_lever,
    media_out_lever,
    more_food_lever,
)
from brinebook.planning.limits import PER_DAY
from brinebook.planning.nutrients import Lever, Pulled, Push, chance_in_band, course_of, pull_lever
from brinebook.planning.spread import told
from brinebook.planning.substances import USUAL, of_salt
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say

_HORIZON = 28
#: The order in which levers that do the same are offered: the gentlest first (our own judgement).
_MEDIA_OUT = "take the media out"
_ORDER = (_MEDIA_OUT, "feed less", "feed more", "cut more algae", "change more")
_TEST_AFTER = timedelta(days=14)
#: A weekly change larger than this is made in two (common practice, no source).
_LARGE = 0.25
#: What can't be weighed on kitchen scales is told as a solution of a gram in a litre.
_LEAST_GRAMS = 0.05


@dataclass(frozen=True, slots=True)
class Option:
    """A lever at its size: what to say of it, and what it does to each level."""

    name: str
    about: str
    pulled: Pulled
    pushes: Mapping[str, Push]
    says: str
    sentence: str
    equation: str


def options_for(now: WaterNow, story: Story, about: str, goal: float) -> list[Option]:
    """Every lever that could bring a level to its goal, the one to take first."""
    nutrient = story.nutrients[about]
    rising = goal > float(np.median(course_of(nutrient, _HORIZON)[-1]))
    levers = _up(now, story, about) if rising else _down(story)
    found = []
    for lever in levers:
        pulled = pull_lever(
            lever, story.nutrients, about, goal=goal, horizon=_HORIZON,
            per_day=now.system.limits_per_day.get(about),
        )  # fmt: skip
        # Sizes are shares of the food or of the water, but for cuts (grams) and doses (mg/L).
        least = 0.005 if lever.name in ("feed less", "feed more", "change more") else 1e-6
        if pulled.size <= least:
            continue
        found.append(_option(now, story, about, pulled))
    before = {name: course_of(each, _HORIZON)[-1] for name, each in story.nutrients.items()}
    stays = {name: chance_in_band(story.nutrients[name], each) for name, each in before.items()}
    starts = float(np.median(before[about]))
    return sorted(found, key=lambda option: _rank(option, stays, goal=goal, starts=starts))


def _down(story: Story) -> list[Lever]:
    found = [change_lever(story.place), algae_lever(story.place)]
    if story.budgets:
        found.append(less_food_lever(story.place))
    return found


def _up(now: WaterNow, story: Story, about: str) -> list[Lever]:
    most = now.system.limits_per_day.get(about, PER_DAY[about].value)
    found = [dose_lever(about, most)]
    if story.budgets:
        found.append(more_food_lever(story.place))
        if story.media and about == "phosphate":
            found.append(media_out_lever(story.place))
    return found


def _rank(
    option: Option, stays: Mapping[str, float], *, goal: float, starts: float
) -> tuple[int, int, float, float, int]:
    """What reaches goes first, then what risks least, then what gets furthest, then the gentler.

    Before all of it media come out that take what is running short: nobody adds with one hand what
    the other takes away.

    A risk is running out of either, or driving the other out of the band that it would stay in.
    """
    pulled = option.pulled
    driven = [
        max(stays[name] - chance, 0.0)
        for name, chance in pulled.in_band.items()
        if name != option.about
    ]
    risk = max([*pulled.gone.values(), *driven], default=0.0)
    ends = float(np.median(pulled.levels[option.about]))
    short = 0.0 if pulled.reaches else abs(ends - goal) / max(abs(starts - goal), 1e-9)
    order = _ORDER.index(option.name) if option.name in _ORDER else len(_ORDER)
    against = 0 if option.name == _MEDIA_OUT else 1
    return (against, 0 if pulled.reaches else 1, round(risk, 1), round(short, 1), order)


def _option(now: WaterNow, story: Story, about: str, pulled: Pulled) -> Option:
    says, equation = _says(now, story, about, pulled)
    ends = [
        say("{name} to {amount}", name=name, amount=now.text(name, told(levels, "mg/L")))
        for name, levels in pulled.levels.items()
    ]
    fast = (
        say("about {days:.0f} days to get there", days=pulled.days)
        if pulled.days is not None
        else say("it doesn't get all the way in four weeks")
    )
    risks = ", ".join(
        f"{name} {chance_text(risk)}" for name, risk in pulled.gone.items() if risk > 0.01
    )
    sentence = say(
        "{says} In four weeks {ends}; {fast}.", says=says, ends=say(" and ").join(ends), fast=fast
    )
    if pulled.held_by == "fall":
        sentence += say(" More would pull it down faster than it is let fall.")
    if risks:
        sentence += say(" Chance of running out: {risks}.", risks=risks)
    pushes = pulled.lever.pushes(pulled.size)
    return Option(pulled.lever.name, about, pulled, pushes, says, sentence, equation)


def _says(now: WaterNow, story: Story, about: str, pulled: Pulled) -> tuple[str, str]:
    name, size = pulled.lever.name, pulled.size
    if name == "change more":
        weekly = _weekly(story, size)
        usual = (
            say(" instead of {habit:.0f} %", habit=100 * story.habit) if story.habit > 0.005 else ""
        )
        return (
            say(
                "Change {weekly:.0f} % of the water each week{usual}.",
                weekly=100 * weekly,
                usual=usual,
            ),
            say("a change takes its share of the level each week"),
        )
    if name in ("feed less", "feed more"):
        word = say("less") if name == "feed less" else say("more")
        return (
            say(
                "Feed {size:.0f} % {word} ({grams} a day).",
                size=100 * size,
                word=word,
                grams=amount_text(size * story.grams_a_day, "g"),
            ),
            say("what food brings to the water changes in the same proportion"),
        )
    if name == "cut more algae":
        total = story.place.cut_a_week + size
        usual = (
            say(" instead of {cut_a_week} g", cut_a_week=plain_text(round(story.place.cut_a_week)))
            if story.place.cut_a_week >= 1.0
            else ""
        )
        return (
            say(
                "Grow and cut {total} of algae a week{usual}: that needs light and a "
                "crop that grows so much.",
                total=amount_text(total, "g", digits=2),
                usual=usual,
            ),
            say("wet grams × dry share × nitrogen or phosphorus of the dry"),
        )
    if name == _MEDIA_OUT:
        return (say("Take the ferric media out."), say("what they take now stays in the water"))
    salt, grams = _salt(now, about, size)
    return (
        say(
            "Dose {about} by {amount} a day: {weighed} a day.",
            about=about,
            amount=now.text(about, size, difference=True),
            weighed=_weighed(salt, grams),
        ),
        say("grams = rise × net volume / what a gram brings"),
    )


def _weekly(story: Story, size: float) -> float:
    """The whole weekly share: the habit's and what goes on top of it."""
    return 1.0 - (1.0 - story.habit) * (1.0 - size)


def _salt(now: WaterNow, about: str, size: float) -> tuple[str, float]:
    salt = of_salt(USUAL[about])
    return salt.name, size * now.litres.value / salt.brings(about)


def _weighed(salt: str, grams: float) -> str:
    if grams >= _LEAST_GRAMS:
        return say("{grams} of {salt}", grams=amount_text(grams, "g"), salt=salt)
    return say(
        "{grams} of a solution of 1 g of {salt} in a litre",
        grams=amount_text(1000.0 * grams, "mL"),
        salt=salt,
    )


# ---- steps ---------------------------------------------------------------------------------------


def steps_of(now: WaterNow, story: Story, option: Option) -> tuple[Step, ...]:
    """The acts of a lever for the coming weeks, and the tests that go with them."""
    name = option.name
    if name == "change more":
        steps = _changes(now, story, option)
    elif name == "cut more algae":
        steps = _cuts(now, story, option)
    elif name == _MEDIA_OUT:
        steps = [
            Step(
                now.at,
                now.at + timedelta(days=1),
                "media",
                "ferric",
                "0",
                "g",
                say("Take the ferric media out."),
                expects=_expects(now, story, option, 14),
            )
        ]
    elif name.startswith("dose"):
        steps = _doses(now, story, option)
    else:
        steps = [
            Step(
                now.at, now.at + timedelta(days=2), "done", f"{name}", "", "",
                option.says, expects=_expects(now, story, option, 14),
            )
        ]  # fmt: skip
    when = now.at + _TEST_AFTER
    tests = [
        Step(
            when,
            when + timedelta(days=3),
            "test",
            each,
            "",
            "",
            say("Test {each}, and ask again: the plan changes with what it says.", each=each),
        )
        for each in story.nutrients
    ]
    return tuple(sorted((*steps, *tests), key=lambda step: step.when))


def _expects(now: WaterNow, story: Story, option: Option, day: int) -> tuple[Expected, ...]:
    found = []
    for name, nutrient in story.nutrients.items():
        level = told(course_of(nutrient, day, option.pushes.get(name))[-1], "mg/L")
        when = now.at + timedelta(days=day)
        found.append(Expected(name, when, level.value, level.low, level.high))
    return tuple(found)


def _changes(now: WaterNow, story: Story, option: Option) -> list[Step]:
    """Four weeks of changes, in two halves a week where one would be large."""
    weekly = _weekly(story, option.pulled.size)
    twice = weekly > _LARGE
    share = 1.0 - (1.0 - weekly) ** 0.5 if twice else weekly
    mix = now.system.mixes[0].name if now.system.mixes else ""
    percent = f"{100.0 * share:.0f}"
    litres = amount_text(share * now.litres.value, "L", digits=2)
    every = 3.5 if twice else 7.0
    return [
        Step(
            now.at + timedelta(days=every * number),
            now.at + timedelta(days=every * number + every / 2),
            "water_change",
            mix,
            percent,
            "%",
            say(
                "Change {percent} % of the water ({litres}), matched in warmth and salinity.",
                percent=percent,
                litres=litres,
            ),
            expects=_expects(now, story, option, round(every * (number + 1))),
        )
        for number in range(round(_HORIZON / every))
    ]


def _cuts(now: WaterNow, story: Story, option: Option) -> list[Step]:
    grams = measurable(story.place.cut_a_week + option.pulled.size, "g", digits=2)
    names = [fact.what for fact in now.facts if fact.kind == "harvest"]
    what = names[-1] if names else say("algae")
    return [
        Step(
            now.at + timedelta(days=7 * week),
            now.at + timedelta(days=7 * week + 5),
            "harvest",
            what,
            typed(grams),
            "g",
            say(
                "Cut about {grams} of {what}, wet, if it has grown so much; leave at least half.",
                grams=amount_text(grams, "g"),
                what=what,
            ),
            expects=_expects(now, story, option, 7 * (week + 1)),
        )
        for week in range(1, 4)
    ]


def _doses(now: WaterNow, story: Story, option: Option) -> list[Step]:
    salt, grams = _salt(now, option.about, option.pulled.size)
    return [
        Step(
            now.at + timedelta(days=day),
            now.at + timedelta(days=day, hours=20),
            "dose",
            salt,
            typed(float(f"{grams:.3g}")),
            "g",
            say("Dose {weighed}.", weighed=_weighed(salt, grams)),
            expects=_expects(now, story, option, day + 1),
        )
        for day in range(7)
    ]
