"""Print the licence of every package that Brinebook needs at run time, as each one declares it.

Reads requirements/runtime.lock. Exits 1 if a package of it declares a strong copyleft licence,
nothing at all, or something that a person should read first.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from importlib import metadata
from pathlib import Path

LOCK = Path(__file__).resolve().parent.parent / "requirements" / "runtime.lock"

_LOCKED = re.compile(r"^([A-Za-z0-9._-]+)==", re.MULTILINE)

#: Permissive licences, by the words that packages declare them with. LGPL isn't here on purpose: a
#: package under it would be looked at by a person first, as psycopg was (an extra, not locked).
PERMISSIVE = re.compile(
    r"\b(MIT|BSD|Apache|ISC|PSF|Python Software Foundation|0BSD|Zlib|Public Domain)\b",
    re.IGNORECASE,
)
COPYLEFT = re.compile(r"GPL|General Public|Copyleft|SSPL|EUPL", re.IGNORECASE)


def licences_of_lock(lock: Path) -> dict[str, str]:
    """Package -> licence as declared, for every package of the lock that is installed here.

    Packages locked only for another platform or Python are not installed, and left out.
    """
    names = sorted({found[1] for found in _LOCKED.finditer(lock.read_text(encoding="utf-8"))})
    licences = {}
    for name in names:
        try:
            licences[name] = _declared(metadata.metadata(name))
        except metadata.PackageNotFoundError:
            continue
    return licences


def refused(licences: Mapping[str, str]) -> list[str]:
    """The packages whose licence is copyleft, unknown, or not among the permissive ones."""
    return [
        package
        for package, licence in licences.items()
        if COPYLEFT.search(licence) or not PERMISSIVE.search(licence)
    ]


def _declared(about: metadata.PackageMetadata) -> str:
    expression = about.get_all("License-Expression") or []
    classifiers = [
        line.rpartition(" :: ")[2]
        for line in about.get_all("Classifier") or []
        if line.startswith("License ::") and line != "License :: OSI Approved"
    ]
    # Some packages put the whole text of the licence into the old field: its first line names it.
    old = [text.strip().splitlines()[0] for text in about.get_all("License") or [] if text.strip()]
    return "; ".join(expression or classifiers or old) or "nothing declared"


def main() -> int:
    """Print the table; the status says whether every licence in it may be shipped beside ours."""
    licences = licences_of_lock(LOCK)
    for package, licence in licences.items():
        print(f"{package:<20} {licence}")
    bad = refused(licences)
    for package in bad:
        print(f"Look at this one first: {package} ({licences[package]})", file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
