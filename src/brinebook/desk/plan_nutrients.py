"""``plan nutrients``: what food brings, where it goes, which lever brings a level into band."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from brinebook.desk.nutrient_levers import Option, options_for, steps_of
from brinebook.desk.nutrient_story import Story
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_test_first import test_first
from brinebook.desk.plan_words import amount_text, band_text
from brinebook.measure import Measure
from brinebook.plan import Chance, Course, CoursePoint, Figure, Plan, Reason, Verdict
from brinebook.planning import cautions
from brinebook.planning.nutrients import (
    LEVELS,
    Budget,
    Nutrient,
    alkalinity_drawn,
    chance_in_band,
    course_of,
    risk_of_gone,
)
from brinebook.planning.spread import Floats, told
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say

#: A rest told more widely than this, in % of what food brings, isn't told at all.
_TOO_WIDE = 120.0
#: Weeks ahead, and the chances (of running out, of being over the band) that ask for a lever.
WEEKS = 4
_GONE_CALLS, _OUT_CALLS = 0.2, 0.5


def nutrients_plan(now: WaterNow, story: Story, *, about: str | None = None) -> Plan:
    """The budget of the last weeks, and the lever for the level that asks for one.

    ``about`` asks for the levers of one level, whether it needs one or not.
    """
    nutrients = story.nutrients
    old = tuple(name for name in nutrients if now.too_old(name) is not None)
    if old:
        return test_first(
            now, "nutrients", old, say("a lever pulled on an old test may pull wrongly")
        )
    wanted = about or _asks(nutrients)
    options = [] if wanted is None else options_for(now, story, wanted, _goal(now, story, wanted))
    best = options[0] if options and _needs(nutrients, wanted) else None
    verdict: Verdict = "told"
    if nutrients:
        verdict = "nothing" if best is None else "do" if best.pulled.reaches else "cannot"
    return Plan(
        kind="nutrients",
        about=tuple(nutrients) or ("nitrate", "phosphate"),
        at=now.at,
        verdict=verdict,
        headline=_headline(now, story, wanted, best),
        steps=() if best is None else steps_of(now, story, best),
        courses=_courses(now, story, best),
        chances=_chances(nutrients, best),
        figures=(*_budget_figures(now, story), *_level_figures(story)),
        reasons=_reasons(now, story, options),
        stops=_stops(nutrients) if best is not None else (),
        cautions=cautions.cautions(*_caution_ids(best)),
        notes=_notes(now, story),
    )


def _asks(nutrients: dict[str, Nutrient]) -> str | None:
    """The level that most asks for something: as good as gone goes before too high."""
    risks = {name: _risk(each) for name, each in nutrients.items()}
    low = [name for name in risks if risks[name][0] > _GONE_CALLS]
    high = [name for name in risks if risks[name][1] > _OUT_CALLS]
    for found, place in ((low, 0), (high, 1)):
        if found:
            return max(found, key=lambda name: risks[name][place])
    return None


def _needs(nutrients: dict[str, Nutrient], name: str | None) -> bool:
    if name is None or name not in nutrients:
        return False
    gone, over = _risk(nutrients[name])
    return gone > _GONE_CALLS or over > _OUT_CALLS


def _risk(nutrient: Nutrient) -> tuple[float, float]:
    """Chance of being as good as gone within the weeks, and of being over the band at the end."""
    course = course_of(nutrient, 7 * WEEKS)
    return risk_of_gone(nutrient, course), float(np.mean(course[-1] > nutrient.band[1]))


def _goal(now: WaterNow, story: Story, name: str) -> float:
    """Where to: the keeper's target, else a quarter of the band in from the edge it lies over."""
    low, high = story.nutrients[name].band
    if name in now.system.targets:
        return now.system.targets[name]
    quarter = 0.25 * (high - low)
    ends = float(np.median(course_of(story.nutrients[name], 7 * WEEKS)[-1]))
    return high - quarter if ends > (low + high) / 2.0 else low + quarter


# ---- words ---------------------------------------------------------------------------------------


def _headline(now: WaterNow, story: Story, wanted: str | None, best: Option | None) -> str:
    if best is not None and wanted is not None:
        gone, over = _risk(story.nutrients[wanted])
        level = now.text(wanted, told(story.nutrients[wanted].now, "mg/L"))
        low = gone > _GONE_CALLS
        state = (
            say(
                "{wanted} stands at {level} and is as good as gone within four weeks "
                "with a chance of {gone}: too little is as bad as too much.",
                wanted=wanted.capitalize(),
                level=level,
                gone=chance_text(gone),
            )
            if low
            else say(
                "{wanted} stands at {level}, and in four weeks it is over your band "
                "with a chance of {over}.",
                wanted=wanted.capitalize(),
                level=level,
                over=chance_text(over),
            )
        )
        if not best.pulled.reaches:
            return say(
                "{state} No lever alone brings it there in that time; begin with this. {says}",
                state=state,
                says=best.says,
            )
        return f"{state} {best.says}"
    parts = []
    for name, each in story.nutrients.items():
        level = now.text(name, told(each.now, "mg/L"))
        stays = chance_in_band(each, course_of(each, 7 * WEEKS)[-1])
        parts.append(
            say(
                "{name} {level}, in your band in four weeks with a chance of {stays}",
                name=name,
                level=level,
                stays=chance_text(stays),
            )
        )
    levels = say("Nothing to do about nutrients: {parts}.", parts="; ".join(parts)) if parts else ""
    if not story.budgets:
        return levels or say(
            "The book holds no food, and none was said, so there is nothing to reckon."
        )
    return levels or _food_sentence(now, story)


def _food_sentence(now: WaterNow, story: Story) -> str:
    nitrogen = story.budgets["nitrogen"]
    litres = now.drawn.litres
    nitrate = told(nitrogen.to_water * LEVELS["nitrogen"][1] / litres, "mg/L")
    phosphate = told(
        story.budgets["phosphorus"].to_water * LEVELS["phosphorus"][1] / litres, "mg/L"
    )
    return say(
        "Food ({grams_a_day} a day) brings the water what would be {nitrate} of nitrate "
        "and {phosphate} of phosphate a day.",
        grams_a_day=amount_text(story.grams_a_day, "g"),
        nitrate=now.text("nitrate", nitrate, difference=True),
        phosphate=now.text("phosphate", phosphate, difference=True),
    )


def _courses(now: WaterNow, story: Story, best: Option | None) -> tuple[Course, ...]:
    found = []
    for name, each in story.nutrients.items():
        found.append(_course(now, each, name, say("as it is"), None))
        if best is not None:
            found.append(_course(now, each, name, best.name, best))
    return tuple(found)


def _course(
    now: WaterNow, nutrient: Nutrient, name: str, label: str, option: Option | None
) -> Course:
    push = None if option is None else option.pushes.get(name)
    course = course_of(nutrient, 7 * WEEKS, push)
    points = []
    for day in range(0, 7 * WEEKS + 1, 4):
        level = told(course[day], "mg/L")
        when = now.at + timedelta(days=day)
        points.append(CoursePoint(when, level.value, level.low, level.high))
    return Course(name, "mg/L", label, tuple(points))


def _chances(nutrients: dict[str, Nutrient], best: Option | None) -> tuple[Chance, ...]:
    found = []
    for name, each in nutrients.items():
        gone, over = _risk(each)
        found.append(Chance(say("runs out of {name} within four weeks as it is", name=name), gone))
        found.append(
            Chance(say("is over the band of {name} in four weeks as it is", name=name), over)
        )
        if best is not None:
            risk = best.pulled.gone.get(name, gone)
            found.append(
                Chance(say("runs out of {name} within four weeks if you do this", name=name), risk)
            )
    return tuple(found)


def _figure(name: str, draws: Floats, unit: str, origin: str = "") -> Figure:
    measure = told(draws, unit)
    return Figure(name, measure.value, unit, measure.low, measure.high, origin)


def _budget_figures(now: WaterNow, story: Story) -> list[Figure]:
    found = []
    if story.budgets:
        found.append(Figure("food", story.grams_a_day, "g/day"))
    for element, budget in story.budgets.items():
        level, factor = LEVELS[element]
        found += [
            _figure(f"{element}_fed", budget.fed, "mg/day"),
            _figure(f"{element}_kept_by_animals", budget.kept, "mg/day"),
            _figure(f"{element}_to_water", budget.to_water, "mg/day"),
            _figure(f"{level}_from_food", budget.to_water * factor / now.drawn.litres, "mg/L/day"),
            _figure(f"{element}_in_algae_cut", budget.algae, "mg/day"),
            _figure(f"{element}_by_changes", budget.changes, "mg/day"),
        ]
        if element == "phosphorus":
            found.append(_figure("phosphorus_on_media", budget.media, "mg/day"))
        if level in story.nutrients:
            found += [
                _figure(f"{element}_rising_in_water", budget.rises, "mg/day"),
                _figure(f"{element}_unexplained", budget.rest, "mg/day"),
                _figure(f"{element}_explained", 100.0 * budget.explained, "%"),
            ]
    return found


def _level_figures(story: Story) -> list[Figure]:
    found = []
    if "nitrate" in story.nutrients:
        found.append(_figure("alkalinity_drawn_by_nitrate", _drawn(story), "meq/L"))
    for name, each in story.nutrients.items():
        found += [
            _figure(f"{name}_now", each.now, "mg/L", "estimated"),
            _figure(f"{name}_in_four_weeks", course_of(each, 7 * WEEKS)[-1], "mg/L"),
            Figure(
                f"{name}_gone_below", each.gone, "mg/L", origin=say("common practice, no source")
            ),
        ]
    return found


def _reasons(now: WaterNow, story: Story, options: list[Option]) -> tuple[Reason, ...]:
    found = []
    if story.budgets and story.nutrients:
        found.append(Reason(_food_sentence(now, story)))
    for element, budget in story.budgets.items():
        if LEVELS[element][0] in story.nutrients:
            found.append(_way_of(element, budget, story))
    for option in options:
        found.append(Reason(option.sentence, equation=option.equation))
    return tuple(found)


def _way_of(element: str, budget: Budget, story: Story) -> Reason:
    parts = {"cut algae": budget.algae, "water changes": budget.changes, "media": budget.media}
    known = ", ".join(
        say("{part} to {name}", part=_percent(part, budget), name=name)
        for name, part in parts.items()
        if abs(float(np.median(part))) > 0.02 * float(np.median(budget.to_water))
    )
    return Reason(
        say("Of the {element} that food brings to the water, ", element=element)
        + (f"{known}. " if known else say("no known part leaves. "))
        + _rest_of(element, budget),
        inputs=(
            _figure(
                "fed", budget.fed, "mg/day", say("written down") if story.from_book else "said"
            ),
            _figure("kept_by_animals", budget.kept, "mg/day"),
            _figure("rising_in_water", budget.rises, "mg/day", "estimated"),
        ),
        equation=say("fed × (1 − kept) = algae + media + changes + rise + rest"),
        sources=("summerfelt2007", "bjornsater1990")
        if element == "nitrogen"
        else ("summerfelt2007", "bjornsater1990", "golterman1995"),
    )


def _rest_of(element: str, budget: Budget) -> str:
    """What is left over in words: where it may go, or that it can't be told."""
    level = LEVELS[element][0]
    rest = told(100.0 * budget.rest / np.maximum(budget.to_water, 1e-9), "%")
    other = (
        say("bacteria (denitrification), the skimmer")
        if element == "nitrogen"
        else say("the skimmer")
    )
    unseen = say("{other}, sand and rock, growing animals", other=other)
    if rest.high - rest.low > _TOO_WIDE:
        return say(
            "How much goes where nothing measures it ({unseen}) can't be told yet; two good tests "
            "of {level}, two weeks apart, help most.",
            unseen=unseen,
            level=level,
        )
    if rest.value >= 0.0:
        return say(
            "The other {rest} % go where nothing measures them: {unseen}.",
            rest=_range(rest),
            unseen=unseen,
        )
    return say(
        "That is more than food brings ({rest} % are missing): rock or dirt gives, "
        "or food isn't all written down.",
        rest=_range(rest),
    )


def _percent(part: Floats, budget: Budget) -> str:
    # More than all of it is no share: then food, or what it holds, was reckoned too low.
    share = told(np.minimum(100.0 * part / np.maximum(budget.to_water, 1e-9), 100.0), "%")
    return f"{_range(share)} %"


def _range(measure: Measure) -> str:
    low, high = (round(each) for each in (measure.low, measure.high))
    return (
        plain_text(low)
        if low == high
        else say("{low} to {high}", low=plain_text(low), high=plain_text(high))
    )


def _stops(nutrients: dict[str, Nutrient]) -> tuple[str, ...]:
    lows = say(" or ").join(
        say("{name} under {gone:g} mg/L", name=name, gone=each.gone)
        for name, each in nutrients.items()
    )
    return (say("a test shows {lows}: leave it, whatever the other does.", lows=lows),)


def _caution_ids(best: Option | None) -> tuple[str, ...]:
    if best is None:
        return ()
    return {
        "cut more algae": ("release",),
        "change more": ("mains", "hoses"),
        "ferric media": ("mains",),
        "take the media out": ("mains",),
    }.get(best.name, ())


def _drawn(story: Story) -> Floats:
    """What making the nitrate that stands there took of alkalinity, draw by draw."""
    level = story.nutrients["nitrate"].now
    return np.asarray(alkalinity_drawn(1.0) * level)


def _notes(now: WaterNow, story: Story) -> tuple[str, ...]:
    found = []
    if "nitrate" in story.nutrients:
        found.append(
            say(
                "Making the nitrate that stands there took {alkalinity} of alkalinity; it comes "
                "back as nitrate is taken up or denitrified.",
                alkalinity=now.text("alkalinity", told(_drawn(story), "meq/L"), difference=True),
            )
        )
    for name, each in story.nutrients.items():
        if name not in now.system.bands:
            band = band_text(name, each.band, now.units)
            found.append(
                say(
                    "You set no band for {name}: {band} was taken (common practice).",
                    name=name,
                    band=band,
                )
            )
    if story.budgets and story.guessed:
        found.append(
            say(
                "What the food holds is a wide guess: say its protein and "
                "phosphorus by the label, or write n= and p= with what you feed."
            )
        )
    if "phosphate" in story.nutrients and _risk(story.nutrients["phosphate"])[1] > _OUT_CALLS:
        found.append(say("The plan of ferric media says how much they would do for phosphate."))
    if "phosphate" in story.nutrients and "nitrate" in story.nutrients:
        found.append(
            say(
                "Corals short of phosphate beside plenty of nitrate bleached sooner "
                "in an experiment: a zero of either is no goal."
            )
        )
    return tuple(found)
