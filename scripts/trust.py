"""Remake docs/trust.md: what may be trusted, how far, and the command that shows it.

Each file of docs/trust.d is a section, in the order of their names. A fenced block marked
``evidence`` holds one command, run from the root of the tree; its output (markdown) stands in the
page in place of the block, with the command beside it. A command that fails stops the whole: a page
of old figures is better than one with a hole.

    python -m scripts.trust                 run every section
    python -m scripts.trust 20-balance      run only this one, keep the others as they stand
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SECTIONS = ROOT / "docs" / "trust.d"
PAGE = ROOT / "docs" / "trust.md"

_EVIDENCE = re.compile(r"^```evidence\n(?P<command>[^\n]+)\n```$", re.MULTILINE)
_HEAD = """\
# What you can trust, and how far

This page is made by `make docs`; edit the sections in `docs/trust.d`, not the page. Under every
table stands the command that makes it, to be run from the root of the tree.
"""


class EvidenceError(Exception):
    """A command that should have shown something ended with an error."""

    def __init__(self, command: str, status: int, told: str) -> None:
        super().__init__(f"“{command}” ended with status {status}:\n{told.strip()}")


def filled(text: str, root: Path) -> str:
    """The section with the output of each evidence command in the place of its block."""
    return _EVIDENCE.sub(lambda found: _evidence(found["command"].strip(), root), text)


def page(sections: Sequence[Path], root: Path, *, only: str = "", before: str = "") -> str:
    """The whole page. With ``only``, every other section is kept as it stands in ``before``."""
    parts = [_HEAD]
    for section in sections:
        start, end = _marks(section.stem)
        kept = before.partition(start)[2].partition(end)[0].strip() if only else ""
        if only == section.stem or not kept:
            kept = filled(section.read_text(encoding="utf-8"), root).strip()
        parts.append(f"{start}\n{kept}\n{end}\n")
    return "\n".join(parts)


def _marks(name: str) -> tuple[str, str]:
    return f"<!-- section {name} -->", f"<!-- end of {name} -->"


def _evidence(command: str, root: Path) -> str:
    print(f"running {command}", file=sys.stderr, flush=True)
    here = Path(sys.executable).parent
    outcome = subprocess.run(
        shlex.split(command),
        cwd=root,
        env={**os.environ, "PATH": f"{here}{os.pathsep}{os.environ.get('PATH', '')}"},
        capture_output=True,
        text=True,
        check=False,
    )
    if outcome.returncode != 0:
        raise EvidenceError(command, outcome.returncode, outcome.stderr or outcome.stdout)
    return f"{outcome.stdout.strip()}\n\nShown by: `{command}`"


def main(arguments: Sequence[str]) -> int:
    """Write the page; the status is 1, and the page left alone, where evidence is missing."""
    sections = sorted(SECTIONS.glob("*.md"))
    only = arguments[0] if arguments else ""
    if only and only not in {section.stem for section in sections}:
        print(f"There is no section “{only}” in {SECTIONS}.", file=sys.stderr)
        return 2
    before = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    try:
        text = page(sections, ROOT, only=only, before=before)
    except EvidenceError as failed:
        print(failed, file=sys.stderr)
        return 1
    PAGE.write_text(text, encoding="utf-8")
    print(f"{PAGE.relative_to(ROOT)} is made anew from {len(sections)} sections.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
