"""system.toml: every key, every fault at once, and nothing of the keeper's own text lost."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.book.description import (
    KEPT_SECTIONS,
    KNOWN_KEYS,
    DescriptionWrong,
    TomlUnreadable,
    decode_toml,
    read_description,
)
from brinebook.measure import Measure
from brinebook.system import Additive, Method, System
from tests.conftest import SYSTEM_TOML

#: 1 meq/L in dKH, as the contract with other programs fixes it.
DKH = 2.80385


def _faults(text: str) -> list[str]:
    with pytest.raises(DescriptionWrong) as caught:
        read_description(text)
    assert caught.value.exit_status == 3
    return [fault.where for fault in caught.value.faults]


def test_the_example_is_read_in_canonical_units() -> None:
    described = read_description(SYSTEM_TOML)
    system = described.system
    assert described.warnings == ()
    assert (system.name, system.timezone) == ("Lantern Shelf", "Europe/Lisbon")
    assert system.net_volume == Measure(310.0, 25.0, "L")
    assert system.units == {"alkalinity": "dKH"}
    assert system.bands["alkalinity"] == pytest.approx((7.5 / DKH, 9 / DKH), rel=1e-5)
    assert system.bands["calcium"] == (400.0, 450.0)
    assert system.targets == {"salinity": 35.0}
    assert system.limits_per_day["alkalinity"] == pytest.approx(1 / DKH, rel=1e-5)
    assert system.additives[0] == Additive("carbonate solution", "NaHCO3", 80.0)
    assert system.mixes[0].composition["calcium"] == 425.0
    assert system.mixes[0].sd == 0.04
    assert system.references[0].composition["alkalinity"].sd == pytest.approx(0.05 / DKH, rel=1e-5)
    method = system.methods[0]
    assert (method.name, method.quantity) == ("drop count", "alkalinity")
    assert method.repeatability == pytest.approx(0.15 / DKH, rel=1e-5)
    assert system.assumed == ()


def test_only_the_name_is_required_and_what_is_guessed_is_said() -> None:
    system = read_description('name = "Pond"').system
    assert system.net_volume is None
    assert system.timezone == "UTC"
    assert len(system.assumed) == 2


def test_a_volume_without_its_spread_gets_a_wide_one_and_says_so() -> None:
    system = read_description('name = "Pond"\ntimezone = "UTC"\nnet_volume = "80 gal"').system
    assert system.net_volume is not None
    # A US gallon is 3.785411784 L by definition (NIST SP 811, appendix B.8).
    assert system.net_volume.value == pytest.approx(80 * 3.785411784)
    assert system.net_volume.sd == pytest.approx(8 * 3.785411784)
    assert len(system.assumed) == 1


def test_an_additive_by_what_a_millilitre_brings() -> None:
    text = """
name = "x"
[[additives]]
name = "bought"
recipe = { per_ml = { alkalinity = "0.95 meq", calcium = "20 mg" } }
strength_sd = "5 %"
[[additives]]
name = "bought too"
per_ml = { alkalinity = "0.95 meq" }
[[additives]]
name = "unknown"
"""
    first, second, third = read_description(text).system.additives
    assert first.per_ml == {"alkalinity": 0.95, "calcium": 20.0}
    assert first.strength_sd == 0.05
    assert second.per_ml == {"alkalinity": 0.95}
    assert third == Additive("unknown")


def test_differences_are_read_as_differences() -> None:
    text = """
name = "x"
[limits_per_day]
temperature = "1.8 dF"
salinity = "1 PSU"
ph = 0.2
[[methods]]
name = "glass"
quantity = "temperature"
repeatability = "0.9 F"
resolution = "0.5 C"
[[methods]]
name = "kit"
quantity = "nitrate"
repeatability = "12 %"
"""
    system = read_description(text).system
    assert system.limits_per_day["temperature"] == pytest.approx(1.0)
    assert system.limits_per_day["ph"] == pytest.approx(0.2)
    assert system.methods[0].repeatability == pytest.approx(0.5)
    assert system.methods[1] == Method("kit", "nitrate", repeatability_fraction=0.12)


def test_all_faults_are_told_at_once() -> None:
    text = """
timezone = "Mars/Olympus"
net_volume = 310
bands = { alkalinity = ["9 dKH", "7 dKH"], calcium = ["400 mg/L"], magnesium = ["1200", "5 ppb"] }
targets = { salinity = "1.025" , nitrat = "5 mg/L" }
limits_per_day = { alkalinity = "-1 dKH" }
units = { alkalinity = "ppm" }
[[additives]]
name = "a"
recipe = { salt = "NaHC", grams_per_litre = "80" }
strength_sd = 3
[[additives]]
name = "a"
[[mixes]]
name = "m"
at_salinity = 350
calcium = "9999 mg/L"
[[references]]
alkalinity = 8
[[methods]]
name = "k"
quantity = "alk"
[[methods]]
name = "l"
"""
    assert _faults(text) == [
        "name",
        "units.alkalinity",
        "timezone",
        "net_volume.value",
        "bands.alkalinity",
        "bands.calcium",
        "bands.magnesium[0]",
        "bands.magnesium[1]",
        "targets.salinity",
        "targets.nitrat",
        "limits_per_day.alkalinity",
        "additives[a].recipe.salt",
        "additives[a].recipe.grams_per_litre",
        "additives[a].strength_sd",
        "mixes[m].at_salinity",
        "mixes[m].calcium",
        "references[1].name",
        "references[1].alkalinity.value",
        "methods[k].quantity",
        "methods[l].quantity",
        "additives",
    ]


@pytest.mark.parametrize(
    "text", ['name = "x"\nbands = 3', 'name = "x"\nadditives = "a"', "name = 3", 'name = " "']
)
def test_values_of_the_wrong_shape_are_faults(text: str) -> None:
    assert len(_faults(text)) == 1


def test_unknown_keys_are_remarked_on_with_the_nearest_name() -> None:
    text = """
name = "x"
timezon = "UTC"
[[mixes]]
name = "m"
calcum = "420 mg/L"
[[additives]]
name = "a"
recipe = { salt = "NaHCO3", grams_per_litre = 80, gram_per_litre = 3 }
[stores]
anything = 3
[[vessels]]
name = "display"
"""
    warnings = read_description(text).warnings
    assert len(warnings) == 3
    assert all(
        f"Did you mean {name}?" in warning
        for name, warning in zip(("timezone", "calcium", "grams_per_litre"), warnings, strict=True)
    )


@pytest.mark.parametrize("data", [b"name = ", b"\xff", b'name = "a\x00b"', b"[" * 5000])
def test_what_is_not_toml_is_refused(data: bytes) -> None:
    with pytest.raises(TomlUnreadable) as caught:
        read_description(decode_toml(data))
    assert caught.value.exit_status == 3


def test_a_byte_order_mark_and_crlf_are_read() -> None:
    data = b"\xef\xbb\xbf" + SYSTEM_TOML.replace("\n", "\r\n").encode()
    assert read_description(decode_toml(data)).system == read_description(SYSTEM_TOML).system


def test_every_key_that_is_read_is_documented() -> None:
    page = Path(__file__).parents[2] / "docs" / "system-toml.md"
    text = page.read_text(encoding="utf-8")
    keys = {key for names in KNOWN_KEYS.values() for key in names or ()}
    sections = {name.rpartition(".")[2] for name in KNOWN_KEYS if name}
    assert [key for key in sorted(keys | sections) if key not in text] == []
    assert [name for name in KEPT_SECTIONS if name not in text] == []


_LEAVES = st.one_of(
    st.sampled_from(["8 dKH", "x", "3 %", "310 L", "-1 L", "1.025", "NaHCO3", "alkalinity", ""]),
    st.integers(-5, 10**9),
    st.floats(allow_nan=True),
    st.booleans(),
)
_VALUES = st.recursive(
    _LEAVES,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.sampled_from(["name", "value", "sd", "salt", "alkalinity", "per_ml", "quantity"]),
            inner,
            max_size=3,
        ),
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from([*(KNOWN_KEYS[""] or ()), "odd"]), _VALUES, max_size=6))
def test_no_values_at_all_make_the_reader_stumble(values: dict[str, object]) -> None:
    import tomlkit

    text = tomlkit.dumps(values)
    with contextlib.suppress(DescriptionWrong, TomlUnreadable):
        assert isinstance(read_description(text).system, System)


@given(st.text(max_size=80))
def test_no_text_at_all_makes_the_reader_stumble(text: str) -> None:
    with contextlib.suppress(DescriptionWrong, TomlUnreadable):
        read_description(text)


def test_the_section_of_planning_is_read_with_its_shares_and_its_air() -> None:
    text = """
name = "Lantern Shelf"
[planning]
saturation = 4.5
air_co2 = { value = "650 ppm", sd = "80 ppm" }
air_hours = 5
pours_per_day = 3
mixing_share = "50 %"
"""
    planning = read_description(text).system.planning
    assert planning.saturation == 4.5
    assert planning.air_co2 is not None
    assert (planning.air_co2.value, planning.air_co2.sd) == (650.0, 80.0)
    assert (planning.air_hours, planning.pours_per_day) == (5.0, 3)
    assert planning.mixing_share == 0.5
    assert planning.saturation_rise is None


def test_faults_of_the_section_of_planning_are_named_all_at_once() -> None:
    text = """
name = "Lantern Shelf"
[planning]
saturation = "high"
air_co2 = "650 km"
mixing_share = "0 %"
"""
    with pytest.raises(DescriptionWrong) as caught:
        read_description(text)
    assert [fault.where for fault in caught.value.faults] == [
        "planning.saturation",
        "planning.air_co2.value",
        "planning.mixing_share",
    ]


def test_a_bottles_container_is_read_in_millilitres() -> None:
    text = """
name = "Lantern Shelf"
[[additives]]
name = "carbonate solution"
recipe = { salt = "NaHCO3", grams_per_litre = 80 }
container = "5 L"
"""
    assert read_description(text).system.additives[0].container == 5000.0
