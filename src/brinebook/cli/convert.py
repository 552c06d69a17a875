"""``brinebook convert``: one amount in another unit."""

from __future__ import annotations

import click

from brinebook.cli import options, output

_UNITS = {"salinity": "PSU", "temperature": "°C"}


@click.command(
    # An amount may start with a minus: “-3 C” is a temperature and not an option.
    context_settings={"ignore_unknown_options": True},
    epilog='\b\nbrinebook convert "8 dKH" meq/L\n'
    'brinebook convert "420 ppm" mmol/L --quantity calcium\n'
    'brinebook convert "1.025 SG" PSU\n'
    'brinebook convert "8 dKH" umol/kg --salinity 34 --temperature "26 C"',
)
@click.argument("amount")
@click.argument("unit")
@click.option("--quantity", metavar="NAME", help="Of what, where the result depends on it.")
@click.option("--salinity", metavar="AMOUNT", help="Of the water: PSU, or with another unit.")
@click.option("--temperature", metavar="AMOUNT", help="Of the water: °C, or with another unit.")
@options.json_option
def command(
    amount: str,
    unit: str,
    *,
    quantity: str | None,
    salinity: str | None,
    temperature: str | None,
    as_json: bool,
) -> None:
    """Say AMOUNT in another UNIT: of a quantity of the water, or a volume, mass, flow and so on."""
    from brinebook.desk.convert import convert

    answer = convert(amount, unit, quantity=quantity, salinity=salinity, temperature=temperature)
    if as_json:
        output.emit_json(
            {"value": answer.value, "unit": answer.unit, "assumed": dict(answer.assumed)}
        )
        return
    from brinebook.report.numbers import plain_text

    typed = f"{plain_text(answer.typed)} {answer.typed_unit}"
    output.show(f"{typed} = {output.strong(plain_text(answer.value))} {answer.unit}")
    if answer.assumed:
        said = " and ".join(f"{value:g} {_UNITS[name]}" for name, value in answer.assumed.items())
        others = " and ".join(f"--{name}" for name in answer.assumed)
        output.hint(f"taken at {said}; say otherwise with {others}.")
