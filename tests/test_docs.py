"""The documentation says what the program does: every command, option, unit, key, kind and code."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from brinebook.book.description import KEPT_SECTIONS, KNOWN_KEYS
from brinebook.book.kinds import KIND_RULES
from brinebook.cli.commands import COMMANDS
from brinebook.timeline import KINDS
from brinebook.units import DIMENSIONS, QUANTITIES
from scripts import reference

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted(DOCS.rglob("*.md"))]


def _text(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def _row(page: str, first: str) -> str:
    """The row of a table that begins with this cell."""
    rows = [line for line in _text(page).splitlines() if line.startswith(f"| `{first}` |")]
    assert len(rows) == 1, f"{page} has {len(rows)} rows for {first}"
    return rows[0]


def _options(command: click.Command) -> Iterator[str]:
    for parameter in command.params:
        if isinstance(parameter, click.Option) and not parameter.hidden:
            yield from parameter.opts
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from _options(below)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_documented_with_all_its_options(name: str) -> None:
    section = _text("commands.md").partition(f"### `brinebook {name}`\n")[2]
    section = re.split(r"^#{2,3} ", section, maxsplit=1, flags=re.MULTILINE)[0]
    assert section
    missing = [
        option for option in _options(reference.all_commands()[name]) if option not in section
    ]
    assert missing == []


def test_the_reference_of_commands_is_the_one_that_the_program_makes() -> None:
    assert _text("commands.md") == reference.commands_page(reference.all_commands())


def test_the_list_of_error_codes_is_the_one_that_the_program_makes() -> None:
    assert _text("errors.md") == reference.errors_page(reference.all_errors())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_says_what_it_is_for_and_gives_an_example(name: str) -> None:
    command = reference.all_commands()[name]
    text = f"{command.help}\n{command.epilog}"
    assert re.search(rf"\bbrinebook (--book \S+ )?{name}\b", text)


@pytest.mark.parametrize("name", sorted(set(COMMANDS) - {"export", "serve"}))
def test_every_command_but_export_takes_json(name: str) -> None:
    assert "--json" in set(_options(reference.all_commands()[name]))


@pytest.mark.parametrize("command", ["make demo", "make test"])
def test_the_readme_shows_both_commands(command: str) -> None:
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", QUANTITIES)
def test_every_quantity_is_documented_with_its_units_and_its_range(name: str) -> None:
    quantity, row = QUANTITIES[name], _row("nomenclature.md", name)
    spelled = [quantity.unit, *quantity.units, *quantity.aliases]
    assert [unit for unit in spelled if f"`{unit}`" not in row] == []
    bounds = [f"{bound:,.0f}".replace("-", "−") for bound in (quantity.low, quantity.high)]
    assert f"| {bounds[0]} to {bounds[1]} |" in row
    assert [unit for unit in quantity.refused if f"`{unit}`:" not in row] == []


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_unit_of_an_amount_is_documented(dimension: str) -> None:
    units = ", ".join(f"`{unit}`" for unit in DIMENSIONS[dimension])
    assert f"| {dimension} | {units} |" in _text("nomenclature.md")


@pytest.mark.parametrize("section", KNOWN_KEYS)
def test_every_key_of_system_toml_is_documented(section: str) -> None:
    page = _text("system-toml.md")
    missing = [
        key
        for key in KNOWN_KEYS[section] or ()
        if f"`{key}`" not in page and f"[{key}]" not in page
    ]
    assert missing == []


def test_the_sections_that_are_only_kept_are_named() -> None:
    assert [name for name in KEPT_SECTIONS if f"`{name}`" not in _text("system-toml.md")] == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_fact_is_documented_with_its_detail_keys(kind: str) -> None:
    row = _row("history-csv.md", kind)
    assert [key for key in KIND_RULES[kind].keys if f"`{key}" not in row] == []


def test_the_example_of_a_system_in_the_documentation_can_be_read() -> None:
    from brinebook.book.description import read_description

    example = _text("system-toml.md").partition("```toml\n")[2].partition("```")[0]
    described = read_description(example)
    assert described.warnings == ()
    assert described.system.name == "Lantern Shelf"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_between_pages_lead_somewhere(page: Path) -> None:
    targets = re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    local = [target for target in targets if "://" not in target]
    assert [target for target in local if not (page.parent / target).exists()] == []


def test_every_page_is_in_the_index() -> None:
    linked = set(re.findall(r"\]\(([^)]+)\)", _text("index.md")))
    pages = {page.name for page in DOCS.glob("*.md")} - {"index.md"}
    assert pages - linked == set()
    decisions = {page.name for page in (DOCS / "decisions").glob("*.md")} - {"index.md"}
    assert decisions - set(re.findall(r"\]\(([^)]+)\)", _text("decisions/index.md"))) == set()
