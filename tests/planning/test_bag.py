"""The bag of a new animal: CO2 and ammonia, against an independent carbonate solver."""

from __future__ import annotations

import warnings

import pytest

from brinebook.planning.bag import (
    AIRING_STONE,
    BagWater,
    bag_of_known_ph,
    breathed,
    carbon_from_oxygen,
    drip_course,
    mixed_water,
    nitrogen_from_oxygen,
)

SHOP = BagWater(31.0, 24.0, 2400.0, 2150.0, 0.0)
SYSTEM = BagWater(35.0, 25.0, 2788.0, 2450.0, 0.0)


def pyco2(water: BagWater) -> tuple[float, float]:
    """pH on the NBS scale and pCO2 by PyCO2SYS with the constants of this project."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import PyCO2SYS
    found = PyCO2SYS.sys(
        par1=water.alkalinity, par2=water.dic, par1_type=1, par2_type=2,
        salinity=water.salinity, temperature=water.temperature,
        opt_k_carbonic=10, opt_k_bisulfate=1, opt_k_fluoride=2, opt_total_borate=1,
    )  # fmt: skip
    return float(found["pH_nbs"]), float(found["pCO2"])


def test_ammonia_for_oxygen_by_hand() -> None:
    # By hand: 32 mg of O2 are 2 mmol of O atoms; at 40 to 1 they go with 0.05 mmol N, 0.700 mg; and
    # with 0.9 mmol of CO2.
    assert nitrogen_from_oxygen(31.998, 40.0) == pytest.approx(0.70035, rel=1e-4)
    assert carbon_from_oxygen(31.998) == pytest.approx(0.9)


def test_small_fish_give_off_what_was_measured() -> None:
    # Ikeda et al. 2011 (abstract): up to 1296 uL of O2 and 64.2 ug of NH4-N a fish and hour. Oxygen
    # of 1.33 mg a mL at 25 to 30 degrees; the ratio of the two extremes lies in the ratios given.
    oxygen = 1.296 * 1.31
    assert nitrogen_from_oxygen(oxygen, 104.0) < 0.0642 < nitrogen_from_oxygen(oxygen, 17.0)


def test_a_bag_that_was_breathed_in_has_the_ph_of_an_independent_program() -> None:
    # PyCO2SYS with the same constants: 0.0005 in pH, 0.5 % in pCO2 (its KF is taken on another
    # scale; see the carbonate tests). Ten grams of fish, ten hours, 1.5 L: 35 mg of O2.
    bag = breathed(SHOP, oxygen=35.0, ratio=40.0, litres=1.5)
    ph, pco2 = pyco2(bag)
    state = bag.state()
    assert state.ph_nbs == pytest.approx(ph, abs=0.005)
    assert state.pco2 == pytest.approx(pco2, rel=0.005)
    assert state.ph_nbs < SHOP.state().ph_nbs - 0.3


@pytest.mark.parametrize("airing", [0.3, AIRING_STONE])
def test_every_minute_of_a_drip_has_the_ph_of_an_independent_program(airing: float) -> None:
    bag = breathed(SHOP, oxygen=35.0, ratio=40.0, litres=1.5)
    course = list(
        drip_course(bag, SYSTEM, dilution=1.3, fills=False, airing=airing, pco2=600.0, hours=1.0)
    )
    for moment in course[::15]:
        assert moment.water.state().ph_nbs == pytest.approx(pyco2(moment.water)[0], abs=0.005)


def test_opening_the_bag_makes_the_same_ammonia_more_toxic() -> None:
    bag = breathed(SHOP, oxygen=35.0, ratio=40.0, litres=1.5)
    aired = bag.aired(600.0)
    assert aired.ammonia == bag.ammonia
    assert aired.unionised() > 2 * bag.unionised()


def test_airing_ends_in_balance_with_the_room() -> None:
    bag = breathed(SHOP, oxygen=35.0, ratio=40.0, litres=1.5)
    *_, last = drip_course(bag, bag, dilution=0.0, fills=False, airing=60.0, pco2=600.0, hours=8.0)
    assert last.water.state().pco2 == pytest.approx(600.0, rel=0.01)


def test_salt_and_carbon_keep_their_books_without_air() -> None:
    bag = breathed(SHOP, oxygen=35.0, ratio=40.0, litres=1.5)
    *_, last = drip_course(bag, SYSTEM, dilution=1.3, fills=True, airing=0.0, pco2=600.0, hours=1.0)
    expected = mixed_water(bag, SYSTEM, 1 / 2.3)
    for name in ("salinity", "alkalinity", "dic", "ammonia", "temperature"):
        assert getattr(last.water, name) == pytest.approx(getattr(expected, name), rel=1e-9)


def test_a_tested_ph_gives_its_own_back() -> None:
    bag = bag_of_known_ph(
        salinity=31.0, temperature=24.0, alkalinity=2400.0, ph_nbs=7.3, ammonia=1.0
    )
    assert bag.state().ph_nbs == pytest.approx(7.3, abs=1e-6)
