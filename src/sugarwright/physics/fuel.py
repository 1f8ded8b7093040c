"""Fuel for a pan: heat in wood by its moisture, and how much of which fuel makes syrup.

Heat is counted as the higher heating value for oil and gas, as their tables do, and as the net
(lower) value of wood as fired; an efficiency belongs to its own way of counting. These are static
sums: light-ups, burn-downs and a dirty pan come on top.
"""

from __future__ import annotations

from sugarwright.physics.pan import DRY_WOOD_HIGHER_J_KG, useful_heat_j, wood_heat_j_kg
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.valid import valid


@valid(dry_basis_ratio=(0.0, 1.85))
def moisture_from_dry_basis(dry_basis_ratio: float) -> float:
    """Turn the reading of a pin meter into the moisture of wood as fired.

    Parameters
    ----------
    dry_basis_ratio : water by mass of dry wood [kg/kg], what pin meters and foresters' tables give

    Returns
    -------
    Water by mass of the wet wood [kg/kg].

    Raises
    ------
    RangeError : a ratio outside the range

    Notes
    -----
    Definitions of both. "20 %" may be either; they differ by 5 % of the heat.

    Examples
    --------
    >>> round(moisture_from_dry_basis(0.65), 3)  # green sugar maple
    0.394
    """
    return dry_basis_ratio / (1.0 + dry_basis_ratio)


@valid(moisture_fraction=(0.0, 0.65), dry_heat_j_kg=(1.5e7, 2.5e7))
def net_wood_heat_j_kg(moisture_fraction: float, dry_heat_j_kg: float) -> float:
    """Compute the net heating value of a kilogram of any wood as fired.

    Parameters
    ----------
    moisture_fraction : water by mass of wet wood [kg/kg]
    dry_heat_j_kg : higher heating value of the dry wood [J/kg], see
        :data:`sugarwright.physics.fuel_data.WOODS`

    Returns
    -------
    Lower heating value [J/kg].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    :func:`sugarwright.physics.pan.wood_heat_j_kg`, with another heat of the dry wood.

    Examples
    --------
    >>> round(net_wood_heat_j_kg(0.20, 9000.0 * 2326.0) / 2326.0)  # softwood, Btu/lb
    6540
    """
    more_j_kg = dry_heat_j_kg - DRY_WOOD_HIGHER_J_KG
    return wood_heat_j_kg(moisture_fraction) + (1.0 - moisture_fraction) * more_j_kg


@valid(
    dry_density_kg_m3=(200.0, 1000.0),
    dry_heat_j_kg=(1.5e7, 2.5e7),
    moisture_fraction=(0.0, 0.65),
    solid_fraction=(0.3, 0.8),
)
def stacked_wood_heat_j_m3(
    dry_density_kg_m3: float, dry_heat_j_kg: float, moisture_fraction: float, solid_fraction: float
) -> float:
    """Compute the net heat of stacked wood.

    Parameters
    ----------
    dry_density_kg_m3 : oven-dry mass by green volume [kg/m³]
    dry_heat_j_kg : higher heating value of the dry wood [J/kg]
    moisture_fraction : water by mass of wet wood [kg/kg]
    solid_fraction : wood by volume of the stack, 85/128 as a rule

    Returns
    -------
    Lower heating value by stacked volume [J/m³].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Dry mass times net heat. The stack is taken as green: dried in the stack it settles, and dry
    wood stacked anew holds up to a tenth more. Found within 6 % of a trade table for ten hardwoods
    at 20 % moisture (mean 2 %), which is less than trees of one species differ.

    Examples
    --------
    Sugar maple at 20 % moisture, in million Btu to the cord:

    >>> heat_j_m3 = stacked_wood_heat_j_m3(560.0, 8600.0 * 2326.0, 0.20, 85.0 / 128.0)
    >>> round(heat_j_m3 * 3.624556 / 1055.056e6, 1)
    23.1
    """
    wet_kg_m3 = solid_fraction * dry_density_kg_m3 / (1.0 - moisture_fraction)
    return wet_kg_m3 * net_wood_heat_j_kg(moisture_fraction, dry_heat_j_kg)


@valid(efficiency_fraction=(0.05, 0.95), moisture_fraction=(0.0, 0.65))
def wet_wood_efficiency_fraction(efficiency_fraction: float, moisture_fraction: float) -> float:
    """Estimate the efficiency of a pan on wet wood.

    Parameters
    ----------
    efficiency_fraction : efficiency with wood of 20 % moisture or less
    moisture_fraction : water by mass of wet wood [kg/kg]

    Returns
    -------
    Efficiency with the wet wood.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    A judgement, no source: 1.2 % of it lost for each percent of moisture above 20, since a wet fire
    is cooler and smokes. The net heat of :func:`net_wood_heat_j_kg` comes on top.

    Examples
    --------
    >>> round(wet_wood_efficiency_fraction(0.40, 0.40), 3)
    0.304
    """
    return efficiency_fraction * (1.0 - 1.2 * max(0.0, moisture_fraction - 0.20))


@valid(useful_heat_j=(0.0, 1e15), heat_j_m3=(1e6, 1e11), efficiency_fraction=(0.01, 1.0))
def fuel_volume_m3(useful_heat_j: float, heat_j_m3: float, efficiency_fraction: float) -> float:
    """Compute the volume of a fuel that brings so much heat into the liquid.

    Parameters
    ----------
    useful_heat_j : heat that must reach the liquid [J]
    heat_j_m3 : heating value by volume of oil, propane, gas or stacked wood [J/m³]
    efficiency_fraction : share of it which reaches the liquid

    Returns
    -------
    Volume of the fuel [m³].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition of efficiency.

    Examples
    --------
    Oil for 404,900 Btu at 75 %, in US gallons:

    >>> oil = fuel_volume_m3(404.9e3 * 1055.056, 138.5e3 * 1055.056 / 3.785412e-3, 0.75)
    >>> round(oil / 3.785412e-3, 2)
    3.9
    """
    return useful_heat_j / (heat_j_m3 * efficiency_fraction)


@valid(useful_heat_j=(0.0, 1e15), efficiency_fraction=(0.01, 1.0))
def electric_energy_j(useful_heat_j: float, efficiency_fraction: float) -> float:
    """Compute the electric energy that brings so much heat into the liquid.

    Parameters
    ----------
    useful_heat_j : heat that must reach the liquid [J]
    efficiency_fraction : share of the electric energy which reaches the liquid

    Returns
    -------
    Electric energy [J].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition of efficiency.

    Examples
    --------
    A gallon of syrup from 2 Brix sap, in kWh:

    >>> round(electric_energy_j(404.9e3 * 1055.056, 0.95) / 3.6e6)
    125
    """
    return useful_heat_j / efficiency_fraction


@valid(price_money_m3=(0.0, 1e9), heat_j_m3=(1e6, 1e11), efficiency_fraction=(0.01, 1.0))
def useful_heat_price_money_j(
    price_money_m3: float, heat_j_m3: float, efficiency_fraction: float
) -> float:
    """Compute what heat in the liquid costs by a fuel, so that fuels can be compared.

    Parameters
    ----------
    price_money_m3 : price of the fuel by volume [money/m³]
    heat_j_m3 : heating value by volume [J/m³]
    efficiency_fraction : share of it which reaches the liquid

    Returns
    -------
    Price of useful heat [money/J].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition. The labour of wood is not in it.

    Examples
    --------
    Oil of 138,500 Btu/gal at 3.45 a gallon and 83 %, for a million Btu:

    >>> oil_j_m3 = 138.5e3 * 1055.056 / 3.785412e-3
    >>> price = useful_heat_price_money_j(3.45 / 3.785412e-3, oil_j_m3, 0.83)
    >>> round(price * 1055.056e6, 2)
    30.01
    """
    return price_money_m3 / (heat_j_m3 * efficiency_fraction)


@valid(
    sap_brix=(0.1, 59.0),
    syrup_brix=(60.0, 70.0),
    feed_temperature_c=(-1.0, 105.0),
    boiling_point_c=(80.0, 105.0),
)
def syrup_heat_j_m3(
    sap_brix: float, syrup_brix: float, feed_temperature_c: float, boiling_point_c: float
) -> float:
    """Compute the heat that must reach the liquid for a volume of syrup.

    Parameters
    ----------
    sap_brix : strength of sap or concentrate [mass percent]
    syrup_brix : strength of the syrup [mass percent]
    feed_temperature_c : temperature of the feed [°C]
    boiling_point_c : boiling point at the feed end [°C]

    Returns
    -------
    Useful heat by volume of syrup at 20 °C [J/m³].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    :func:`sugarwright.physics.pan.useful_heat_j`, with density and heat capacity (at the mean
    temperature of the feed's way) of sucrose solutions. The heat to go from the feed's boil to the
    syrup's is left out: 0.2 %.

    Examples
    --------
    A US gallon from 2 Brix sap at 4 °C, in thousand Btu:

    >>> round(syrup_heat_j_m3(2.0, 66.0, 4.0, 99.97) * 3.785412e-3 / 1055.056e3)
    405
    """
    capacity_j_kg_k = heat_capacity_j_kg_k(sap_brix, 0.5 * (feed_temperature_c + boiling_point_c))
    return useful_heat_j(
        density_kg_m3(syrup_brix, 20.0),
        sap_brix,
        syrup_brix,
        feed_temperature_c,
        boiling_point_c,
        capacity_j_kg_k,
    )


@valid(
    heat_j_m3=(1e6, 1e11),
    efficiency_fraction=(0.01, 1.0),
    sap_brix=(0.1, 59.0),
    syrup_brix=(60.0, 70.0),
    feed_temperature_c=(-1.0, 105.0),
    boiling_point_c=(80.0, 105.0),
)
def syrup_by_fuel_ratio(
    heat_j_m3: float,
    efficiency_fraction: float,
    sap_brix: float,
    syrup_brix: float,
    feed_temperature_c: float,
    boiling_point_c: float,
) -> float:
    """Compute the volume of syrup that a volume of fuel makes.

    Parameters
    ----------
    heat_j_m3 : heating value by volume of oil, propane, gas or stacked wood [J/m³]
    efficiency_fraction : share of it which reaches the liquid
    sap_brix : strength of sap or concentrate [mass percent]
    syrup_brix : strength of the syrup [mass percent]
    feed_temperature_c : temperature of the feed [°C]
    boiling_point_c : boiling point at the feed end [°C]

    Returns
    -------
    Volume of syrup (20 °C) by volume of fuel; times 957.5 it is US gallons to the cord.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Heat of the fuel over :func:`syrup_heat_j_m3`; no light-ups.

    Examples
    --------
    A cord of 20 million Btu at 45 %, sap of 2 Brix, in US gallons:

    >>> ratio = syrup_by_fuel_ratio(20e6 * 1055.056 / 3.624556, 0.45, 2.0, 66.0, 4.0, 99.97)
    >>> round(ratio * 3.624556 / 3.785412e-3, 1)
    22.2
    """
    useful_j_m3 = syrup_heat_j_m3(sap_brix, syrup_brix, feed_temperature_c, boiling_point_c)
    return heat_j_m3 * efficiency_fraction / useful_j_m3
