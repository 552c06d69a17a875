"""Sums of weirs, holes and levels that run away."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum, amount
from brinebook.desk.reckon_heat import figure, listed
from brinebook.lifesupport.openings import (
    SHARP_HOLE,
    hole_flow_torricelli_1644,
)
from brinebook.lifesupport.stuck import time_to_dry, time_to_rise
from brinebook.lifesupport.weirs import (
    LEAST_HEAD,
    WEIR_SPREAD,
    notch_iso_1980,
    toothed_weir_flow,
    weir_head,
)
from brinebook.lifesupport.weirs import weir_ackers_1978 as ackers
from brinebook.lifesupport.weirs import weir_kindsvater_carter_1957 as kindsvater_carter
from brinebook.lifesupport.weirs import weir_rehbock_1929 as rehbock
from brinebook.plan import Figure
from brinebook.texts import say

_AN_HOUR = 3.6e6
_BORE = Input("bore", "length", "inside diameter", needed=True, low=1e-4, high=2)


def _weir(given: Mapping[str, Any]) -> Reckoned:
    if given["flow"] is None and given["head"] is None:
        raise AmountUnreadable("flow", "", say("or --head is needed"))
    if given["flow"] is None:
        return _over_edge(given, given["head"])
    flow, length = given["flow"] / _AN_HOUR, given["length"]

    def head(of: float) -> float:
        return weir_head(of, length, open_share=given["open"], tooth_height=given["tooth-height"])

    found = head(flow)
    figures: dict[str, Figure | None] = listed(
        Figure("head", found, "m", head(flow / (1 + WEIR_SPREAD)), head(flow / (1 - WEIR_SPREAD)))
    )
    figures |= _by_others(given, found)
    return Reckoned(figures, notes=_range_note(found))


def _over_edge(given: Mapping[str, Any], head: float) -> Reckoned:
    """The flow at a head that a ruler shows."""
    flow = _AN_HOUR * toothed_weir_flow(
        given["length"], head, open_share=given["open"], tooth_height=given["tooth-height"]
    )
    told = Figure("flow", flow, "L/h", flow / (1 + WEIR_SPREAD), flow / (1 - WEIR_SPREAD))
    return Reckoned({**listed(told), **_by_others(given, head)}, notes=_range_note(head))


def _by_others(given: Mapping[str, Any], head: float) -> dict[str, Figure | None]:
    """What three more formulas give, where the depth under the edge is told."""
    if not given["below"]:
        return {}
    length = given["length"] * given["open"]
    return listed(
        *(
            Figure(f"flow_by_{name}", _AN_HOUR * of(length, head, given["below"]), "L/h")
            for name, of in (
                ("kindsvater_carter", kindsvater_carter), ("rehbock", rehbock), ("ackers", ackers)
            )
        )
    )  # fmt: skip


def _range_note(head: float) -> tuple[str, ...]:
    if head >= LEAST_HEAD:
        return ()
    return (say("Under 30 mm no weir formula was measured: right within 10 to 20 %."),)


def _notch(given: Mapping[str, Any]) -> Reckoned:
    flow = _AN_HOUR * notch_iso_1980(given["angle"], given["head"])
    return Reckoned(listed(Figure("flow", flow, "L/h")))


def _hole(given: Mapping[str, Any]) -> Reckoned:
    flow = hole_flow_torricelli_1644(given["bore"], given["head"], given["coefficient"])
    return Reckoned(
        listed(
            Figure("flow", flow * _AN_HOUR, "L/h"),
            Figure("litres_a_minute", flow * 60_000, "L/min"),
        ),
        cautions=("flood",),
    )


def _pipe_litres(texts: tuple[str, ...]) -> float:
    litres = 0.0
    for text in texts:
        length, sign, bore = str(text).partition("@")
        if not sign:
            raise AmountUnreadable(
                "pipe", text, say("is no length with its bore: “1.35 m@20.96 mm”")
            )
        wide = amount(bore, "length", option="pipe")
        litres += 1000 * math.pi / 4 * wide**2 * amount(length, "length", option="pipe")
    return litres


def _drain_back(given: Mapping[str, Any]) -> Reckoned:
    head = weir_head(given["flow"] / _AN_HOUR, given["weir"], open_share=given["open"])
    rest = 1000 * given["box-area"] * given["box-drains"] + _pipe_litres(given["pipe"])
    area, sump, depth = given["display"], given["sump"], given["depth"]
    if depth > given["rim"]:
        raise AmountUnreadable("depth", f"{depth:g} m", say("is over the sump's rim"))
    if None not in (given["hole"], given["mouth"]) and given["hole"] > given["mouth"]:
        raise AmountUnreadable("hole", f"{given['hole']:g} m", say("is deeper than the mouth"))

    def down(fall: float | None) -> float | None:
        return None if fall is None else 1000 * area * max(head, fall) + rest

    weir_only, clear, blocked = down(0.0), down(given["hole"]), down(given["mouth"])
    worst = max(found for found in (weir_only, clear, blocked) if found is not None)
    mark = 1000 * sump * (given["rim"] - given["margin"] - depth)
    to_rim = 1000 * sump * (given["rim"] - depth)
    highest = given["rim"] - given["margin"] - worst / (1000 * sump)
    return Reckoned(
        {
            **listed(
                Figure("weir_head", head, "m"),
                Figure("pipes_and_box", rest, "L"),
                Figure("weir_only", weir_only or 0.0, "L"),
            ),
            "hole_clear": figure("hole_clear", clear, "L"),
            "hole_blocked": figure("hole_blocked", blocked, "L"),
            **listed(
                Figure("room_to_mark", mark, "L"),
                Figure("room_to_rim", to_rim, "L"),
                Figure("worst_over_mark", max(worst - mark, 0.0), "L"),
                Figure("worst_over_rim", max(worst - to_rim, 0.0), "L"),
            ),
            "highest_running_depth": figure(
                "highest_running_depth", highest if highest > 0 else None, "m"
            ),
        },
        notes=(say("A clear hole is a hope: plan by the blocked one."),),
        cautions=("flood", "people_below"),
    )


def _blocked(given: Mapping[str, Any]) -> Reckoned:
    room = 1000 * given["display"] * given["free-height"] + given["box-room"]
    water = given["return-volume"]
    rate = given["top-off"] or 0.0
    fresh = given["reservoir"] if rate > 0.0 else 0.0
    if given["longest-run"] is not None:
        fresh = min(fresh, rate * given["longest-run"])
    net = given["flow"] - given["carried"]
    over = max(water + fresh - room, 0.0) if net > 0 else 0.0
    dry = time_to_dry(water, fresh, rate, net) if net > 0 else None
    rises = time_to_rise(room, water, fresh, rate=rate, net=net) if net > 0 else None
    return Reckoned(
        {
            **listed(
                Figure("room", room, "L"),
                Figure("arrives", water + fresh if net > 0 else 0.0, "L"),
                Figure("over_rim", over, "L"),
                Figure("largest_reservoir", max(room - water, 0.0), "L"),
            ),
            "hours_to_rim": figure("hours_to_rim", rises, "h"),
            "hours_to_dry": figure("hours_to_dry", dry, "h"),
        },
        cautions=("flood", "people_below"),
    )


def _top_off(given: Mapping[str, Any]) -> Reckoned:
    volume, salinity = given["volume"], given["salinity"]
    figures: dict[str, Figure | None] = {}
    if given["reservoir"] is not None:
        after = salinity * volume / (volume + given["reservoir"])
        figures["stuck_on_salinity"] = Figure("stuck_on_salinity", after, "PSU")
        if given["flow"]:
            figures["stuck_on_hours"] = Figure(
                "stuck_on_hours", given["reservoir"] / given["flow"], "h"
            )
    if given["evaporation"] and given["until-dry"] is not None:
        if given["until-dry"] >= volume:
            raise AmountUnreadable(
                "until-dry", f"{given['until-dry']:g} L", say("is all that the system holds")
            )
        hours = 24 * given["until-dry"] / given["evaporation"]
        after = salinity * volume / (volume - given["until-dry"])
        figures["stuck_off_hours"] = Figure("stuck_off_hours", hours, "h")
        figures["stuck_off_salinity"] = Figure("stuck_off_salinity", after, "PSU")
    if not figures:
        raise AmountUnreadable("reservoir", "", say("or --evaporation with --until-dry is needed"))
    return Reckoned(figures, cautions=("flood",))


LEVEL_SUMS: Mapping[str, Sum] = {
    "weir": Sum(
        "height of the water over an edge, or the flow at a height",
        (
            Input("flow", "flow", "over it", high=1e7),
            Input("head", "length", "of the water over it, to find the flow", high=5),
            Input("length", "length", "of the edge, teeth included", needed=True, low=1e-3),
            Input("open", "share", "share of a toothed edge that is open", "100 %", low=0.01,
                  high=1),
            Input("tooth-height", "length", "height of its teeth", high=1),
            Input("below", "length", "depth of the water under the edge", high=10),
        ), _weir, '--flow "2500 L/h" --length "0.40 m" --open "60 %"',
    ),
    "notch": Sum(
        "flow through a V-notch",
        (
            Input("angle", "number", "of the notch, degrees", "90", low=20, high=100),
            Input("head", "length", "of the water over its tip", needed=True, high=5),
        ), _notch, '--head "5 cm"',
    ),
    "hole": Sum(
        "flow out of a hole or a crack",
        (
            _BORE,
            Input("head", "length", "of water over it", needed=True, high=100),
            Input("coefficient", "number", "of its edge", f"{SHARP_HOLE:g}", low=0.3, high=1),
        ), _hole, '--bore "25 mm" --head "0.3 m"',
    ),
    "drain-back": Sum(
        "what comes down when the pump stops, with the hole clear and blocked",
        (
            Input("flow", "flow", "over the weir", needed=True, high=1e7),
            Input("weir", "length", "of its edge", needed=True, low=1e-3),
            Input("open", "share", "share of it that is open", "100 %", low=0.01, high=1),
            Input("display", "area", "of its surface", needed=True, low=1e-3),
            Input("hole", "length", "depth of the siphon-break hole", high=10),
            Input("mouth", "length", "depth of the nozzle's mouth", high=10),
            Input("box-area", "area", "of the weir's box", "0 m2"),
            Input("box-drains", "length", "by how much the box falls", "0 m"),
            Input("pipe", "length", "that empties: “1.35 m@20.96 mm”", several=True),
            Input("sump", "area", "of its surface", needed=True, low=1e-3),
            Input("depth", "length", "that the sump runs at", needed=True, high=10),
            Input("rim", "length", "of the sump above its floor", needed=True, high=10),
            Input("margin", "length", "of it that is kept dry", "20 mm", high=1),
        ), _drain_back,
        '--flow "2500 L/h" --weir "0.40 m" --display "0.72 m2" --hole "15 mm" --mouth "60 mm" '
        '--sump "0.32 m2" --depth "0.22 m" --rim "0.36 m"',
    ),
    "blocked-drain": Sum(
        "how far a display fills while its drain is blocked and the top-off goes on",
        (
            Input("display", "area", "of its surface", needed=True, low=1e-3),
            Input("free-height", "length", "from the running level to the rim", needed=True),
            Input("box-room", "volume", "that the weir's box takes", "0 L"),
            Input("return-volume", "volume", "in the return section above the pump's intake",
                  needed=True),
            Input("reservoir", "volume", "of the top-off", "0 L"),
            Input("top-off", "flow", "of its pump", "60 L/h"),
            Input("longest-run", "hours", "after which it stops by itself"),
            Input("flow", "flow", "that comes up", needed=True, high=1e7),
            Input("carried", "flow", "that other drains still carry", "0 L/h", high=1e7),
        ), _blocked,
        '--display "0.72 m2" --free-height "6 cm" --return-volume "20 L" --reservoir "25 L" '
        '--flow "2500 L/h"',
    ),
    "top-off": Sum(
        "salinity and hours when a top-off sticks on, or off",
        (
            Input("volume", "volume", "of the system", needed=True, low=1e-3),
            Input("salinity", "salinity", "before", "35 PSU"),
            Input("reservoir", "volume", "of fresh water that runs in"),
            Input("flow", "flow", "of its pump"),
            Input("evaporation", "volume a day", "that nothing replaces"),
            Input("until-dry", "volume", "in the return section above the pump's intake"),
        ), _top_off, '--volume "300 L" --reservoir "25 L"',
    ),
}  # fmt: skip
