"""Every plan's form in the notebook gives the answer that the command line gives."""

from __future__ import annotations

import html
import re
from urllib.parse import urlencode

from brinebook.desk.plan_asked import FORMS
from brinebook.texts.pages import Texts
from tests.conftest import Run
from tests.web.conftest import NOW, Reader

_WITHOUT_BOOK = ("solution", "mix")

#: By form: what is typed into its fields, and the same asked on the command line.
SAME: dict[str, tuple[dict[str, str], list[str]]] = {
    "dose": ({}, ["dose"]),
    "use": (
        {"use": "0.5 dKH", "parts": "NaHCO3 80 g/L; CaCl2.2H2O 70 g/L", "in_all_days": "14"},
        ["dose", "--use", "0.5 dKH", "--with", "NaHCO3 80 g/L", "--with", "CaCl2.2H2O 70 g/L",
         "--days", "14"],
    ),
    "correct": (
        {"quantity": "calcium", "to": "445 mg/L", "days": "2"},
        ["correct", "calcium", "--to", "445 mg/L", "--days", "2"],
    ),
    "change": (
        {"quantity": "nitrate", "amount": "10 %", "every": "7"},
        ["change", "nitrate", "--amount", "10 %", "--every", "7"],
    ),
    "salinity": ({"to": "36 PSU"}, ["salinity", "--to", "36 PSU"]),
    "nutrients": (
        {"nutrient": "nitrate", "food": "2 g/day"}, ["nutrients", "nitrate", "--food", "2 g/day"],
    ),
    "algae": ({"cut": "100 g", "dry": "11 %"}, ["algae", "--cut", "100 g", "--dry", "11 %"]),
    "ferric": ({"grams": "80 g", "flow": "60 L/h"}, ["ferric", "--grams", "80 g", "--flow",
                                                     "60 L/h"]),
    "media-load": (
        {"load": "27 mg/day", "grams": "100 g", "others": "60 %"},
        ["ferric", "--load", "27 mg/day", "--grams", "100 g", "--others", "60 %"],
    ),
    "carbon": (
        {"grams": "150 g", "flow": "80 L/h", "across": "70 mm"},
        ["carbon", "--grams", "150 g", "--flow", "80 L/h", "--across", "70 mm"],
    ),
    "bottle": ({"away": "10"}, ["bottle", "--away", "10"]),
    "solution": (
        {"salt": "NaHCO3", "strength": "80 g/L", "volume": "5 L"},
        ["solution", "NaHCO3", "--strength", "80 g/L", "--volume", "5 L"],
    ),
    "mix": (
        {"volume": "45 L", "temperature": "18 C", "warm_to": "25 C", "heater": "300 W"},
        ["mix", "45 L", "--temperature", "18 C", "--warm-to", "25 C", "--heater", "300 W"],
    ),
    "limewater": ({"evaporation": "4 L/day"}, ["limewater", "--evaporation", "4 L/day"]),
    "reactor": (
        {"effluent": "25 dKH", "effluent_ph": "6.6", "co2_bottle": "2 kg"},
        ["reactor", "--effluent", "25 dKH", "--effluent-ph", "6.6", "--bottle", "2 kg"],
    ),
    "residue": ({"amount": "10 %"}, ["residue", "--change", "10 %"]),
    "supply": (
        {"salt": "NaHCO3", "packs": "1 kg 9+6; 5 kg 24+9"},
        ["supply", "NaHCO3", "--pack", "1 kg 9+6", "--pack", "5 kg 24+9"],
    ),
    "acclimate": (
        {"bag_salinity": "31", "fish": "8 g", "bag_hours": "10"},
        ["acclimate", "--salinity", "31", "--fish", "8 g", "--hours", "10"],
    ),
    "treatment": (
        {"label": "5 mL per 100 L", "change": "25 %"},
        ["treatment", "5 mL per 100 L", "--change", "25 %"],
    ),
    "slip-dose": (
        {"what": "carbonate solution", "poured": "60 mL"},
        ["slip", "dose", "carbonate solution", "60 mL"],
    ),
    "slip-met": (
        {"first": "carbonate solution", "first_amount": "30 mL",
         "second": "calcium solution", "second_amount": "30 mL"},
        ["slip", "met", "carbonate solution", "30 mL", "calcium solution", "30 mL"],
    ),
    "slip-limewater": ({"litres": "10 L"}, ["slip", "limewater", "10 L"]),
    "slip-salt-top-off": (
        {"litres": "12 L", "tested_since": "yes"}, ["slip", "salt-top-off", "12 L", "--seen"],
    ),
    "slip-fresh-flood": ({"litres": "12 L"}, ["slip", "fresh-flood", "12 L"]),
    "slip-dried-out": ({"litres": "12 L"}, ["slip", "dried-out", "12 L"]),
    "slip-fresh-change": ({"litres": "12 L"}, ["slip", "fresh-change", "12 L"]),
    "slip-skimmate": ({"thrown": "0.5 L/day"}, ["slip", "skimmate", "0.5 L/day"]),
    "slip-overfed": ({"grams": "30 g"}, ["slip", "overfed", "30 g"]),
    "slip-death": ({"grams": "80 g"}, ["slip", "death", "80 g"]),
    "slip-foreign": ({"what_got_in": "window cleaner"}, ["slip", "foreign", "window cleaner"]),
}  # fmt: skip


#: The same for another water than the book's.
STATED: dict[str, tuple[dict[str, str], list[str]]] = {
    "correct": (
        {"quantity": "alkalinity", "to": "8.1 dKH", "substance": "NaHCO3",
         "water_level": "6.9 dKH", "water_volume": "300 L", "water_co2": "420 ppm"},
        ["correct", "alkalinity", "--to", "8.1 dKH", "--with", "NaHCO3", "--from", "6.9 dKH",
         "--volume", "300 L", "--co2", "420 ppm"],
    ),
    "change": (
        {"quantity": "nitrate", "to": "10 mg/L", "made": "1 mg/L", "every": "7",
         "water_level": "40 mg/L", "water_volume": "300 L"},
        ["change", "nitrate", "--to", "10 mg/L", "--made", "1 mg/L", "--every", "7", "--from",
         "40 mg/L", "--volume", "300 L"],
    ),
    "salinity": (
        {"to": "35", "water_level": "33", "water_volume": "300 L",
         "water_evaporation": "4 L/day"},
        ["salinity", "--to", "35", "--from", "33", "--volume", "300 L", "--evaporation",
         "4 L/day"],
    ),
    "limewater": (
        {"evaporation": "3.8 L/day", "use": "1 dKH", "water_volume": "300 L"},
        ["limewater", "--evaporation", "3.8 L/day", "--use", "1 dKH", "--volume", "300 L"],
    ),
    "reactor": (
        {"effluent": "25 dKH", "use": "1 dKH", "water_volume": "300 L"},
        ["reactor", "--effluent", "25 dKH", "--use", "1 dKH", "--volume", "300 L"],
    ),
    "residue": (
        {"use": "1 dKH", "water_volume": "300 L"},
        ["residue", "--use", "1 dKH", "--volume", "300 L"],
    ),
    "slip-dose": (
        {"what": "NaHCO3", "poured": "10.786 g", "water_volume": "300 L",
         "water_alkalinity": "6.9 dKH", "water_use": "alkalinity 0.5 dKH"},
        ["slip", "dose", "NaHCO3", "10.786 g", "--volume", "300 L", "--alkalinity", "6.9 dKH",
         "--use", "alkalinity 0.5 dKH"],
    ),
}  # fmt: skip


def _text(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_every_form_gives_the_answer_of_the_command_line_with_its_cautions(
    reader: Reader, book: str, run: Run
) -> None:
    assert list(SAME) == list(FORMS)
    # A plan of another second has other digits: the notebook's clock stands still.
    reader.client.app.state.notebook.shelf.now = lambda: NOW  # type: ignore[attr-defined]
    wrong = {}
    for kind, (typed, words) in SAME.items():
        at = [] if kind in _WITHOUT_BOOK else ["--at", NOW.isoformat()]
        outcome = run("--book", book, "plan", *words, *at, "--json")
        answer = reader.client.get(reader.url(f"dosing/plan/{kind}?{urlencode(typed)}&ask=1"))
        if outcome.status:
            lost = [outcome.err]
            same = answer.status_code != 200
        else:
            told, page = outcome.json, _text(answer.text)
            texts = [told["headline"], *(one["text"] for one in told["cautions"]), *told["stops"],
                     *(one["text"] for one in told["reasons"]), *told["notes"]]  # fmt: skip
            lost = [one for one in texts if " ".join(one.split()) not in page]
            same = answer.status_code == 200 and not lost
        if not same:
            wrong[kind] = lost, answer.status_code
    assert wrong == {}


def test_another_water_than_the_books_is_planned_for_and_not_offered_for_accepting(
    reader: Reader, book: str, run: Run
) -> None:
    reader.client.app.state.notebook.shelf.now = lambda: NOW  # type: ignore[attr-defined]
    for kind, (typed, words) in STATED.items():
        told = run("--book", book, "plan", *words, "--at", NOW.isoformat(), "--json").json
        page = _text(reader.get(f"dosing/plan/{kind}?{urlencode(typed)}&ask=1"))
        assert told["headline"] in page, kind
        assert all(" ".join(note.split()) in page for note in told["notes"]), kind
        assert "Accept this plan" not in page


def test_every_field_has_its_label_and_its_hint() -> None:
    texts = Texts()
    missing = [
        key
        for kind, form in FORMS.items()
        for key in (
            f"dosing.plan.{kind}",
            f"dosing.plan_says.{kind}",
            *(f"dosing.{part}.{name}" for name in form.every_field for part in ("field", "hint")),
        )
        if not texts.has(key)
    ]
    assert missing == []
    assert all(name in form.fields for form in FORMS.values() for name in form.needed)


def test_a_plan_without_the_book_is_told_and_not_offered_for_accepting(reader: Reader) -> None:
    page = reader.get("dosing/plan/solution?salt=NaHCO3&strength=80+g/L&volume=5+L")
    assert "Accept this plan" not in page
    assert "400" in page  # 5 L of 80 g/L
