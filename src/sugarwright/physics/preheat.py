"""What helps and hinders a pan: feed warmed by its steam, cold air into the fire, niter.

Factors on the rate of boiling. Preheating is a heat balance. Cold air and niter are estimates that
say how large the effect can be; the figures that nobody publishes are parameters, and what is usual
for them is marked as from memory or as a judgement.
"""

from __future__ import annotations

from sugarwright.physics.fuel import net_wood_heat_j_kg
from sugarwright.physics.pan import DRY_WOOD_HIGHER_J_KG
from sugarwright.physics.valid import valid
from sugarwright.physics.water import latent_heat_j_kg

PREHEATER_EFFECTIVENESS = 0.8
"""Of a hood with coils: feed gets four fifths of the way to the boil (common practice, no
source)."""
AIR_BY_WOOD_RATIO = 5.9
"""Air by mass that burns dry wood of 50 % carbon, 6 % hydrogen, 44 % oxygen, none left over."""
AIR_HEAT_CAPACITY_J_KG_K = 1006.0
NITER_CONDUCTIVITY_W_M_K = 0.8
"""Of niter, the sugar sand that bakes onto a pan: a judgement from other wet scales, 0.5 to 2."""
CLEAN_PAN_W_M2_K = 40.0
"""Heat from fire to liquid by area and difference, all but the niter: a judgement, 20 to 150."""


@valid(
    feed_temperature_c=(-1.0, 105.0),
    steam_temperature_c=(80.0, 105.0),
    effectiveness_fraction=(0.0, 1.0),
)
def preheated_feed_c(
    feed_temperature_c: float, steam_temperature_c: float, effectiveness_fraction: float
) -> float:
    """Compute how warm feed leaves a preheater in the pan's steam.

    Parameters
    ----------
    feed_temperature_c : temperature of the feed as it comes [°C]
    steam_temperature_c : temperature of the steam, the boiling point of water that day [°C]
    effectiveness_fraction : share of the way to the steam's temperature, some 0.8

    Returns
    -------
    Temperature of the feed into the pan [°C].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition of the effectiveness of a heat exchanger on the side that does not condense.

    Examples
    --------
    >>> round(preheated_feed_c(4.0, 100.0, 0.8), 1)
    80.8
    """
    return feed_temperature_c + effectiveness_fraction * (steam_temperature_c - feed_temperature_c)


@valid(
    feed_temperature_c=(-1.0, 105.0),
    preheated_feed_c=(-1.0, 105.0),
    boiling_point_c=(80.0, 105.0),
    feed_heat_capacity_j_kg_k=(2000.0, 4300.0),
)
def preheating_factor(
    feed_temperature_c: float,
    preheated_feed_c: float,
    boiling_point_c: float,
    feed_heat_capacity_j_kg_k: float,
) -> float:
    """Compute how much faster a pan boils when its feed comes warmer.

    Parameters
    ----------
    feed_temperature_c : temperature of the feed without preheating [°C]
    preheated_feed_c : its temperature with preheating [°C]
    boiling_point_c : boiling point at the feed end [°C]
    feed_heat_capacity_j_kg_k : heat capacity of the feed [J/(kg K)]

    Returns
    -------
    Factor on the water boiled off by the same fire.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    The heat that each kilogram of feed needs to boil away, before and after. Sap from 4 °C to the
    boil gives 1.18, the most there is; USDA Forest Service reports on heat exchangers give 1.15 to
    1.17 (abstracts), a field trial with a wood arch 1.08.

    Examples
    --------
    >>> round(preheating_factor(4.0, 80.8, 99.97, 4137.0), 3)
    1.136
    """
    latent = latent_heat_j_kg(boiling_point_c)
    cold = latent + feed_heat_capacity_j_kg_k * (boiling_point_c - feed_temperature_c)
    warm = latent + feed_heat_capacity_j_kg_k * (boiling_point_c - preheated_feed_c)
    return cold / warm


@valid(
    feed_temperature_c=(-1.0, 105.0),
    preheated_feed_c=(-1.0, 105.0),
    steam_temperature_c=(80.0, 105.0),
    feed_heat_capacity_j_kg_k=(2000.0, 4300.0),
)
def steam_condensed_fraction(
    feed_temperature_c: float,
    preheated_feed_c: float,
    steam_temperature_c: float,
    feed_heat_capacity_j_kg_k: float,
) -> float:
    """Compute the share of its steam that a pan needs to warm its own feed.

    Parameters
    ----------
    feed_temperature_c : temperature of the feed as it comes [°C]
    preheated_feed_c : temperature of the feed into the pan [°C]
    steam_temperature_c : temperature of the steam [°C]
    feed_heat_capacity_j_kg_k : heat capacity of the feed [J/(kg K)]

    Returns
    -------
    Share of the steam that condenses: hot water to catch, and less fog under the roof.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Heat balance, a kilogram of feed for a kilogram of steam. It is never more than a fifth, so
    there is always steam enough.

    Examples
    --------
    >>> round(steam_condensed_fraction(4.0, 80.8, 100.0, 4137.0), 2)
    0.14
    """
    warming = feed_heat_capacity_j_kg_k * (preheated_feed_c - feed_temperature_c)
    return warming / latent_heat_j_kg(steam_temperature_c)


@valid(
    air_temperature_c=(-40.0, 400.0),
    reference_temperature_c=(-40.0, 40.0),
    moisture_fraction=(0.0, 0.65),
    air_ratio=(1.0, 5.0),
    efficiency_fraction=(0.05, 0.95),
)
def combustion_air_factor(
    air_temperature_c: float,
    reference_temperature_c: float,
    moisture_fraction: float,
    air_ratio: float,
    efficiency_fraction: float,
) -> float:
    """Estimate what colder or warmer air into a wood fire does to the rate of boiling.

    Parameters
    ----------
    air_temperature_c : temperature of the air into the fire [°C]; hundreds when the stack warms it
    reference_temperature_c : temperature at which the efficiency was found [°C]
    moisture_fraction : water by mass of wet wood [kg/kg]
    air_ratio : air by what the wood needs: 2 for an open draft, 1.5 with a blower (from memory)
    efficiency_fraction : share of the wood's net heat which reaches the liquid, at the reference

    Returns
    -------
    Factor on the heat that reaches the liquid, for the same wood.

    Raises
    ------
    RangeError : a value outside its range, or air so cold that nothing would be left

    Notes
    -----
    Heat to warm the air, taken from (or given to) what reaches the liquid, the stack being as hot
    as before: an upper bound, since a colder fire has a cooler stack. 20 K cost some 3 %; air at
    150 °C gains a quarter, beside the 27 % reported for a preheater, draft and warm air together.

    Examples
    --------
    >>> round(combustion_air_factor(-20.0, 0.0, 0.20, 2.0, 0.40), 3)
    0.967
    """
    air_kg = (1.0 - moisture_fraction) * AIR_BY_WOOD_RATIO * air_ratio
    warming = air_kg * AIR_HEAT_CAPACITY_J_KG_K * (air_temperature_c - reference_temperature_c)
    useful = efficiency_fraction * net_wood_heat_j_kg(moisture_fraction, DRY_WOOD_HIGHER_J_KG)
    return max(0.0, 1.0 + warming / useful)


@valid(thickness_m=(0.0, 0.02), conductivity_w_m_k=(0.1, 5.0), clean_w_m2_k=(5.0, 500.0))
def niter_factor(thickness_m: float, conductivity_w_m_k: float, clean_w_m2_k: float) -> float:
    """Estimate how much niter on a pan slows its boil.

    Parameters
    ----------
    thickness_m : thickness of the crust [m]
    conductivity_w_m_k : its thermal conductivity [W/(m K)], e.g. ``NITER_CONDUCTIVITY_W_M_K``
    clean_w_m2_k : heat transfer of the clean pan [W/(m² K)], e.g. ``CLEAN_PAN_W_M2_K``

    Returns
    -------
    Factor on the heat that reaches the liquid.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Resistances in series. Fire gives its heat up so slowly that a millimetre of niter costs 5 %;
    the danger is :func:`niter_overheating_k`. Makers turn the pan's flow round each day, or every
    2 to 6 h, and clean when the boil is a tenth slower (trade text; common practice, no source).

    Examples
    --------
    >>> round(niter_factor(0.001, 0.8, 40.0), 3)
    0.952
    """
    return 1.0 / (1.0 + clean_w_m2_k * thickness_m / conductivity_w_m_k)


@valid(
    heat_w=(0.0, 1e8),
    area_m2=(1e-3, 1e3),
    thickness_m=(0.0, 0.02),
    conductivity_w_m_k=(0.1, 5.0),
)
def niter_overheating_k(
    heat_w: float, area_m2: float, thickness_m: float, conductivity_w_m_k: float
) -> float:
    """Compute how much hotter the metal gets under niter: why syrup scorches and pans warp.

    Parameters
    ----------
    heat_w : heat through the area [W]
    area_m2 : area of that part of the pan [m²]
    thickness_m : thickness of the crust [m]
    conductivity_w_m_k : its thermal conductivity [W/(m K)]

    Returns
    -------
    Rise of the metal above a clean one [K].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Conduction through a flat layer.

    Examples
    --------
    A millimetre over a hot spot that boils 4 US gal/h to the square foot (29 kW on 0.3 m²):

    >>> round(niter_overheating_k(29e3, 0.3, 0.001, 0.8))
    121
    """
    return heat_w / area_m2 * thickness_m / conductivity_w_m_k
