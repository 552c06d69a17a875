"""``plan ferric``: how long the media last, how much to put in, or whether to take them out."""

from __future__ import annotations

from datetime import timedelta

from brinebook.desk.ferric_case import LONGEST, Case, least_grams, reckon, worst_fall
from brinebook.desk.ferric_story import FERRIC, flow_of_fact
from brinebook.desk.plan_ferric_figures import (
    alone,
    ferric_chances,
    ferric_courses,
    ferric_figures,
    grams_of,
    learned_from,
    left_of,
)
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_test_first import test_first
from brinebook.desk.plan_words import amount_text, typed
from brinebook.measure import Measure
from brinebook.plan import Expected, Plan, Reason, Step, Verdict
from brinebook.planning import cautions
from brinebook.planning.ferric_course import Ahead, days_until_tired
from brinebook.planning.nutrients import GONE
from brinebook.planning.spread import chance, told
from brinebook.report.dates import ago_text, day_text
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say


def ferric_plan(now: WaterNow, *, grams: float | None = None, flow: float | None = None) -> Plan:
    """What to do about ferric media; ``grams`` and ``flow`` (L/h) ask about that much of it."""
    if now.too_old("phosphate") is not None:
        return test_first(
            now, "ferric", ("phosphate",), say("how much media hold depends on where it stands")
        )
    case = reckon(now, grams=grams, flow=flow)
    words = case.verdict
    doing = words in ("take out", "change")
    verdict: Verdict = "do" if doing else "cannot" if words == "cannot" else "nothing"
    return Plan(
        kind="ferric",
        about=("phosphate",),
        at=now.at,
        verdict=verdict,
        headline=_headline(case),
        steps=_steps(case) if doing else (),
        courses=ferric_courses(case),
        chances=ferric_chances(case),
        figures=ferric_figures(case),
        reasons=_reasons(case),
        stops=(
            say(
                "phosphate falls by more than that in a day, or tests under "
                "{phosphate} mg/L: halve the flow through it, or take it out.",
                phosphate=GONE["phosphate"],
            ),
        )
        if words == "change"
        else (),
        cautions=cautions.cautions("mains") if doing else (),
        notes=_notes(case),
    )


# ---- words ---------------------------------------------------------------------------------------


def _headline(case: Case) -> str:
    now, words = case.now, case.verdict
    level = now.text("phosphate", told(case.draws.level, "mg/L"))
    first = say("Phosphate stands at about {level}", level=level)
    if words == "take out":
        return say(
            "Take the ferric media out. {first} and with them in it is as good as "
            "gone within four weeks with a chance of {gone}: too little does as much "
            "harm as too much.",
            first=first,
            gone=chance_text(case.gone),
        )
    if words == "change":
        return (
            say(
                "{first}, above your band. Put {grams} of fresh ferric media in, "
                "{flow} L/h through it: more would pull it down too fast.",
                first=first,
                grams=amount_text(grams_of(case), "g"),
                flow=plain_text(round(case.flow)),
            )
            if case.grams >= case.most
            else say(
                "{first}, above your band. {grams} of fresh ferric media with {flow} "
                "L/h through it should do.",
                first=first,
                grams=amount_text(grams_of(case), "g"),
                flow=plain_text(round(case.flow)),
            )
        )
    if words == "cannot":
        least = least_grams(case)
        fall = now.text("phosphate", worst_fall(case, least), difference=True)
        allowed = now.text("phosphate", case.limits.per_day, difference=True)
        return say(
            "{first}, above your band, but even {least} of fresh media with {flow} "
            "L/h through them may take it down by up to {fall} in a day, where it is "
            "let fall {allowed}. Allow more ([limits_per_day] in system.toml), or "
            "take the slower ways of the plan of nutrients.",
            first=first,
            least=amount_text(least, "g", digits=2),
            flow=plain_text(round(case.flow)),
            fall=fall,
            allowed=allowed,
        )
    if case.story.bed is None:
        return say("{first} and is likely to stay in your band without ferric media.", first=first)
    left = left_of(case)
    since = ago_text(case.story.bed.when, now.at, now.zone)
    stays = say("and it is still pulling") if words == "wait" else say("and stays in your band")
    return say(
        "Leave the ferric media in. {first}, {stays}; put in {since}, they should go "
        "on for {days} more.",
        first=first,
        stays=stays,
        since=since,
        days=_days_text(left),
    )


def _days_text(left: Measure) -> str:
    if left.low >= LONGEST:
        return say("more than {longest} days", longest=LONGEST)
    high = (
        say("more than {longest}", longest=LONGEST) if left.high >= LONGEST else f"{left.high:.0f}"
    )
    return say("{left_low:.0f} to {high} days", left_low=left.low, high=high)


def _steps(case: Case) -> tuple[Step, ...]:
    return _out_steps(case) if case.verdict == "take out" else _in_steps(case)


def _out_steps(case: Case) -> tuple[Step, ...]:
    now, later = case.now, case.now.at + timedelta(days=4)
    return (
        Step(
            now.at,
            now.at + timedelta(days=1),
            "media",
            FERRIC,
            "0",
            "g",
            say("Take the ferric media out, and rinse the reactor."),
            expects=_expects(case.without, now, 7),
        ),
        Step(
            later,
            later + timedelta(days=3),
            "test",
            "phosphate",
            "",
            "",
            say("Test phosphate, and see that it comes up."),
        ),
    )


def _in_steps(case: Case) -> tuple[Step, ...]:
    assert case.with_new is not None
    now, grams = case.now, grams_of(case)
    tired = told(days_until_tired(case.with_new), "days")
    ends = now.at + timedelta(days=max(tired.low, 7.0))
    return (
        Step(
            now.at,
            now.at + timedelta(days=1),
            "media",
            FERRIC,
            typed(grams),
            "g",
            say(
                "Put {grams} of ferric media in, rinsed until the water runs clear, "
                "with {flow} L/h through it; the old ones out.",
                grams=amount_text(grams, "g"),
                flow=plain_text(round(case.flow)),
            ),
            detail={"flow": typed(case.flow)},
            expects=_expects(case.with_new, now, 1, 3, 7),
        ),
        *_sittings(now),
        Step(
            ends,
            ends + timedelta(days=7),
            "done",
            say("look at the ferric media"),
            "",
            "",
            say(
                "From now on they may be tired (some time in {days} after they went "
                "in): ask again, best with a pair of tests.",
                days=_days_text(tired),
            ),
        ),
    )


def _sittings(now: WaterNow) -> list[Step]:
    """Tests of the water on days 1, 3 and 7, with one of the outflow on the first and the last."""
    steps = []
    for day, text in (
        (1, say("Test phosphate of the water and of what leaves the media, at the same sitting.")),
        (3, say("Test phosphate: it should fall no faster than you let it.")),
        (7, say("Test both again: the pair tells how long the media last.")),
    ):
        when = now.at + timedelta(days=day)
        until = when + timedelta(days=1)
        steps.append(Step(when, until, "test", "phosphate", "", "", text))
        if day != 3:
            leaving = say("Test what leaves the media.")
            steps.append(
                Step(when, until, "test", "phosphate", "", "", leaving, detail={"of": "effluent"})
            )
    return steps


def _expects(course: Ahead, now: WaterNow, *days: int) -> tuple[Expected, ...]:
    found = []
    for day in days:
        level = told(course.level[day], "mg/L")
        when = now.at + timedelta(days=day)
        found.append(Expected("phosphate", when, level.value, level.low, level.high))
    return tuple(found)


def _reasons(case: Case) -> tuple[Reason, ...]:
    found = [
        Reason(
            say(
                "Ferric media hold less the lower phosphate stands: what would last "
                "a month at 0.3 mg/L lasts less than half as long at 0.03."
            ),
            equation=say("q = factor × 10 mg P/g × (C / 0.3 mg P/L)^(1/3)"),
            sources=("golterman1995", "chitrakar2006"),
        ),
        Reason(
            say(
                "The factor and how well the media catch are your system's own, as far as its "
                "tests tell ({learned_from}). Inflow and outflow of one sitting tell how much they "
                "catch; tested until they are tired, how much they hold.",
                learned_from=learned_from(case),
            ),
            equation=say(
                "level = gain − take × level − caught, carried through every test, "
                "change and medium of the last months"
            ),
        ),
    ]
    if case.verdict == "change":
        found.append(
            Reason(
                say(
                    "Rock holds far more phosphate than the water and gives it back "
                    "as the level falls: expect weeks, and a rebound after each "
                    "medium."
                ),
                inputs=(alone(case),),
            )
        )
    return tuple(found)


def _notes(case: Case) -> tuple[str, ...]:
    found = []
    now = case.now
    bed = case.story.bed
    if bed is not None and case.verdict != "take out":
        age = (now.at - bed.when) / timedelta(days=1)
        left = left_of(case)
        tired = chance(days_until_tired(case.goes_on) <= 0.0)
        if tired > 0.5:
            found.append(
                say(
                    "After {age:.0f} days they are likely tired: they catch little "
                    "of what passes, and do no harm.",
                    age=age,
                )
            )
        elif left.high - left.low > 30.0:
            found.append(
                say(
                    "That range is wide. Test the water and what leaves the media at one sitting "
                    "(a test of phosphate of “effluent”) by {now_at} and every week until it "
                    "leaves as it came: that narrows it for the next ones above all.",
                    now_at=day_text(now.at + timedelta(days=7), now.at, now.zone),
                )
            )
        if flow_of_fact(bed) is None:
            found.append(
                say("Nobody said how much water passes the media: time a jug at its outlet.")
            )
    if case.story.tests < 4:
        found.append(
            say("With so few phosphate tests this is literature and habit more than your system.")
        )
    return tuple(found)
