"""The finish bench in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.bench import cautions
from sugarwright.cli.output import columns, wrapped
from sugarwright.physics.scales import baume_from_brix
from sugarwright.physics.solution import density_kg_m3
from sugarwright.units import MASS, TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME, Kind, show, to_unit

if TYPE_CHECKING:
    from sugarwright.bench.adjust import Adjustment
    from sugarwright.bench.blend import Blend
    from sugarwright.bench.boiling_now import BoilingNow, SyrupPoint
    from sugarwright.bench.containers import Filled, Packing
    from sugarwright.bench.density_law import DensityLaw, DensityLaws
    from sugarwright.bench.grade import Grade
    from sugarwright.bench.is_syrup import SyrupCheck
    from sugarwright.bench.sap_to_syrup import SapToSyrup

VERDICTS = {
    "syrup": "It is syrup",
    "thin": "Not yet syrup: too thin",
    "heavy": "Too heavy",
    "unsure": "Too close to call with these instruments",
}
SURE = {
    "read": "read in the authority's text",
    "quoted": "quoted by others; not read itself",
    "memory": "from memory: check it",
}
GALLON_M3 = 3.785411784e-3
POUND_GALLON_KG_M3 = 119.826427


def give_or_take(sd: float, digits: int = 1) -> str:
    """Return two standard deviations, which hold 19 times in 20, never shown as nothing."""
    return f"{max(2.0 * sd, 10.0**-digits):.{digits}f}"


def check_lines(found: SyrupCheck, whose: str, system: str) -> list[str]:
    """Return whether it is syrup."""
    together = found.together
    sure = give_or_take(together.sd_brix)
    lines = [f"{VERDICTS[found.verdict]}: {together.brix:.1f} Brix, give or take {sure}"]
    lines.append(wrapped(_limits(found, whose), "  "))
    rows = [
        [each.instrument, f"{each.brix:.1f}", f"± {give_or_take(each.sd_brix)}", each.mostly]
        for each in found.instruments
    ]
    titles = ["by", "Brix", "", "unsure mostly by"]
    table = columns([[*row[:3]] for row in [titles, *rows]])
    tails = [titles[3], *(row[3] for row in rows)]
    lines += [f"  {row:<30}{tail}".rstrip() for row, tail in zip(table, tails, strict=True)]
    lines += _agreement(found)
    if found.hydrometer_at_least_brix is not None:
        shown = f"{found.hydrometer_at_least_brix:.1f}"
        lines.append(f"  At {found.least_brix:.1f} Brix and that heat a hydrometer shows {shown}.")
    if found.superheat_k is not None:
        above = show(found.superheat_k, TEMPERATURE_DIFFERENCE, system, digits=1)
        told = f"That cup is {above} above where such syrup boils: superheated, or misread."
        lines.append(wrapped(f"{told} Read the thermometer again.", "  ! "))
    if found.boiling_at_least_c is not None:
        boils = show(found.boiling_at_least_c, TEMPERATURE, system, digits=1)
        lines.append(f"  Syrup of {found.least_brix:.1f} Brix boils at {boils} there today.")
    return [*lines, wrapped(cautions.BOILING, "  ! ")]


def _limits(found: SyrupCheck, whose: str) -> str:
    most = "" if found.greatest_brix is None else f" to {found.greatest_brix:.1f}"
    text = f"{found.least_brix:.1f}{most} Brix wanted ({whose})."
    if found.thin_fraction >= 0.005:
        text += f" Chance that it is below: {100 * found.thin_fraction:.0f} %."
    if found.heavy_fraction >= 0.005:
        text += f" Chance that it is above: {100 * found.heavy_fraction:.0f} %."
    return text


def _agreement(found: SyrupCheck) -> list[str]:
    together = found.together
    if len(found.instruments) == 1:
        return []
    if together.agree:
        return [
            f"  They agree: {together.greatest_gap_brix:.1f} Brix apart, as chance would have it."
        ]
    gap = f"They don't agree: {together.greatest_gap_brix:.1f} Brix apart."
    if together.odd is None:
        return [wrapped(f"{gap} Which is off can't be told. {together.likely}", "  ! ")]
    off = f"{gap} The {together.odd} is off, and left out. Likely: {together.likely}."
    return [wrapped(off, "  ! ")]


def boil_lines(found: BoilingNow, system: str) -> list[str]:
    """Return where water and syrup boil."""
    boils = show(found.water.boiling_c, TEMPERATURE, system, digits=1)
    unit = "°C" if system == "metric" else "°F"
    sure = give_or_take(to_unit(found.sd_k, TEMPERATURE_DIFFERENCE, unit))
    lines = [wrapped(f"Water boils at {boils}, give or take {sure}, by {found.water.source}")]

    def row(point: SyrupPoint) -> list[str]:
        return [
            f"{point.brix:.1f} Brix",
            show(point.boiling_c, TEMPERATURE, system, digits=1),
            show(point.rise_k, TEMPERATURE_DIFFERENCE, system, digits=1),
            show(point.k_per_brix, TEMPERATURE_DIFFERENCE, system, digits=2),
        ]

    titles = ["syrup of", "boils at", "above water", "for each Brix"]
    lines += [f"  {line}" for line in columns([titles, *map(row, found.syrup)])]
    if not found.water.same_thermometer:
        text = "Better: hold the same thermometer in boiling water first, then use --water-boils."
        lines.append(wrapped(text, "  "))
    if found.invert_fraction > 0.0:
        lines.append(f"  With {100 * found.invert_fraction:.1f} % of the solids invert sugar.")
    return [*lines, wrapped(cautions.BOILING, "  ! ")]


def adjust_lines(found: Adjustment, target_brix: float, system: str) -> list[str]:
    """Return what brings a batch to its target."""
    unit = MASS.display_unit(found.change_kg, system)
    amount = f"{_mass(found.change_kg, system)} ({_small_volume(found.change_m3, system)})"
    sure = f"give or take {_three(2.0 * found.sd_kg, MASS, unit)}"
    if found.way == "nothing":
        lines = [f"It is at {target_brix:.1f} Brix already"]
    elif found.way == "boil":
        lines = [f"Boil off {amount} of water, {sure}"]
    else:
        what = f"{found.added_brix:.1f} Brix" if found.added_brix else "water"
        lines = [f"Add {amount} of {what}, {sure}"]
    if found.within_error and found.way != "nothing":
        lines.append("  That is within your instrument's error: it may be right as it is.")
    elif found.way == "add":
        first = _three(found.first_kg, MASS, unit)
        lines.append(f"  First {first}; stir, measure again, then the rest.")
    text = (
        f"Gives {_volume(found.result_m3, system)} at {_reference(system)}, "
        f"{_mass(found.result_kg, system)}, of {target_brix:.1f} Brix, "
        f"give or take {give_or_take(found.result_sd_brix)}."
    )
    lines.append(wrapped(text, "  "))
    if found.way == "nothing":
        return lines
    caution = cautions.THINNING if found.way == "add" else cautions.BOILING
    return [*lines, wrapped(caution, "  ! ")]


def blend_lines(found: Blend, is_aimed: bool, system: str) -> list[str]:
    """Return a blend."""
    lines = [
        f"{_volume(found.volume_m3, system)} of {found.brix:.1f} Brix, give or take "
        f"{give_or_take(found.sd_brix)}; {_mass(found.mass_kg, system)}"
    ]
    rows = [["drum", "Brix", "take", "", "left"]]
    for number, part in enumerate(found.portions, 1):
        take = [_volume(part.take_m3, system), _mass(part.take_kg, system)]
        left = _mass(part.left_kg, system) if part.left_kg > 1e-6 else "-"
        rows.append([f"{number}", f"{part.brix:.1f}", *take, left])
    lines += [f"  {line}" for line in columns(rows if is_aimed else [row[:4] for row in rows])]
    return [*lines, "  Stir well and measure: heavy syrup lies under light."]


def ratio_lines(found: SapToSyrup, system: str) -> list[str]:
    """Return the syrup in some sap."""
    sure = _volume(2.0 * found.syrup_sd_m3, system)
    lines = [
        f"{_volume(found.sap_m3, system)} of {found.sap_brix:.1f} Brix hold "
        f"{_volume(found.syrup_m3, system)} of {found.syrup_brix:.1f} Brix syrup, "
        f"give or take {sure}",
        f"  {_ratio(found.sap_by_syrup_ratio)} of sap for 1 of syrup; "
        f"{_mass(found.water_off_kg, system)} of water to take out",
    ]
    for rule in found.rules:
        off = f"{100.0 * rule.off_fraction:+.1f} %"
        given = _ratio(rule.sap_by_syrup_ratio)
        lines.append(wrapped(f"{given} by the {rule.name}: {off}", "  "))
    return lines


def _ratio(value: float) -> str:
    """Return a ratio with three digits that count."""
    return f"{value:.1f}" if value >= 10.0 else f"{value:.2f}"


def grade_lines(found: Grade) -> list[str]:
    """Return the colour class."""
    lines = [f"{found.colour}, {found.taste}: {100.0 * found.transmittance_fraction:.1f} %"]
    if found.neighbour is not None:
        text = (
            f"Close to {found.neighbour}: {100.0 * found.sure_fraction:.0f} in 100 that it is "
            f"{found.colour}. Clear the syrup of bubbles and cloud, wipe the cell, measure again."
        )
        lines.append(wrapped(text, "  ! "))
    return [*lines, wrapped(f"By {found.source}.", "  "), wrapped(cautions.LAW, "  ")]


def pack_lines(found: Packing, brix: float, system: str) -> list[str]:
    """Return the containers of a batch."""
    text = (
        f"{_volume(found.hot_m3, system)} hot of {brix:.1f} Brix are "
        f"{_volume(found.cold_m3, system)} at {_reference(system)}, "
        f"{100.0 * found.shrink_fraction:.1f} % less; "
        f"{100.0 * found.loss_fraction:.0f} % of that stays in the equipment"
    )
    lines = [wrapped(text)]
    rows = [[f"{'' if found.filled else 'all in '}size", "how many", "or", "net weight", "hot"]]
    rows += [_filled(each, system) for each in found.filled or found.one_size]
    lines += [f"  {line}" for line in columns(rows)]
    if found.filled:
        lines.append(f"  Left over: {_volume(found.left_m3, system)}.")
    lines.append("  Fill by weight: a container that is full while hot looks short when cold.")
    if found.too_cool:
        lines.append(wrapped(cautions.TOO_COOL, "  ! "))
    return [*lines, wrapped(cautions.PACKING, "  ! ")]


def _filled(each: Filled, system: str) -> list[str]:
    sure = each.count_least == each.count_greatest
    span = "" if sure else f"{each.count_least}-{each.count_greatest}"
    weight = show(
        each.net_kg, MASS, system, digits=0 if system == "metric" else 2, unit=_fine(system)
    )
    return [each.size, str(each.count), span, weight, _small_volume(each.hot_m3, system)]


def _fine(system: str) -> str:
    return "g" if system == "metric" else "lb"


def law_lines(found: DensityLaws, system: str) -> list[str]:
    """Return what laws say."""
    lines: list[str] = []
    for law in found.laws:
        lines += _law(law, system, in_full=len(found.laws) == 1)
    return [*lines, wrapped(cautions.LAW, "! ")]


def _law(law: DensityLaw, system: str, in_full: bool) -> list[str]:
    most = "" if law.greatest_brix is None else f" to {law.greatest_brix:.1f}"
    at = show(law.at_c, TEMPERATURE, system)
    lines = [f"{law.place}: {law.least_brix:.1f}{most} Brix at {at}"]
    lines.append(wrapped(f"{law.source} ({SURE[law.sure]}).", "  "))
    if law.note and in_full:
        lines.append(wrapped(law.note, "  "))
    if in_full:
        baume = baume_from_brix(law.least_brix, law.at_c)
        heavy = density_kg_m3(law.least_brix, 20.0)
        weight = f"{heavy / POUND_GALLON_KG_M3:.2f} lb a gallon"
        if system == "metric":
            weight = f"{heavy / 1000.0:.3f} kg a litre"
        text = f"{law.least_brix:.1f} Brix is {baume:.1f} Baumé there, and {weight} at "
        lines.append(f"  {text}{_reference(system)}.")
    return lines


def _reference(system: str) -> str:
    return show(20.0, TEMPERATURE, system, digits=0)


def _mass(mass_kg: float, system: str) -> str:
    """Return a mass: ounces below a pound, grams below a kilogram."""
    unit = MASS.display_unit(mass_kg, system)
    return _three(mass_kg, MASS, unit)


def _volume(volume_m3: float, system: str) -> str:
    """Return a volume: ounces below a tenth of a gallon, millilitres below a litre."""
    return _three(volume_m3, VOLUME, VOLUME.display_unit(volume_m3, system))


def _small_volume(volume_m3: float, system: str) -> str:
    """Return a volume as one pours it: fluid ounces below half a gallon."""
    if system == "us" and volume_m3 < 0.5 * GALLON_M3:
        return _three(volume_m3, VOLUME, "fl oz")
    return _volume(volume_m3, system)


def _three(value: float, kind: Kind, unit: str) -> str:
    """Return a quantity with three digits that count."""
    number = to_unit(value, kind, unit)
    digits = 0 if number >= 100.0 else 1 if number >= 10.0 else 2
    return show(value, kind, digits=digits, unit=unit)
