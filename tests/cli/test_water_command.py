"""``brinebook water`` at the command line: the contract's promises."""

from __future__ import annotations

import json

import pytest

from brinebook.cli.main import main

EXAMPLE = (
    "--alkalinity", "8 dKH", "--ph", "8.1 NBS", "--salinity", "35", "--temperature", "25 C",
)  # fmt: skip
FIGURES = {
    "alkalinity": "umol/kg", "dic": "umol/kg", "ph_total": "total", "ph_nbs": "NBS",
    "pco2": "uatm", "bicarbonate": "umol/kg", "carbonate": "umol/kg", "omega_aragonite": "",
    "omega_calcite": "", "density": "kg/m3", "oxygen_saturation": "mg/L",
}  # fmt: skip


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = main(["water", *arguments])
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def test_the_contracts_example_works_verbatim(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, *EXAMPLE, "--json")
    assert status == 0
    assert err == ""
    answer = json.loads(out)
    assert {name: answer[name]["unit"] for name in FIGURES} == FIGURES
    assert answer["ph_nbs"]["value"] == pytest.approx(8.1, abs=1e-9)
    # PyCO2SYS 1.8.3: NBS is 0.1365 above total at 35 and 25 °C; 0.005.
    assert answer["ph_total"]["value"] == pytest.approx(8.1 - 0.1365, abs=0.005)
    assert answer["notes"] == []


def test_ammonia_adds_its_two_figures(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, *EXAMPLE, "--ammonia", "0.5 mg/L", "--json")
    answer = json.loads(out)
    assert answer["ammonia_unionised"]["unit"] == "mg/L"
    fraction = answer["ammonia_unionised_fraction"]["value"]
    assert answer["ammonia_unionised"]["value"] == pytest.approx(0.5 * fraction)


def test_ranges_left_are_in_the_notes(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(
        capsys, "--alkalinity", "8 dKH", "--ph", "8.1", "--salinity", "12", "--json"
    )
    assert status == 0
    answer = json.loads(out)
    assert any("19 to 43 PSU" in note for note in answer["notes"])
    assert answer["assumed"] == {"temperature": 25.0}


def test_a_person_reads_the_state_and_its_limits(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "--alkalinity", "8 dKH", "--ph", "8.24 NBS")
    assert status == 0
    assert "Sea water of 35 PSU at 25 °C" in out
    assert "saturation of aragonite" in out
    assert "4.60" in out
    assert "0.02 to 0.05" in out
    assert "35 PSU and 25 °C" in err


def test_notes_reach_a_person_too(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, err = run(capsys, *EXAMPLE[:4], "--salinity", "12", "--temperature", "25")
    assert "19 to 43 PSU" in out + err


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        ((), "E-PAIR", "alkalinity with pH"),
        (("--ph", "8.1"), "E-PAIR", "alkalinity with pH"),
        (
            ("--alkalinity", "8 dKH", "--ph", "8.1", "--dic", "2000 umol/kg"),
            "E-PAIR",
            "exactly one pair",
        ),
        (("--alkalinity", "8 ppm", "--ph", "8.1"), "E-UNIT-AMBIGUOUS", "ppm CaCO3"),
        (("--alkalinity", "-8 dKH", "--ph", "8.1"), "E-RANGE", ""),
        (("--alkalinity", "82 dKH", "--ph", "8.1"), "E-RANGE", "8.2 dKH"),
        (("--alkalinity", "8 dKH", "--ph", "82"), "E-RANGE", "8.2 NBS"),
        (("--alkalinity", "8 dKH", "--pco2", "-5 uatm"), "E-RANGE", ""),
        (("--dic", "5 umol/kg", "--pco2", "420 uatm"), "E-IMPOSSIBLE", "another unit"),
        (("--alkalinity", "8 dKH", "--ph", "8.1", "--salinity", "1.025"), "E-UNIT-MISSING", "SG"),
        (("--alkalinty", "8 dKH"), "E-USAGE", ""),
    ],
)
def test_a_missing_impossible_or_third_input_is_refused(
    arguments: tuple[str, ...],
    code: str,
    words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, err = run(capsys, *arguments, "--json")
    assert status == 2
    error = json.loads(out)["error"]
    assert error["code"] == code
    assert words in error["hint"] + error["message"]
    assert "Traceback" not in err
