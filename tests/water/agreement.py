"""How far our carbonate system is from PyCO2SYS: ``python -m tests.water.agreement`` prints it.

PyCO2SYS 1.8.3 is an independent program (Humphreys et al. 2022, Geosci. Model Dev. 15:15). It is
run with the constants that we use; it takes Perez & Fraga 1987 as on the free scale, we as the 2007
Guide does on the total scale, which only an NBS pH notices.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brinebook.water.carbonate.arrays import solve_many
from brinebook.water.carbonate.state import CarbonateState, Sample

Array = NDArray[np.float64]

#: Lueker 2000, Dickson 1990, Perez & Fraga 1987, Uppström 1974.
OPTIONS = {
    "opt_k_carbonic": 10,
    "opt_k_bisulfate": 1,
    "opt_k_fluoride": 2,
    "opt_total_borate": 1,
    "opt_pH_scale": 1,
}
#: Our name -> theirs, and the most that the two may differ.
COMPARED = {
    "dic": ("dic", 0.3),
    "alkalinity": ("alkalinity", 0.3),
    "ph_total": ("pH_total", 0.0005),
    "ph_nbs": ("pH_nbs", 0.005),
    "ph_free": ("pH_free", 0.0005),
    "pco2": ("pCO2", 0.5),
    "bicarbonate": ("bicarbonate", 0.3),
    "carbonate": ("carbonate", 0.3),
    "omega_aragonite": ("saturation_aragonite", 0.005),
    "omega_calcite": ("saturation_calcite", 0.008),
}
PARAMETER = {"alkalinity": 1, "dic": 2, "ph": 3, "pco2": 4}
PAIRS = (
    ("alkalinity", "ph"),
    ("alkalinity", "dic"),
    ("alkalinity", "pco2"),
    ("dic", "ph"),
    ("dic", "pco2"),
    ("ph", "pco2"),
)


@dataclass(frozen=True)
class Waters:
    """Samples all over the range in which home reefs live, and PyCO2SYS's answer for them."""

    salinity: Array
    temperature: Array
    calcium: Array
    phosphate: Array
    silicate: Array
    theirs: dict[str, Any]


def waters(count: int = 3000, seed: int = 20260301) -> Waters:
    """Random waters of 30-40 PSU and 18-32 °C, alkalinity 1800-5000 umol/kg, total pH 7.5-8.6."""
    import PyCO2SYS

    random = np.random.default_rng(seed)
    salinity, temperature = random.uniform(30, 40, count), random.uniform(18, 32, count)
    calcium = random.uniform(8000, 14000, count)
    phosphate, silicate = random.uniform(0, 10, count), random.uniform(0, 50, count)
    theirs = PyCO2SYS.sys(
        random.uniform(1800, 5000, count),
        random.uniform(7.5, 8.6, count),
        PARAMETER["alkalinity"],
        PARAMETER["ph"],
        salinity=salinity,
        temperature=temperature,
        total_phosphate=phosphate,
        total_silicate=silicate,
        total_calcium=calcium,
        **OPTIONS,
    )
    return Waters(salinity, temperature, calcium, phosphate, silicate, theirs)


def solved(some: Waters, pair: tuple[str, str]) -> CarbonateState[Array]:
    """Our answer for those waters from two of PyCO2SYS's numbers; pH on the total scale."""
    known = {name: some.theirs[COMPARED.get(name, ("pH_total", 0))[0]] for name in pair}
    return solve_many(
        Sample(
            **known,
            scale="total" if "ph" in pair else None,
            salinity=some.salinity,
            temperature=some.temperature,
            calcium=some.calcium,
            phosphate=some.phosphate,
            silicate=some.silicate,
        )
    )


def greatest_differences(some: Waters, pair: tuple[str, str]) -> dict[str, float]:
    """The greatest absolute difference of each number, from that pair."""
    ours = solved(some, pair)
    return {
        name: float(np.max(np.abs(getattr(ours, name) - some.theirs[their_name])))
        for name, (their_name, _) in COMPARED.items()
    }


def main() -> None:
    """Print the table of greatest differences."""
    some = waters()
    by_pair = {pair: greatest_differences(some, pair) for pair in PAIRS}
    print("| number | allowed |", " | ".join(" + ".join(pair) for pair in PAIRS), "|")
    print("| --- | --- |", " | ".join("---" for _ in PAIRS), "|")
    for name, (_, allowed) in COMPARED.items():
        cells = " | ".join(f"{by_pair[pair][name]:.2g}" for pair in PAIRS)
        print(f"| {name} | {allowed:g} | {cells} |")


if __name__ == "__main__":
    main()
