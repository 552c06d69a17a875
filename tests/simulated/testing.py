"""Testing the water, and what the keeper does at once about a reading."""

from __future__ import annotations

import math

from tests.simulated.chemistry import PER_GRAM, QUANTITIES
from tests.simulated.life import Act, Life
from tests.simulated.readings import Reading
from tests.simulated.scenario import Kit


def begin(life: Life) -> None:
    """Plan the first test of every kit."""
    for kit in life.scenario.kits:
        first = kit.first_day if kit.first_day else life.habits.random() * min(kit.every, 5.0)
        life.plan(life.at_hour(float(first), kit.hour), tester(life, kit))
    for reference in life.scenario.references:
        for kit in life.scenario.kits:
            if kit.name == reference.kit:
                life.plan(life.at_hour(9.0, kit.hour), _reference_tester(life, kit, reference.name))


def tester(life: Life, kit: Kit) -> Act:
    """A test that plans the next one."""

    def act(t: float) -> None:
        step = max(1.0, round(kit.every * (1.0 + kit.jitter * float(life.habits.normal()))))
        hour = kit.hour + kit.hour_sd * float(life.habits.normal())
        day = math.floor(t + life.offsets[int(t)] / 24.0) + step
        if day < min(life.scenario.days, kit.last_day):
            life.plan(max(life.at_hour(day, min(max(hour, 0.5), 23.4)), t + 0.2), act)
        if life.habits.random() >= kit.skip and not life.away(t):
            occasion(life, t, kit)

    return act


def occasion(life: Life, t: float, kit: Kit, *, again: bool = False) -> None:
    """One occasion, with a replicate now and then."""
    true = life.level(kit.quantity)
    first = life.bench.read(kit, t, true)
    twice = not again and life.habits.random() < kit.replicate
    _write(life, t, kit, first, replicate="1" if twice else "")
    if twice:
        _write(life, t + 12 / 1440.0, kit, life.bench.read(kit, t, true), replicate="2")
    remembered = life.memory[kit.quantity]
    surprising = bool(remembered) and (
        abs(first.canonical - remembered[-1][1]) > 4.0 * kit.deviation(remembered[-1][1])
    )
    if surprising and not again and life.habits.random() < kit.retest:
        later = t + (0.02 if life.habits.random() < 0.5 else 1.0)
        if later < life.scenario.days:
            life.plan(later, lambda when: occasion(life, when, kit, again=True))
    if not surprising or again:
        remembered.append((t, first.canonical))
        if life.scenario.corrects:
            _correct(life, t, kit.quantity)


def _write(life: Life, t: float, kit: Kit, reading: Reading, *, replicate: str) -> None:
    detail: dict[str, object] = {"method": kit.name, "lot": reading.lot_label}
    if kit.by:
        detail["by"] = kit.by[int(life.habits.integers(len(kit.by)))]
    detail["replicate"] = replicate
    entry = life.log(t, "test", kit.quantity, value=reading.text, unit=kit.unit, detail=detail)
    entry.wrong = reading.wrong
    if reading.spell is not None:
        life.spells.setdefault(reading.spell, []).append((entry, reading.spell_size))


def _reference_tester(life: Life, kit: Kit, name: str) -> Act:
    """A test of a known solution once in five weeks: it tells the kit's bias."""
    value = next(r.value for r in life.scenario.references if r.name == name and r.kit == kit.name)

    def act(t: float) -> None:
        life.plan(t + 35.0, act)
        reading = life.bench.read(kit, t, value, sound=True)
        detail = {"method": kit.name, "lot": reading.lot_label, "of": name}
        life.log(t, "test", kit.quantity, value=reading.text, unit=kit.unit, detail=detail)

    return act


def _correct(life: Life, t: float, quantity: str) -> None:
    """A single dose, or water out, when a level is well off what the keeper wants."""
    level = life.memory[quantity][-1][1]
    litres = life.scenario.believed_volume
    short = life.scenario.physics.reference_alkalinity - level
    if quantity == "alkalinity" and short > 0.3 and t - life.last_correction > 2.0:
        life.last_correction = t
        grams = round(min(short, 0.5) * 0.6 * litres / 11.904, 1)
        life.plan(t + 0.06, sudden(life, "NaHCO3", grams))
    if quantity == "calcium" and level < 385.0:
        life.plan(t + 0.06, sudden(life, "CaCl2.2H2O", round(15.0 * litres / 272.62, 1)))
    if quantity == "magnesium" and level < 1240.0:
        grams = round(min(1310.0 - level, 120.0) * litres / 119.56, 0)
        life.plan(t + 0.06, sudden(life, "MgCl2.6H2O", grams))
    if quantity == "salinity" and level > 36.0:
        life.plan(t + 0.03, lambda when: _freshen(life, when))


def _freshen(life: Life, t: float) -> None:
    """Take some water out and let fresh water come in."""
    litres = float(round(0.02 * life.scenario.believed_volume, 0)) or 1.0
    life.tank.drain(litres)
    life.log(t, "removed", value=f"{litres:g}", unit="L")


def sudden(life: Life, salt: str, grams: float) -> Act:
    """A dose in one go, weighed and written down."""

    def act(t: float) -> None:
        scale = 1.0 + (0.01 * float(life.world.normal()) if life.scenario.noise else 0.0)
        content = {i: v * grams * scale for i, v in PER_GRAM[salt].items()}
        life.tank.flow(0.0, content)
        life.log(t, "dose", salt, value=f"{grams:g}", unit="g")
        for kit in life.scenario.kits:
            if kit.quantity == "salinity" or kit.quantity not in QUANTITIES:
                continue
            index = QUANTITIES.index(kit.quantity)
            rise = content.get(index, 0.0) / life.tank.volume
            if rise > 3.0 * kit.deviation(life.level(kit.quantity)):
                life.sudden_doses += 1
        for index, each in PER_GRAM[salt].items():
            past = life.memory.get(QUANTITIES[index])
            if past is not None:  # the keeper allows for the dose when looking at a slope
                rise = each * grams / life.scenario.believed_volume
                past.extend([(when, value + rise) for when, value in list(past)])

    return act
