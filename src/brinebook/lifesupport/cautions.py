"""The cautions of the machines, by id: one sentence each, where mains, glass, floor or drilling is.

Common cautions in our own words; docs/safety.md has them all. Local code, a licensed electrician,
the landlord and a structural engineer outrank them. ``lasting`` ones are shown every time.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from brinebook.plan import Caution
from brinebook.texts import worded

_ROWS = (
    Caution(
        "animals_first",
        "When animals are dying now, act on what you see; numbers come after. If the flat is too "
        "cold for people, people first.",
        lasting=True,
    ),
    Caution(
        "mains",
        "Switch off at the socket before your hands go in, and use an outlet with "
        "residual-current (ground-fault) protection.",
        "licensed electrician, local code",
        lasting=True,
    ),
    Caution(
        "drip_loops",
        "Salt creep conducts: let every cable hang lower than its socket, and replace crusted "
        "plugs once they are unplugged and dry.",
        "electrician",
    ),
    Caution(
        "overload",
        "Don't chain power strips, and don't run the heaters and a room heater on one circuit.",
        "electrician",
    ),
    Caution(
        "protection_trips",
        "A protector that trips is telling you something: never bypass it. It does not protect "
        "between live and neutral. When it trips the whole system may go dark: test it monthly and "
        "know what stops.",
        "electrician",
        lasting=True,
    ),
    Caution(
        "flood",
        "Water near electricity: stay out of it until the power is off at a breaker that you can "
        "reach dry.",
        "emergency services, landlord",
        lasting=True,
    ),
    Caution(
        "people_below",
        "Know your stop valve, your insurer's terms and your downstairs neighbour's number.",
        "landlord, insurer",
    ),
    Caution(
        "hoses",
        "Never leave a running hose or siphon, however short the errand, and never start one by "
        "mouth.",
    ),
    Caution(
        "glass",
        "Look at seams and chips before filling, never move a part-filled tank, and drill only "
        "glass that its maker calls fit for it, empty and with the power off.",
        "the maker of the glass",
    ),
    Caution(
        "floor",
        "This is an estimate of weight, not an approval of your floor.",
        "structural engineer, landlord",
        lasting=True,
    ),
    Caution(
        "lifting",
        "25 L of salt water weighs nearly 27 kg: use smaller cans, or a pump.",
        "ISO 11228-1, doctor",
    ),
    Caution(
        "damp",
        "Weeks above 75 to 80 % humidity rot stands and walls and can affect breathing.",
        "landlord, doctor",
    ),
    Caution(
        "engines_outdoors",
        "Generators, barbecues and gas rings stay outdoors, 6 m from windows, never on a balcony: "
        "carbon monoxide kills without a smell. Have an alarm.",
        "fire service",
        lasting=True,
    ),
    Caution(
        "batteries",
        "Ventilate lead-acid, don't charge a damaged lithium battery, and never feed a socket "
        "backwards. Candles burn homes, and a towel over the rim siphons the tank.",
        "electrician",
    ),
    Caution(
        "gas_bottle",
        "Chain a carbon dioxide bottle upright in a ventilated room, never in a closet, bedroom or "
        "car boot: a full leak can make a small room deadly without any smell. Fit an alarm.",
        "gas supplier, fire service",
        lasting=True,
    ),
    Caution(
        "no_alarm",
        "This switches nothing and watches nothing while it is closed: don't rely on it as an "
        "alarm.",
    ),
)

#: Every caution of the life support by its id.
CAUTIONS: Mapping[str, Caution] = MappingProxyType({row.id: row for row in _ROWS})


def cautions(*ids: str) -> tuple[Caution, ...]:
    """The cautions of these ids, each once, in the order asked. Raises KeyError."""
    return tuple(worded(CAUTIONS[one]) for one in dict.fromkeys(ids))
