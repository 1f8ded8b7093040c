"""Colour class, containers and laws of density, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.bench import cautions
from sugarwright.physics.scales import baume_from_brix
from sugarwright.physics.solution import density_kg_m3
from sugarwright.saying.bench_told import (
    Rows,
    Sentence,
    Told,
    reference,
    small_volume,
    table,
    volume,
)
from sugarwright.units import MASS, TEMPERATURE, show

if TYPE_CHECKING:
    from sugarwright.bench.containers import Filled, Packing
    from sugarwright.bench.density_law import DensityLaw, DensityLaws
    from sugarwright.bench.grade import Grade

SURE = {
    "read": "read in the authority's text",
    "quoted": "quoted by others; not read itself",
    "memory": "from memory: check it",
}
POUND_GALLON_KG_M3 = 119.826427


def grade_told(found: Grade) -> Told:
    """Return the colour class."""
    head = f"{found.colour}, {found.taste}: {100.0 * found.transmittance_fraction:.1f} %"
    parts = []
    if found.neighbour is not None:
        text = (
            f"Close to {found.neighbour}: {100.0 * found.sure_fraction:.0f} in 100 that it is "
            f"{found.colour}. Clear the syrup of bubbles and cloud, wipe the cell, measure again."
        )
        parts.append(Sentence(text, "warning"))
    return Told(head, (*parts, Sentence(f"By {found.source}."), Sentence(cautions.LAW)))


def pack_told(found: Packing, brix: float, system: str) -> Told:
    """Return the containers of a batch."""
    head = (
        f"{volume(found.hot_m3, system)} hot of {brix:.1f} Brix are "
        f"{volume(found.cold_m3, system)} at {reference(system)}, "
        f"{100.0 * found.shrink_fraction:.1f} % less; "
        f"{100.0 * found.loss_fraction:.0f} % of that stays in the equipment"
    )
    titles = [f"{'' if found.filled else 'all in '}size", "how many", "or", "net weight", "hot"]
    rows = [_filled(each, system) for each in found.filled or found.one_size]
    parts: list[Sentence | Rows] = [table(titles, rows)]
    if found.filled:
        parts.append(Sentence(f"Left over: {volume(found.left_m3, system)}."))
    by_weight = "Fill by weight: a container that is full while hot looks short when cold."
    parts.append(Sentence(by_weight))
    if found.too_cool:
        parts.append(Sentence(cautions.TOO_COOL, "caution"))
    return Told(head, (*parts, Sentence(cautions.PACKING, "caution")))


def _filled(each: Filled, system: str) -> list[str]:
    sure = each.count_least == each.count_greatest
    span = "" if sure else f"{each.count_least} to {each.count_greatest}"
    digits, unit = (0, "g") if system == "metric" else (2, "lb")
    weight = show(each.net_kg, MASS, system, digits=digits, unit=unit)
    return [each.size, str(each.count), span, weight, small_volume(each.hot_m3, system)]


def law_told(law: DensityLaw, system: str, *, in_full: bool) -> Told:
    """Return what one place's law says.

    Parameters
    ----------
    law : of one place
    system : of units
    in_full : with its note, and the same strength on other scales
    """
    most = "" if law.greatest_brix is None else f" to {law.greatest_brix:.1f}"
    at = show(law.at_c, TEMPERATURE, system)
    parts = [Sentence(f"{law.source} ({SURE[law.sure]}).")]
    if law.note and in_full:
        parts.append(Sentence(law.note))
    if in_full:
        baume = baume_from_brix(law.least_brix, law.at_c)
        heavy = density_kg_m3(law.least_brix, 20.0)
        weight = f"{heavy / POUND_GALLON_KG_M3:.2f} lb a gallon"
        if system == "metric":
            weight = f"{heavy / 1000.0:.3f} kg a litre"
        text = f"{law.least_brix:.1f} Brix is {baume:.1f} Baumé there, and {weight} at "
        parts.append(Sentence(f"{text}{reference(system)}."))
    return Told(f"{law.place}: {law.least_brix:.1f}{most} Brix at {at}", tuple(parts))


def laws_told(found: DensityLaws, system: str) -> tuple[Told, ...]:
    """Return what laws say, one answer a place."""
    in_full = len(found.laws) == 1
    return tuple(law_told(law, system, in_full=in_full) for law in found.laws)
