"""Hand tests and sonde readings of the eelgrass tanks, as history.csv: a converter for the tests.

Regier P. and others, mcdr_mesocosm_sensors, GitHub, 2024 (MIT); see tests/data/eelgrass_tanks.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from tests.conftest import Run

DATA = Path(__file__).parents[1] / "data/eelgrass_tanks"
HEADER = ("when", "kind", "what", "value", "unit", "detail")
HAND = {
    "temperature": ("temperature_{}_c", "C"),
    "salinity": ("salinity_{}_ppt", "ppt"),
    "ph": ("ph_{}_nbs", "NBS"),
    "oxygen": ("oxygen_{}_mg_l", "mg/L"),
}
SONDE = {"salinity": ("salinity_psu", "PSU"), "ph": ("ph_1", "NBS"), "orp": ("orp_1_mv", "mV")}
RECALIBRATED = "2023-07-28T11"  # salinity, by the log of the sondes' maintenance
Row = tuple[str, str, str, str, str, str]


def hand_tests(tank: str, *quantities: str) -> Iterator[Row]:
    """What people measured at half past nine, at the surface and at the bottom."""
    with (DATA / "hand_tests.csv").open(encoding="utf-8") as file:
        for line in csv.DictReader(file):
            for quantity in quantities if line["tank"] == tank else ():
                column, unit = HAND[quantity]
                for place in ("surface", "bottom"):
                    value = line[column.format(place)]
                    if value:
                        when = f"{line['date']}T09:30:00"
                        detail = f"method=hand;replicate={place}"
                        yield when, "test", quantity, value, unit, detail


def sonde(tank: str, *quantities: str, second_ph: bool = False) -> Iterator[Row]:
    """What the tank's sonde said at nine; its salinity was calibrated anew once."""
    with (DATA / "sondes_at_nine.csv").open(encoding="utf-8") as file:
        for line in csv.DictReader(file):
            if line["tank"] != tank or float(line["salinity_psu"]) < 5.0:  # out of the water
                continue
            lot = "first" if line["when"] < RECALIBRATED else "second"
            for quantity in quantities:
                column, unit = SONDE[quantity]
                detail = f"method=sonde;lot={lot}"
                yield line["when"], "test", quantity, line[column], unit, detail
            if second_ph:
                yield line["when"], "test", "ph", line["ph_2"], "NBS", "method=second sensor"


def fill(run: Run, folder: Path, name: str, rows: list[Row], *, also: bool = False) -> None:
    """Make a system of that name and bring the rows in."""
    (folder / "system.toml").write_text(
        f'name = "{name}"\ntimezone = "America/Los_Angeles"\nnet_volume = "4000 L"\n'
    )
    with (folder / "history.csv").open("w", newline="") as file:
        csv.writer(file).writerows([HEADER, *rows])
    made = run("new", "--system", "system.toml", *(["--also"] if also else []))
    assert made.status == 0, made.err
    brought = run("import", "history.csv", "--system", name)
    assert brought.status == 0, brought.err
