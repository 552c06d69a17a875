"""Nitrogen and phosphorus of food: a label's figures, worked by hand."""

from __future__ import annotations

import pytest

from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.planning.food import (
    KEPT_NITROGEN,
    UNKNOWN_NITROGEN,
    UNKNOWN_PHOSPHORUS,
    as_fed,
    content_of_label,
    nitrogen_of_protein,
    reaching_water,
)


def test_protein_is_sixteen_parts_nitrogen_in_a_hundred() -> None:
    # The Kjeldahl convention of every label: N = crude protein / 6.25 (AOAC), exact.
    assert nitrogen_of_protein(1.0) == pytest.approx(1 / 6.25)


def test_three_grams_of_flakes_make_so_much_nitrate_and_phosphate() -> None:
    # By hand, in 300 L: 3 g a day of 45 % protein and 1.2 % phosphorus, a quarter kept, is
    # 3 x 0.45 / 6.25 x 0.75 = 0.162 g N and 27 mg P; x 4.42664 (NO3/N) and x 3.06614 (PO4/P) over
    # 300 L. Atomic weights to 2e-5.
    nitrogen = reaching_water(3.0 * nitrogen_of_protein(0.45), 0.25)
    assert nitrogen == pytest.approx(0.162)
    assert nitrogen * 1000 / 300 * NITRATE_PER_N == pytest.approx(2.3904, rel=1e-4)
    phosphorus = reaching_water(3.0 * 0.012, 0.25)
    assert phosphorus * 1000 / 300 * PHOSPHATE_PER_P == pytest.approx(0.27595, rel=1e-4)


def test_a_frozen_food_told_by_its_dry_matter_counts_its_water() -> None:
    # By hand: 60 % protein of the dry matter, 85 % water: 9 % protein as fed, 1.44 % N.
    assert as_fed(0.6, 0.85) == pytest.approx(0.09)
    told = content_of_label(protein=0.6, phosphorus=None, moisture=0.85, of_dry_matter=True)
    assert told.nitrogen.middle == pytest.approx(0.0144)


def test_a_label_gives_its_figures_as_sold() -> None:
    told = content_of_label(protein=0.45, phosphorus=0.012, moisture=0.08)
    assert told.nitrogen.middle == pytest.approx(0.072)
    assert told.phosphorus.middle == pytest.approx(0.012)
    assert told.nitrogen.low < 0.072 < told.nitrogen.high


def test_what_a_label_leaves_out_is_a_wide_guess() -> None:
    told = content_of_label(protein=None, phosphorus=None)
    assert (told.nitrogen, told.phosphorus) == (UNKNOWN_NITROGEN, UNKNOWN_PHOSPHORUS)


def test_growing_fish_keep_the_published_range() -> None:
    # Summerfelt & Penne 2007 (abstract): nitrogen retention of five species 12.0 to 44.1 %.
    assert (KEPT_NITROGEN.low, KEPT_NITROGEN.high) == pytest.approx((0.120, 0.441), abs=0.0015)
