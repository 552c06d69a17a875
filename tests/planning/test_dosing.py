"""Daily dosing: worked figures, steady books left alone, noise not chased."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.balance.drawn import Drawn, draw_plain
from brinebook.measure import Measure
from brinebook.planning.dayswing import Daily, clock_hours, days_of_ph
from brinebook.planning.dosing import Pump, Setting, as_it_is, containers, pair_ratio, settle
from brinebook.planning.limits import Limits
from brinebook.planning.pours import water_of
from brinebook.planning.substances import Substance, dosed_for, of_additive
from brinebook.system import Additive
from brinebook.water.quantities import DKH_PER_MEQ

DKH = 1.0 / DKH_PER_MEQ
BAND = Limits(1.0 * DKH, (7.5 * DKH, 9.0 * DKH))
CALCIUM_BAND = Limits(30.0, (400.0, 450.0))


def _bottle(salt: str, grams: float, name: str = "") -> Substance:
    found = of_additive(Additive(name or salt, salt, grams))
    assert found is not None
    return found


CARBONATE, CALCIUM = _bottle("NaHCO3", 80.0, "carbonate"), _bottle("CaCl2.2H2O", 70.0, "calcium")


def _drawn(
    *, level: float, net: float, sd: float = 0.05, net_sd: float = 0.02, litres: float = 300.0
) -> Drawn:
    """``net``: by how much it falls a day with the dosing as it is, dKH."""
    return draw_plain(
        {"alkalinity": Measure(level * DKH, sd * DKH, ""), "calcium": Measure(425.0, 4.0, "")},
        {"alkalinity": Measure(net * DKH, net_sd * DKH, ""),
         "calcium": Measure(net * 7.147, 0.5, "")},
        Measure(litres, 0.0, "L"),
        pump_sd={"carbonate": 0.0, "calcium": 0.0},
        strength_sd={"carbonate": 0.0, "calcium": 0.0},
    )  # fmt: skip


def _settle(drawn: Drawn, carbonate: float, calcium: float) -> tuple[Setting, ...]:
    pumps = [
        Pump(CARBONATE, "alkalinity", carbonate),
        Pump(CALCIUM, "calcium", calcium),
    ]
    return settle(
        drawn,
        pumps,
        targets={"alkalinity": 8.25 * DKH, "calcium": 425.0},
        limits={"alkalinity": BAND, "calcium": CALCIUM_BAND},
    )


def test_a_lightly_stocked_reef_on_thirty_millilitres_of_each_is_left_as_it_is() -> None:
    # Common practice, no source: about 340 L hold steady on some 30 mL a day of each part, at
    # 80 g/L of bicarbonate 0.24 dKH a day.
    drawn = _drawn(level=8.2, net=0.0, net_sd=0.01, litres=340.0)
    carbonate, calcium = _settle(drawn, 30.0, 30.0)
    assert not carbonate.changes
    assert not calcium.changes
    assert carbonate.holds[30][0] > 0.95
    given = 30.0 * CARBONATE.brings("alkalinity") / 340.0 * DKH_PER_MEQ
    assert given == pytest.approx(0.24, abs=0.005)


def test_a_fall_that_the_tests_are_sure_of_is_met_in_full() -> None:
    # 0.1 dKH a day in 300 L is 10.70 meq, or 11.23 mL of a bottle of 0.9523 meq/mL: arithmetic.
    drawn = _drawn(level=8.25, net=0.1, sd=0.0, net_sd=0.0)
    carbonate, _ = _settle(drawn, 60.0, 60.0)
    assert carbonate.because == "change"
    assert carbonate.new - 60.0 == pytest.approx(11.23, abs=0.5)  # a knob moves by whole mL
    assert float(np.median(carbonate.levels[21])) == pytest.approx(8.25 * DKH, abs=0.1 * DKH)


def test_what_noise_alone_could_make_moves_no_knob() -> None:
    drawn = _drawn(level=8.2, net=0.03, sd=0.15, net_sd=0.06)
    carbonate, calcium = _settle(drawn, 60.0, 60.0)
    assert carbonate.because in ("noise", "steady")
    assert not carbonate.changes
    assert not calcium.changes


def test_a_knob_is_never_turned_far_at_once() -> None:
    drawn = _drawn(level=8.0, net=0.3, net_sd=0.01)
    carbonate, _ = _settle(drawn, 30.0, 30.0)
    assert carbonate.bounded
    assert carbonate.new <= 30.0 * 1.4 + 0.5


def test_calcium_follows_in_the_ratio_of_the_pair() -> None:
    drawn = _drawn(level=8.0, net=0.1, net_sd=0.01)
    carbonate, calcium = _settle(drawn, 60.0, 60.0)
    ratio = pair_ratio(CARBONATE, CALCIUM)
    # 80 g/L of bicarbonate and 70 g/L of the dihydrate keep 2 meq to 1 mmol in equal volumes.
    assert ratio == pytest.approx(1.0, abs=1e-3)
    assert calcium.because == "pair"
    assert calcium.new == pytest.approx(ratio * carbonate.new, abs=1.0)


def test_calcium_that_is_over_its_band_is_not_raised_with_the_carbonate() -> None:
    drawn = draw_plain(
        {"alkalinity": Measure(7.7 * DKH, 0.1 * DKH, ""), "calcium": Measure(462.0, 5.0, "")},
        {"alkalinity": Measure(0.1 * DKH, 0.01 * DKH, ""), "calcium": Measure(-0.3, 0.3, "")},
        Measure(300.0, 0.0, "L"),
    )
    carbonate, calcium = _settle(drawn, 60.0, 60.0)
    assert carbonate.new > 60.0
    assert calcium.because == "change"
    assert calcium.new < 60.0


def test_a_setting_left_alone_after_all_promises_nothing_else() -> None:
    carbonate, _ = _settle(_drawn(level=8.0, net=0.1, net_sd=0.01), 60.0, 60.0)
    assert carbonate.changes
    held = as_it_is(carbonate, because="odd")
    assert not held.changes
    assert held.holds[30][1] == held.holds[30][0] == carbonate.holds[30][0]
    assert np.array_equal(held.levels, carbonate.without)


def test_bottles_of_unequal_strength_go_together_in_unequal_volumes() -> None:
    # Arithmetic: 50 g/L of soda ash is 0.9435 meq/mL, so 0.4718 mmol, or 18.91 mg of calcium, and
    # 100 g/L of the dihydrate has 27.26 mg/mL: 0.6935 mL.
    soda, strong = _bottle("Na2CO3", 50.0), _bottle("CaCl2.2H2O", 100.0)
    assert pair_ratio(soda, strong) == pytest.approx(0.6935, rel=5e-4)


@pytest.mark.parametrize(
    ("millilitres", "rise"),
    # 300 L and 80 g/L of carbonate: arithmetic on molar masses, 0.02 %.
    [(1000.0, 8.90), (420.0, 3.74)],
)
def test_a_stuck_pump_puts_in_all_that_is_left(millilitres: float, rise: float) -> None:
    drawn = _drawn(level=8.2, net=0.0, sd=0.0, net_sd=0.0)
    left = np.full(drawn.count, millilitres)
    pump = Pump(CARBONATE, "alkalinity", 30.0, left=left)
    (found,) = containers(drawn, [pump], worst={"alkalinity": 1.4 * DKH})
    assert found.rise is not None
    assert float(np.median(found.rise)) * DKH_PER_MEQ == pytest.approx(rise, abs=0.005)
    assert found.days is not None
    assert float(np.median(found.days)) == pytest.approx(millilitres / 30.0)


@pytest.mark.parametrize(("worst", "keep"), [(1.4, 157.0), (2.0, 225.0)])
def test_how_much_to_keep_so_that_the_worst_rise_stands(worst: float, keep: float) -> None:
    # Arithmetic: 1.4 or 2.0 dKH of 300 L over 0.9523 meq/mL; whole mL.
    drawn = _drawn(level=8.2, net=0.0, sd=0.0, net_sd=0.0)
    pump = Pump(CARBONATE, "alkalinity", 30.0)
    (found,) = containers(drawn, [pump], worst={"alkalinity": worst * DKH})
    assert found.keep == pytest.approx(keep, abs=0.5)
    assert found.days is None


def test_a_bottle_is_for_what_it_moves_most() -> None:
    assert dosed_for(CARBONATE) == "alkalinity"
    assert dosed_for(CALCIUM) == "calcium"
    assert dosed_for(_bottle("MgSO4.7H2O", 100.0)) == "magnesium"


def test_dosing_by_night_lifts_the_nights_ph_only_where_the_dose_does() -> None:
    water = water_of(np.array([2.9]), calcium=np.array([420.0]), pco2=600.0)

    def nights(carbon: float) -> float:
        daily = Daily(0.36, carbon * 0.36, 0.0, 0.36, 22.0, 6.0)
        ph = days_of_ph(water, [daily], pco2=600.0, air_hours=6.0)[:, 0]
        return float(ph[5] - ph[17])

    # Common practice, no source: dosing at night is habit and lifts the night's pH. By chemistry
    # hydroxide and carbonate lift it, bicarbonate does not: what each brings of carbon.
    assert nights(0.0) > nights(0.5) > 0.02
    assert nights(1.0) < 0.0


def test_round_the_clock_the_day_is_flat() -> None:
    water = water_of(np.array([2.9]), calcium=np.array([420.0]), pco2=600.0)
    ph = days_of_ph(water, [Daily(0.3, 0.3, 0.0, 0.3)], pco2=600.0, air_hours=6.0)[:, 0]
    assert float(ph.max() - ph.min()) < 0.002


@pytest.mark.parametrize(
    ("text", "hours"), [("22-06", (22.0, 6.0)), ("8:30-20", (8.5, 20.0)), ("", (0.0, 0.0))]
)
def test_hours_are_read_as_the_book_keeps_them(text: str, hours: tuple[float, float]) -> None:
    assert clock_hours(text) == hours


@settings(max_examples=30, deadline=None)
@given(
    level=st.floats(6.5, 10.0),
    net=st.floats(-0.5, 0.8),
    net_sd=st.floats(0.0, 0.2),
    setting=st.floats(5.0, 300.0),
)
def test_a_change_never_makes_the_band_less_likely_to_hold(
    *, level: float, net: float, net_sd: float, setting: float
) -> None:
    drawn = _drawn(level=level, net=net, net_sd=net_sd)
    carbonate, _ = _settle(drawn, setting, setting)
    low, high = BAND.band
    if not carbonate.changes:
        assert carbonate.new == setting
        return
    half = (high - low) / 2.0
    target = carbonate.target

    def apart(levels: np.ndarray) -> float:
        return float(np.mean(((levels[1:22] - target) / half) ** 2))

    assert apart(carbonate.levels) <= apart(carbonate.without) + 1e-9
