"""The house rule: arrows between rooms go down only, and pure rooms touch nothing outside.

Walks the syntax tree of every module, so that an import inside a function counts as much as one at
the top of the file.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent / "src" / "brinebook"

#: Rooms from the top of the house down. A room may import from its own and from lower floors, and
#: from no other room on the same floor.
FLOORS = (
    {"cli", "web"},
    {"desk"},
    {"report", "book", "watch", "planning", "lifesupport"},
    {"balance"},
    {"water"},
    {"root"},
)

#: The one command that opens the other skin: there is nothing else for it to do.
STARTS_THE_OTHER = {("brinebook.cli.serve", "web")}

#: Values in, frozen values out.
PURE_ROOMS = {"watch", "planning", "lifesupport", "balance", "water", "root"}

#: What a pure room has no business with: files, the network, the clock, logs, other processes.
IMPURE_MODULES = {
    "asyncio", "atexit", "glob", "http", "io", "logging", "os", "pathlib", "random", "requests",
    "secrets", "shutil", "signal", "socket", "sqlite3", "subprocess", "sys", "tempfile",
    "threading", "time", "urllib", "warnings", "click", "rich", "sqlalchemy", "alembic",
}  # fmt: skip
IMPURE_CALLS = {"open", "print", "input", "exec", "eval"}
CLOCK_READERS = {"now", "utcnow", "today"}

#: Modules of a pure room that read data shipped inside the package, and nothing else.
PACKAGE_DATA_READERS = {"brinebook.sources"}

#: Weighs half a second and 140 MB; a tool of the tests, never of the program.
NEVER_AT_RUN_TIME = {"scipy", "pandas", "PyCO2SYS", "phreeqpython", "statsmodels", "wntr", "fluids"}


def _modules() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def _name(path: Path) -> str:
    parts = path.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _room(module: str) -> str:
    if module == "brinebook.__main__":  # “python -m brinebook” is a door of the command line
        return "cli"
    parts = module.split(".")
    known = set().union(*FLOORS)
    if len(parts) > 1 and parts[1] in known:
        return parts[1]
    of_root = {"units", "rig", "demo", "texts"}
    if len(parts) > 1 and (SOURCE / parts[1]).is_dir() and parts[1] not in of_root:
        raise AssertionError(f"{module} lies in a room that has no floor: give it one in this test")
    return "root"


def _floor(room: str) -> int:
    return next(number for number, rooms in enumerate(FLOORS) if room in rooms)


def _imports(path: Path, name: str) -> Iterator[tuple[int, str]]:
    """Line and full dotted name of everything that a module imports, relative imports resolved."""
    package = name.split(".")
    if path.name != "__init__.py":
        package = package[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*base, *(node.module.split(".") if node.module else [])])
            yield from ((node.lineno, f"{stem}.{alias.name}") for alias in node.names)


def _lines_for_type_checkers(path: Path) -> set[int]:
    """The lines under “if TYPE_CHECKING”, which never run."""
    return {
        line
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.If)
        and isinstance(node.test, ast.Name)
        and node.test.id == "TYPE_CHECKING"
        for inner in node.body
        for line in range(inner.lineno, (inner.end_lineno or inner.lineno) + 1)
    }


def _lazy_targets(path: Path) -> Iterator[tuple[int, str]]:
    """Modules named in strings “brinebook.x.y:z”, as the table of commands has them."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            head, colon, tail = node.value.partition(":")
            if colon and head.startswith("brinebook.") and tail.isidentifier():
                yield node.lineno, head


def upward_imports(path: Path, name: str) -> list[str]:
    """The imports of a module that point up the house, or across to another room of a floor."""
    here = _room(name)
    found = []
    for line, target in [*_imports(path, name), *_lazy_targets(path)]:
        if target.split(".")[0] != "brinebook":
            continue
        there = _room(target)
        if (name, there) in STARTS_THE_OTHER:
            continue
        if there != here and _floor(there) <= _floor(here):
            found.append(f"{name}, line {line}: {here} imports {target} of {there}")
    return found


def impurities(path: Path, name: str) -> list[str]:
    """What a module of a pure room does that a pure room doesn't do."""
    found = [
        f"{name}, line {line}: imports {target}"
        for line, target in _imports(path, name)
        if target.split(".")[0] in IMPURE_MODULES
    ]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Global):
            found.append(f"{name}, line {node.lineno}: rebinds a global")
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in IMPURE_CALLS:
                found.append(f"{name}, line {node.lineno}: calls {called.id}()")
            if isinstance(called, ast.Attribute) and called.attr in CLOCK_READERS:
                found.append(f"{name}, line {node.lineno}: reads the clock ({called.attr})")
    return found


@pytest.mark.parametrize("path", _modules(), ids=_name)
def test_imports_go_down_the_house_only(path: Path) -> None:
    assert upward_imports(path, _name(path)) == []


@pytest.mark.parametrize(
    "path", [path for path in _modules() if _room(_name(path)) in PURE_ROOMS], ids=_name
)
def test_pure_rooms_touch_no_file_no_clock_and_no_log(path: Path) -> None:
    name = _name(path)
    if name in PACKAGE_DATA_READERS:
        outside = [line for line in impurities(path, name) if "clock" in line or "global" in line]
        assert outside == []
    else:
        assert impurities(path, name) == []


@pytest.mark.parametrize("path", _modules(), ids=_name)
def test_nothing_that_only_tests_may_use_is_imported_by_the_program(path: Path) -> None:
    used = {target.split(".")[0] for _, target in _imports(path, _name(path))}
    assert used & NEVER_AT_RUN_TIME == set()


@pytest.mark.parametrize(
    "path",
    [path for path in _modules() if _room(_name(path)) not in {"book"}],
    ids=_name,
)
def test_only_the_book_knows_sql(path: Path) -> None:
    # A connection may be handed through, so its type may be named; nobody else may run anything.
    named = _lines_for_type_checkers(path)
    used = {
        target.split(".")[0] for line, target in _imports(path, _name(path)) if line not in named
    }
    assert used & {"sqlite3", "sqlalchemy", "alembic", "psycopg"} == set()


@pytest.mark.parametrize(
    ("name", "text", "complaint"),
    [
        ("brinebook.water.trial", "def f():\n    from brinebook.balance import model\n", "balance"),
        ("brinebook.report.trial", "from brinebook.book import facts\n", "book"),
        ("brinebook.water.trial", "from ..desk import assess\n", "desk"),
    ],
)
def test_the_rule_itself_finds_an_arrow_that_points_up(
    name: str, text: str, complaint: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = tmp_path / "brinebook"
    path = source.joinpath(*name.split(".")[1:]).with_suffix(".py")
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    monkeypatch.setattr(f"{__name__}.SOURCE", source)
    assert len(upward_imports(path, name)) == 1
    assert complaint in upward_imports(path, name)[0]


def test_the_rule_itself_finds_a_clock_a_file_and_a_global(tmp_path: Path) -> None:
    path = tmp_path / "trial.py"
    path.write_text(
        "import os\nfrom datetime import datetime\n"
        "def f():\n    global x\n    x = datetime.now()\n    open('a')\n",
        encoding="utf-8",
    )
    assert len(impurities(path, "trial")) == 4
