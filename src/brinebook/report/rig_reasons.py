"""What each part of the rig's answer rests on: the equations in short, with their sources.

The pages of the models say more. ``counts`` names the keys of the description that a part reads, by
their beginnings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of the reckoning: what it gives, how, and the keys of its sources."""

    SAID: ClassVar[tuple[str, ...]] = ("what", "how")

    what: str
    how: str
    sources: tuple[str, ...] = ()  # none: common practice


@dataclass(frozen=True, slots=True)
class Reasons:
    """A part's steps, where its doubt comes from, and what of the description it reads."""

    SAID: ClassVar[tuple[str, ...]] = ("doubt",)

    steps: tuple[Reason, ...]
    doubt: str
    counts: tuple[str, ...]


_EVAPORATION = Reason(
    "what evaporates",
    "kg/s from a square metre = F (0.089 + 0.0782 v)(a p(water) − RH p(room)) / Y; v air speed, a "
    "activity of salt water, Y heat of vapour. Your own litres of top-off replace F.",
    ("carrier1918", "smith1998", "weiss1980", "shah2014", "ashrae2017"),
)

REASONS: Mapping[str, Reasons] = MappingProxyType(
    {
        "flows": Reasons(
            (
                Reason("head lost in a pipe", "h = (f L/D + ΣK) v²/2g, Darcy and Weisbach",
                       ("colebrook1939",)),
                Reason("friction factor f", "64/Re up to Re 2000, Colebrook from 4000, "
                       "a cubic between",
                       ("colebrook1939", "rossman2020")),
                Reason("K of fittings and valves", "n fT by fitting, and by how far a valve is "
                       "open", ("crane1988", "perry1997", "iec2011")),
                Reason("the whole loop", "pump, pipes and branches in balance at once, by the "
                       "global gradient method", ("todini1988", "rossman2020")),
                Reason("viscosity and density", "by salinity and temperature",
                       ("sharqawy2010", "ioc2010")),
                Reason("beds", "the bed lifts where its drag is its weight under water",
                       ("ergun1952", "haider1989", "richardson1954")),
                Reason("dead corners", "volume over the flow that is aimed at them"),
            ),
            "The ends of a range: all resistances 30 % and the pump's head 10 % worse, and so "
            "much better, together (common practice, no source).",
            ("pumps", "plumbing.pipes", "plumbing.joints", "plumbing.devices", "plumbing.zones",
             "plumbing.dosers", "plumbing.lift", "vessels"),
        ),
        "levels": Reasons(
            (
                Reason("head over the weir", "Q = 1.84 b h^1.5, b the open length",
                       ("francis1868", "usbr2001", "iso1980")),
                Reason("drain-back", "the display falls by the weir's head, or as far as a siphon "
                       "reaches: to a clear hole, with every hole blocked to the deepest mouth; "
                       "box and pipes empty after it"),
                Reason("drains", "head from level to level against friction; with air down the "
                       "middle a quarter of that, 15 to 40 %", ("crane1988",)),
                Reason("a stuck top-off", "salt stays: S = S₀ V / (V + reservoir), or V less what "
                       "evaporated"),
                Reason("a burst joint", "the network with a hole of the pipe's area, Cd 0.61",
                       ("torricelli1644",)),
                _EVAPORATION,
            ),
            "Litres by the tape are 5 % off, drains 15 % either way, a weir under 30 mm a fifth "
            "(common practice, no source).",
            ("vessels", "pumps", "plumbing.weirs", "plumbing.drains", "plumbing.nozzles",
             "plumbing.top_off", "plumbing.pipes", "plumbing.margin", "plumbing.lift",
             "heat.evaporation"),
        ),
        "heat": Reasons(
            (
                Reason("the balance", "C dT/dt = heaters + pumps + lamps − UA (T − room) − "
                       "vapour", ("ioc2010", "iso2017")),
                Reason("walls", "1 / (0.13 + d/k), the surface 1 / 0.10 K m²/W",
                       ("iso2017", "iso2007")),
                Reason("pipes", "air that rises along them, and radiation",
                       ("churchill1975b", "iso2017")),
                _EVAPORATION,
                Reason("hour by hour", "steps of the method of Runge and Kutta", ("hairer1993",)),
            ),
            "Dry losses are 15 % off either way; evaporation carries the doubt of its formula, or "
            "15 % with your own litres.",
            ("heat", "vessels", "pumps"),
        ),
        "damp": Reasons(
            (
                Reason("the stand's air", "M dW/dt = evaporation − ρ Q (W − W of the room)",
                       ("carrier1918", "smith1998", "ashrae2017")),
                Reason("a cycle of the fan", "followed minute by minute until a cycle ends as it "
                       "began", ("hairer1993",)),
                Reason("dew point and saturation", "from the handbook of humid air",
                       ("ashrae2017",)),
                Reason("noise", "50 log₁₀ of the speed, in dB", ("bies2017",)),
                Reason("the flat", "W − W outdoors = evaporation / (ρ V n), n air changes an hour",
                       ("iso2012",)),
                Reason("mould", "air right at a surface that stays above 80 %",
                       ("iso2012", "iso2017")),
                _EVAPORATION,
            ),
            "The doubt of evaporation, carried through: 40 % either way in the air that is needed.",
            ("heat.room", "heat.cabinet", "heat.fans", "heat.temperature", "vessels"),
        ),
        "power": Reasons(
            (
                Reason("current", "between the sum of powers and the sum of apparent powers, over "
                       "volts"),
                Reason("the limit", "at 120 V a load of three hours or more may use 80 % of the "
                       "breaker; at 230 V the share is your own", ("nec2020",)),
                Reason("protection", "30 mA or less protects people; 5 mA in class A",
                       ("iec2012", "ul2016")),
            ),
            "Arithmetic on nameplates, not an approval. Power factors that nobody said are 1 for "
            "heaters and 0.6 for small supplies (common practice, no source).",
            ("power.circuits", "power.sockets", "power.loads", "pumps", "heat.heaters",
             "heat.fans", "heat.lamps", "heat.coolers"),
        ),
        "outage": Reasons(
            (
                Reason("oxygen", "V dC/dt = k (C at saturation − C) − what breathes",
                       ("garcia1992",)),
                Reason("what the surface lets in", "0.17 to 2.07 cm an hour in a calm, by two "
                       "lakes; moved, 5 to 20", ("cole1998", "crusius2003", "wanninkhof2014")),
                Reason("what bubbles bring", "1.5 to 6 % of their oxygen for each metre",
                       ("epa1989b",)),
                Reason("limits", "act below 4 mg/L, grave below 2", ("haas2014", "nilsson2007")),
                Reason("warmth", "the display alone, in a room that stays as it is",
                       ("iso2017", "carrier1918", "smith1998")),
            ),
            "What breathes is known to a factor of two either way: plan by the short end.",
            ("animals", "power.reserve", "vessels", "heat.room", "heat.temperature",
             "heat.salinity"),
        ),
        "floor": Reasons(
            (
                Reason("water", "volume by its density", ("ioc2010",)),
                Reason("glass", "panes by thickness and 2500 kg/m³", ("iso2007",)),
                Reason("what stands beside it", "1.92 kPa (40 psf), an average over a whole room "
                       "of a dwelling", ("irc2018",)),
            ),
            "What nobody weighed is 15 % off, the water two standard deviations of its volume.",
            ("floor", "vessels", "plumbing.top_off", "plumbing.dosers"),
        ),
    }
)  # fmt: skip
