"""The figures as Markdown."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from tests.simulated.score import (
    ASPECTS,
    SCORED,
    TEN_DAYS,
    WATER_KNOWN,
    Finds,
    Sample,
    absolute_ratio,
    coverage,
    family_ratio,
    hand_root_mean_square,
    mean_interval_score,
    median_ratio,
    ratio,
    root_mean_square,
)

#: what no test of the water tells: wrong labels, pumps and volume; the chance of a single day
FLOORS = (WATER_KNOWN, TEN_DAYS)


def _table(header: list[str], rows: Iterable[list[str]]) -> list[str]:
    lines = ["| " + " | ".join(header) + " |", "|" + " --- |" * len(header)]
    return [*lines, *("| " + " | ".join(row) + " |" for row in rows), ""]


def _share(part: int, whole: int) -> str:
    return f"{100.0 * part / whole:.1f} % ({part}/{whole})" if whole else "-"


def _number(value: float) -> str:
    return "-" if math.isnan(value) else f"{value:.2f}"


def report(samples: list[Sample], finds: list[Finds], methods: tuple[str, ...]) -> str:
    """The whole report."""
    lines = ["### By quantity", ""]
    lines += _by_quantity(samples, methods)
    lines += ["### Our error as a part of the hand's", ""]
    lines += _ratios(samples, methods)
    lines += ["### Coverage of 95 % intervals by family, %", ""]
    lines += _by_family(samples)
    lines += ["### Alkalinity use by family: error over mean use, ratios to the hand", ""]
    lines += _hand_by_family(samples, methods)
    lines += ["### What was found", ""]
    lines += _found(finds)
    return "\n".join(lines)


def _cells(samples: list[Sample]) -> Iterator[tuple[str, str, list[Sample]]]:
    for quantity in SCORED:
        for aspect in ASPECTS:
            chosen = [s for s in samples if s.quantity == quantity and s.aspect == aspect]
            if chosen:
                yield quantity, aspect, chosen


def _by_quantity(samples: list[Sample], methods: tuple[str, ...]) -> list[str]:
    header = ["quantity", "of", "n", "coverage %", "interval score", "error"]
    header += [f"{method} error" for method in (*methods, *FLOORS)]
    rows = []
    for quantity, aspect, chosen in _cells(samples):
        row = [quantity, aspect, str(len(chosen)), f"{100 * coverage(chosen):.1f}"]
        row += [_number(mean_interval_score(chosen)), _number(root_mean_square(chosen))]
        row += [_number(hand_root_mean_square(chosen, m)) for m in (*methods, *FLOORS)]
        rows.append(row)
    return _table(header, rows)


def _ratios(samples: list[Sample], methods: tuple[str, ...]) -> list[str]:
    kinds = (
        ("root mean square", ratio),
        ("of families", family_ratio),
        ("mean absolute", absolute_ratio),
        ("median", median_ratio),
    )
    header = ["quantity", "of", *(f"{m}: {name}" for m in methods for name, _ in kinds)]
    rows = []
    for quantity, aspect, chosen in _cells(samples):
        figures = [_number(of(chosen, method)) for method in methods for _, of in kinds]
        rows.append([quantity, aspect, *figures])
    return _table(header, rows)


def _families(samples: list[Sample]) -> list[str]:
    return list(dict.fromkeys(s.family for s in samples))


def _by_family(samples: list[Sample]) -> list[str]:
    keys = [(q, a) for q in SCORED for a in ASPECTS if not (q == "salinity" and a == "use")]
    header = ["family", "all", *(f"{q[:4]} {a}" for q, a in keys)]
    rows = []
    for family in _families(samples):
        own = [s for s in samples if s.family == family]
        row = [family, f"{100 * coverage(own):.0f}"]
        for quantity, aspect in keys:
            value = coverage(s for s in own if s.quantity == quantity and s.aspect == aspect)
            row.append("-" if math.isnan(value) else f"{100 * value:.0f}")
        rows.append(row)
    return _table(header, rows)


def _hand_by_family(samples: list[Sample], methods: tuple[str, ...]) -> list[str]:
    header = ["family", "ours", *methods, *FLOORS, *(f"ratio to {m}" for m in methods)]
    rows = []
    for family in _families(samples):
        own = [s for s in samples if s.family == family and s.quantity == "alkalinity"]
        own = [s for s in own if s.aspect == "use"]
        row = [family, _number(root_mean_square(own))]
        row += [_number(hand_root_mean_square(own, m)) for m in (*methods, *FLOORS)]
        rows.append([*row, *(_number(ratio(own, m)) for m in methods)])
    return _table(header, rows)


def _found(finds: list[Finds]) -> list[str]:
    header = ["family", "wrong tests", "sound suspected", "spells", "events", "said and true",
              "volume error %", "belief error %"]  # fmt: skip
    rows = []
    families = list(dict.fromkeys(each.family for each in finds))
    for family in [*families, "all"]:
        own = [each for each in finds if family in ("all", each.family)]
        ours = sum(abs(each.volume_error) for each in own) / len(own)
        belief = sum(abs(each.belief_error) for each in own) / len(own)
        rows.append([
            family,
            _share(sum(e.wrong_found for e in own), sum(e.wrong_due for e in own)),
            _share(sum(e.sound_suspected for e in own), sum(e.sound_tests for e in own)),
            _share(sum(e.spells_found for e in own), sum(e.spells_due for e in own)),
            _share(sum(e.events_found for e in own), sum(e.events_due for e in own)),
            _share(sum(e.events_true for e in own), sum(e.events_said for e in own)),
            f"{100 * ours:.1f}", f"{100 * belief:.1f}",
        ])  # fmt: skip
    return _table(header, rows)
