"""Standard atomic weights, and molar masses from formulas.

Elements whose weight is an interval by nature (H, C, N, O, Si, S, Cl, ...) have their conventional
value.
Source: prohaska2022 (table 1; conventional values of table 6)
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

#: g/mol.
ATOMIC_WEIGHTS: Mapping[str, float] = MappingProxyType(
    {
        "H": 1.008, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999,
        "F": 18.998403162, "Na": 22.98976928, "Mg": 24.305, "Si": 28.085, "P": 30.973761998,
        "S": 32.06, "Cl": 35.45, "K": 39.0983, "Ca": 40.078, "Mn": 54.938043, "Fe": 55.845,
        "Br": 79.904, "Sr": 87.62, "I": 126.90447,
    }
)  # fmt: skip

_PART = re.compile(r"([A-Z][a-z]?)(\d*)|\(|\)(\d*)", re.ASCII)


def element_counts(formula: str) -> dict[str, int]:
    """Atoms in a formula without water of crystallisation: ``Ca(OH)2`` is 1 Ca, 2 O, 2 H.

    Raises ValueError for what isn't a formula of known elements.
    """
    stack: list[dict[str, int]] = [{}]
    position = 0
    while position < len(formula):
        match = _PART.match(formula, position)
        if match is None:
            raise ValueError(f"not a chemical formula: {formula!r}")
        position = match.end()
        text = match[0]
        if text == "(":
            stack.append({})
        elif text.startswith(")"):
            if len(stack) == 1:
                raise ValueError(f"not a chemical formula: {formula!r}")
            inner = stack.pop()
            for element, count in inner.items():
                stack[-1][element] = stack[-1].get(element, 0) + count * int(match[3] or 1)
        else:
            if match[1] not in ATOMIC_WEIGHTS:
                raise ValueError(f"no such element here: {match[1]}")
            stack[-1][match[1]] = stack[-1].get(match[1], 0) + int(match[2] or 1)
    if len(stack) != 1:
        raise ValueError(f"not a chemical formula: {formula!r}")
    return stack[0]


def molar_mass(formula: str) -> float:
    """Molar mass in g/mol; water of crystallisation after a point: ``CaCl2.2H2O``."""
    total = 0.0
    for part in formula.split("."):
        match = re.match(r"\d+", part, re.ASCII)
        times = int(match[0]) if match else 1
        body = part[match.end() :] if match else part
        counts = element_counts(body)
        total += times * sum(ATOMIC_WEIGHTS[element] * n for element, n in counts.items())
    return total
