"""``brinebook convert`` at the command line: the contract's promises."""

from __future__ import annotations

import json

import pytest

from brinebook.cli.main import main


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = main(["convert", *arguments])
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def test_the_contracts_example_works_verbatim(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "8 dKH", "meq/L", "--json")
    assert status == 0
    assert err == ""
    answer = json.loads(out)
    assert list(answer) == ["value", "unit", "assumed"]
    assert answer["value"] == pytest.approx(8 / 2.80385, rel=1e-9)
    assert answer["unit"] == "meq/L"
    assert answer["assumed"] == {}


def test_json_numbers_carry_nine_digits(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "8 dKH", "meq/L", "--json")
    assert '"value": 2.85321968,' in out


def test_assumptions_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "8 dKH", "umol/kg", "--json")
    assert json.loads(out)["assumed"] == {"salinity": 35.0, "temperature": 25.0}
    _, out, _ = run(
        capsys, "8 dKH", "umol/kg", "--salinity", "34 PSU", "--temperature", "26 C", "--json"
    )
    assert json.loads(out)["assumed"] == {}


def test_a_person_reads_a_line_and_the_assumption_beside_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, err = run(capsys, "8 dKH", "umol/kg")
    assert status == 0
    assert out == "8 dKH = 2788.13 umol/kg\n"
    assert "35 PSU and 25 °C" in err


def test_a_negative_amount_is_no_option(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "-3 C", "F", "--json")
    assert status == 0
    assert json.loads(out)["value"] == pytest.approx(26.6)


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("100 ppm", "meq/L"), "E-UNIT-AMBIGUOUS"),
        (("31 ppb", "mg/L", "--quantity", "phosphate"), "E-UNIT-AMBIGUOUS"),
        (("1.025", "PSU"), "E-UNIT-MISSING"),
        (("420 mg/L", "mmol/L"), "E-QUANTITY-NEEDED"),
        (("420 mg/L", "mmol/L", "--quantity", "calcum"), "E-QUANTITY"),
        (("-5 dKH", "meq/L"), "E-RANGE"),
        (("nan dKH", "meq/L"), "E-NUMBER"),
        (("1,320 mg/L CaCO3", "dKH"), "E-NUMBER"),
        (("8 dKH", "L"), "E-DIMENSION"),
        (("8 dKH", "foo"), "E-UNIT-UNKNOWN"),
        (("8 dKH",), "E-USAGE"),
        (("8 dKH", "meq/L", "dKH"), "E-USAGE"),
    ],
)
def test_a_refusal_has_a_code_a_sentence_and_a_way_on(
    arguments: tuple[str, ...], code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = run(capsys, *arguments, "--json")
    assert status == 2
    error = json.loads(out)["error"]
    assert error["code"] == code
    assert error["message"]
    assert error["hint"]
    assert error["message"] in " ".join(err.split())
    assert "Traceback" not in err
