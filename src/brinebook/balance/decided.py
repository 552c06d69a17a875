"""What a chapter settles for good: suspect tests, changes that nobody wrote down, what it hands on.

Plain values that need no window any more, so that they can be kept from one day to the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Protocol

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.chapters import Carried, Finding, Reading, findings, settle
from brinebook.balance.said import change_id
from brinebook.balance.season import Floats

_WRONG = 0.5
#: A change is told where it is likelier than not, and moved something by so many deviations of a
#: test: others are weighed, and leave the answer wider (common practice).
_REPORTED = 0.5
_LOUD = 3.0
_REPORT_SDS = 2.0
#: As sure as that is only what the keeper said.
_SAID = 0.999


@dataclass(frozen=True, slots=True)
class Suspect:
    """A test more likely wrong than not."""

    fact: str
    t: float
    quantity: str
    value: float
    method: str
    replicate: str
    probability: float


@dataclass(frozen=True, slots=True)
class Change:
    """What something that no fact explains did to one quantity, and when: between which tests."""

    id: str
    kind: str
    what: str
    quantity: str
    begins: float
    ends: float
    size: float
    sd: float
    probability: float


@dataclass(frozen=True, slots=True)
class Decided:
    """All that one chapter contributes to an answer once the next one has been weighed with it."""

    suspects: tuple[Suspect, ...]
    changes: tuple[Change, ...]
    carried: Carried


class Remembered(Protocol):
    """Chapters that were decided before, by their keys."""

    def get(self, key: str, /) -> Decided | None:
        """The chapter of that key; None where it isn't known."""


#: No memory at all: every chapter is read.
NOTHING: Mapping[str, Decided] = MappingProxyType({})


def decide(reading: Reading, carried: Carried, boundary: float) -> Decided:
    """What a reading of two chapters settles of the first, which ends at ``boundary``."""
    return Decided(
        tuple(suspects(reading, boundary)),
        tuple(changes(reading, boundary)),
        settle(reading, carried, boundary),
    )


def suspects(reading: Reading, before: float = math.inf) -> Iterator[Suspect]:
    """The tests before a time that are more likely wrong than not."""
    for row, probability in zip(reading.window.rows, reading.wrong, strict=True):
        test = row.test
        if test is None or row.t >= before or probability <= _WRONG:
            continue
        yield Suspect(
            fact=test.fact,
            t=test.t,
            quantity=test.quantity,
            value=test.value,
            method=test.method,
            replicate=test.replicate,
            probability=float(min(probability, 1.0)),
        )


def changes(reading: Reading, before: float = math.inf) -> Iterator[Change]:
    """The likely changes of the water that begin before a time, one for each quantity moved."""
    for finding in findings(reading, before):
        cause = finding.cause
        backwards = cause.kind in ("stop", "fall", "exchange") and finding.coefficient <= 0.0
        if backwards or finding.probability < _REPORTED:
            continue
        each = effect(reading, finding)
        if finding.probability < _SAID and not _is_loud(reading, each * finding.coefficient):
            continue
        for position, name in enumerate(reading.window.mover.season.quantities):
            size = float(each[position] * finding.coefficient)
            sd = float(abs(each[position]) * finding.coefficient_sd)
            if size == 0.0 or abs(size) < _REPORT_SDS * sd:
                continue
            begins, ends = _neighbouring_tests(reading, finding, name)
            yield Change(
                id=change_id(cause),
                kind=cause.kind,
                what=cause.what,
                quantity=name,
                begins=begins,
                ends=ends,
                size=size,
                sd=sd,
                probability=finding.probability,
            )


def _is_loud(reading: Reading, moved: Floats) -> bool:
    """Whether what was moved is far more than one test of it may err by."""
    names = reading.window.mover.season.quantities
    return any(
        row.test is not None
        and abs(moved[names.index(row.test.quantity)]) >= _LOUD * math.sqrt(variance)
        for row, variance in zip(reading.window.rows, np.diag(reading.window.noise), strict=True)
    )


def effect(reading: Reading, finding: Finding) -> Floats:
    """What one unit of a cause did to each level, told at the time when it was over."""
    mover = reading.window.mover
    cause = finding.cause
    if cause.kind == "stop":
        flow = next(f for f in mover.season.flows if f.name == cause.what)
        amount = float(flow.upto(cause.ends) - flow.upto(cause.begins))
        share, _ = mover.delivery(flow)
        return -amount * share * flow.brings
    if cause.kind == "exchange":
        assert mover.season.forgotten_mix is not None
        return mover.season.forgotten_mix - mover.path(cause.begins)
    if cause.kind == "dilution":
        return -mover.path(cause.begins)
    names = mover.season.quantities
    if cause.kind == "fall":
        return -_unit(names, {"alkalinity": 1.0, "calcium": beliefs.SKELETON["calcium"][0]})
    return _unit(names, {cause.what: 1.0})


def _unit(names: tuple[str, ...], share: dict[str, float]) -> Floats:
    return np.array([share.get(name, 0.0) for name in names])


def _neighbouring_tests(reading: Reading, finding: Finding, quantity: str) -> tuple[float, float]:
    """The last test before a change and the first after it: what is known of when it was."""
    if finding.cause.kind == "stop":
        return finding.cause.begins, finding.cause.ends
    times = [
        row.t
        for row in reading.window.rows
        if row.test is not None and row.test.quantity == quantity and not row.test.target
    ]
    before = [t for t in times if t <= finding.cause.begins + 1e-9]
    after = [t for t in times if t >= finding.cause.ends - 1e-9]
    return (
        before[-1] if before else finding.cause.begins,
        after[0] if after else finding.cause.ends,
    )
