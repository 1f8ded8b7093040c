"""What each instrument of the bench says about strength, and how sure it is.

The defaults below are judgements for good instruments that are read with care. They are standard
deviations: two readings in three lie within one, 19 of 20 within two.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sugarwright.bench.uncertainty import first_order
from sugarwright.bench.water_point import SLOPE_K_PA, WaterPoint
from sugarwright.errors import InputError
from sugarwright.physics.hydrometer import brix_from_hydrometer
from sugarwright.physics.maple_solids import brix_of_boiling_syrup
from sugarwright.physics.refractometer import brix_from_refractometer
from sugarwright.physics.water import saturation_pressure_pa

CALIBRATION_C = (60.0 - 32.0) / 1.8
"""Syrup hydrometers of North America read true at 60 °F."""
HYDROMETER_SD_BRIX = 0.2
"""Reading between marks of half a Brix, and the scale itself."""
CUP_SD_K = 1.0
"""Syrup in the cup against the thermometer beside it."""
HOT_LAW_SD_BRIX = 0.15
"""What the law of hot readings misses of the published charts (found: 0.33 at most)."""
REFRACTOMETER_SD_BRIX = 0.15
"""A good refractometer set to zero with water the same day."""
PRISM_SD_K = 1.0
READING_SD_K = 0.06
"""Reading a thermometer that shows tenths of a degree Fahrenheit."""
SCALE_SD_K = 0.3
"""A thermometer's own error; it cancels when the same one was held in boiling water."""
INVERT_SD_FRACTION = 0.02
"""How well the share of invert sugar is known to somebody who has not measured it."""


@dataclass(frozen=True)
class Strength:
    """What one instrument says.

    Parameters
    ----------
    instrument : hydrometer, refractometer or thermometer
    brix : strength after every correction [mass percent]
    sd_brix : standard deviation [Brix]
    mostly : where most of that comes from
    """

    instrument: str
    brix: float
    sd_brix: float
    mostly: str


def by_hydrometer(
    reading_brix: float,
    temperature_c: float,
    calibration_c: float = CALIBRATION_C,
    reading_sd_brix: float = HYDROMETER_SD_BRIX,
) -> Strength:
    """Return the strength that a hydrometer shows in hot or cold syrup.

    Parameters
    ----------
    reading_brix : what it shows [Brix]
    temperature_c : of the syrup in the cup [°C]
    calibration_c : at which the hydrometer reads true [°C]
    reading_sd_brix : standard deviation of the reading [Brix]

    Raises
    ------
    RangeError : a value outside its range, or no strength gives that reading
    """

    def strength(reading: float, temperature: float, law: float) -> float:
        return brix_from_hydrometer(reading, temperature, calibration_c) + law

    # The law is exact at its own temperature and misses most where it is hot.
    law_sd = HOT_LAW_SD_BRIX * min(1.0, abs(temperature_c - calibration_c) / 20.0)
    values = (reading_brix, temperature_c, 0.0)
    causes = ("reading the scale", "the syrup's temperature", "the law of hot readings")
    return _strength("hydrometer", strength, values, (reading_sd_brix, CUP_SD_K, law_sd), causes)


def by_refractometer(
    reading_brix: float,
    prism_c: float | None = None,
    reading_sd_brix: float = REFRACTOMETER_SD_BRIX,
) -> Strength:
    """Return the strength that a refractometer shows.

    Parameters
    ----------
    reading_brix : what it shows [Brix]
    prism_c : temperature of prism and drop [°C]; None when the instrument corrects itself
    reading_sd_brix : standard deviation of the reading [Brix]

    Raises
    ------
    RangeError : a value outside its range
    """
    values = (reading_brix, 20.0 if prism_c is None else prism_c)
    deviations = (reading_sd_brix, 0.0 if prism_c is None else PRISM_SD_K)
    causes = ("reading the scale", "the prism's temperature")
    return _strength("refractometer", brix_from_refractometer, values, deviations, causes)


def by_thermometer(
    boiling_c: float,
    water: WaterPoint,
    invert_fraction: float = 0.0,
    scale_sd_k: float = SCALE_SD_K,
) -> Strength:
    """Return the strength that the temperature of boiling syrup shows.

    Parameters
    ----------
    boiling_c : temperature of the boiling syrup [°C]
    water : where water boils at the same place and hour
    invert_fraction : share of the solids that is invert sugar [kg/kg]
    scale_sd_k : standard deviation of the thermometer's own error [K]

    Raises
    ------
    InputError : no hotter than boiling water
    RangeError : hotter than syrup of 75 Brix can boil
    """
    if boiling_c <= water.boiling_c:
        raise InputError(
            "thermometer",
            f"{boiling_c:.1f} °C ({boiling_c * 1.8 + 32.0:.1f} °F)",
            "is no hotter than water boils there",
            f"above {water.boiling_c:.1f} °C ({water.boiling_c * 1.8 + 32.0:.1f} °F)",
            "Hold the thermometer in boiling water, then in boiling syrup",
        )

    def strength(syrup: float, water_c: float, invert: float) -> float:
        air_pa = saturation_pressure_pa(water_c)
        return brix_of_boiling_syrup(syrup, air_pa, invert, 0.0)

    own_sd = READING_SD_K if water.same_thermometer else math.hypot(READING_SD_K, scale_sd_k)
    water_sd = READING_SD_K if water.same_thermometer else SLOPE_K_PA * water.sd_pa
    values = (boiling_c, water.boiling_c, invert_fraction)
    causes = ("the thermometer", "where water boils", "invert sugar in the syrup")
    deviations = (own_sd, water_sd, INVERT_SD_FRACTION)
    return _strength("thermometer", strength, values, deviations, causes)


def _strength(
    instrument: str,
    formula: Callable[..., float],
    values: Sequence[float],
    deviations: Sequence[float],
    causes: Sequence[str],
) -> Strength:
    spread = first_order(formula, values, deviations)
    return Strength(instrument, spread.value, spread.sd, causes[spread.main])
