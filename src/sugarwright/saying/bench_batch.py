"""What a batch wants, what a blend gives, what some sap holds, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.bench import cautions
from sugarwright.saying.bench_told import (
    Sentence,
    Told,
    give_or_take,
    mass,
    reference,
    small_volume,
    table,
    three,
    volume,
)
from sugarwright.units import MASS

if TYPE_CHECKING:
    from sugarwright.bench.adjust import Adjustment
    from sugarwright.bench.blend import Blend
    from sugarwright.bench.sap_to_syrup import SapToSyrup


def adjust_told(found: Adjustment, target_brix: float, system: str) -> Told:
    """Return what brings a batch to its target."""
    unit = MASS.display_unit(found.change_kg, system)
    amount = f"{mass(found.change_kg, system)} ({small_volume(found.change_m3, system)})"
    sure = f"give or take {three(2.0 * found.sd_kg, MASS, unit)}"
    if found.way == "nothing":
        head = f"It is at {target_brix:.1f} Brix already"
    elif found.way == "boil":
        head = f"Boil off {amount} of water, {sure}"
    else:
        what = f"{found.added_brix:.1f} Brix" if found.added_brix else "water"
        head = f"Add {amount} of {what}, {sure}"
    parts = []
    if found.within_error and found.way != "nothing":
        parts.append(Sentence("That is within your instrument's error: it may be right as it is."))
    elif found.way == "add":
        first = three(found.first_kg, MASS, unit)
        parts.append(Sentence(f"First {first}; stir, measure again, then the rest."))
    text = (
        f"Gives {volume(found.result_m3, system)} at {reference(system)}, "
        f"{mass(found.result_kg, system)}, of {target_brix:.1f} Brix, "
        f"give or take {give_or_take(found.result_sd_brix)}."
    )
    parts.append(Sentence(text))
    if found.way != "nothing":
        caution = cautions.THINNING if found.way == "add" else cautions.BOILING
        parts.append(Sentence(caution, "caution"))
    return Told(head, tuple(parts))


def blend_told(found: Blend, is_aimed: bool, system: str) -> Told:
    """Return a blend.

    Parameters
    ----------
    found : the answer
    is_aimed : a strength was wanted, so that something may be left in the drums
    system : of units
    """
    head = (
        f"{volume(found.volume_m3, system)} of {found.brix:.1f} Brix, give or take "
        f"{give_or_take(found.sd_brix)}; {mass(found.mass_kg, system)}"
    )
    titles, rows = ["drum", "Brix", "take", "", "left"], []
    for number, part in enumerate(found.portions, 1):
        take = [volume(part.take_m3, system), mass(part.take_kg, system)]
        left = mass(part.left_kg, system) if part.left_kg > 1e-6 else "-"
        rows.append([f"{number}", f"{part.brix:.1f}", *take, left])
    shown = 5 if is_aimed else 4
    drums = table(titles[:shown], [row[:shown] for row in rows])
    return Told(head, (drums, Sentence("Stir well and measure: heavy syrup lies under light.")))


def ratio_told(found: SapToSyrup, system: str) -> Told:
    """Return the syrup in some sap."""
    head = (
        f"{volume(found.sap_m3, system)} of {found.sap_brix:.1f} Brix hold "
        f"{volume(found.syrup_m3, system)} of {found.syrup_brix:.1f} Brix syrup, "
        f"give or take {volume(2.0 * found.syrup_sd_m3, system)}"
    )
    water = f"{mass(found.water_off_kg, system)} of water to take out"
    parts = [Sentence(f"{_ratio(found.sap_by_syrup_ratio)} of sap for 1 of syrup; {water}")]
    for rule in found.rules:
        off = f"{100.0 * rule.off_fraction:+.1f} %"
        parts.append(Sentence(f"{_ratio(rule.sap_by_syrup_ratio)} by the {rule.name}: {off}"))
    return Told(head, tuple(parts))


def _ratio(value: float) -> str:
    """Return a ratio with three digits that count."""
    return f"{value:.1f}" if value >= 10.0 else f"{value:.2f}"
