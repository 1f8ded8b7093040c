"""The house as learnt, for every command that plans or simulates; and on what it stands, in words.

Learning itself begins from the house as described: ``cli.folder.house_in``.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.answering.house import as_learnt_in, trees_learnt
from sugarwright.cli.output import note, wrapped
from sugarwright.cli.record import record_in
from sugarwright.learning.instrument_keys import INSTRUMENTS, instrument_of_key
from sugarwright.saying.instruments import amount_text, corrections_text

if TYPE_CHECKING:
    from sugarwright.learning.as_learnt import Standing
    from sugarwright.learning.kept import Figure
    from sugarwright.plant.house import House

HOURLY = {"us": "gal/h", "metric": "L/h"}  # as pans are spoken of
FIGURE_WORDS = {
    "pan.boil_rate_m3_s": "boil-off at full fire",
    "pan.light_up_s": "coming to full boil",
    "pan.burn_down_s": "dying down",
    "fire.efficiency_fraction": "heat of the wood that ends in the sap",
    "fire.light_up_wood_m3": "wood of a light-up beside the boiling",
    "membrane.permeability_m_s_pa": "water through the clean membrane",
    "membrane.condition_fraction": "membrane's flow against new",
    "membrane.loss_per_hour_fraction": "flow lost in an hour of running",
    "membrane.rinse_recovery_fraction": "lost flow that a rinse brings back",
    "membrane.wash_recovery_fraction": "lost flow that a wash brings back",
}


def house_as_learnt(folder: str) -> House:
    """Return the house in a folder with what its log taught, and say on stderr what that is.

    Raises
    ------
    InputError : see ``answering.house.as_learnt_in``
    """
    house, standing = as_learnt_in(folder, note)
    for line in standing_lines(standing, house):
        print(line, file=sys.stderr, flush=True)
    return house


def with_trees_learnt(folder: str, house: House) -> House:
    """Return the house with the trees that its gatherings taught, and say so on stderr."""
    from sugarwright.learning.as_learnt import with_trees

    with record_in(folder, make=False) as book:
        trees = trees_learnt(book, house)
    if trees is None:
        return house
    text = (
        f"The trees as learnt from {trees.gatherings} gatherings: "
        f"{trees.yield_factor:.2f} of usual sap per tap, {trees.sap_brix:.2f} Brix."
    )
    print(wrapped(text, rest="  "), file=sys.stderr, flush=True)
    return with_trees(house, trees)


def standing_lines(standing: Sequence[Standing], house: House) -> Iterator[str]:
    """Yield on which learnt figures the house stands."""
    for name in dict.fromkeys(each.name for each in standing):
        here = [each for each in standing if each.name == name]
        if name == INSTRUMENTS:
            figures = [each.figure for each in here]
            yield wrapped(corrections_text(figures, here[0].readings, house.site.units), rest="  ")
            continue
        day = datetime.fromtimestamp(here[0].learnt_s, ZoneInfo(house.site.timezone))
        used = "; ".join(_said(each, house) for each in here if each.stands)
        if used:
            yield wrapped(f"The {name} as learnt on {day.day} {day:%B %Y}: {used}.", rest="  ")
        for each in here:
            if not each.stands:
                words = figure_words(each.figure.key)
                text = f"{words}: sugarhouse.toml was changed since it was learnt, and stands."
                yield wrapped(text, "  ")


def tell_corrections(folder: str, house: House) -> None:
    """Say on stderr which readings are taken otherwise than they were read, if any are."""
    _, standing = as_learnt_in(folder)
    for line in standing_lines([each for each in standing if each.name == INSTRUMENTS], house):
        print(line, file=sys.stderr, flush=True)


def figure_words(key: str) -> str:
    """Return what a learnt figure is, in words."""
    if key in FIGURE_WORDS:
        return FIGURE_WORDS[key]
    return f"{instrument_of_key(key)[1]} reads too high by"


def _said(standing: Standing, house: House) -> str:
    words = figure_words(standing.figure.key)
    figure = standing.figure
    value, described = (shown(figure, each, house) for each in (figure.value, figure.described))
    return f"{words} {value} (described {described})"


def shown(figure: Figure, value: float, house: House) -> str:
    """Return a value of a figure in the units of the house."""
    from sugarwright.learning.instruments import PRIOR_SD
    from sugarwright.plant.fields import keys_of
    from sugarwright.plant.specs_numbers import Quantity
    from sugarwright.units import show

    quantity, _ = instrument_of_key(figure.key)
    if quantity in PRIOR_SD:
        return f"{'-' if value < 0.0 else ''}{amount_text(quantity, abs(value), house.site.units)}"
    unit = HOURLY.get(house.site.units) if figure.key == "pan.boil_rate_m3_s" else None
    section, attribute = figure.key.split(".")
    part = getattr(house, section, None)
    for key in () if part is None else keys_of(type(part)):
        if key.attribute == attribute and isinstance(key.spec, Quantity):
            return show(value, key.spec.kind, house.site.units, 1 if unit else None, unit)
    return f"{value:.3g}"
