"""The sum of a dosing pump that empties its container."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import Input, Reckoned, Sum
from brinebook.desk.typed import read_quantity
from brinebook.lifesupport.dosing_course import most_for, rise
from brinebook.plan import Figure
from brinebook.water.quantities import DKH_PER_MEQ
from brinebook.water.salts import find_salt

_TOLD = ("alkalinity", "calcium", "magnesium", "potassium", "strontium")


def _doser(given: Mapping[str, Any]) -> Reckoned:
    salt = find_salt(given["salt"])
    per_ml = {
        name: salt.per_gram[name] * given["grams-per-litre"] / 1000.0
        for name in _TOLD
        if name in salt.per_gram
    }
    litres, holds = given["volume"], given["container"] * 1000.0
    figures: dict[str, Figure | None] = {}
    for name, brings in per_ml.items():
        up = rise(brings, holds, litres=litres)
        key = f"{name}_rise"
        figures[key] = Figure(key, up, "meq/L" if name == "alkalinity" else "mg/L")
        if name == "alkalinity":
            figures[f"{key}_dkh"] = Figure(f"{key}_dkh", up * DKH_PER_MEQ, "dKH")
    if given["flow"]:
        figures["empty_after"] = Figure("empty_after", given["container"] / given["flow"], "h")
    first = next(iter(per_ml), None)
    if first is not None and given["rise"] is not None:
        limit = read_quantity(first, given["rise"])
        most = most_for(per_ml[first], limit, litres=litres)
        figures["most_to_fill_in"] = Figure("most_to_fill_in", most, "mL")
        if given["flow"]:
            hours = most / 1000.0 / given["flow"]
            figures["reaches_rise_after"] = (
                Figure("reaches_rise_after", hours, "h") if most <= holds else None
            )
    return Reckoned(figures, cautions=("mains",))


DOSE_SUMS: Mapping[str, Sum] = {
    "doser": Sum(
        "what a dosing pump does that empties its container, and what may be left in it",
        (
            Input("volume", "volume", "net volume of the water", needed=True, low=0.1),
            Input("salt", "word", "its formula, such as NaHCO3", needed=True),
            Input(
                "grams-per-litre",
                "number",
                "of the salt in the bottle",
                needed=True,
                low=0.001,
                high=5000,
            ),
            Input("container", "volume", "what is in it", needed=True),
            Input("flow", "flow", "of the pump while it runs"),
            Input("rise", "word", "that you would bear, such as “1.4 dKH”"),
        ),
        _doser,
        '--volume "300 L" --salt NaHCO3 --grams-per-litre 80 --container "1 L" --rise "1.4 dKH"',
    ),
}
