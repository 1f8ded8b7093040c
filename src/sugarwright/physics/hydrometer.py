"""What a glass Brix hydrometer shows, and what that means at the liquid's temperature."""

from __future__ import annotations

from sugarwright.physics.solution import density_kg_m3, search_brix
from sugarwright.physics.valid import valid

GLASS_EXPANSION_PER_K = 25e-6
"""Cubic expansion of soda-lime glass (common handbook value, from memory)."""


@valid(brix=(0.0, 85.0), temperature_c=(-5.0, 110.0), calibration_c=(0.0, 30.0))
def hydrometer_reading_brix(brix: float, temperature_c: float, calibration_c: float) -> float:
    """Predict what a glass Brix hydrometer shows in a solution of a known strength.

    Parameters
    ----------
    brix : true strength [mass percent]
    temperature_c : temperature of liquid and hydrometer [°C], -5 to 110
    calibration_c : temperature at which the hydrometer reads true [°C]: 15.556 for 60 °F

    Returns
    -------
    Reading [Brix].

    Raises
    ------
    RangeError : a value outside its range, or the reading would be off the scale (below 0)

    Notes
    -----
    The reading is the strength whose density at the calibration temperature is the one that the
    glass, swollen by the heat, seems to feel. State tables for the hot test of 66.9 Brix syrup are
    followed within 0.35 Brix from 50 to 209 °F, and within 0.15 at their ends. Boiling syrup burns:
    this is the reading, not a reason to lean over the pan.

    Examples
    --------
    Syrup of 66.9 Brix at 211 °F, hydrometer calibrated at 60 °F:

    >>> round(hydrometer_reading_brix(66.9, 99.44, 15.556), 1)
    59.0
    """
    swelling = 1.0 + GLASS_EXPANSION_PER_K * (temperature_c - calibration_c)
    return search_brix(density_kg_m3(brix, temperature_c) * swelling, calibration_c)


@valid(reading_brix=(0.0, 85.0), temperature_c=(-5.0, 110.0), calibration_c=(0.0, 30.0))
def brix_from_hydrometer(reading_brix: float, temperature_c: float, calibration_c: float) -> float:
    """Correct a hydrometer reading for temperature.

    Parameters
    ----------
    reading_brix : what the hydrometer shows [Brix]
    temperature_c : temperature of liquid and hydrometer [°C], -5 to 110
    calibration_c : temperature at which the hydrometer reads true [°C]: 15.556 for 60 °F

    Returns
    -------
    True strength [mass percent].

    Raises
    ------
    RangeError : a value outside its range, or no strength from 0 to 85 gives that reading

    Notes
    -----
    Inverse of :func:`hydrometer_reading_brix`.

    Examples
    --------
    Cold sap (38 °F) that shows 2.39 on a hydrometer for 68 °F:

    >>> round(brix_from_hydrometer(2.39, 3.33, 20.0), 2)
    2.0
    """
    swelling = 1.0 + GLASS_EXPANSION_PER_K * (temperature_c - calibration_c)
    return search_brix(density_kg_m3(reading_brix, calibration_c) / swelling, temperature_c)
