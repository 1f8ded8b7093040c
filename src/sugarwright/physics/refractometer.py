"""What a refractometer shows, and what that means at the temperature of its prism."""

from __future__ import annotations

import math

from sugarwright.physics.optics import refractive_index, refractometer_correction_brix
from sugarwright.physics.solution import GREATEST_BRIX
from sugarwright.physics.valid import valid


@valid(refractive_index=(1.3325, 1.505))
def brix_from_refractive_index(refractive_index: float) -> float:
    """Find the strength of a solution from its refractive index.

    Parameters
    ----------
    refractive_index : at 20 °C and 589 nm, against air

    Returns
    -------
    Strength [mass percent].

    Raises
    ------
    RangeError : an index that no strength from 0 to 85 has

    Notes
    -----
    Inverse of :func:`sugarwright.physics.optics.refractive_index` by bisection. At syrup strength
    1e-4 of the index is 0.04 Brix, in sap 0.07.

    Examples
    --------
    >>> round(brix_from_refractive_index(1.45798), 1)
    66.9
    """
    return _search(refractive_index)


@valid(reading_brix=(0.0, 85.0), temperature_c=(5.0, 30.0))
def brix_from_refractometer(reading_brix: float, temperature_c: float) -> float:
    """Correct the reading of a refractometer that does not correct itself.

    Parameters
    ----------
    reading_brix : what the instrument shows [Brix]
    temperature_c : temperature of prism and drop [°C], 5 to 30; 20 for an instrument marked ATC

    Returns
    -------
    Strength [mass percent].

    Raises
    ------
    RangeError : a value outside its range, or a strength below nothing

    Notes
    -----
    Reading and :func:`sugarwright.physics.optics.refractometer_correction_brix`. A drop of hot
    syrup is out of range on purpose: it thickens while one looks.

    Examples
    --------
    >>> round(brix_from_refractometer(66.9, 15.0), 2)
    66.52
    """
    brix = reading_brix + refractometer_correction_brix(reading_brix, temperature_c)
    # A wet prism at 20 °C may show nothing; below that is no strength.
    return brix if brix >= 0.0 else math.nan


@valid(brix=(0.0, 80.0), temperature_c=(5.0, 30.0))
def refractometer_reading_brix(brix: float, temperature_c: float) -> float:
    """Predict what a refractometer that does not correct itself shows.

    Parameters
    ----------
    brix : true strength [mass percent], 0 to 80
    temperature_c : temperature of prism and drop [°C], 5 to 30

    Returns
    -------
    Reading [Brix].

    Raises
    ------
    RangeError : a value outside its range, or a reading below nothing

    Notes
    -----
    Inverse of :func:`brix_from_refractometer`: each step of the fixed point is a hundred times
    closer, as the correction changes by less than 0.01 Brix for each Brix.

    Examples
    --------
    >>> round(refractometer_reading_brix(66.52, 15.0), 1)
    66.9
    """
    reading = brix
    for _ in range(8):
        shown = min(max(reading, 0.0), GREATEST_BRIX)
        reading = brix - refractometer_correction_brix(shown, temperature_c)
    return reading if 0.0 <= reading <= GREATEST_BRIX else math.nan


def _search(wanted: float) -> float:
    """Strength of an index, or not-a-number when none from 0 to 85 has it."""
    low, high = 0.0, GREATEST_BRIX
    if not refractive_index(low) - 1e-9 <= wanted <= refractive_index(high) + 1e-9:
        return math.nan
    for _ in range(47):
        middle = 0.5 * (low + high)
        if refractive_index(middle) < wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
