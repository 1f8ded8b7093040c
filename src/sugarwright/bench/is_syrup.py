"""Is it syrup: the strength that the instruments show, against what it must be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.bench.agreement import Agreement, agreement
from sugarwright.bench.instruments import CALIBRATION_C, Strength
from sugarwright.bench.uncertainty import share_below
from sugarwright.bench.water_point import WaterPoint
from sugarwright.errors import RangeError
from sugarwright.physics.boiling import boiling_point_c, superheat_k
from sugarwright.physics.hydrometer import hydrometer_reading_brix

HIGHEST_PRESSURE_PA = 105e3
"""Of any ordinary day at sea level: nowhere does syrup boil hotter (common practice, no source)."""

SURE = 0.95
"""Chance from which the verdict is said without a doubt."""


@dataclass(frozen=True)
class SyrupCheck:
    """Whether it is syrup.

    Parameters
    ----------
    verdict : thin, syrup, heavy, or unsure: too close to a limit for these instruments
    least_brix, greatest_brix : what it must be [mass percent]; no greatest where None
    thin_fraction, heavy_fraction : chance that it is below the least, above the greatest [0-1]
    instruments : what each instrument says
    together : what they say together
    hydrometer_at_least_brix : what the hydrometer should show at the least strength, as hot as
        given [Brix]; None without a hydrometer
    boiling_at_least_c : where syrup of the least strength boils today [°C]; None when it is not
        known where water boils
    superheat_k : how far the hydrometer's cup is said to be above the boiling point of what is in
        it [K], under the highest barometer where none is known; None when it is below
    """

    verdict: str
    least_brix: float
    greatest_brix: float | None
    thin_fraction: float
    heavy_fraction: float
    instruments: tuple[Strength, ...]
    together: Agreement
    hydrometer_at_least_brix: float | None
    boiling_at_least_c: float | None
    superheat_k: float | None


def check_syrup(
    found: Sequence[Strength],
    least_brix: float,
    greatest_brix: float | None = None,
    hydrometer_c: float | None = None,
    calibration_c: float = CALIBRATION_C,
    water: WaterPoint | None = None,
) -> SyrupCheck:
    """Judge what the instruments show.

    Parameters
    ----------
    found : what each instrument says, one to three
    least_brix : least strength of syrup [mass percent]
    greatest_brix : greatest strength [mass percent]
    hydrometer_c : temperature at the hydrometer [°C], if one was used
    calibration_c : at which it reads true [°C]
    water : where water boils, if that is known

    Raises
    ------
    RangeError : nothing was measured, or the limits do not fit together
    """
    if not found:
        raise RangeError("instruments", 0, "nothing was measured", "one instrument or more")
    if greatest_brix is not None and greatest_brix <= least_brix:
        raise RangeError(
            "greatest", greatest_brix, "is not above the least", f"above {least_brix:g}"
        )
    together = agreement(found)
    thin = share_below(least_brix, together.brix, together.sd_brix)
    heavy = 0.0
    if greatest_brix is not None:
        heavy = 1.0 - share_below(greatest_brix, together.brix, together.sd_brix)
    reading = None
    if hydrometer_c is not None:
        reading = hydrometer_reading_brix(least_brix, hydrometer_c, calibration_c)
    boils_c = None if water is None else boiling_point_c(least_brix, water.pressure_pa)
    return SyrupCheck(
        _verdict(thin, heavy),
        least_brix,
        greatest_brix,
        thin,
        heavy,
        tuple(found),
        together,
        reading,
        boils_c,
        _superheat_k(together.brix, hydrometer_c, water),
    )


def _superheat_k(
    brix: float, temperature_c: float | None, water: WaterPoint | None
) -> float | None:
    if temperature_c is None:
        return None
    pressure_pa = HIGHEST_PRESSURE_PA if water is None else water.pressure_pa
    above_k = superheat_k(brix, temperature_c, pressure_pa)
    return above_k if above_k > 0.5 else None  # half a degree is the thermometer's


def _verdict(thin: float, heavy: float) -> str:
    if thin >= SURE:
        return "thin"
    if heavy >= SURE:
        return "heavy"
    return "syrup" if thin + heavy <= 1.0 - SURE else "unsure"
