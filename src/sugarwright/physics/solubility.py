"""How much sugar water can hold: when syrup throws crystals."""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid


@valid(temperature_c=(0.0, 100.0))
def solubility_brix(temperature_c: float) -> float:
    """Compute the strength of a saturated sucrose solution.

    Parameters
    ----------
    temperature_c : temperature [°C], 0 to 100

    Returns
    -------
    Strength above which sucrose can crystallise [mass percent]; it may take weeks and a seed.

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    Bubník & Kadlec, "Sucrose solubility", in "Sucrose: Properties and Applications" (1995). Found
    within 0.4 of the table of Sokolovsky (1958) that Mohos, "Confectionery and Chocolate
    Engineering" (2010), app. 2, prints. Invert sugar raises what syrup holds in all.

    Examples
    --------
    >>> round(solubility_brix(4.0), 1), round(solubility_brix(20.0), 1)
    (64.8, 66.7)
    """
    t = temperature_c
    return 64.447 + t * (0.08222 + t * (1.6169e-3 + t * (-1.558e-6 - t * 4.63e-8)))


@valid(brix=(64.45, 82.6))
def crystals_below_c(brix: float) -> float:
    """Compute the temperature below which a strong syrup can throw crystals.

    Parameters
    ----------
    brix : strength [mass percent], 64.45 to 82.6; weaker syrup is never saturated above 0 °C

    Returns
    -------
    Temperature at which that strength is saturated [°C].

    Raises
    ------
    RangeError : strength outside the range

    Notes
    -----
    Inverse of :func:`solubility_brix` by bisection. Half a Brix of doubt in the solubility is 5 K.

    Examples
    --------
    >>> round(crystals_below_c(66.9))
    21
    """
    low, high = 0.0, 100.0
    if not solubility_brix(low) <= brix <= solubility_brix(high):
        return math.nan
    for _ in range(44):
        middle = 0.5 * (low + high)
        if solubility_brix(middle) < brix:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
