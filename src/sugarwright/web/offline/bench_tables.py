"""The tables of the bench for a phone without the server: which, over what, how close."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist
from typing import Any

from sugarwright.bench import cautions
from sugarwright.bench.adjust import Batch, change_kg
from sugarwright.bench.blend import blend, blend_to
from sugarwright.bench.boiling_now import boiling_now
from sugarwright.bench.containers import LEAST_PACKING_C, LOSS_FRACTION, SIZES, USUAL, containers
from sugarwright.bench.density_law import LAWS
from sugarwright.bench.instruments import (
    CALIBRATION_C,
    Strength,
    by_hydrometer,
    by_refractometer,
    by_thermometer,
)
from sugarwright.bench.is_syrup import SURE as VERDICT_SURE
from sugarwright.bench.water_point import from_barometer, from_boiling_water
from sugarwright.physics.hydrometer import hydrometer_reading_brix
from sugarwright.physics.scales import brix_from_baume
from sugarwright.physics.solution import density_kg_m3, sap_to_syrup_ratio
from sugarwright.saying.bench_measure import VERDICTS
from sugarwright.web.offline.interpolation import Axis
from sugarwright.web.offline.table import Recipe, document_of

SURE = 2.0
"""Standard deviations of "give or take": 19 readings in 20 lie within."""
CALIBRATIONS = {"60f": ("60 °F", CALIBRATION_C), "20c": ("20 °C (68 °F)", 20.0)}
"""Name in a table's name -> as printed on the hydrometer, and °C."""


def bench_tables() -> dict[str, Any]:
    """Return all tables, as a browser gets them."""
    recipes = all_recipes()
    return {
        "calibrations": {name: printed for name, (printed, _) in CALIBRATIONS.items()},
        "sizes_m3": SIZES,
        "usual_sizes": {system: list(names) for system, names in USUAL.items()},
        "loss_fraction": LOSS_FRACTION,
        "least_packing_c": round(LEAST_PACKING_C, 2),
        "verdicts": VERDICTS,
        "verdict_sds": round(NormalDist().inv_cdf(VERDICT_SURE), 3),
        "limits": {
            name: [law.least_brix, law.greatest_brix, law.place] for name, law in LAWS.items()
        },
        "cautions": {
            "boiling": cautions.BOILING,
            "thinning": cautions.THINNING,
            "packing": cautions.PACKING,
            "too_cool": cautions.TOO_COOL,
        },
        "tables": {recipe.name: document_of(recipe) for recipe in recipes},
    }


def all_recipes() -> tuple[Recipe, ...]:
    """Return how each table is made."""
    return (*_hydrometers(), *_refractometer(), *_boiling(), *_mixing(), *_volumes())


def _hydrometers() -> list[Recipe]:
    hot = _axis("temperature_c", 0.0, 105.0, 22)
    found = []
    for name, (printed, at_c) in CALIBRATIONS.items():

        def read(reading: float, temperature: float, at_c: float = at_c) -> Strength:
            return by_hydrometer(reading, temperature, at_c)

        def shows(brix: float, temperature: float, at_c: float = at_c) -> float:
            return hydrometer_reading_brix(brix, temperature, at_c)

        readings = _axis("reading_brix", 1.0, 75.0, 19)
        instrument, axes = f"hydrometer for {printed}", (readings, hot)
        found += _strengths(f"hydrometer_{name}", instrument, axes, read)
        wanted = _axis("brix", 55.0, 72.0, 6)
        baume = _axis("baume", 1.0, 42.0, 9)
        scale = f"Brix of a Baumé scale for {printed}"

        def on_scale(degrees: float, at_c: float = at_c) -> float:
            return brix_from_baume(degrees, at_c)

        found.append(Recipe(f"baume_{name}", scale, "Brix", (baume,), on_scale, 4, 0.01))
        what = f"what a hydrometer for {printed} shows"
        found.append(Recipe(f"shows_{name}", what, "Brix", (wanted, hot), shows, 3, 0.02))
    return found


def _refractometer() -> list[Recipe]:
    axes = (_axis("reading_brix", 1.0, 80.0, 9), _axis("temperature_c", 5.0, 30.0, 6))
    return _strengths("refractometer", "refractometer that does not correct itself", axes,
                      by_refractometer)  # fmt: skip


def _boiling() -> list[Recipe]:
    water = _axis("water_boils_c", 90.0, 100.8, 7)

    def boils(water_c: float, brix: float) -> float:
        return boiling_now(from_boiling_water(water_c), (brix,)).syrup[0].boiling_c

    def strength(water_c: float, above_k: float) -> Strength:
        return by_thermometer(water_c + above_k, from_boiling_water(water_c))

    def by_air(pressure_pa: float) -> float:
        return from_barometer(pressure_pa).boiling_c

    syrup = _axis("brix", 50.0, 74.0, 9)
    above = _axis("above_water_k", 1.5, 6.0, 19)
    air = _axis("pressure_pa", 75e3, 105e3, 7)
    return [
        Recipe("syrup_boils", "where syrup boils", "°C", (water, syrup), boils, 3, 0.01),
        *_strengths("thermometer", "thermometer in boiling syrup", (water, above), strength),
        Recipe("water_boils", "where water boils", "°C", (air,), by_air, 3, 0.01),
    ]


def _strengths(name: str, what: str, axes: tuple[Axis, ...], read: Any) -> list[Recipe]:
    """Return the strength that an instrument shows, and how sure that is."""

    def brix(*at: float) -> float:
        return float(read(*at).brix)

    def sure(*at: float) -> float:
        return SURE * float(read(*at).sd_brix)

    return [
        Recipe(name, f"strength by a {what}", "Brix", axes, brix, 3, 0.02),
        Recipe(f"{name}_sure", f"how sure a {what} is", "Brix", axes, sure, 2, 0.06),
    ]


def _mixing() -> list[Recipe]:
    have, target = _axis("brix", 40.0, 80.0, 9), _axis("target_brix", 55.0, 72.0, 6)
    above, below = _log_axis("above_brix", 0.25, 16.0, 13), _log_axis("below_brix", 0.25, 16.0, 13)
    ends = _axis("share_of_first", 0.0, 1.0, 2)
    first, second = _axis("first_brix", 0.0, 80.0, 2), _axis("second_brix", 0.0, 80.0, 2)

    def water(brix: float, target_brix: float) -> float:
        return change_kg(1.0, brix, target_brix, 0.0)

    def heavy_share(above_brix: float, below_brix: float) -> float:
        # So much of each that neither runs out first: the share does not hang on the target.
        drums = (Batch(below_brix, 40.0 + above_brix), Batch(above_brix, 40.0 - below_brix))
        found = blend_to(drums, 40.0)
        return found.portions[0].take_kg / found.mass_kg

    def poured(share: float, first_brix: float, second_brix: float) -> float:
        return blend((Batch(share, first_brix), Batch(1.0 - share, second_brix))).brix

    return [
        Recipe("water_to_add", "water to add to each kilogram; boiled off where negative", "kg",
               (have, target), water, 5, 0.001),
        Recipe("heavy_share", "share of the heavier in a blend, by mass", "", (above, below),
               heavy_share, 5, 0.001),
        Recipe("poured", "strength of two poured together", "Brix", (ends, first, second), poured,
               6, 0.001),
    ]  # fmt: skip


def _volumes() -> list[Recipe]:
    def cold(brix: float, packing_c: float) -> float:
        return containers(1.0, brix, packing_c, ()).cold_m3

    strength, warmth = _axis("brix", 0.0, 80.0, 9), _axis("temperature_c", 0.0, 105.0, 8)
    packed, hot = _axis("brix", 60.0, 75.0, 4), _axis("packing_c", 20.0, 105.0, 6)
    sap, syrup = _log_axis("sap_brix", 0.5, 30.0, 21), _axis("syrup_brix", 60.0, 72.0, 4)
    return [
        Recipe("density", "density", "kg/m³", (strength, warmth), density_kg_m3, 2, 0.1),
        Recipe("cold_volume", "volume at 20 °C of one packed hot", "", (packed, hot), cold, 5,
               1e-4),
        Recipe("sap_for_syrup", "volumes of sap for one of syrup", "", (sap, syrup),
               sap_to_syrup_ratio, 3, 0.1),
    ]  # fmt: skip


def _axis(name: str, least: float, greatest: float, count: int) -> Axis:
    step = (greatest - least) / (count - 1)
    return Axis(name, tuple(round(least + step * i, 9) for i in range(count)))


def _log_axis(name: str, least: float, greatest: float, count: int) -> Axis:
    ratio = (greatest / least) ** (1.0 / (count - 1))
    inner: Sequence[float] = [round(least * ratio**i, 4) for i in range(1, count - 1)]
    return Axis(name, (least, *inner, greatest), log=True)
