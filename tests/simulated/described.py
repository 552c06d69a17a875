"""The keeper's description of the system: belief and labels, never the truth."""

from __future__ import annotations

from tests.simulated.chemistry import ALK, CA, CANONICAL_UNIT, MG, PER_GRAM
from tests.simulated.scenario import Bottle, Kit, Scenario


def _text(value: str) -> str:
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def system_toml(s: Scenario) -> str:
    """The text of system.toml."""
    lines = [f"name = {_text(s.name)}", f"timezone = {_text(s.timezone)}"]
    volume = f'value = "{s.believed_volume:g} L"'
    if s.volume_sd is not None:
        volume += f', sd = "{s.volume_sd:g} L"'
    lines += [f"net_volume = {{ {volume} }}", ""]
    lines += _sections(s)
    for bottle in s.bottles:
        lines += _bottle(bottle)
    if s.limewater > 0.0:
        lines += ["[[additives]]", 'name = "limewater"']
        lines += [f'recipe = {{ salt = "Ca(OH)2", grams_per_litre = {s.limewater:g} }}', ""]
    lines += ["[[mixes]]", f"name = {_text(s.mix.name)}", "at_salinity = 35"]
    lines += [f'{name} = "{value:g} {CANONICAL_UNIT[name]}"' for name, value in s.mix.label.items()]
    lines += ['sd = "4 %"', ""]
    for reference in s.references:
        content = f'value = "{reference.value:g} {CANONICAL_UNIT[reference.quantity]}"'
        content += f', sd = "{reference.sd:g} {CANONICAL_UNIT[reference.quantity]}"'
        lines += ["[[references]]", f"name = {_text(reference.name)}"]
        lines += [f"{reference.quantity} = {{ {content} }}", ""]
    seen: set[tuple[str, str]] = set()
    for kit in s.kits:
        if kit.described and kit.name and (kit.name, kit.quantity) not in seen:
            seen.add((kit.name, kit.quantity))
            lines += _method(kit)
    return "\n".join(lines)


def _sections(s: Scenario) -> list[str]:
    units = {kit.quantity: kit.unit for kit in s.kits}
    lines = ["[units]", *(f"{name} = {_text(unit)}" for name, unit in units.items()), ""]
    lines += ["[bands]", 'alkalinity = ["7.3 dKH", "9 dKH"]', 'calcium = ["400 mg/L", "450 mg/L"]']
    lines += ["", "[targets]", 'salinity = "35 PSU"', ""]
    return [*lines, "[limits_per_day]", 'alkalinity = "1 dKH"', ""]


def _bottle(bottle: Bottle) -> list[str]:
    lines = ["[[additives]]", f"name = {_text(bottle.name)}"]
    if bottle.per_ml:
        units = {ALK: ("alkalinity", "meq"), CA: ("calcium", "mg"), MG: ("magnesium", "mg")}
        grams = bottle.grams_per_litre * 1e-3
        parts = [
            f'{units[i][0]} = "{each * grams:.4g} {units[i][1]}"'
            for i, each in PER_GRAM[bottle.salt].items()
            if i in units
        ]
        lines.append(f"recipe = {{ per_ml = {{ {', '.join(parts)} }} }}")
    else:
        grams = bottle.grams_per_litre
        lines.append(f"recipe = {{ salt = {_text(bottle.salt)}, grams_per_litre = {grams:g} }}")
    lines.append(f'strength_sd = "{100 * bottle.stated_strength_sd:g} %"')
    return [*lines, f'pump_sd = "{100 * bottle.stated_pump_sd:g} %"', ""]


def _method(kit: Kit) -> list[str]:
    spread = f"{kit.repeatability:g} {kit.unit}"
    if kit.fraction > 0.0 and kit.repeatability == 0.0:
        spread = f"{100 * kit.fraction:g} %"
    return [
        "[[methods]]",
        f"name = {_text(kit.name)}",
        f"quantity = {_text(kit.quantity)}",
        f'resolution = "{kit.resolution:g} {kit.unit}"',
        f'repeatability = "{spread}"',
        f'trueness = "{kit.trueness:g} {kit.unit}"',
        "",
    ]
