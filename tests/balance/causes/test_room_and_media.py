"""pH by the room's air, and phosphate by tired media: when something is said, and when not."""

from __future__ import annotations

import math

import pytest

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.explained import Explained
from brinebook.balance.causes.media import tired_media
from brinebook.balance.causes.room import changed_ph
from brinebook.balance.causes.water_signs import carbonate_state
from brinebook.balance.season import days_since_epoch
from brinebook.water.air import ph_change_by_air
from tests.report import books


def _case(story: books.Story) -> Case:
    return Case(story.system, story.facts, story.told(), days_since_epoch(story.now))


def _ph(last: float, *, alkalinity: float | None = None, before: float = 8.15) -> list[Explained]:
    story = books.quiet()
    for ago in range(50, 7, -4):
        story.test(ago, "ph", before)
    if alkalinity is not None:
        story.add(0.3, "test", "alkalinity", f"{alkalinity} dKH", method="drops")
    story.add(0.2, "test", "ph", f"{last} NBS")
    return changed_ph(_case(story))


def test_the_daily_swing_is_nothing_to_explain() -> None:
    assert _ph(8.06) == []


def test_a_reading_that_means_a_stuffy_room_is_the_rooms_and_an_impossible_one_the_probes() -> None:
    (stuffy,) = _ph(7.88)
    (broken,) = _ph(6.9)
    assert stuffy.lead.cause == "room_air"
    assert broken.lead.cause == "probe_fault"
    assert float(stuffy.numbers["co2"]) == pytest.approx(1100, abs=150)


def test_a_meter_in_the_room_decides() -> None:
    story = books.stuffy()
    plain = next(iter(changed_ph(_case(story))))
    story.add(0.3, "test", "room_co2", "1150 ppm")
    agreeing = next(iter(changed_ph(_case(story))))
    story.facts.pop()
    story.add(0.3, "test", "room_co2", "450 ppm")
    denying = next(iter(changed_ph(_case(story))))
    assert denying.share("room_air") < plain.share("room_air") < agreeing.share("room_air")


def test_pH_that_follows_alkalinity_is_not_the_rooms() -> None:
    # Halving alkalinity at one CO2 lowers pH by about a third (log10 of 2, the definition of pK1).
    assert _ph(8.15 - 0.29, alkalinity=4.0) == []


def test_the_part_of_the_air_is_that_of_the_carbonate_system() -> None:
    # Independent way: what the same change of CO2 does to pH in the water room's own reckoning.
    case = _case(books.quiet())
    now = carbonate_state(case, case.at, alkalinity=2.86, ph=7.88)
    before = carbonate_state(case, case.at, alkalinity=2.86, ph=8.15)
    assert now is not None
    assert before is not None
    change = ph_change_by_air(now.alkalinity, before.pco2, now.pco2)
    assert change == pytest.approx(7.88 - 8.15, abs=0.01)


def test_fresh_media_are_not_called_tired() -> None:
    story = books.tired()
    story.facts = [fact for fact in story.facts if fact.kind != "media"]
    assert tired_media(_case(story)) == []
    story.add(49, "media", "ferric", "0 g")
    assert tired_media(_case(story)) == []
    story.add(25, "media", "ferric", "150 g")
    (young,) = tired_media(_case(story))
    (old,) = tired_media(_case(books.tired()))
    assert young.share("media_exhausted") < old.share("media_exhausted")


def test_more_food_takes_from_the_medias_share() -> None:
    def fed(since: float) -> Explained:
        story = books.tired()
        for ago in range(50, 0, -2):
            story.add(float(ago), "feed", "flakes", f"{(since if ago < 21 else 1.0):.1f} g")
        return tired_media(_case(story))[0]

    assert fed(1.6).share("media_exhausted") < fed(1.0).share("media_exhausted")


def test_one_high_vial_among_low_ones_says_nothing_lasting() -> None:
    story = books.tired()
    story.facts = [f for f in story.facts if f.what != "phosphate"]
    for ago, level in ((21.0, 0.03), (14.0, 0.12), (7.0, 0.03), (1.0, 0.03)):
        story.test(ago, "phosphate", level)
    assert tired_media(_case(story)) == []
    assert math.isfinite(story.told().quantities["phosphate"].now.value)
