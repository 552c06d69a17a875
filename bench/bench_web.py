"""How fast the notebook turns its pages, on a book of ten years (30,000 facts) and one worker.

At least 10 pages a second each, at the median; a first load under 150 kB on the wire, a chart's
numbers under 20 kB. Exit 1 where that isn't so. The first answer, and how long a new one takes
after an entry, are told for information: pages don't wait for them.
"""

from __future__ import annotations

import gzip
import random
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from pathlib import Path

from starlette.testclient import TestClient

from brinebook.cli.main import main as brinebook
from brinebook.web.app import create_app
from brinebook.web.options import Options

YEARS = 10
FACTS = 30_000
RUNS = 15
LEAST_PAGES_A_SECOND = 10.0
MOST_FIRST_LOAD = 150_000
MOST_CHART = 20_000
NOW = datetime(2026, 3, 1, 9, tzinfo=UTC)
START = NOW - timedelta(days=365 * YEARS)

PAGES = (
    "today", "why/alkalinity", "water", "water/alkalinity", "chart/alkalinity",
    "chart/alkalinity?days=0", "balance",
    "volume", "log", "log?find=snails", "log?kind=test&what=alkalinity", "enter/test",
    "enter/sitting", "enter/dose", "enter/water-change", "enter/chore", "enter/note", "system",
    "system/bands", "access", "sources", "help", "help/concepts", "help?find=salt",
    "dosing", "dosing/limits", "dosing/plan/dose", "dosing/plan/correct?quantity=alkalinity",
    "dosing/plan/correct?quantity=calcium&to=445+mg%2FL", "dosing/plan/slip-dose",
    "life-support", "life-support/drills", "life-support/drill/house-dark",
    "life-support/part/levels", "life-support/describe", "life-support/describe/pumps/0",
    "life-support/what-if?key=plumbing/nozzles/0:mouth&value=20",
)  # fmt: skip

SYSTEM = """\
name = "Bench"
timezone = "Europe/Lisbon"
net_volume = { value = "300 L", sd = "20 L" }
[units]
alkalinity = "dKH"
[bands]
alkalinity = ["7.5 dKH", "9 dKH"]
calcium = ["400 mg/L", "450 mg/L"]
[[additives]]
name = "carbonate solution"
recipe = { salt = "NaHCO3", grams_per_litre = 80 }
[[mixes]]
name = "house mix"
alkalinity = "8.2 dKH"
calcium = "425 mg/L"
magnesium = "1320 mg/L"
"""


def history() -> Iterator[str]:
    """Ten years of a keeper who writes down some eight things a day."""
    chance = random.Random(1)
    yield "when,kind,what,value,unit,detail\n"
    yield f"{START.isoformat()},dosing,carbonate solution,120,mL/day,\n"
    rows = 1
    day = 0
    while rows < FACTS and day < 365 * YEARS:
        when = START + timedelta(days=day)
        lot = f"method=drop count;lot=A{day // 200}"
        lines = [(20.0, f"feed,flakes,{chance.uniform(1, 3):.2f},g,"),
                 (7.5, f"feed,frozen,{chance.uniform(2, 5):.2f},g,"),
                 (8.0, f"level,top-off,{chance.uniform(5, 60):.1f},L,"),
                 (8.1, f"test,temperature,{chance.gauss(25.2, 0.2):.1f},C,"),
                 (8.2, f"test,ph,{chance.gauss(8.1, 0.05):.2f},NBS,"),
                 (21.0, f'note,,,,"text=day {day}, nothing new"'),
                 (8.3, "done,clear the skimmer neck,,,")]  # fmt: skip
        if day % 2 == 0:
            lines.append((19.5, f"test,alkalinity,{chance.gauss(8, 0.15):.1f},dKH,{lot}"))
        if day % 3 == 0:
            lines.append((19.6, f"test,salinity,{chance.gauss(35, 0.2):.1f},PSU,"))
        if day % 7 == 0:
            lines.append((11.0, "water_change,house mix,30,L,"))
            lines.append((19.7, f"test,calcium,{chance.gauss(425, 6):.0f},mg/L,"))
            lines.append((19.8, f"test,magnesium,{chance.gauss(1320, 15):.0f},mg/L,"))
            lines.append((19.9, f"test,nitrate,{max(chance.gauss(8, 1), 0):.1f},mg/L,"))
            lines.append((19.9, f"test,phosphate,{max(chance.gauss(0.06, 0.02), 0):.2f},mg/L,"))
        if day % 60 == 0:
            lines.append((15.0, "event,livestock,2,pieces,text=snails"))
        if day % 28 == 0:
            lines.append((12.0, "media,ferric,100,g,flow=60"))
        for hour, line in lines:
            instant = when.replace(hour=0) + timedelta(hours=hour)
            if instant < NOW and rows < FACTS:
                yield f"{instant.isoformat()},{line}\n"
                rows += 1
        day += 1


def make_book(folder: Path) -> str:
    """The book, from files, through the commands."""
    demo = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
    rig = demo[demo.index("[[vessels]]") :]
    (folder / "system.toml").write_text(f"{SYSTEM}\n{rig}", encoding="utf-8")
    (folder / "history.csv").write_text("".join(history()), encoding="utf-8")
    book = str(folder / "reef.book")
    assert brinebook(["--book", book, "new", "--system", str(folder / "system.toml")]) == 0
    assert brinebook(["--book", book, "import", str(folder / "history.csv")]) == 0
    return book


def _enter(client: TestClient, system: str) -> None:
    """Write a test down, as a form does."""
    page = client.get(f"/s/{system}/enter/test?what=alkalinity").text
    fields = dict(re.findall(r'name="(token|key|what)" value="([^"]*)"', page))
    answer = client.post(f"/s/{system}/enter/test", data=fields | {"value": "8.0"})
    assert answer.status_code == 200, answer.text


def median_seconds(client: TestClient, path: str) -> float:
    """The median time of one page."""
    times = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        answer = client.get(path)
        times.append(time.perf_counter() - begun)
        assert answer.status_code == 200, f"{path}: {answer.status_code}"
    return statistics.median(times)


def first_load(client: TestClient, system: str) -> int:
    """The bytes of Today with everything that it loads, files packed as they are sent."""
    page = client.get(f"/s/{system}/today").text
    files = [part.partition('"')[0] for part in page.split('="') if part.startswith("/static/")]
    sizes = [len(gzip.compress(client.get(name).content)) for name in set(files)]
    return len(page.encode()) + sum(sizes)


def main() -> int:
    """Measure, print, and say whether the figures were kept."""
    with tempfile.TemporaryDirectory() as place:
        book = make_book(Path(place))
        app = create_app(Options(book, at=NOW))
        shelf = app.state.notebook.shelf
        row = shelf.systems()[0]
        with TestClient(app, base_url="http://127.0.0.1:8410") as client:
            begun = time.perf_counter()
            shelf.standing(row, wait=600)
            print(f"the first answer of all: {time.perf_counter() - begun:.1f} s")
            _enter(client, row.system_id)
            begun = time.perf_counter()
            told = shelf.standing(row, wait=600).told
            print(f"a new one, after an entry: {time.perf_counter() - begun:.1f} s")
            for days in (90, 0):
                begun = time.perf_counter()
                while client.get(f"/s/{row.system_id}/chart/alkalinity?days={days}").json()[
                    "coming"
                ]:
                    pass
                print(
                    f"the line of {days or 'all'} days, once: {time.perf_counter() - begun:.1f} s"
                )
            for path in PAGES:
                client.get(f"/s/{row.system_id}/{path}")
            bad = _pages(client, row.system_id)
            load = first_load(client, row.system_id)
            charts = [len(client.get(f"/s/{row.system_id}/chart/{name}?days={days}").content)
                      for name in told.assessed.answer.quantities
                      for days in (1, 7, 30, 90, 365, 0)]  # fmt: skip
    print(f"first load: {load / 1000:.0f} kB (at most {MOST_FIRST_LOAD / 1000:.0f})")
    print(f"largest chart: {max(charts) / 1000:.1f} kB (at most {MOST_CHART / 1000:.0f})")
    return int(bad or load > MOST_FIRST_LOAD or max(charts) > MOST_CHART)


def _pages(client: TestClient, system: str) -> bool:
    bad = False
    print("| page | pages a second |")
    print("| --- | --- |")
    for path in PAGES:
        rate = 1 / median_seconds(client, f"/s/{system}/{path}")
        bad = bad or rate < LEAST_PAGES_A_SECOND
        print(f"| {path} | {rate:.0f} |")
    return bad


if __name__ == "__main__":
    sys.exit(main())
