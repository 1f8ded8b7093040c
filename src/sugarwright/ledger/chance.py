"""Chances: the chi-square law and the normal law, as far as the tests of readings need them."""

from __future__ import annotations

import math
from statistics import NormalDist

_NORMAL = NormalDist()


def chi_square_above(degrees: int, statistic_ratio: float) -> float:
    """Return the chance that a chi-square variable lies above a value.

    Parameters
    ----------
    degrees : of freedom, 1 or more
    statistic_ratio : the value, 0 or more

    Notes
    -----
    Upper regularised incomplete gamma function of half of both: its power series below the mean,
    its continued fraction (modified Lentz) above it. Abramowitz & Stegun, "Handbook of
    Mathematical Functions" (1964), 6.5.29, 6.5.31 and 26.4.19 (from memory); tested against SciPy.

    >>> round(chi_square_above(4, 9.4877), 4)
    0.05
    """
    a, x = 0.5 * degrees, 0.5 * statistic_ratio
    if x <= 0.0:
        return 1.0
    scale = math.exp(a * math.log(x) - x - math.lgamma(a))
    return 1.0 - scale * _series(a, x) if x < a + 1.0 else scale * _fraction(a, x)


def chi_square_limit(degrees: int, level_fraction: float) -> float:
    """Return the value that a chi-square variable exceeds with a given chance.

    Parameters
    ----------
    degrees : of freedom, 1 or more
    level_fraction : the chance, above 0 and below 1

    Notes
    -----
    Bisection of :func:`chi_square_above`, which falls all the way.

    >>> round(chi_square_limit(4, 0.05), 2)
    9.49
    """
    low, high = 0.0, degrees + 20.0
    while chi_square_above(degrees, high) > level_fraction:
        low, high = high, 2.0 * high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if chi_square_above(degrees, middle) > level_fraction:
            low = middle
        else:
            high = middle
    return high


def shared_limit(tests: int, level_fraction: float) -> float:
    """Return the greatest |z| that chance gives to so many tests together, but for a given share.

    Parameters
    ----------
    tests : how many are looked at, 1 or more
    level_fraction : chance that one or more lies above though nothing is wrong

    Notes
    -----
    Šidák's correction, exact for independent tests and on the safe side for others of a normal law
    (Šidák 1967; used so by Mah & Tamhane 1982; from memory).

    >>> round(shared_limit(1, 0.05), 2), round(shared_limit(6, 0.05), 2)
    (1.96, 2.63)
    """
    each = -math.expm1(math.log1p(-level_fraction) / tests)
    return -_NORMAL.inv_cdf(0.5 * each)


def power(shift_ratio: float, limit_ratio: float) -> float:
    """Return the chance that a normal test with a shift exceeds a limit, to either side.

    Parameters
    ----------
    shift_ratio : mean of the test under the error looked for, in its standard deviations
    limit_ratio : the limit of |z|

    >>> round(power(0.0, 1.959964), 3), round(power(5.0, 1.959964), 3)
    (0.05, 0.999)
    """
    shift = abs(shift_ratio)
    return _NORMAL.cdf(shift - limit_ratio) + _NORMAL.cdf(-shift - limit_ratio)


def _series(a: float, x: float) -> float:
    term = total = 1.0 / a
    n = a
    while abs(term) > 1e-17 * abs(total):
        n += 1.0
        term *= x / n
        total += term
    return total


def _fraction(a: float, x: float) -> float:
    tiny = 1e-300
    b = x + 1.0 - a
    c, d = 1.0 / tiny, 1.0 / b
    found = d
    for i in range(1, 10000):
        step = -i * (i - a)
        b += 2.0
        d = step * d + b
        d = 1.0 / (d if abs(d) > tiny else tiny)
        c = b + step / c
        c = c if abs(c) > tiny else tiny
        found *= d * c
        if abs(d * c - 1.0) < 1e-16:
            break
    return found
