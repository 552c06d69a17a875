"""Remake texts/en/sentences.toml: every sentence of the code by its English template.

python -m scripts.sentences         write it
python -m scripts.sentences --new de    a folder to translate into, with every text in English

What is collected: the first argument of ``say`` and ``phrase``, both forms of ``say_count`` and
``counted``, the texts of ``Spoken`` and ``SpokenLine``, and the ``SAID`` fields of dataclasses.
"""

from __future__ import annotations

import ast
import json
import shutil
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from brinebook.book.description_rig import SHAPES
from brinebook.rig.water_side import FITTINGS
from scripts.rig_keys import all_shapes

SOURCE = Path(__file__).resolve().parent.parent / "src" / "brinebook"
TEXTS = SOURCE / "texts"
CATALOGUE = TEXTS / "en" / "sentences.toml"

_HEAD = """\
# Every sentence that the program says, by its English template. Made by
# python -m scripts.sentences.
# A translation leaves what stands before = as it is, and says the same after it in its language;
# {names} in braces are filled in, and may stand in another order.
"""


class TemplateHidden(Exception):
    """A sentence is said by something else than a text, so nobody could translate it."""

    def __init__(self, module: str, line: int, code: str) -> None:
        super().__init__(f"{module}, line {line}: {code} isn't a text that can be collected")


#: Functions of the plans that make a named figure of their first argument.
_MAKERS_OF_FIGURES = {"_figure", "figure", "_clears"}


@dataclass
class Found:
    """Templates by module, in the order of the code, and the forms of what is counted."""

    said: dict[str, list[str]] = field(default_factory=dict)
    counted: dict[str, str] = field(default_factory=dict)


def collect(folder: Path = SOURCE) -> Found:
    """Every template of the code. Raises TemplateHidden."""
    found, seen = Found(), set[str]()
    trees = {
        path.relative_to(folder).with_suffix("").as_posix(): ast.parse(
            path.read_text(encoding="utf-8")
        )
        for path in sorted(folder.rglob("*.py"))
    }
    nouns = {name: fields for tree in trees.values() for name, fields in _worded(tree)}
    for module, tree in trees.items():
        if module.startswith("texts/") and module != "texts/names":
            continue
        for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
            new = [text for text in _templates(module, call, nouns) if text and text not in seen]
            found.said.setdefault(module, []).extend(dict.fromkeys(new))
            seen.update(new)
            found.counted.update(_forms(call))
    of_keys = [text for text in _of_rig_keys() if text not in seen]
    found.said["keys of the rig's description"] = list(dict.fromkeys(of_keys))
    return found


def _of_rig_keys() -> Iterator[str]:
    """What the forms of the rig say of each key: asked of the program, which makes keys by kind."""
    for shape in all_shapes(SHAPES):
        for key in shape.keys:
            yield from (_words(one) for one in (key.name, *key.choices))
            yield from (one for one in (key.meaning, key.reason, key.needed, key.wanted) if one)
    yield from (_words(one) for one in FITTINGS)


def _worded(tree: ast.Module) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Dataclasses with SAID or NAMED: their names, and their fields with which each is of."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        fields = [one for one in node.body if isinstance(one, ast.AnnAssign)]
        named = [(one.target.id, one.value) for one in fields if isinstance(one.target, ast.Name)]
        marks = {name: ast.literal_eval(value) for name, value in named
                 if name in {"SAID", "NAMED"} and value is not None}  # fmt: skip
        if marks:
            yield (
                node.name,
                [
                    (name, next((mark for mark, fields in marks.items() if name in fields), ""))
                    for name, _ in named
                    if name not in marks
                ],
            )


def _templates(
    module: str, call: ast.Call, nouns: dict[str, list[tuple[str, str]]]
) -> Iterator[str]:
    name = _called(call)
    if name in {"say", "phrase"} and not module.startswith("cli/output"):
        first = call.args[0]
        if isinstance(first, ast.Constant) and isinstance(first.value, str):
            yield first.value
        elif name == "phrase" or isinstance(first, ast.JoinedStr):
            raise TemplateHidden(module, call.lineno, ast.unparse(first))
    elif name == "Spoken" and isinstance(call.args[0], ast.Dict):
        yield from _texts(call.args[0].values)
    elif name == "SpokenLine":
        yield from _texts(call.args)
    elif name in nouns:
        fields = nouns[name]
        given = [(key, value) for (key, _), value in zip(fields, call.args, strict=False)]
        given += [(one.arg or "", one.value) for one in call.keywords]
        for key, value in given:
            if (key, "SAID") in fields:
                yield from _texts([value])
            elif (key, "NAMED") in fields:
                yield from (_words(one) for one in _texts([value]))
                yield from _prefixed(value)
    elif name == "named":
        yield from (_words(one) for one in _texts(call.args))
    elif name in _MAKERS_OF_FIGURES and module.startswith("desk/plan_"):
        yield from (_words(one) for one in _texts(call.args[:1]))
        yield from _prefixed(call.args[0])


def _texts(values: Iterable[ast.expr]) -> Iterator[str]:
    for value in values:
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            yield value.value
        elif isinstance(value, ast.Tuple):
            yield from _texts(value.elts)


def _words(identifier: str) -> str:
    """An identifier as `named` shows it."""
    return identifier.replace("_", " ")


def _prefixed(value: ast.expr) -> Iterator[str]:
    """“set {name}” of an identifier f"set_{…}", whose end is a name of the keeper's; and “{name}
    fed” of f"{…}_fed"."""
    if isinstance(value, ast.JoinedStr) and len(value.values) == 2:
        first, second = value.values
        if isinstance(first, ast.Constant) and isinstance(second, ast.FormattedValue):
            yield f"{_words(str(first.value))}{{name}}"
        if isinstance(first, ast.FormattedValue) and isinstance(second, ast.Constant):
            yield f"{{name}}{_words(str(second.value))}"


def _forms(call: ast.Call) -> Iterator[tuple[str, str]]:
    """Both forms of what is counted: the one for many, then the one for one."""
    texts = [
        one.value
        for one in call.args[1:]
        if isinstance(one, ast.Constant) and isinstance(one.value, str)
    ]
    if _called(call) == "say_count" and len(texts) == 2:
        yield texts[1], texts[0]
    elif _called(call) == "counted" and texts:
        many = texts[1] if len(texts) > 1 else f"{texts[0]}s"
        yield f"{{count}} {many}", f"{{count}} {texts[0]}"


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else ""


def page(found: Found) -> str:
    """The catalogue as TOML."""
    lines = [_HEAD, "[sentences]"]
    for module, texts in found.said.items():
        if texts:
            lines += [f"\n# {module}", *(f"{_quoted(one)} = {_quoted(one)}" for one in texts)]
    lines += ["\n# One of it, and many; a translation has as many forms as its rule of plurals."]
    lines += ["[counted]"]
    lines += [
        f"{_quoted(many)} = [{_quoted(one)}, {_quoted(many)}]"
        for many, one in sorted(found.counted.items())
    ]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def main(arguments: list[str]) -> None:
    """Write the catalogue, or begin a translation."""
    CATALOGUE.write_text(page(collect()), encoding="utf-8")
    if arguments[:1] == ["--new"]:
        shutil.copytree(TEXTS / "en", TEXTS / arguments[1])


if __name__ == "__main__":
    main(sys.argv[1:])
