"""What can hurt someone is said where the act is planned, on the page and to programs alike.

Which hazards go with which act: common practice, no source, but for the lifting mass (ISO 11228-1),
the zoanthids (CDC, MMWR 64:852, 2015) and the spines (Atkinson and others, Emerg Med J 23:503).
"""

from __future__ import annotations

import pytest

from brinebook.planning.cautions import CAUTIONS
from tests.conftest import Run

_V = ("--volume", "300L")
#: A plan, and the cautions that it can't do without.
ACTS: list[tuple[tuple[str, ...], set[str]]] = [
    (("solution", "NaHCO3", "--strength", "80 g/L"), {"soda"}),
    (("solution", "Na2CO3", "--strength", "80 g/L"), {"soda"}),
    (("solution", "NaOH", "--strength", "40 g/L"), {"lye"}),
    (("solution", "Ca(OH)2", "--strength", "1.4 g/L"), {"lime"}),
    (("solution", "CaCl2", "--strength", "80 g/L"), {"calcium_chloride_heat"}),
    (("solution", "MgCl2", "--strength", "80 g/L"), {"salt_heat"}),
    (("solution", "MgSO4", "--strength", "80 g/L"), {"salt_heat"}),
    (("solution", "HCl", "--strength", "10 g/L"), {"acid"}),
    (("correct", "alkalinity", "--from", "7 dKH", "--to", "7.4 dKH", *_V, "--with", "NaOH"),
     {"lye"}),
    (("correct", "alkalinity", "--from", "7 dKH", "--to", "7.4 dKH", *_V, "--with",
      "NaOH 40 g/L"), {"lye"}),
    (("correct", "alkalinity", "--from", "7 dKH", "--to", "7.4 dKH", *_V, "--with", "Na2CO3"),
     {"soda"}),
    (("dose", "--use", "1 dKH", *_V, "--with", "NaOH 40 g/L"), {"lye"}),
    (("limewater", "--evaporation", "3.8 L/day", "--use", "1 dKH", *_V), {"lime"}),
    (("reactor", "--effluent", "25 dKH", "--flow", "2 L/h", "--use", "1 dKH", *_V),
     {"co2_bottle"}),
    (("change", "--amount", "45L", *_V), {"mains", "heater_dry", "hoses", "lifting"}),
    (("salinity", "--from", "37", "--to", "35", *_V), {"mains", "heater_dry", "hoses"}),
    (("mix", "40L"), {"mains", "filter_line", "lifting"}),
    (("bottle", "NaHCO3", "--strength", "80 g/L", "--left", "1L", *_V), {"mains"}),
    (("algae", "--cut", "100g", *_V), {"release"}),
    (("acclimate", "--salinity", "31", "--to", "35"), {"zoanthids", "spines", "release"}),
    (("treatment", "5 mL per 100 L", "--volume", "60L"), {"medicine", "peroxide", "leftovers"}),
    (("supply", "NaOH", "--pack", "25 kg 60+25", "--use", "1kg"), {"lye", "lifting", "reagents"}),
    (("slip", "limewater", "10L", *_V), {"lime", "mains"}),
    (("slip", "dose", "Ca(OH)2", "60g", *_V), {"lime"}),
    (("slip", "death", "50g", *_V), {"fear", "zoanthids", "mains"}),
    (("slip", "overfed", "30g", *_V), {"fear", "mains"}),
    (("slip", "foreign", "bleach", *_V), {"fear", "medicine", "cleaning", "mains", "hoses"}),
    (("slip", "fresh-flood", "25L", *_V), {"flood", "mains", "hoses"}),
    (("slip", "dried-out", "25L", *_V), {"flood", "mains"}),
    (("slip", "salt-top-off", "20L", *_V), {"mains", "hoses"}),
]  # fmt: skip
#: Of people's lives and eyes, of mains and floods: shown every time.
LASTING = {
    "lime", "lye", "calcium_chloride_heat", "salt_heat", "acid", "co2_bottle", "mains", "flood",
    "cleaning", "zoanthids", "release",
}  # fmt: skip


@pytest.mark.parametrize(("words", "ids"), ACTS, ids=[" ".join(words[:2]) for words, _ in ACTS])
def test_the_caution_stands_where_the_act_is_planned(
    run: Run, words: tuple[str, ...], ids: set[str]
) -> None:
    told = run("plan", *words, "--json").json["cautions"]
    assert ids <= {one["id"] for one in told}
    page = " ".join(run("plan", *words).out.split())
    assert all(one["text"] in page for one in told)


def test_what_is_never_put_away_is_marked_so() -> None:
    assert {row.id for row in CAUTIONS.values() if row.lasting} == LASTING
