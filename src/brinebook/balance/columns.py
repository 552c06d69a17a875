"""What could have happened unseen: columns that a walk carries along beside the state.

Each column holds what one unit of it has done to the moving state so far, and to each row.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.observe import Row
from brinebook.balance.season import Floats, Season
from brinebook.balance.state import Belief
from brinebook.balance.steps import Mover

_GAP_DAYS = 0.3


@dataclass(frozen=True, slots=True)
class Column:
    """Something that could have happened, and when: a column of the window's ``reach``.

    ``kind``: "jump" (one quantity), "exchange" (a water change nobody wrote down), "dilution"
    (fresh water too much or too little), "fall" (precipitation), "step" (a rate changes for good),
    "stop" (an additive's share of a stretch) or "refill" (a container was filled up and nobody
    wrote it down).
    """

    kind: str
    what: str
    node: int


class Columns:
    """The columns of one walk. ``reach`` is their effect on the state now, ``seen`` on the rows."""

    def __init__(self, season: Season, mover: Mover, *, moving: int, rows: int) -> None:
        self.season, self.mover = season, mover
        self.columns: list[Column] = []
        self.nodes: list[float] = []
        self.node = 0
        self.reach = np.zeros((moving, 0))
        self.seen = np.zeros((rows, 0))

    def plan(self, start: Belief, rows: Sequence[Row], *, causes: bool) -> None:
        """One set of columns for each gap between occasions; without ``causes`` only jumps."""
        self.nodes = _gaps(start.t, rows)
        for node in range(len(self.nodes)):
            self.columns += [Column("jump", name, node) for name in self.season.quantities]
            if causes:
                self._plan_causes(start, node)
        self.reach = np.zeros((self.reach.shape[0], len(self.columns)))
        self.seen = np.zeros((len(rows), len(self.columns)))
        self.by_node: list[list[int]] = [[] for _ in self.nodes]
        for position, column in enumerate(self.columns):
            self.by_node[column.node].append(position)
        self._start()

    def _plan_causes(self, start: Belief, node: int) -> None:
        names = self.season.quantities
        if self.season.forgotten_mix is not None:
            self.columns.append(Column("exchange", "", node))
        self.columns.append(Column("dilution", "", node))
        if {"alkalinity", "calcium"} <= set(names):
            self.columns.append(Column("fall", "", node))
        if "growth" in self.mover.index:
            self.columns.append(Column("step", "growth", node))
        self.columns += [
            Column("step", name, node)
            for name in names
            if name not in beliefs.SKELETON and name != "salinity"
        ]
        self.columns += [Column("stop", flow.name, node) for flow in self.season.flows]
        self.columns += [
            Column("refill", name.partition("|")[2], node)
            for name in start.names
            if name.startswith("left|")
        ]

    def reached(self, t: float) -> None:
        """Let the columns of every gap that has begun by ``t`` start."""
        while self.node + 1 < len(self.nodes) and self.nodes[self.node + 1] <= t:
            self.node += 1
            self._start()

    def _start(self) -> None:
        index = self.mover.index
        for position in self.by_node[self.node]:
            column = self.columns[position]
            if column.kind == "jump":
                self.reach[index[f"level|{column.what}"], position] = 1.0
            elif column.kind == "exchange" and self.season.forgotten_mix is not None:
                path = self.mover.path(self.nodes[self.node])
                self.reach[: self.mover.nq, position] = self.season.forgotten_mix - path
            elif column.kind == "dilution":
                self.reach[: self.mover.nq, position] = -self.mover.path(self.nodes[self.node])
            elif column.kind == "fall":
                for name, (coefficient, _) in beliefs.SKELETON.items():
                    if name in ("alkalinity", "calcium"):
                        self.reach[index[f"level|{name}"], position] = -coefficient
            elif column.kind == "refill":
                self.reach[index[f"left|{column.what}"], position] = 1.0
            elif column.kind == "step":
                key = "growth" if column.what == "growth" else f"rate|{column.what}"
                self.reach[index[key], position] = 1.0

    def move(self, A: Floats) -> None:
        """What a step makes of what the columns did before it."""
        if self.reach.size:
            self.reach = A @ self.reach

    def stand_still(self, before: float, after: float) -> None:
        """What would be missing had an additive not run during this stretch."""
        for position in self.by_node[self.node] if self.nodes else ():
            column = self.columns[position]
            if column.kind != "stop":
                continue
            flow = next(f for f in self.season.flows if f.name == column.what)
            amount = float(flow.upto(after) - flow.upto(before))
            if amount == 0.0:
                continue
            share, _ = self.mover.delivery(flow)
            self.reach[: self.mover.nq, position] -= amount * share * flow.brings
            left = self.mover.index.get(f"left|{flow.name}")
            if left is not None:
                self.reach[left, position] += amount * flow.volume_ml

    def look(self, row: int, slope: Floats) -> None:
        """What a row sees of each column."""
        if self.reach.size:
            self.seen[row] = slope @ self.reach


def _gaps(start: float, rows: Sequence[Row]) -> list[float]:
    """Moments after which something unseen may have happened: one between occasions."""
    found: list[float] = [start]
    last = -math.inf
    for row in rows:
        if row.t - last >= _GAP_DAYS:
            found.append(row.t)
            last = row.t
    return found
