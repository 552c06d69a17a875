"""What has to stand beside every answer about the rig: for people first, and whom to ask."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from brinebook.desk.rig_figures import Json
from brinebook.plan import Caution

MAINS = Caution(
    "mains",
    "Switch off at the socket before your hands go in, and use an outlet with residual-current "
    "(ground-fault) protection.",
    "a licensed electrician, local code",
    lasting=True,
)
FLOOD = Caution(
    "flood",
    "Water near electricity: stay out of it until the power is off at a breaker that you can "
    "reach dry.",
    "emergency services, the landlord",
    lasting=True,
)
BELOW = Caution(
    "people below",
    "Know your stop valve, your insurer's terms and the number of the people below.",
    "the landlord, the insurer",
)
GLASS = Caution(
    "glass",
    "A filled vessel carries its load in glass and seams: don't drill, move or brace it while it "
    "holds water, and never drill toughened glass.",
    "the maker of the vessel, a glazier",
)
FLOOR = Caution(
    "floor",
    "This is a weight estimate, not approval of your floor.",
    "a structural engineer, the landlord",
    lasting=True,
)
DAMP = Caution(
    "damp",
    "Weeks above 75 to 80 % humidity rot stands and walls and can affect breathing.",
    "the landlord, a doctor",
)
INDOORS = Caution(
    "outage",
    "The aquarium makes no carbon monoxide but a generator, a barbecue and a gas ring do: engines "
    "and flames stay outdoors, 6 m from windows, never on a balcony, and a CO alarm hangs inside.",
    "the fire service",
    lasting=True,
)
BATTERIES = Caution(
    "batteries",
    "Ventilate lead-acid, don't charge a damaged lithium battery, and never feed a socket "
    "backwards.",
    "an electrician",
)
STRIPS = Caution(
    "overload",
    "Don't chain power strips, and don't put the tank's heater and a room heater on one circuit.",
    "an electrician",
)
ADVISES = Caution(
    "advice",
    "This switches nothing and watches nothing: it is a model of what you described, not an alarm.",
)

#: Which cautions stand beside which part of the answer.
BESIDE: Mapping[str, tuple[Caution, ...]] = MappingProxyType(
    {
        "flows": (MAINS, GLASS),
        "levels": (FLOOD, MAINS, BELOW, GLASS),
        "heat": (MAINS,),
        "damp": (DAMP, MAINS),
        "power": (MAINS, STRIPS),
        "outage": (INDOORS, BATTERIES),
        "floor": (FLOOR,),
        "drill": (FLOOD, MAINS, INDOORS, ADVISES),
        "size": (MAINS, GLASS),
    }
)


def cautions_for(*parts: str) -> tuple[Caution, ...]:
    """The cautions of these parts, each once, in their order."""
    return tuple(dict.fromkeys(one for part in parts for one in BESIDE.get(part, ())))


def cautions_json(*parts: str) -> list[Json]:
    """The same for programs."""
    return [
        {"id": one.id, "text": one.text, "ask": one.ask, "lasting": one.lasting}
        for one in cautions_for(*parts)
    ]


def caution_lines(*parts: str) -> Iterator[str]:
    """The same for people."""
    for one in cautions_for(*parts):
        yield f"! {one.text}" + (f" (Ask: {one.ask}.)" if one.ask else "")
