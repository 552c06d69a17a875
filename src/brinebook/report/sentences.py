"""What the day's advice rests on: a few sentences, each with its number, its range and its age."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from brinebook.balance.answer import VOLUME_NOTE, QuantityAnswer
from brinebook.balance.season import days_since_epoch
from brinebook.measure import Measure
from brinebook.report.act import Act, listed
from brinebook.report.advice import longest_pause
from brinebook.report.causes import Explanation, likeliest
from brinebook.report.flows import dosing_sentence, negative
from brinebook.report.numbers import measure_and_range_text, measure_text, range_text
from brinebook.report.reasons import number, reason
from brinebook.report.speech import counted, rounded_litres
from brinebook.report.view import View, is_unknown
from brinebook.texts import Spoken, say, say_count, within

#: Tests this near to the present level, in their own noise, count as “steady”.
_STEADY_NOISES = 2.5
_STEADY_DAYS = 10.0
#: With fewer tests the first guess is still most of the answer, and that is said.
_FEW_TESTS = 5
#: The volume is called a guess while it is unsurer than this (common practice).
_GUESSED_VOLUME = 0.08
_GROUPED = ("in band",)
_WEEKS = Spoken({
    1: "a week or more", 2: "two weeks", 3: "three weeks", 4: "a month", 5: "five weeks",
    6: "six weeks", 7: "seven weeks", 8: "two months",
})  # fmt: skip
_HALF_A_DAY = timedelta(hours=12)


def sentences_of(view: View, acts: Sequence[Act]) -> list[str]:
    """The sentences, most telling first. What an act has said already isn't said twice."""
    said = {act.about for act in acts if act.asks}
    found = [_main(view, acts)]
    found += [_matter(view, one) for one in view.open_matters if one.about[0] not in said]
    found += [_below_sight(view, each) for each in view.spoken()]
    found += [_old(view, each, acts) for each in view.spoken() if each.name != "alkalinity"]
    found += [_at_an_end(view, each, acts) for each in view.spoken() if each.name != "alkalinity"]
    found.append(_rest(view, acts))
    found.append(_volume(view))
    # What the note on the volume says is told with its causes, as one of the matters.
    notes = [note for note in view.case.answer.notes if not is_of_volume(note)]
    return [each for each in (*found, *notes) if each]


def is_of_volume(note: str) -> bool:
    """Whether a note of the answer is the one on the net volume, in whatever language."""
    return note.startswith(say(VOLUME_NOTE).partition("{")[0] or VOLUME_NOTE)


def _main(view: View, acts: Sequence[Act]) -> str:
    """Alkalinity: where it is, whether it holds, what is used and dosed, how old that is."""
    quantity = view.case.answer.quantities.get("alkalinity")
    if quantity is None or is_unknown(quantity):
        return ""
    speech = view.speech
    text = say("Alkalinity is about {value}", value=speech.with_range("alkalinity", quantity.now))
    assert quantity.tested is not None
    held = _held(view, quantity)
    text += held or _going(view, quantity)
    text += say(", last tested {ago}", ago=speech.ago(quantity.tested))
    if quantity.tests < _FEW_TESTS:
        tests = counted(quantity.tests, "test")
        return say(
            "{text}. With {tests}, much of that is what most reefs do, and not what yours does.",
            text=text,
            tests=tests,
        )
    flows = dosing_sentence(view, quantity)
    if not flows or any(flows in act.why for act in acts):
        return f"{text}."
    return f"{text}. {flows}"


def _held(view: View, quantity: QuantityAnswer) -> str:
    """“, steady for three weeks”, as far back as the tests stay by the present level."""
    if quantity.status not in ("in band", "no band"):
        return ""
    seen = view.sound_occasions(quantity.name)
    since = None
    for occasion in reversed(seen):
        if abs(occasion.value - quantity.now.value) > _STEADY_NOISES * max(
            occasion.sd, quantity.now.sd
        ):
            break
        since = occasion.t
    if since is None or view.case.at - since < _STEADY_DAYS:
        return ""
    weeks = round((view.case.at - since) / 7.0)
    known = _WEEKS.get(weeks) or (say("more than a year") if weeks > 52 else say("months"))
    return say(", steady for {known}", known=known)


def _going(view: View, quantity: QuantityAnswer) -> str:
    net = quantity.net_rate
    if net is None or net.low <= 0.0 <= net.high:
        return ""
    word, rate = (say("falling"), negative(net)) if net.value < 0 else (say("rising"), net)
    return f", {word} {view.speech.with_range(quantity.name, rate, difference=True)} a day"


def _matter(view: View, one: Explanation) -> str:
    """Something odd that needs nothing done: what was seen, and what was likely behind it."""
    source = one.source
    if source.kind == "use":
        return _use(view, one)
    if source.kind == "drink":
        more = number(source.numbers, "more")
        word = say("more") if more > 0 else say("less")
        look = say(" Look under the stand once.") if more > 0 else ""
        return say(
            "Since {day} the system drinks {more} a day {word} than is usual. {likeliest}{look}",
            day=view.speech.day(source.begins),
            more=rounded_litres(more),
            word=word,
            likeliest=likeliest(one),
            look=look,
        )
    if one.lead.cause == "test_wrong":
        return _wrong(view, one)
    return f"{one.lead.speaks_for} {likeliest(one)}"


def _use(view: View, one: Explanation) -> str:
    n, speech = one.source.numbers, view.speech
    change, then = number(n, "change"), number(n, "then")
    word = say("more") if change > 0 else say("less")
    share = Measure(100 * abs(change / then), 100 * number(n, "change_sd") / abs(then), "%")
    event = one.source.signs.get("event")
    wrote = f" {reason(speech, 'event', event.numbers, one.lead.cause)}" if event else ""
    return say(
        "Since about {day} the reef takes {share} {word} than it did at the same "
        "alkalinity. {likeliest}{wrote}",
        day=speech.day(number(n, "onset")),
        share=measure_and_range_text(share),
        word=word,
        likeliest=likeliest(one),
        wrote=wrote,
    )


def _wrong(view: View, one: Explanation) -> str:
    facts = str(one.source.numbers.get("tests", "")).split(",")
    tests = [test for test in view.case.tests_of(one.about[0]) if test.fact in facts]
    if not tests:
        return ""
    speech, about = view.speech, one.about[0]
    read = speech.value(about, tests[0].value, view.case.answer.quantities[about].now.sd)
    return say(
        "{quantity} of {read} {on_day} counts little: {likeliest}",
        quantity=speech.title(about),
        read=read,
        on_day=speech.on_day(tests[0].t),
        likeliest=within(likeliest(one)),
    )


def _below_sight(view: View, quantity: QuantityAnswer) -> str:
    """Tests under what the kit can see: a good sign, and no proof."""
    tests = [test for test in view.case.tests_of(quantity.name) if test.edge == "<"][-2:]
    last = view.case.tests_of(quantity.name)[-1:]
    recent = [test for test in tests if test.t > view.case.at - 10.0]
    if not recent or last != recent[-1:] or quantity.name not in ("ammonia", "nitrite"):
        return ""
    days = listed([view.speech.on_day(test.t) for test in recent])
    edge = view.speech.value(quantity.name, recent[-1].value, recent[-1].value / 10.0)
    return say(
        "{quantity} was below what your kit can see (under {edge}) {days}: a good sign, not proof.",
        quantity=view.speech.title(quantity.name),
        edge=edge,
        days=days,
    )


def _old(view: View, quantity: QuantityAnswer, acts: Sequence[Act]) -> str:
    """“Phosphate was last tested 16 days ago, so I can only say 0.03 to 0.09.”"""
    assert quantity.tested is not None
    old = view.case.answer.at - quantity.tested > longest_pause(quantity.name)
    if not (old or quantity.status == "stale"):
        return ""
    title = view.speech.title(quantity.name)
    name = view.speech.name(quantity.name)
    if any(title in act.why or (act.kind == "test" and name in act.text) for act in acts):
        return ""
    ago = view.speech.ago(quantity.tested)
    if is_unknown(quantity):
        return say(
            "{title} was last tested {ago}: I can't say where it is by now.", title=title, ago=ago
        )
    between = view.speech.range(quantity.name, quantity.now)
    said = f"{between} {view.speech.unit(quantity.name)}".strip()
    return say(
        "{title} was last tested {ago}, so I can only say {said}.", title=title, ago=ago, said=said
    )


def _at_an_end(view: View, quantity: QuantityAnswer, acts: Sequence[Act]) -> str:
    """“Magnesium is about 1250 mg/L (1230 to 1280), at the lower end of your band.”"""
    if quantity.status != "drifting" or quantity.outside is None:
        return ""
    speech = view.speech
    title, name = speech.title(quantity.name), speech.name(quantity.name)
    if any(title in f"{act.text} {act.why}" or name in act.text for act in acts):
        return ""
    low, high = quantity.outside
    end = say("the lower end") if low >= high else say("the upper end")
    value = speech.with_range(quantity.name, quantity.now)
    return say("{title} is about {value}, at {end} of your band.", title=title, value=value,
               end=end)  # fmt: skip


def _rest(view: View, acts: Sequence[Act]) -> str:
    """The quantities that are well inside their bands, by recent tests, in one breath."""
    spoken = {act.about for act in acts} | {"alkalinity"}
    names = []
    for quantity in view.spoken():
        recent = quantity.tested is not None and (
            view.case.answer.at - quantity.tested <= min(longest_pause(quantity.name),
                                                         timedelta(days=10))
        )  # fmt: skip
        if quantity.name in spoken or quantity.status not in _GROUPED or not recent:
            continue
        if any(view.speech.title(quantity.name) in act.why for act in acts):
            continue
        names.append(view.speech.name(quantity.name))
    if not names:
        return ""
    text = listed(names)
    return say_count(
        len(names),
        "{text} is inside your band.",
        "{text} are inside your bands.",
        text=text[:1].upper() + text[1:] if text[:2] != "pH" else text,
    )


def next_sentence(view: View) -> str:
    """“Next: phosphate by Saturday. Alkalinity can wait until Tuesday.” Of tests not yet due."""
    later = [test for test in view.next_tests if test.by > view.case.answer.at + _HALF_A_DAY]
    if not later:
        return ""
    speech = view.speech
    first = later[0]
    day = speech.day(days_since_epoch(first.by))
    together = [test for test in later if speech.day(days_since_epoch(test.by)) == day]
    names = listed([speech.name(test.quantity) for test in together])
    text = say("Next: test {names} by {day}.", names=names, day=day)
    main = next((test for test in later if test.quantity == "alkalinity"), None)
    if main is None or main in together:
        return text
    return say(
        "{text} Alkalinity can wait until {day}.",
        text=text,
        day=speech.day(days_since_epoch(main.by)),
    )


def _volume(view: View) -> str:
    answer = view.case.answer
    if not answer.quantities or answer.volume.sd < _GUESSED_VOLUME * answer.volume.value:
        return ""
    volume = measure_text(Measure(answer.volume.value, answer.volume.sd, "L"))
    if not answer.volume_given:
        between = range_text(answer.volume)
        return say(
            "You gave no net volume, so all amounts rest on a wide guess ({between} "
            "L): “brinebook system --edit” takes one.",
            between=between,
        )
    return say("The volume of your water is still a guess: {volume}.", volume=volume)
