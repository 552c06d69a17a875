"""``brinebook plan limits``: what plans are held to, and whose number it is."""

from __future__ import annotations

import click

from brinebook.cli import options, output
from brinebook.cli.session import Session
from brinebook.cli.telling import by_option

_SUGGESTED = "common practice, no source"
_NAMES = {
    "saturation": "aragonite saturation of a pour",
    "saturation_rise": "or above where the water stands",
    "change_share": "water changed at once",
    "pours_per_day": "pours in a day, at most",
    "pour_gap": "between two pours",
    "mixing_share": "water that a pour has spread in before the next",
    "air_co2": "CO2 of the room's air",
    "air_hours": "air takes pH two thirds of the way back in",
    "salt_moisture": "grams from the bag for a gram of dry salt",
}


@click.command("limits")
@click.option("--take", multiple=True, metavar="QUANTITY", help="Make the suggestion your own.")
@by_option
@options.json_option
@options.system_option
@click.pass_obj
def command(
    session: Session,
    *,
    take: tuple[str, ...],
    by: str | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Every limit that plans keep to: yours, or what is suggested and what others use.

    \b
    brinebook plan limits
    brinebook plan limits --take alkalinity --take calcium

    A limit blocks no entry. Edit yours with “brinebook system --edit”, or on the page System.
    """
    from brinebook.desk import clock, plan_limits

    if take:
        plan_limits.take(session.book, take, system, now=clock.now(), by=by or "")
    told = plan_limits.limits_told(session.book, system)
    if as_json:
        output.emit_json(
            {
                "limits": [
                    {
                        "quantity": line.quantity,
                        "unit": line.unit,
                        "per_day": line.per_day,
                        "band": list(line.band),
                        "own": sorted(line.own - {"saturation"}),
                        "others": line.says,
                    }
                    for line in told.lines
                ],
                **{
                    number.key: {
                        "value": number.value,
                        "unit": number.unit,
                        "low": number.low,
                        "high": number.high,
                        "own": number.own,
                        "others": number.taken,
                    }
                    for number in told.numbers
                },
            }
        )
        return
    for line in told.lines:
        mine = "yours" if "per_day" in line.own else f"{_SUGGESTED}; {line.says}"
        band = "yours" if "band" in line.own else _SUGGESTED
        output.show(f"{line.quantity}: {line.limit_text} a day ({mine})")
        output.show(f"  band {line.band_text} ({band})")
    for number in told.numbers:
        mine = "yours" if number.own else _SUGGESTED
        output.show(f"{_NAMES[number.key]}: {number.text} ({mine})")
