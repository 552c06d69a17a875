"""What went wrong, each slip from what was typed into its form."""

from __future__ import annotations

from brinebook.desk.plan_amounts import grams_of, litres_a_day, litres_of
from brinebook.desk.plan_asked_fields import Asked
from brinebook.desk.plan_now import WaterNow
from brinebook.plan import Plan


def too_much(asked: Asked) -> tuple[Plan, WaterNow]:
    """Too much of something was poured in."""
    from brinebook.desk.plan_pour import poured
    from brinebook.desk.plan_slip_dose import dose_slip

    now = asked.water()
    what, amount = asked.need("what"), asked.need("poured")
    return dose_slip(now, poured(now, what, amount, strength=asked.get("strength"))), now


def met(asked: Asked) -> tuple[Plan, WaterNow]:
    """Two parts met before they reached the water."""
    from brinebook.desk.plan_pour import poured
    from brinebook.desk.plan_slip_lime import met_slip

    now = asked.water()
    first = poured(now, asked.need("first"), asked.need("first_amount"))
    second = poured(now, asked.need("second"), asked.need("second_amount"))
    return met_slip(now, first, second), now


def limewater(asked: Asked) -> tuple[Plan, WaterNow]:
    """Limewater ran in at once."""
    from brinebook.desk.plan_pour import lime_strength
    from brinebook.desk.plan_slip_lime import lime_slip

    now = asked.water()
    strength = lime_strength(asked.get("strength"))
    return lime_slip(now, litres_of(asked.need("litres")), strength=strength), now


def salt_top_off(asked: Asked) -> tuple[Plan, WaterNow]:
    """Salt water was used as top-off."""
    from brinebook.desk.plan_slip_salt import salt_top_off_slip

    now = asked.water()
    seen = asked.get("tested_since") is not None
    return salt_top_off_slip(now, litres_of(asked.need("litres")), salinity=None, seen=seen), now


def fresh_flood(asked: Asked) -> tuple[Plan, WaterNow]:
    """Fresh water ran in at once."""
    from brinebook.desk.plan_slip_salt import flood_slip

    now = asked.water()
    return flood_slip(now, litres_of(asked.need("litres"))), now


def dried_out(asked: Asked) -> tuple[Plan, WaterNow]:
    """Water evaporated, and none was topped off."""
    from brinebook.desk.plan_slip_salt import dried_slip

    now = asked.water()
    return dried_slip(now, litres_of(asked.need("litres"))), now


def fresh_change(asked: Asked) -> tuple[Plan, WaterNow]:
    """A water change was made with fresh water."""
    from brinebook.desk.plan_slip_salt import fresh_change_slip

    now = asked.water()
    return fresh_change_slip(now, litres_of(asked.need("litres"))), now


def skimmate(asked: Asked) -> tuple[Plan, WaterNow]:
    """A skimmer threw much water out, and fresh water took its place."""
    from brinebook.desk.plan_slip_salt import skimmate_slip

    now = asked.water()
    days = asked.number("so_many_days", least=0.5, most=3650) or 30.0
    return skimmate_slip(now, litres_a_day(asked.need("thrown")), days), now


def overfed(asked: Asked) -> tuple[Plan, WaterNow]:
    """Far too much food went in."""
    from brinebook.desk.plan_food import Label, content_of, daily_grams
    from brinebook.desk.plan_slip_waste import overfed_slip

    now = asked.water()
    label = Label(protein=asked.get("protein"), phosphorus=asked.get("phosphorus"))
    content = content_of(label, now.facts, None)
    grams, daily = grams_of(asked.need("grams")), daily_grams(now.facts, now.at)
    return overfed_slip(now, grams, content, daily=daily), now


def death(asked: Asked) -> tuple[Plan, WaterNow]:
    """An animal died unseen."""
    from brinebook.desk.plan_slip_waste import death_slip

    now = asked.water()
    return death_slip(now, grams_of(asked.need("grams"))), now


def foreign(asked: Asked) -> tuple[Plan, WaterNow]:
    """Something got in that doesn't belong there."""
    from brinebook.desk.plan_food import share_of
    from brinebook.desk.plan_slip_waste import foreign_slip

    now = asked.water()
    share, left = share_of("30 %"), share_of("10 %")
    return foreign_slip(now, asked.need("what_got_in"), share=share, left=left), now
