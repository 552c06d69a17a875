"""``brinebook water``: the state of a sample, without a book."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brinebook.cli import options, output

if TYPE_CHECKING:
    from brinebook.desk.water import Figure, WaterState

#: Name -> how it reads to a person, and at how many decimals: what the constants are worth.
_LINES = {
    "alkalinity": ("alkalinity", 0),
    "dic": ("inorganic carbon (DIC)", 0),
    "ph_nbs": ("pH, as a probe set with buffers reads", 2),
    "ph_total": ("pH, total scale", 2),
    "pco2": ("CO2 in balance with (pCO2)", 0),
    "bicarbonate": ("bicarbonate", 0),
    "carbonate": ("carbonate", 0),
    "omega_aragonite": ("saturation of aragonite", 2),
    "omega_calcite": ("saturation of calcite", 2),
    "density": ("density", 2),
    "oxygen_saturation": ("oxygen when saturated", 2),
    "ammonia_unionised": ("un-ionised ammonia, as N", 4),
    "ammonia_unionised_fraction": ("its part of all ammonia", 4),
}
_UNITS = {"salinity": "PSU", "temperature": "°C"}
_CAUTION = (
    "A probe's NBS pH carries 0.02 to 0.05 of its own here, and the constants about 3 % on CO2 "
    "and saturation."
)


@click.command(
    epilog="\b\n"
    'brinebook water --alkalinity "8 dKH" --ph "8.1 NBS" --salinity 35 --temperature "25 C"\n'
    'brinebook water --alkalinity "2.9 meq/L" --pco2 "600 uatm" --calcium "420 mg/L"',
)
@click.option("--alkalinity", metavar="AMOUNT", help="Total alkalinity, such as “8 dKH”.")
@click.option("--ph", metavar="AMOUNT", help="“8.1 NBS” or “8.0 total”; without a word, NBS.")
@click.option("--dic", metavar="AMOUNT", help="Inorganic carbon, such as “2000 umol/kg”.")
@click.option("--pco2", metavar="AMOUNT", help="CO2 in balance with, such as “420 uatm”.")
@click.option("--salinity", metavar="AMOUNT", help="PSU, or with another unit; else 35.")
@click.option("--temperature", metavar="AMOUNT", help="°C, or with another unit; else 25.")
@click.option("--calcium", metavar="AMOUNT", help="Measured; else that of natural seawater.")
@click.option("--phosphate", metavar="AMOUNT", help="Counts in alkalinity.")
@click.option("--silicate", metavar="AMOUNT", help="Counts in alkalinity.")
@click.option("--ammonia", metavar="AMOUNT", help="Total, such as “0.5 mg/L N”: how much is NH3.")
@options.json_option
def command(*, as_json: bool, **known: str | None) -> None:
    """Say all that follows from two of alkalinity, pH, DIC and pCO2, of a sample of sea water."""
    from brinebook.desk.water import Known, water_state

    state = water_state(Known(**known))
    if as_json:
        output.emit_json(
            {
                **{
                    name: {"value": figure.value, "unit": figure.unit}
                    for name, figure in state.figures.items()
                },
                "notes": list(state.notes),
                "assumed": dict(state.assumed),
            }
        )
        return
    _show(state)


def _show(state: WaterState) -> None:
    at = state.conditions
    output.show(f"Sea water of {at.salinity:.4g} PSU at {at.temperature:.4g} °C")
    output.show()
    for name, (words, decimals) in _LINES.items():
        if name in state.figures:
            output.show(_line(words, state.figures[name], decimals))
    output.show()
    output.show(_CAUTION)
    for note in state.notes:
        output.say(f"Note: {note}")
    if state.assumed:
        said = " and ".join(f"{value:g} {_UNITS[name]}" for name, value in state.assumed.items())
        others = " and ".join(f"--{name}" for name in state.assumed)
        output.hint(f"taken at {said}; say otherwise with {others}.")


def _line(words: str, figure: Figure, decimals: int) -> str:
    unit = "" if figure.unit in ("total", "NBS") else figure.unit
    return f"  {words:<38} {figure.value:>9.{decimals}f} {unit}".rstrip()
