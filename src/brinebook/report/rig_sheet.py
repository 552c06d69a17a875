"""The paper that a rig is drawn on: lines, boxes, numerals over them, and the list below.

Colours are attributes, so that no style of its own is needed, and each part has a class for a page
that has a dark theme. 390 units wide: readable on a phone without a finger.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from brinebook.rig import Rig
from brinebook.texts import say, say_count

WIDTH = 390.0
LEFT, RIGHT, TOP = 16.0, 374.0, 34.0
_LEGEND_LINE = 17.0
PAPER, INK, FADED, _RULE = "#FAF6EE", "#22272B", "#5A6066", "#D9CFBB"
CORALLINE, SLATE = "#97305A", "#2B5F63"
_SERIF = "ui-serif, 'Iowan Old Style', Palatino, Georgia, serif"
_SANS = "ui-sans-serif, system-ui, sans-serif"
_LEGEND_LETTERS = 56
#: What a numeral needs for itself on a phone, and where it may move to, the nearest first.
_WIDE, _HIGH = 19.0, 13.0
_AROUND = tuple(
    sorted(
        ((across * _WIDE, down * _HIGH) for across in range(-6, 7) for down in range(-12, 13)),
        key=lambda to: (abs(to[0]) + abs(to[1]), to[1], -to[0]),
    )
)


@dataclass(slots=True)
class Sheet:
    """The drawing under way: its scale, what is on it and the list below."""

    scale: float
    ground: float  # y of the room's floor
    parts: list[str] = field(default_factory=list)
    numerals: list[str] = field(default_factory=list)  # over all parts
    legend: list[str] = field(default_factory=list)
    taken: list[tuple[float, float]] = field(default_factory=list)

    def y(self, height: float) -> float:
        """Where a height above the room's floor lies."""
        return self.ground - self.scale * height

    def line(self, points: list[tuple[float, float]], *, width: float = 1.4, kind: str = "glass",
             colour: str = INK, dashed: bool = False) -> None:  # fmt: skip
        """Lines through points."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dash = ' stroke-dasharray="4 3"' if dashed else ""
        self.parts.append(
            f'<polyline class="rig-{kind}" points="{path}" fill="none" stroke="{colour}" '
            f'stroke-width="{width:g}" stroke-linejoin="round" stroke-linecap="round"{dash}/>'
        )

    def box(self, x: float, y: float, wide: float, high: float, *, kind: str, fill: str = "none",
            opacity: float = 1.0, stroke: str = "none") -> None:  # fmt: skip
        """A rectangle from its upper left corner."""
        self.parts.append(
            f'<rect class="rig-{kind}" x="{x:.1f}" y="{y:.1f}" width="{max(wide, 0):.1f}" '
            f'height="{max(high, 0):.1f}" fill="{fill}" fill-opacity="{opacity:g}" '
            f'stroke="{stroke}" stroke-width="1.2"/>'
        )

    def valve(self, x: float, y: float, *, standing: bool = False) -> None:
        """A valve on a pipe: two wedges, along it."""
        wide, high = (2.6, 4.2) if standing else (4.2, 2.6)
        corners = [(x - wide, y - high), (x + wide, y + high), (x + wide, y - high),
                   (x - wide, y + high)]  # fmt: skip
        if standing:
            corners = [corners[0], corners[2], corners[3], corners[1]]
        path = " ".join(f"{a:.1f},{b:.1f}" for a, b in corners)
        self.parts.append(
            f'<polygon class="rig-valve" points="{path}" fill="{PAPER}" stroke="{INK}" '
            f'stroke-width="1.1" stroke-linejoin="round"/>'
        )

    def name(self, x: float, y: float, words: str) -> None:
        """A numeral at a part, and its words in the list; moved aside where another one stands."""
        x, y = next(
            (x + right, y + down)
            for right, down in _AROUND
            if not any(
                abs(x + right - a) < _WIDE and abs(y + down - b) < _HIGH for a, b in self.taken
            )
        )
        self.taken.append((x, y))
        self.legend.append(words)
        self.numerals.append(
            f'<text class="rig-numeral" x="{x:.1f}" y="{y:.1f}" font-family="{_SANS}" '
            f'font-size="11" font-weight="600" fill="{CORALLINE}" stroke="{PAPER}" '
            f'stroke-width="3" paint-order="stroke">{len(self.legend)}</text>'
        )


def page(sheet: Sheet, rig: Rig, title: str) -> str:
    rows = list(_legend_rows(sheet.legend))
    start = sheet.ground + 30
    high = start + _LEGEND_LINE * len(rows) + 10
    words = [
        f'<text class="rig-words" x="{LEFT:g}" y="{start + _LEGEND_LINE * at:.1f}" '
        f'font-family="{_SERIF}" font-size="12.5" fill="{INK}">{escape(row)}</text>'
        for at, row in enumerate(rows)
    ]
    empty = "" if rig.vessels else (
        f'<text x="{LEFT:g}" y="60" font-family="{_SERIF}" font-size="12.5" fill="{FADED}">'
        "Nothing to draw yet: describe a display and a sump.</text>"
    )  # fmt: skip
    return "\n".join(
        [
            opening(rig, title, 0, high),
            f'<rect class="rig-paper" width="{WIDTH:g}" height="{high:.0f}" fill="{PAPER}"/>',
            f'<line class="rig-rule" x1="0" y1="26" x2="{WIDTH:g}" y2="26" stroke="{_RULE}"/>',
            f'<text class="rig-title" x="{LEFT:g}" y="19" font-family="{_SERIF}" '
            f'font-size="15" fill="{INK}">{escape(title)}</text>',
            empty,
            *sheet.parts,
            *sheet.numerals,
            *words,
            "</svg>",
            "",
        ]
    )


def opening(rig: Rig, title: str, top: float, bottom: float) -> str:
    vessels = say_count(len(rig.vessels), "{count} vessel", "{count} vessels")
    told = say(
        "{title}: a side view of {vessels} with their water, pipes and pumps.",
        title=title,
        vessels=vessels,
    )
    quoted = escape(told, {chr(34): "&quot;"})
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="rig" viewBox="0 {top:.0f} {WIDTH:g} '
        f'{bottom - top:.0f}" role="img" aria-label="{quoted}"><title>{escape(told)}</title>'
    )


def _legend_rows(legend: list[str]) -> Iterator[str]:
    """The list below, long ones over two lines."""
    for number, words in enumerate(legend, start=1):
        lines = textwrap.wrap(words, _LEGEND_LETTERS) or [""]
        yield f"{number}  {lines[0]}"
        yield from (f"     {line}" for line in lines[1:])
