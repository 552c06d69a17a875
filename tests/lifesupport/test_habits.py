"""What the trade does without a source: common practice, held as such against the model."""

from __future__ import annotations

from brinebook.lifesupport.beds import bed_flow
from brinebook.lifesupport.cabinet import cycled_air, settled_air
from brinebook.lifesupport.flows_answer import flows_answer
from brinebook.lifesupport.fluid import seawater
from brinebook.lifesupport.heat_answer import heat_answer
from brinebook.lifesupport.heat_model import stand_of
from brinebook.lifesupport.humid_air import Air
from brinebook.rig import Bed
from tests.lifesupport import described
from tests.lifesupport.test_loop import BRANCHED

SECTIONS = """
[[vessels.sections]]
name = "skimmer"
role = "skimmer"
length = "0.4 m"
baffle = "0.21 m"

[[vessels.sections]]
name = "return"
role = "return"
length = "0.4 m"

[[pumps]]
"""


def test_a_heater_of_300_watts_serves_400_litres_in_a_heated_room() -> None:
    # Common practice, no source: what 400 L ask in a room of 20 to 21 °C lies within 300 W, and
    # half of it wouldn't do at the upper end.
    text = described.PLAIN.replace('displaced = "87.2 L"', "").replace("1.20 m", "1.30 m")
    rig = described.rig(
        text + '[heat]\nheaters = [{ name = "h", power = "300 W" }]\n'
        '[heat.room]\ntemperature = "20.5 C"\nhumidity = "45 %"\n'
    )
    found = heat_answer(rig, 400.0, month=1).now.needed
    assert found.low < 300 < 1.3 * found.high
    assert found.high > 150


def test_an_exhaust_fan_half_an_hour_in_ninety_minutes_helps_a_muggy_stand_a_little() -> None:
    # Common practice, no source: an hour off and half an hour on, or more often. Within the model
    # it takes the mean down from saturated, and shorter cycles of the same share take it further.
    rig = described.rig(described.PLAIN + '[heat.cabinet]\nvolume = "300 L"\n')
    stand = stand_of(rig, room=Air(21.0, 0.45), water=25.0, factor=1.0)
    assert stand is not None
    still = settled_air(stand, flow=stand.leak).humidity
    usual = cycled_air(stand, fan=40_000, on=1800, off=3600)
    often = cycled_air(stand, fan=40_000, on=60, off=120)
    assert often.mean < usual.mean < still - 0.1


def test_a_bed_just_tumbles_between_rest_and_lift() -> None:
    # Common practice, no source: media in a reactor should just tumble. 1 mm grains of 1.25 kg/L
    # in a chamber of 90 mm do so somewhere between 10 and 200 L/h.
    bed = Bed("granules", 0.15, 0.001, 1250.0)
    fluid = seawater(35.0, 25.0)
    states = [bed_flow(flow / 3.6e6, 0.09, bed, fluid).state for flow in (2, 40, 60, 400)]
    assert states[0] == "still"
    assert "just tumbling" in states
    assert states[-1] != "still"


def test_a_reactor_that_gives_back_behind_the_skimmer_is_named() -> None:
    behind = BRANCHED.replace("[[pumps]]\n", SECTIONS, 1).replace(
        'in = "sump"', 'in = "sump/return"'
    )
    found = flows_answer(described.rig(behind.replace('to = "sump"', 'to = "sump/return"')))
    assert found is not None
    assert [one for one in found.habits if "back to the skimmer's section" in one]
    before = flows_answer(described.rig(behind.replace('to = "sump"', 'to = "sump/skimmer"')))
    assert before is not None
    assert before.habits == ()


def test_a_line_that_drips_into_a_corner_is_named() -> None:
    text = described.PLAIN + (
        '[[plumbing.dosers]]\nname = "left"\nadditive = "a"\ncontainer = "1 L"\nto = "other"\n'
        '[[vessels]]\nname = "other"\nrole = "other"\nlength = "2 m"\nwidth = "2 m"\n'
        'height = "1 m"\nwater = "0.9 m"\n'
    )
    found = flows_answer(described.rig(text))
    assert found is not None
    assert [one for one in found.habits if one.startswith("left drips into other")]
    lively = flows_answer(described.rig(text.replace('to = "other"', 'to = "sump"')))
    assert lively is not None
    assert lively.habits == ()


def test_the_usual_setting_is_the_one_in_good_standing() -> None:
    # Common practice, no source: 25 °C (77 °F).
    assert described.plain().temperature == 25.0
