"""Rigs for tests, described as a keeper would."""

from __future__ import annotations

from brinebook.book.description import read_description
from brinebook.rig import Rig

#: 300 L net: a display of 120 x 60 cm over a sump of 80 x 40 cm that runs at 22 cm.
PLAIN = """
[[vessels]]
name = "display"
length = "1.20 m"
width = "0.60 m"
height = "0.50 m"
water = "0.44 m"
floor = "0.90 m"
displaced = "87.2 L"

[[vessels]]
name = "sump"
length = "0.80 m"
width = "0.40 m"
height = "0.36 m"
water = "0.22 m"
floor = "0.05 m"

[[pumps]]
name = "return pump"
in = "sump"
shut_off_head = "3.5 m"
free_flow = "4000 L/h"
power = "45 W"

[plumbing]
margin = "20 mm"

[[plumbing.pipes]]
name = "riser"
from = "return pump"
to = "display"
bore = "20.96 mm"
length = "1.35 m"
loss = 4.66

[[plumbing.nozzles]]
name = "nozzle"
pipe = "riser"
mouth = "60 mm"
hole = "15 mm"

[[plumbing.weirs]]
name = "comb"
length = "0.40 m"
box_area = "0.036 m2"
box_drains = "0.20 m"

[[plumbing.drains]]
name = "main drain"
kind = "siphon"
bore = "26.64 mm"
length = "0.70 m"
head = "0.70 m"
fittings = { elbow_90 = 2, gate_valve = 1 }

[plumbing.top_off]
reservoir = "25 L"
flow = "60 L/h"
"""


def rig(text: str) -> Rig:
    """The rig that such a description tells of."""
    found = read_description(f'name = "x"\n{text}').system.rig
    assert found is not None
    return found


def plain(**changes: str) -> Rig:
    """The plain rig, with words of its description exchanged: ``plain(**{"15 mm": "20 mm"})``."""
    text = PLAIN
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new)
    return rig(text)
