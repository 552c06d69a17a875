"""Corrections: worked amounts, limits kept draw by draw, and testing first where that is better."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.balance.drawn import Drawn, draw_plain
from brinebook.measure import Measure
from brinebook.planning.corrections import Ask, Correction, correct
from brinebook.planning.limits import Limits, limits_for
from brinebook.planning.pourable import Air
from brinebook.planning.substances import BringsNone, SubstanceUnknown, choose, split_of
from brinebook.water.quantities import DKH_PER_MEQ

DKH = 1.0 / DKH_PER_MEQ


def _exact(levels: dict[str, float], litres: float = 300.0, **sds: float) -> Drawn:
    return draw_plain(
        {name: Measure(value, sds.get(name, 0.0), "") for name, value in levels.items()},
        {name: Measure(0.0, sds.get("use", 0.0), "") for name in levels},
        Measure(litres, sds.get("litres", 0.0), "L"),
    )


def _ask(quantity: str, target: float, what: str | None, *, noise: float | None = None) -> Ask:
    limits = limits_for(quantity, None, target=target)
    wide = Limits(limits.per_day, (0.0, 1e9), limits.saturation, limits.saturation_rise)
    air = Air(np.full(4000, 420.0), np.full(4000, 6.0))
    return Ask(quantity, target, choose(quantity, what), wide, air, noise=noise)


def _totals(found: Correction) -> list[float]:
    return [found.days * each for each in found.amounts]


@pytest.mark.parametrize(
    ("quantity", "start", "rise", "what", "grams"),
    # Arithmetic on molar masses (IUPAC), 300 L; 0.02 %. Pure salt: its own doubt has mean nothing.
    [
        ("alkalinity", 6.9 * DKH, 1.2 * DKH, "NaHCO3", [10.786]),
        ("alkalinity", 6.9 * DKH, 1.2 * DKH, "Na2CO3", [6.804]),
        ("calcium", 400.0, 20.0, "CaCl2.2H2O", [22.008]),
        ("calcium", 400.0, 20.0, "CaCl2", [16.614]),
        ("calcium", 400.0, 20.0, "CaCl2.6H2O", [32.797]),
        ("magnesium", 1290.0, 60.0, "MgCl2.6H2O", [150.56]),
        ("magnesium", 1290.0, 60.0, "MgSO4.7H2O", [182.53]),
    ],
)
def test_the_grams_are_those_of_the_molar_masses(
    quantity: str, start: float, rise: float, what: str, grams: list[float]
) -> None:
    levels = {"alkalinity": 8.0 * DKH, "calcium": 420.0, quantity: start}
    found = correct(_exact(levels), _ask(quantity, start + rise, what))
    assert _totals(found) == pytest.approx(grams, rel=2e-4)


def test_a_pair_of_magnesium_salts_keeps_seawaters_chloride_to_sulfate() -> None:
    # 0.54587 mol Cl to 0.028235 mol SO4 (Millero 2008): 9.666 mol of chloride salt to one of
    # sulfate, 7.973 to 1 by mass; +60 mg/L in 300 L is 136.44 g and 17.11 g. 0.1 %.
    found = correct(_exact({"magnesium": 1290.0}), _ask("magnesium", 1350.0, None))
    assert _totals(found) == pytest.approx([136.44, 17.11], rel=1e-3)
    assert found.amounts[0] / found.amounts[1] == pytest.approx(7.973, rel=1e-3)


def test_carbonate_is_parted_into_pours_where_bicarbonate_goes_in_at_once() -> None:
    levels = {"alkalinity": 8.0 * DKH, "calcium": 420.0}
    pours = {}
    for salt in ("NaHCO3", "Na2CO3", "NaOH"):
        found = correct(_exact(levels), _ask("alkalinity", 9.0 * DKH, salt))
        assert found.parting is not None
        assert found.parting.chance < 0.02
        pours[salt] = found.parting.pours * found.days
    assert pours["NaHCO3"] < pours["Na2CO3"] < pours["NaOH"]


def test_nothing_is_poured_at_the_target_or_above_it() -> None:
    for start in (8.0 * DKH, 9.0 * DKH):
        found = correct(_exact({"alkalinity": start}), _ask("alkalinity", 8.0 * DKH, None))
        assert not found.is_needed
        assert found.amounts == (0.0,)
        assert found.short_of == ""


def test_more_doubt_about_the_volume_makes_the_days_amount_smaller() -> None:
    levels = {"alkalinity": 6.0 * DKH}
    sure = correct(_exact(levels), _ask("alkalinity", 9.0 * DKH, "NaHCO3"))
    doubt = draw_plain(
        {"alkalinity": Measure(levels["alkalinity"], 0.0, "")},
        {},
        Measure(300.0, 45.0, "L"),
    )
    unsure = correct(doubt, _ask("alkalinity", 9.0 * DKH, "NaHCO3"))
    assert unsure.amounts[0] < sure.amounts[0]
    assert unsure.days > sure.days


def test_a_test_comes_first_where_it_would_change_the_act() -> None:
    vague = _exact({"alkalinity": 7.9 * DKH}, alkalinity=0.5 * DKH)
    clear = _exact({"alkalinity": 6.5 * DKH}, alkalinity=0.15 * DKH)
    ask = _ask("alkalinity", 8.2 * DKH, None, noise=0.1 * DKH)
    first, second = correct(vague, ask), correct(clear, ask)
    assert first.worth is not None
    assert second.worth is not None
    assert first.worth.is_worth_it
    assert not second.worth.is_worth_it


def test_what_brings_nothing_of_it_and_what_nobody_knows_are_refused() -> None:
    with pytest.raises(BringsNone):
        choose("calcium", "NaHCO3")
    with pytest.raises(SubstanceUnknown):
        choose("calcium", "moon dust")


def test_shares_of_a_pair_sum_to_all_of_it() -> None:
    parts = choose("magnesium", None)
    assert sum(split_of("magnesium", parts)) == pytest.approx(1.0, abs=1e-15)


@settings(max_examples=40, deadline=None)
@given(
    level=st.floats(5.5, 9.5),
    target=st.floats(7.0, 10.5),
    level_sd=st.floats(0.0, 0.5),
    litres=st.floats(40.0, 1500.0),
    litres_sd=st.floats(0.0, 0.15),
    use=st.floats(0.0, 0.05),
    salt=st.sampled_from(["NaHCO3", "Na2CO3"]),
)
def test_no_plan_passes_a_limit_with_a_chance_of_two_in_a_hundred(
    *,
    level: float,
    target: float,
    level_sd: float,
    litres: float,
    litres_sd: float,
    use: float,
    salt: str,
) -> None:
    drawn = draw_plain(
        {"alkalinity": Measure(level * DKH, level_sd * DKH, "")},
        {"alkalinity": Measure(0.0, use, "")},
        Measure(litres, litres_sd * litres, "L"),
        count=1000,
    )
    air = Air(np.full(1000, 500.0), np.full(1000, 6.0))
    limits = Limits(1.0 * DKH, (7.0 * DKH, 11.0 * DKH))
    found = correct(drawn, Ask("alkalinity", target * DKH, choose("alkalinity", salt), limits, air))
    assert found.passes_daily < 0.0201
    assert found.passes_edge < 0.02
    if found.parting is not None:
        assert found.parting.chance < 0.02
    if found.is_needed:
        # What is said to be in the water is what was poured over the volume: nothing is lost.
        rise = found.levels[found.days] - found.without[found.days]
        assert rise == pytest.approx(found.days * found.rise_per_day, rel=1e-9, abs=1e-12)
        assert float(np.median(found.reached)) <= target * DKH + 1e-6
