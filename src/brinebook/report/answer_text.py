"""The main answer and Today as plain lines for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer, QuantityAnswer
from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.report.act import Act, how_to_answer, how_to_do, how_to_plan, was_it
from brinebook.report.dates import age_text, date_text, instant_text
from brinebook.report.figures import text_figure
from brinebook.report.numbers import measure_text, value_text
from brinebook.report.page_rows import unit_label
from brinebook.report.short_id import short_id
from brinebook.report.shown import shown_measure
from brinebook.report.today import Today
from brinebook.report.view import is_unknown
from brinebook.texts import say
from brinebook.texts.names import quantity_label

WIDTH = 78
_FIGURE_DAYS = 60
#: More than this is a list, and no longer a day's advice; the rest waits for tomorrow's screen.
_MOST_ACTS = 4


def today_lines(
    answer: Answer, page: Today, zone: ZoneInfo, units: Mapping[str, str], name: str
) -> list[str]:
    """One screen: what matters first, then every quantity in a row."""
    when = instant_text(page.at, page.at, zone)
    lines = [f"{name}{when:>{max(WIDTH - len(name), 1)}}", "-" * WIDTH]
    lines += textwrap.wrap(page.headline, WIDTH)
    if not answer.quantities:
        return [
            *lines,
            say("Write one down, for instance: brinebook add test alk 8.2dKH"),
            "-" * WIDTH,
        ]
    for act in page.acts[:_MOST_ACTS]:
        if act.danger or not page.danger:
            lines += _act_lines(act, page)
    if page.danger:
        return [
            *lines,
            "-" * WIDTH,
            say("“brinebook balance” has the numbers, once there is time."),
        ]
    if page.acts:
        lines.append("")
    for sentence in page.sentences:
        lines += textwrap.wrap(sentence, WIDTH)
    lines += textwrap.wrap(page.next_sentence, WIDTH)
    lines.append("-" * WIDTH)
    lines += quantity_rows(answer, zone, units)
    lines.append("-" * WIDTH)
    return lines


def _act_lines(act: Act, page: Today) -> list[str]:
    """An act with its reasons; the headline has said its first line already where it is the same.

    How to settle a question stands on a line of its own, so that it can be copied whole.
    """
    lines = [] if act.text == page.headline else ["", *textwrap.wrap(act.text, WIDTH)]
    lines += textwrap.wrap(act.why, WIDTH, initial_indent="  ", subsequent_indent="  ")
    if act.cause:
        lines += textwrap.wrap(was_it(act.cause), WIDTH - 2, initial_indent="  ")
    commands = [each for each in (how_to_answer(act), how_to_plan(act), how_to_do(act)) if each]
    return [*lines, *(f"  {each}" for each in commands)]


def quantity_rows(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> list[str]:
    """A row a quantity: value, use a day, recent course, status, age of the evidence."""
    rows = [["", say("now"), say("use a day"), say("two months"), "", say("tested")]]
    for quantity in answer.quantities.values():
        unit = units[quantity.name]
        rows.append(
            [
                quantity_label(quantity.name),
                _now_text(quantity, unit),
                _use_text(quantity, unit),
                text_figure(_course(answer, quantity)),
                quantity.status,
                age_text(quantity.tested, answer.at, zone) if quantity.tested else "",
            ]
        )
    return _columns(rows)


def _now_text(quantity: QuantityAnswer, unit: str) -> str:
    if is_unknown(quantity):
        return say("no telling")
    shown = shown_measure(quantity.name, quantity.now, unit)
    text = measure_text(replace(shown, unit=unit_label(unit)))
    return text.removesuffix(" NBS")


def _use_text(quantity: QuantityAnswer, unit: str) -> str:
    if quantity.consumption is None or is_unknown(quantity):
        return ""
    shown = shown_measure(quantity.name, quantity.consumption, unit, difference=True)
    return measure_text(shown).removesuffix(f" {unit}")


def _course(answer: Answer, quantity: QuantityAnswer) -> list[float | None]:
    """Sound tests of the last two months, averaged over eight equal spans."""
    suspects = {suspect.fact for suspect in answer.suspects}
    spans: list[list[float]] = [[] for _ in range(8)]
    for season in answer.seasons:
        for test in season.season.tests:
            if test.quantity != quantity.name or test.target or test.fact in suspects:
                continue
            age = (answer.at - instant(test.t)).total_seconds() / 86400.0
            if age < _FIGURE_DAYS:
                spans[7 - min(int(age / _FIGURE_DAYS * 8), 7)].append(test.value)
    return [sum(span) / len(span) if span else None for span in spans]


def _columns(rows: list[list[str]]) -> list[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    # Two blanks between columns, or one where that would leave the screen.
    gap = "  " if sum(widths) + 2 * (len(widths) - 1) <= WIDTH else " "
    return [
        gap.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def answer_lines(answer: Answer, zone: ZoneInfo, units: Mapping[str, str], name: str) -> list[str]:
    """``balance`` for a person."""
    when = instant_text(answer.at, answer.at, zone)
    lines = [f"{name}, {when}", "", *quantity_rows(answer, zone, units), ""]
    lines.append(
        say(
            "Net volume: {volume} (believed: {volume_belief}).",
            volume=measure_text(answer.volume),
            volume_belief=measure_text(answer.volume_belief),
        )
    )
    lines += _forecast_lines(answer, zone, units)
    lines += _suspect_lines(answer, zone, units)
    lines += _unlogged_lines(answer, zone, units)
    lines += list(answer.notes)
    return lines


def _forecast_lines(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> list[str]:
    lines = []
    for quantity in answer.quantities.values():
        when, measure = quantity.forecast[-1]
        shown = measure_text(shown_measure(quantity.name, measure, units[quantity.name]))
        day = date_text(when, answer.at, zone)
        lines.append(
            say(
                "{quantity} on {day}, with dosing as it is: {shown}.",
                quantity=quantity.name,
                day=day,
                shown=shown,
            )
        )
    return ["", *lines]


def _test_sd(answer: Answer, quantity: str) -> float:
    """One test's standard deviation by its usual method: the digits that a reading earns."""
    found = [each.sd for each in answer.methods if each.quantity == quantity]
    return found[0] if found else answer.quantities[quantity].now.sd


def _suspect_lines(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> list[str]:
    if not answer.suspects:
        return []
    lines = ["", say("Tests that are more likely wrong than not:")]
    for each in answer.suspects[:10]:
        spread = _test_sd(answer, each.quantity)
        shown = shown_measure(each.quantity, Measure(each.value, spread, ""), units[each.quantity])
        day = date_text(instant(each.t), answer.at, zone)
        lines.append(
            say(
                "  {day}: {quantity} {shown}, fact {fact} (chance {probability:.2f})",
                day=day,
                quantity=each.quantity,
                shown=value_text(shown),
                fact=each.fact,
                probability=each.probability,
            )
        )
    if len(answer.suspects) > 10:
        lines.append(say("  and {count} earlier ones", count=len(answer.suspects) - 10))
    return [*lines, say("  To settle one: brinebook add verdict FACT wrong, or sound.")]


def _unlogged_lines(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> list[str]:
    if not answer.unlogged:
        return []
    lines = ["", say("Changes of the water that nothing in the book explains:")]
    for each in answer.unlogged[:10]:
        shown = shown_measure(each.quantity, each.change, units[each.quantity], difference=True)
        begins, ends = (date_text(t, answer.at, zone) for t in (each.begins, each.ends))
        lines.append(
            say(
                "  {begins} to {ends}: {quantity} by {shown} (chance "
                "{probability:.2f}), id {short_id}",
                begins=begins,
                ends=ends,
                quantity=each.quantity,
                shown=measure_text(shown),
                probability=each.probability,
                short_id=short_id(each.id),
            )
        )
    return [*lines, say("  To settle one: brinebook add verdict ID yes, or no.")]
