"""Options that several plans share: what is said of the water on the way in."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, TypeVar

import click

Decorated = TypeVar("Decorated", bound=Callable[..., Any])

#: Flag -> what it says. Each is a field of ``desk.plan_now.Said``.
WATER = {
    "volume": "Net volume, such as 300L: then no book is needed.",
    "alkalinity": "Alkalinity now, such as “8 dKH”; else the book's.",
    "calcium": "Calcium now; else the book's.",
    "salinity": "Salinity now, PSU; else the book's.",
    "temperature": "Temperature of the water, °C; else the book's.",
    "ph": "pH now, NBS; else the book's.",
    "co2": "CO2 of the room, such as “600 ppm”; else from the pH.",
    "nitrate": "Nitrate now, such as “12 mg/L”; else the book's.",
    "phosphate": "Phosphate now, such as “0.05 mg/L”; else the book's.",
    "evaporation": "What evaporates, such as “4 L/day”; else by the top-off's marks.",
}


class FiniteRange(click.FloatRange):
    """A range of numbers that “nan” doesn't slip through."""

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """The number; click's own refusal where it isn't one, or is beyond the range."""
        found = super().convert(value, param, ctx)
        if not math.isfinite(found):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return found


def said_options(names: Sequence[str], *, use: bool = False) -> Callable[[Decorated], Decorated]:
    """These options of the water, as the argument ``said``; ``use`` adds ``--use``."""

    def decorate(function: Decorated) -> Decorated:
        @wraps(function)
        def collected(*args: Any, **kwargs: Any) -> Any:
            from brinebook.desk.plan_now import Said

            given = {name: kwargs.pop(name) for name in names}
            if use:
                given["use"] = kwargs.pop("use")
            return function(*args, said=Said(**given), **kwargs)

        wrapped: Any = collected
        if use:
            wrapped = click.option(
                "--use",
                metavar="AMOUNT",
                multiple=True,
                help="What the reef uses in a day: “alkalinity 0.5 dKH”, where no book tells.",
            )(wrapped)
        for name in reversed(names):
            wrapped = click.option(f"--{name}", metavar="AMOUNT", help=WATER[name])(wrapped)
        return wrapped  # type: ignore[no-any-return]

    return decorate


_LABEL = {
    "protein": "Of the food, by its label, such as “45 %”.",
    "phosphorus": "Of the food, by its label, such as “1.2 %”.",
    "moisture": "Of the food, by its label: only needed with --of-dry.",
}


def food_options(function: Decorated) -> Decorated:
    """The options that say what a food's label says, as the argument ``label``."""

    @wraps(function)
    def collected(*args: Any, **kwargs: Any) -> Any:
        from brinebook.desk.plan_food import Label

        label = Label(**{name: kwargs.pop(name) for name in _LABEL}, of_dry=kwargs.pop("of_dry"))
        return function(*args, label=label, **kwargs)

    wrapped: Any = click.option(
        "--of-dry", is_flag=True, help="Protein and phosphorus are of the dry matter."
    )(collected)
    for name, told in reversed(_LABEL.items()):
        wrapped = click.option(f"--{name}", metavar="AMOUNT", help=told)(wrapped)
    return wrapped  # type: ignore[no-any-return]


_ALGAE = {
    "dry": "Dry share of wet algae, as you measured it: “11 %”.",
    "algae-nitrogen": "Nitrogen of dry algae: “3 %”.",
    "algae-phosphorus": "Phosphorus of dry algae: “0.25 %”.",
}


def algae_options(function: Decorated) -> Decorated:
    """The options that say what algae are made of, as the argument ``algae``."""

    @wraps(function)
    def collected(*args: Any, **kwargs: Any) -> Any:
        from brinebook.desk.plan_algae_typed import Typed

        names = [name.replace("-", "_") for name in _ALGAE]
        algae = Typed(**{name: kwargs.pop(name) for name in names})
        return function(*args, algae=algae, **kwargs)

    wrapped: Any = collected
    for name, told in reversed(_ALGAE.items()):
        wrapped = click.option(f"--{name}", metavar="AMOUNT", help=told)(wrapped)
    return wrapped  # type: ignore[no-any-return]
