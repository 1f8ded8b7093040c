"""Whether it is syrup, and where it boils, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from sugarwright.bench import cautions
from sugarwright.saying.bench_told import Rows, Sentence, Told, give_or_take, table
from sugarwright.units import TEMPERATURE, TEMPERATURE_DIFFERENCE, show, to_unit

if TYPE_CHECKING:
    from sugarwright.bench.boiling_now import BoilingNow, SyrupPoint
    from sugarwright.bench.is_syrup import SyrupCheck

VERDICTS = {
    "syrup": "It is syrup",
    "thin": "Not yet syrup: too thin",
    "heavy": "Too heavy",
    "unsure": "Too close to call with these instruments",
}
_BOILING = Sentence(cautions.BOILING, "caution")


def check_told(found: SyrupCheck, whose: str, system: str) -> Told:
    """Return whether it is syrup.

    Parameters
    ----------
    found : the answer
    whose : limits it goes by
    system : of units
    """
    together = found.together
    sure = give_or_take(together.sd_brix)
    head = f"{VERDICTS[found.verdict]}: {together.brix:.1f} Brix, give or take {sure}"
    rows = [
        (each.instrument, f"{each.brix:.1f}", f"± {give_or_take(each.sd_brix)}", each.mostly)
        for each in found.instruments
    ]
    parts: list[Sentence | Rows] = [
        Sentence(_limits(found, whose)),
        table(("by", "Brix", "", "unsure mostly by"), rows, words_last=True),
        *_agreement(found),
    ]
    if found.hydrometer_at_least_brix is not None:
        shown = f"{found.hydrometer_at_least_brix:.1f}"
        text = f"At {found.least_brix:.1f} Brix and that heat a hydrometer shows {shown}."
        parts.append(Sentence(text))
    if found.superheat_k is not None:
        above = show(found.superheat_k, TEMPERATURE_DIFFERENCE, system, digits=1)
        text = f"That cup is {above} above where such syrup boils: superheated, or misread."
        parts.append(Sentence(f"{text} Read the thermometer again.", "warning"))
    if found.boiling_at_least_c is not None:
        boils = show(found.boiling_at_least_c, TEMPERATURE, system, digits=1)
        parts.append(
            Sentence(f"Syrup of {found.least_brix:.1f} Brix boils at {boils} there today.")
        )
    return Told(head, (*parts, _BOILING))


def _limits(found: SyrupCheck, whose: str) -> str:
    most = "" if found.greatest_brix is None else f" to {found.greatest_brix:.1f}"
    text = f"{found.least_brix:.1f}{most} Brix wanted ({whose})."
    if found.thin_fraction >= 0.005:
        text += f" Chance that it is below: {100 * found.thin_fraction:.0f} %."
    if found.heavy_fraction >= 0.005:
        text += f" Chance that it is above: {100 * found.heavy_fraction:.0f} %."
    return text


def _agreement(found: SyrupCheck) -> list[Sentence]:
    together = found.together
    if len(found.instruments) == 1:
        return []
    apart = f"{together.greatest_gap_brix:.1f} Brix apart"
    if together.agree:
        return [Sentence(f"They agree: {apart}, as chance would have it.")]
    gap = f"They don't agree: {apart}."
    if together.odd is None:
        return [Sentence(f"{gap} Which is off can't be told. {together.likely}", "warning")]
    off = f"{gap} The {together.odd} is off, and left out. Likely: {together.likely}."
    return [Sentence(off, "warning")]


def boil_told(found: BoilingNow, system: str, named: Callable[[str], str]) -> Told:
    """Return where water and syrup boil.

    Parameters
    ----------
    found : the answer
    system : of units
    named : gives a field's name as the face has it
    """
    boils = show(found.water.boiling_c, TEMPERATURE, system, digits=1)
    unit = "°C" if system == "metric" else "°F"
    sure = give_or_take(to_unit(found.sd_k, TEMPERATURE_DIFFERENCE, unit))

    def row(point: SyrupPoint) -> list[str]:
        return [
            f"{point.brix:.1f} Brix",
            show(point.boiling_c, TEMPERATURE, system, digits=1),
            show(point.rise_k, TEMPERATURE_DIFFERENCE, system, digits=1),
            show(point.k_per_brix, TEMPERATURE_DIFFERENCE, system, digits=2),
        ]

    titles = ("syrup of", "boils at", "above water", "for each Brix")
    parts: list[Sentence | Rows] = [table(titles, [row(each) for each in found.syrup])]
    if not found.water.same_thermometer:
        first = "Better: hold the same thermometer in boiling water first"
        parts.append(Sentence(f"{first}, then use {named('water-boils')}."))
    if found.invert_fraction > 0.0:
        share = f"{100 * found.invert_fraction:.1f} %"
        parts.append(Sentence(f"With {share} of the solids invert sugar."))
    head = f"Water boils at {boils}, give or take {sure}, by {found.water.source}"
    return Told(head, (*parts, _BOILING))
