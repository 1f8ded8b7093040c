"""Keeping sap: how fast it spoils.

The state is ``cell_ratio``: microbial cells by mass of liquid, relative to fresh sap. Liquids mix
it by mass; growth multiplies it by ``exp(rate * time)``; a membrane multiplies it by the
concentration factor. It is a relative age, not a count: no growth parameters measured in maple sap
were found, so the two constants are priors for cold-loving flora in general.
"""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid

ROOT_SLOPE = 0.030
"""Slope of the root of the growth rate [1/(h^0.5 K)]: a prior, 0.025 to 0.036."""

LEAST_TEMPERATURE_C = -6.0
"""Temperature at which growth would stop [°C]: a prior, -8 to -4."""


@valid(temperature_c=(-60.0, 30.0), root_slope=(0.0, 0.2), least_temperature_c=(-20.0, 10.0))
def growth_rate_per_s(temperature_c: float, root_slope: float, least_temperature_c: float) -> float:
    """Compute the specific growth rate of the flora of sap.

    Parameters
    ----------
    temperature_c : temperature of the liquid [°C], to 30: the law has no upper optimum
    root_slope : slope of the root of the rate [1/(h^0.5 K)], e.g. ``ROOT_SLOPE``
    least_temperature_c : temperature of no growth [°C], e.g. ``LEAST_TEMPERATURE_C``

    Returns
    -------
    Growth rate, natural logarithm [1/s]; 0 at and below the least temperature. A frozen tank does
    not grow either: that is for the caller to know.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Ratkowsky, Olley, McMeekin & Ball, "Relationship between temperature and growth rate of
    bacterial cultures", J. Bacteriol. 154 (1982) 1222: sqrt(rate) = slope (T - T0), rate in 1/h.

    Examples
    --------
    >>> round(growth_rate_per_s(4.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) * 3600.0, 3)
    0.09
    """
    root = root_slope * (temperature_c - least_temperature_c)
    return root * root / 3600.0 if root > 0.0 else 0.0


@valid(temperature_c=(-60.0, 30.0), root_slope=(0.0, 0.2), least_temperature_c=(-20.0, 10.0))
def doubling_time_s(temperature_c: float, root_slope: float, least_temperature_c: float) -> float:
    """Compute the time in which the cells double.

    Parameters
    ----------
    temperature_c : temperature of the liquid [°C], to 30
    root_slope : slope of the root of the rate [1/(h^0.5 K)]
    least_temperature_c : temperature of no growth [°C]

    Returns
    -------
    Doubling time [s]; infinite where there is no growth.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    ln 2 over :func:`growth_rate_per_s`.

    Examples
    --------
    >>> round(doubling_time_s(10.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) / 3600.0, 1)
    3.0
    """
    rate = growth_rate_per_s(temperature_c, root_slope, least_temperature_c)
    return math.log(2.0) / rate if rate > 0.0 else math.inf


@valid(
    growth_log10=(0.0, 20.0),
    temperature_c=(-60.0, 30.0),
    root_slope=(0.0, 0.2),
    least_temperature_c=(-20.0, 10.0),
)
def keeping_time_s(
    growth_log10: float, temperature_c: float, root_slope: float, least_temperature_c: float
) -> float:
    """Compute the time in which a liquid grows by so many powers of ten.

    Parameters
    ----------
    growth_log10 : growth [powers of ten]: from fresh to spoiled, or what UV light has taken off
    temperature_c : temperature of the liquid [°C], to 30
    root_slope : slope of the root of the rate [1/(h^0.5 K)]
    least_temperature_c : temperature of no growth [°C]

    Returns
    -------
    Time [s]; infinite where there is no growth.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    ln(10) times the powers over :func:`growth_rate_per_s`.

    Examples
    --------
    A hundredfold at 4 °C, in days:

    >>> round(keeping_time_s(2.0, 4.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) / 86400.0, 1)
    2.1
    """
    if growth_log10 == 0.0:
        return 0.0
    rate = growth_rate_per_s(temperature_c, root_slope, least_temperature_c)
    return growth_log10 * math.log(10.0) / rate if rate > 0.0 else math.inf


@valid(cell_ratio=(1e-12, 1e30))
def log_growth(cell_ratio: float) -> float:
    """Compute the growth in powers of ten.

    Parameters
    ----------
    cell_ratio : cells by mass of liquid, relative to fresh sap

    Returns
    -------
    Decimal logarithm: 0 for fresh sap, 2 for a hundredfold.

    Raises
    ------
    RangeError : ratio outside its range

    Notes
    -----
    Definition.

    Examples
    --------
    >>> log_growth(100.0)
    2.0
    """
    return math.log10(cell_ratio)


@valid(cell_ratio=(1e-12, 1e30), spoiled_log=(0.1, 20.0))
def life_used(cell_ratio: float, spoiled_log: float) -> float:
    """Compute the share of its keeping life that a liquid has used.

    Parameters
    ----------
    cell_ratio : cells by mass of liquid, relative to fresh sap
    spoiled_log : growth at which the liquid counts as spoiled [powers of ten]

    Returns
    -------
    0 for fresh sap (or cleaner), 1 and above when spoiled.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Linear in the logarithm, so that at a constant temperature it is linear in time. Never a reason
    to keep sap that smells or tastes off.

    Examples
    --------
    >>> round(life_used(100.0, 3.0), 3)
    0.667
    """
    used = math.log10(cell_ratio) / spoiled_log
    return used if used > 0.0 else 0.0
