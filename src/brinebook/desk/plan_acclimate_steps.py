"""The steps of acclimatising: floating, opening, a drip, swaps or a tub, and moving over."""

from __future__ import annotations

from datetime import datetime, timedelta

from brinebook.desk.acclimating import Bag, Case, Drip
from brinebook.desk.plan_words import amount_text
from brinebook.plan import Step
from brinebook.planning.bag import BagWater
from brinebook.report.numbers import plain_text
from brinebook.texts import say

#: The bag floats so long before it is opened, and the drip starts a little later (common practice).
_FLOATS = timedelta(minutes=20)
STARTS = timedelta(minutes=25)


def acclimate_steps(case: Case) -> tuple[Step, ...]:
    """Float, open, and drip, swap or tub; then move the animals over."""
    said, drip, system = case.said, case.drip, case.system
    at = case.now.at
    found = [
        _step(
            at,
            0.6,
            say("float the bag"),
            say(
                "Lights down. Float the bag closed for about twenty minutes, until "
                "it is as warm as the system ({temperature:.1f} °C).",
                temperature=system.temperature,
            ),
        ),
        _step(
            at + _FLOATS,
            0.3,
            say("open the bag"),
            say("Open it, and test its pH, ammonia and salinity at once: they change from now on."),
        ),
    ]
    begin = at + STARTS
    if case.toxic:
        found += _tub_steps(begin, said, system)
    elif case.alike:
        found.append(_move(begin))
    elif drip.swaps is not None:
        each = timedelta(hours=drip.hours / max(drip.swaps, 1))
        share = 1.0 - drip.kept ** (1.0 / max(drip.swaps, 1))
        for number in range(drip.swaps):
            found.append(
                _step(
                    begin + number * each,
                    0.2,
                    say("swap {number}", number=number + 1),
                    say(
                        "Pour out {share:.0f} % of the water to waste and fill up "
                        "with the system's.",
                        share=100 * share,
                    ),
                )
            )
        found.append(_move(begin + drip.swaps * each))
    else:
        found += _drip_steps(begin, drip)
    return tuple(found)


def _drip_steps(begin: datetime, drip: Drip) -> list[Step]:
    where = say("into a larger vessel") if drip.still[-1].kept * 1.5 < 1.0 else say("into the bag")
    found = [
        _step(
            begin,
            0.3,
            say("start the drip"),
            say(
                "Start the drip {where}: {flow} a minute, a lid or net over it, the "
                "overflow to waste and not to the system.",
                where=where,
                flow=amount_text(1000 * drip.flow / 60, "mL"),
            ),
        )
    ]
    for part in (0.25, 0.5, 0.75):
        moment = drip.still[round(part * (len(drip.still) - 1))]
        found.append(
            _step(
                begin + timedelta(hours=moment.hours),
                0.3,
                say("look at {part:.0f} %", part=100 * part),
                say(
                    "Look at it: about {salinity:.1f} PSU and pH {ph_range} by now.",
                    salinity=moment.water.salinity,
                    ph_range=_ph_range(drip, part),
                ),
            )
        )
    found.append(_move(begin + timedelta(hours=drip.hours)))
    return found


def _ph_range(drip: Drip, part: float) -> str:
    low, high = sorted(
        each[round(part * (len(each) - 1))].water.state().ph_nbs
        for each in (drip.still, drip.aired)
    )
    return (
        f"{low:.1f}"
        if f"{low:.1f}" == f"{high:.1f}"
        else say("{low:.1f} to {high:.1f}", low=low, high=high)
    )


def _tub_steps(begin: datetime, said: Bag, system: BagWater) -> list[Step]:
    return [
        _step(
            begin,
            1.0,
            say("make matched water"),
            say(
                "Have a tub of {tub}, as warm as the system, with air.", tub=tub_text(said, system)
            ),
        ),
        _step(
            begin,
            1.0,
            say("move into matched water"),
            say(
                "Take the animals out of the bag's water into the tub within "
                "minutes, by cup or hand; a gentle air stone, dim light."
            ),
        ),
        *_daily_steps(begin, said, system),
    ]


def tub_text(said: Bag, system: BagWater) -> str:
    """Ten litres of the bag's salinity, from the system's water and fresh water or salt mix."""
    share = said.salinity / system.salinity
    if share <= 1.0:
        return say(
            "{system_share} L of system water with {fresh_share} L of fresh water for each 10 L",
            system_share=plain_text(round(10 * share, 1)),
            fresh_share=plain_text(round(10 * (1 - share), 1)),
        )
    return say("new salt water mixed to {salinity} PSU", salinity=plain_text(said.salinity))


def _daily_steps(begin: datetime, said: Bag, system: BagWater) -> list[Step]:
    """One PSU a day: the share of the tub to swap for system water each day."""
    away = system.salinity - said.salinity
    days = max(1, round(abs(away)))
    found = []
    for day in range(1, days + 1):
        # From k to k+1 of n equal steps towards the system's own water: 1 / (n - k) of the rest.
        share = 1.0 / (days - day + 1)
        target = said.salinity + away * day / days
        found.append(
            _step(
                begin + timedelta(days=day),
                12.0,
                say("tub to {target:.1f} PSU", target=target),
                say(
                    "Swap {share:.0f} % of the tub for system water: "
                    "{target:.1f} PSU. Test its ammonia first.",
                    share=100 * share,
                    target=target,
                )
                if share < 1.0
                else say("The tub can be at the system's own water now: move the animals over."),
            )
        )
    return found


def _move(when: datetime) -> Step:
    return _step(
        when,
        0.5,
        say("move over"),
        say(
            "Move the animals over without the bag's water; that water goes down the "
            "drain, not into the system."
        ),
    )


def _step(when: datetime, hours: float, name: str, text: str) -> Step:
    return Step(
        when,
        when + timedelta(hours=hours),
        "done",
        say("acclimatise: {name}", name=name),
        "",
        "",
        text,
    )
