"""``brinebook plan limits``: what plans are held to, and whose number it is."""

from __future__ import annotations

import click

from brinebook.cli import options, output
from brinebook.cli.session import Session
from brinebook.cli.telling import by_option

_SUGGESTED = "common practice, no source"


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

    A limit blocks no entry. Edit yours with “brinebook system --edit”.
    """
    from brinebook.desk import clock, plan_limits
    from brinebook.report.numbers import plain_text

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
                "saturation": {"value": told.saturation[0], "own": told.saturation[1]},
                "saturation_rise": {
                    "value": told.saturation_rise[0],
                    "own": told.saturation_rise[1],
                },
                "change_share": {
                    "value": 100.0 * told.change_share[0],
                    "unit": "%",
                    "own": told.change_share[1],
                },
            }
        )
        return
    for line in told.lines:
        mine = "yours" if "per_day" in line.own else f"{_SUGGESTED}; {line.says}"
        band = "yours" if "band" in line.own else _SUGGESTED
        output.show(f"{line.quantity}: {line.limit_text} a day ({mine})")
        output.show(f"  band {line.band_text} ({band})")
    for name, (value, own), unit in (
        ("aragonite saturation of a pour", told.saturation, ""),
        ("or above where the water stands", told.saturation_rise, ""),
        ("water changed at once", (100.0 * told.change_share[0], told.change_share[1]), " %"),
    ):
        output.show(f"{name}: {plain_text(value)}{unit} ({'yours' if own else _SUGGESTED})")
