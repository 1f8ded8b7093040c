"""Water: where it boils, what it weighs, how it flows, what steam costs."""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid

ZERO_CELSIUS_K = 273.15

# IAPWS-IF97, region 4, n1 to n10.
_N1, _N2, _N3, _N4, _N5 = (
    1167.0521452767,
    -724213.16703206,
    -17.073846940092,
    12020.824702470,
    -3232555.0322333,
)
_N6, _N7, _N8, _N9, _N10 = (
    14.915108613530,
    -4823.2657361591,
    405113.40542057,
    -0.23855557567849,
    650.17534844798,
)


@valid(temperature_c=(0.0, 370.0))
def saturation_pressure_pa(temperature_c: float) -> float:
    """Compute the pressure at which water boils at a temperature.

    Parameters
    ----------
    temperature_c : temperature [°C], 0 to 370

    Returns
    -------
    Saturation pressure [Pa].

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    IAPWS, "Revised Release on the Industrial Formulation 1997 for the Thermodynamic Properties of
    Water and Steam" (2007), section 8.1, eq. 30. Found within 0.008 % of IAPWS-95 (CoolProp) over 0
    to 130 °C.

    Examples
    --------
    >>> round(saturation_pressure_pa(26.85), 2)
    3536.59
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    theta = kelvin + _N9 / (kelvin - _N10)
    a = (theta + _N1) * theta + _N2
    b = (_N3 * theta + _N4) * theta + _N5
    c = (_N6 * theta + _N7) * theta + _N8
    root = 2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))
    return root * root * root * root * 1e6


@valid(pressure_pa=(611.2, 21.0e6))
def saturation_temperature_c(pressure_pa: float) -> float:
    """Compute the temperature at which water boils under a pressure.

    Parameters
    ----------
    pressure_pa : absolute pressure [Pa], 611.2 (0 °C) to 21 MPa

    Returns
    -------
    Saturation temperature [°C].

    Raises
    ------
    RangeError : pressure outside the range

    Notes
    -----
    IAPWS-IF97 (2007), section 8.2, eq. 31: the same curve as :func:`saturation_pressure_pa`,
    solved for the temperature. Found within 0.003 K of IAPWS-95 over 0 to 130 °C, 0.0006 K from 80
    to 110 °C. One standard atmosphere is 99.974 °C (211.95 °F), not 100.

    Examples
    --------
    >>> round(saturation_temperature_c(101325.0), 3)
    99.974
    """
    beta = math.sqrt(math.sqrt(pressure_pa * 1e-6))
    e = (beta + _N3) * beta + _N6
    f = (_N1 * beta + _N4) * beta + _N7
    g = (_N2 * beta + _N5) * beta + _N8
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    total = _N10 + d
    kelvin = 0.5 * (total - math.sqrt(total * total - 4.0 * (_N9 + _N10 * d)))
    return kelvin - ZERO_CELSIUS_K


@valid(temperature_c=(-5.0, 110.0))
def water_density_kg_m3(temperature_c: float) -> float:
    """Compute the density of liquid water near atmospheric pressure.

    Parameters
    ----------
    temperature_c : temperature [°C], -5 to 110 (supercooled below 0)

    Returns
    -------
    Density [kg/m³].

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    Kell, "Density, thermal expansivity, and compressibility of liquid water from 0° to 150 °C",
    J. Chem. Eng. Data 20 (1975) 97, with the coefficients that Bubník, Kadlec, Urban & Bruhns,
    "Sugar Technologists Manual" (1995), p. 164, print for sucrose solutions. Found within
    0.006 kg/m³ of IAPWS-95 over 1 to 99 °C, 0.007 down to -5 °C and 0.03 up to 110 °C.

    Examples
    --------
    >>> round(water_density_kg_m3(20.0), 2)
    998.2
    """
    t = temperature_c
    upper = -281.03006e-12
    upper = upper * t + 105.84601e-9
    upper = upper * t - 46.241757e-6
    upper = upper * t - 7.9905127e-3
    upper = upper * t + 16.952577
    upper = upper * t + 999.83952
    return upper / (1.0 + 16.887236e-3 * t)


@valid(temperature_c=(-8.0, 150.0))
def water_viscosity_pa_s(temperature_c: float) -> float:
    """Compute the viscosity of liquid water near atmospheric pressure.

    Parameters
    ----------
    temperature_c : temperature [°C], -8 to 150

    Returns
    -------
    Dynamic viscosity [Pa s].

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    Kestin, Sokolov & Wakeham, "Viscosity of liquid water in the range -8 °C to 150 °C", J. Phys.
    Chem. Ref. Data 7 (1978) 941, the form with four coefficients (the one with three that is often
    quoted is 3 % low at the boil), with 1.002 mPa s at 20 °C. Found within 0.31 % of the IAPWS 2008
    formulation over 0 to 110 °C, 0.15 % from -5 to 40 °C.

    Examples
    --------
    >>> round(water_viscosity_pa_s(5.0) * 1e3, 3)
    1.52
    """
    below_20 = 20.0 - temperature_c
    slope = 1.2378 + below_20 * (-1.303e-3 + below_20 * (3.06e-6 + below_20 * 2.55e-8))
    return 1.002e-3 * math.pow(10.0, below_20 / (temperature_c + 96.0) * slope)


@valid(temperature_c=(0.0, 130.0))
def latent_heat_j_kg(temperature_c: float) -> float:
    """Compute the heat that turns boiling water into steam of the same temperature.

    Parameters
    ----------
    temperature_c : temperature [°C], 0 to 130

    Returns
    -------
    Latent heat of vaporisation [J/kg].

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    Our own cubic through IAPWS-95 saturated steam less saturated water (Wagner & Pruß, J. Phys.
    Chem. Ref. Data 31 (2002) 387, by way of CoolProp). Found within 0.004 %.

    Examples
    --------
    >>> round(latent_heat_j_kg(100.0) / 1e3, 1)
    2256.4
    """
    t = temperature_c
    return 2.50094782e6 + t * (-2380.01210 + t * (0.657889977 - 0.0131463317 * t))
