"""The cautions that go with an act, by id: one sentence each, where the act is planned.

Common cautions in our own words; docs/safety.md has them all. A data sheet, a professional or the
law outranks them. ``lasting`` ones are shown every time.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from brinebook.plan import Caution
from brinebook.texts import worded

_ROWS = (
    Caution(
        "lime",
        "Lime is caustic dust and makes a solution of pH 12.4: goggles, gloves, no breathing of "
        "dust. Eyes: rinse for 15 minutes and get medical help.",
        "doctor, safety data sheet",
        lasting=True,
    ),
    Caution(
        "soda",
        "The dust of soda ash and of heated bicarbonate burns eyes and airways, and the dish is "
        "hot: weigh in still air, lid on.",
        "safety data sheet",
    ),
    Caution(
        "lye",
        "Always lye into cold water, never water onto lye: strong heat, and burns. Goggles and "
        "gloves.",
        "safety data sheet",
        lasting=True,
    ),
    Caution(
        "calcium_chloride_heat",
        "Calcium chloride heats its water, the anhydrous salt near scalding: cold water, add it "
        "slowly, in a vessel that stands heat.",
        "safety data sheet",
        lasting=True,
    ),
    Caution(
        "salt_heat",
        "This salt heats its water as it dissolves: cold water, add it slowly, in a vessel that "
        "stands heat.",
        "safety data sheet",
        lasting=True,
    ),
    Caution(
        "acid",
        "Outdoors or at an open window, acid into water, goggles. Never with bleach, never near "
        "the tank; on lime or carbonate it fizzes and throws droplets.",
        "safety data sheet, poison line",
        lasting=True,
    ),
    Caution(
        "co2_bottle",
        "Chain the CO2 bottle upright in a ventilated room, never in a closet, bedroom or car "
        "boot: a full leak can make a small room deadly without any smell. Fit a CO2 alarm, test "
        "joints with soapy water, no oil on the regulator.",
        "gas supplier, fire service",
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
        "heater_dry",
        "Unplug the heater before the water falls below it, and let it cool: a dry hot heater "
        "breaks.",
    ),
    Caution(
        "hoses",
        "Never leave a running hose or siphon, however short the errand, and never start one by "
        "mouth.",
    ),
    Caution(
        "lifting",
        "25 L of salt water weighs nearly 27 kg, over the usual 23 to 25 kg: smaller cans, or a "
        "pump.",
        "ISO 11228-1, doctor",
    ),
    Caution(
        "filter_line",
        "A forgotten line from the water filter is the commonest flood: a mechanical shut-off, and "
        "a timer that you carry.",
        "plumber, landlord",
    ),
    Caution(
        "flood",
        "If water is on the floor near electricity, stay out of it until the power is off at a "
        "breaker that you can reach dry.",
        "emergency services, landlord",
        lasting=True,
    ),
    Caution(
        "cleaning",
        "Never mix cleaning products: bleach with ammonia or acid makes toxic gas.",
        "poison line",
        lasting=True,
    ),
    Caution(
        "peroxide",
        "Hydrogen peroxide of 3 % stings, stronger burns and feeds fire, and too much of it kills "
        "shrimps and tissue.",
        "safety data sheet, vet",
    ),
    Caution(
        "medicine",
        "Brinebook gives no doses of medicine: the label and a vet decide, also for a fish beyond "
        "help. Many treatments kill invertebrates.",
        "aquatic vet",
    ),
    Caution(
        "leftovers",
        "Left-over medicine and reagents go neither down the sink nor into soil: a take-back or "
        "hazardous-waste point takes them. Keep the label.",
        "local waste authority",
    ),
    Caution(
        "fear",
        "When animals are dying now, act on what you see; numbers come after.",
    ),
    Caution(
        "zoanthids",
        "Gloves and goggles with zoanthids: never scrub, scrape dry, boil, microwave or hot-rinse "
        "them or their rock. Bitter taste, cough, fever or weakness: leave the room, get medical "
        "help and say “palytoxin”; keep people and pets out.",
        "doctor, poison line",
        lasting=True,
    ),
    Caution(
        "spines",
        "Know which animals have venomous spines before your hand goes in. For a wound, hot (not "
        "scalding, about 45 °C) water is the usual first aid, then a doctor.",
        "doctor",
    ),
    Caution(
        "release",
        "Never release animals, algae, rock or waste water to sea, river or pond: rehome, or "
        "freeze algae before the bin.",
        "wildlife authority",
        lasting=True,
    ),
    Caution(
        "reagents",
        "Keep salts and solutions from children and pets, and their scales and spoons from food.",
    ),
)

#: Every caution of the planners by its id.
CAUTIONS: Mapping[str, Caution] = MappingProxyType({row.id: row for row in _ROWS})


def cautions(*ids: str) -> tuple[Caution, ...]:
    """The cautions of these ids, each once, in the order asked. Raises KeyError."""
    return tuple(worded(CAUTIONS[one]) for one in dict.fromkeys(ids))


#: Formula -> the caution that goes with weighing it.
_OF_SALT: Mapping[str, str] = MappingProxyType(
    {
        "Ca(OH)2": "lime", "NaOH": "lye", "KOH": "lye", "HCl": "acid",
        "Na2CO3": "soda", "Na2CO3.H2O": "soda", "Na2CO3.7H2O": "soda", "Na2CO3.10H2O": "soda",
        "K2CO3": "soda", "Na3PO4": "lye", "Na3PO4.12H2O": "lye", "Na2SiO3": "lye",
        "Na2SiO3.5H2O": "lye",
        "CaCl2": "calcium_chloride_heat", "CaCl2.2H2O": "calcium_chloride_heat",
        "MgCl2": "salt_heat", "MgSO4": "salt_heat", "SrCl2": "salt_heat",
    }
)  # fmt: skip

#: Those that still hurt once they are dissolved.
_OF_SOLUTION = ("lime", "lye", "acid")


def of_salt(formula: str | None) -> tuple[str, ...]:
    """Ids of the cautions that go with handling a salt."""
    found = _OF_SALT.get(formula or "")
    return (found,) if found else ()


def of_part(salt: str | None, unit: str) -> tuple[str, ...]:
    """Ids of the cautions that go with a salt by the gram, or with a solution of it by the mL."""
    found = of_salt(salt)
    return found if unit.startswith("g") else tuple(one for one in found if one in _OF_SOLUTION)
