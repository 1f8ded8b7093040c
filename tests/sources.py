"""Where the values come from that the reference tests hold the program against.

One name a table. ``@CRC_SUCROSE`` above a test says that each of its cases is a value of that
table; ``scripts/count_checks.py`` counts them. How it is known:

- ``seen``: read in the source or in a public reproduction of it;
- ``memory``: recalled from the source, not looked up again;
- ``library``: computed by a package that somebody else wrote and checks;
- ``second``: computed apart from this program, by hand or in other code, from the stated law.
"""

from __future__ import annotations

import pytest


def source(by: str, table: str, how: str = "seen") -> pytest.MarkDecorator:
    """Mark a test: each of its cases is one value of a table of a source.

    Parameters
    ----------
    by : author, title, edition or year; or a library
    table : which table, page or quantity of it
    how : "seen", "memory", "library" or "second"
    """
    return pytest.mark.source(by, table, how)


# --- solutions of sugar
_CRC = "CRC Handbook of Chemistry and Physics, 102nd ed."
CRC_SUCROSE = source(_CRC, "aqueous sucrose, 20 °C")
CRC_GRAMS = source("Handbook of Chemistry and Physics, as public code quotes it", "sucrose, g/L")
CRC_WARM = source(
    "Handbook of Chemistry and Physics, as public code quotes it", "sucrose, viscosity by °C"
)
_MOHOS = "Mohos, Confectionery and Chocolate Engineering (2010), app. 2"
MOHOS_BAUME = source(_MOHOS, "A2.1, Brix and Baumé at 20 °C")
MOHOS_SOLUBILITY = source(_MOHOS, "A2.3, solubility, after Sokolovsky (1958)")
ASADI_GRAVITY = source("Asadi, Beet-Sugar Handbook (2007)", "A.1, specific gravity 20/20 °C")
NBS_CUBIC = source("National Bureau of Standards table of sucrose", "cubic for 0-40 Brix")
CRITICAL_TABLES = source("International Critical Tables, vol. 5 (1929)", "p. 23, viscosity")
SPS4 = source("ICUMSA SPS-4, coded apart from this program", "density by °C", "second")
DIFFUSION = source("Ribeiro et al., J. Chem. Eng. Data 51 (2006) 1836", "table 5 and its slope")
GOSTING_MORRIS = source(
    "Gosting & Morris, J. Am. Chem. Soc. 71 (1949) 1998", "sucrose at 25 and 1 °C", "memory"
)
ASADI_HEAT = source(
    "Asadi, Beet-Sugar Handbook (2007), as public code quotes it", "table A.6, heat capacity"
)
SYRUP_HEAT = source("Gucker & Ayres (1937)", "apparent molal heat capacity, 25 °C", "memory")
PARTIAL_HEAT = source("Gucker & Ayres (1937)", "partial molar heat capacity", "memory")
_OIV = "OIV Compendium of International Methods of Analysis, MA-AS2-02"
OIV_INDEX = source(_OIV, "table II, refractive index")
OIV_CORRECTION = source(_OIV, "table I, correction for temperature")
ICUMSA_INDEX = source("ICUMSA 1974", "refractive index", "memory")
ICUMSA_WARM = source("International table of corrections", "25 and 30 °C", "memory")
ISO_1743 = source("ISO 1743", "refractive index of water")

# --- water activity, osmosis, frost, boiling
ROBINSON_STOKES = source(
    "Robinson & Stokes, Electrolyte Solutions", "osmotic coefficients, 25 °C", "memory"
)
BERKELEY_HARTLEY = source("Berkeley & Hartley", "osmotic pressure, 0 °C", "memory")
MORSE = source("Morse et al. (1914)", "osmotic pressure, weight-normal", "memory")
FRAZER_MYRICK = source("Frazer & Myrick (1916)", "osmotic pressure, 30 °C", "memory")
SATURATED = source("Hygrometer standards", "activity over saturated sucrose", "memory")
CLAASSEN = source("Claassen, in older sugar handbooks", "boiling point rise", "memory")
ONTARIO = source("Ontario provincial maple extension (2013)", "boiling point of 67 Brix")
RULE_OF_7_1 = source("State chart for syrup of 66.0 Brix", "7.1 °F above water")
BOILING_CODED = source("IF97 and Starzak & Peacock, coded apart", "66.9 Brix by pressure", "second")

# --- water and air
IF97_35 = source("IAPWS-IF97 (2007 revision)", "table 35", "memory")
IF97_36 = source("IAPWS-IF97 (2007 revision)", "table 36", "memory")
IAPWS_ICE = source("iapws (IAPWS-06 ice, IAPWS-95 water)", "freezing", "library")
COOLPROP_SATURATION = source("CoolProp (IAPWS-95)", "saturation", "library")
COOLPROP_DENSITY = source("CoolProp (IAPWS-95)", "density", "library")
COOLPROP_VISCOSITY = source("CoolProp (IAPWS 2008)", "viscosity", "library")
COOLPROP_LATENT = source("CoolProp (IAPWS-95)", "latent heat", "library")
COOLPROP_HEAT = source("CoolProp (IAPWS-95)", "heat capacity and conductivity", "library")
COOLPROP_FOOD = source("CoolProp (ASHRAE foods)", "mixing of carbohydrate and water", "library")
CHEMICALS_WATER = source("chemicals (IAPWS-95, IAPWS 2008)", "metastable water", "library")
CHEMICALS_BURNING = source("chemicals", "combustion stoichiometry", "library")
KESTIN = source("Kestin, Khalifa & Correia (1981)", "table 1, water", "memory")
ALTITUDE = source("IAPWS-95 at the pressure of ISO 2533", "boiling by elevation", "second")
ATMOSPHERE = source("fluids (U.S. Standard Atmosphere 1976)", "pressure", "library")
HYDROSTATIC = source("Hydrostatic equation, integrated", "column of constant lapse", "second")

# --- hydrometers and the trade
NBS_HYDROMETER = source("NBS Circular 440 (1942), table 114", "hydrometer, 20 °C", "memory")
STATE_66_9 = source("State chart for hydrometers, 66.9 Brix", "reading by °F")
CHART_66_0 = source("State chart for hydrometers, 66.0 Brix", "reading by °F")
HOT_CUP = source("State-calibrated hot cup", "59.1 Brix at 211 °F")
SAP_HYDROMETER = source("SPS-4 and glass, coded apart", "sap hydrometer", "second")
US_RULE_1967 = source("U.S. rule of 1967 (32 FR 7579)", "11 lb to the gallon")
GALLON_CODED = source("SPS-4, coded apart", "pounds to the gallon", "second")
VERMONT_RULE = source("Vermont syrup rule", "36 and 37 °Baumé")
REVISED_RULES = source("Perkins & Isselhardt, as quoted in a farm magazine", "87.1 and 88.2")
MASS_BALANCE = source("Mass balance, coded apart", "sap to syrup", "second")

# --- lines
COLEBROOK = source("fluids", "Colebrook, exact", "library")
LAMINAR = source("fluids", "laminar friction", "library")
QUARTER_MILE = source("Computed apart with fluids 1.3", "line of 1320 ft", "second")
PUMP_ON_LINE = source("Computed apart with fluids 1.3", "pump on a line", "second")
FULL_LINES = source("Computed apart with fluids 1.3", "capacity of full lines", "second")
TAPS_SLOPE = source("Computed apart with fluids 1.3", "slope taken up by taps", "second")
GRAVITY_BALANCE = source("fluids", "friction of a gravity line", "library")
NATURAL_VACUUM = source("Trade articles on 3/16 in tubing", "vacuum by drop")
LINE_BY_HAND = source("By hand", "lines", "second")

# --- pan and fuel
STATIC_PAN = source("Heat balance, coded apart", "syrup by fuel and Brix", "second")
OSU = source("Ohio State University extension, maple pages", "heat and wood of a gallon")
WISCONSIN = source("Wisconsin rural energy page on maple", "oil of a gallon")
KENTUCKY = source("University of Kentucky forestry, firewood table", "weight and heat of a cord")
FIREWOOD_85 = source("Trade firewood table, 85 ft³ and 6200 Btu/lb", "heat of a cord")
UCONN = source("University of Connecticut extension, fuel table", "heat of fuels")
FUEL_CALCULATOR = source("USDA Forest Products Laboratory, Fuel Value Calculator", "prices")
WET_WOOD = source("Engineering table of wet wood", "heat by moisture, dry basis")
WOOD_BY_HAND = source("By hand", "net heat of wood by moisture", "second")
EXCHANGERS = source("USDA Forest Service, heat exchangers on evaporators", "gain")
PREHEATER_1974 = source("USDA Forest Service, preheater study (1974)", "efficiency and gain")
STEAM_BALANCE = source("CoolProp (IAPWS-95)", "enthalpies of feed and steam", "library")
TRADE_ENERGY = source("University of Vermont, energy article as quoted", "wood of an hour")
SECOND_PAN = source("A second model of a pan", "first draw and syrup", "second")

# --- membrane
SECOND_MEMBRANE = source("A second implementation, 400 cells", "operating points", "second")
GEANKOPLIS = source("Geankoplis, Transport Processes", "worked examples of salt", "memory")
ELEMENT_MAKER = source("Design equations of an element maker", "temperature factor")
WATERTAP = source("WaterTAP 1.8, its own tests", "pressure drop and friction")
SCHOCK_MIQUEL = source("Schock & Miquel (1987)", "eqs. of friction and film")
ORANGE_JUICE = source("Food-engineering exercise, public copy", "orange juice at 25 °C")
CORNELL = source("Cornell small-farm article", "a small machine")
MEMBRANE_BY_HAND = source("By hand", "film, gradient, clean water", "second")
SWEEP = source("A second membrane, coded apart", "valve from 0.15 to 1 gal/min", "second")
SAP_SWEEP = source("A second membrane, coded apart", "sap of 1.5 to 2.5 Brix, 1 to 10 °C", "second")
WANTED = source("A second membrane, coded apart", "pressure for a strength", "second")
SMALL_MACHINES = source("A second membrane, coded apart", "pressure for a permeate", "second")
CLEAN_WATER = source("An element maker's temperature factor, by hand", "clean water", "second")
WATERTAP_1D = source("WaterTAP 1.8, 1-D unit, solved in benchmarks/", "salt water", "library")
TANK_BY_HAND = source("By hand", "a tank's mass by Rayleigh's law", "second")

# --- trees
KUROKAWA = source("Kurokawa et al., iForest 17 (2024)", "share of the best days")
MACLEISH = source("R package macleish 0.3.10 (CC0)", "gatherings of 2015")

# --- keeping and ice
RATKOWSKY = source("Ratkowsky et al. (1982), by hand", "doubling times", "second")
PSEUDOMONAS = source("J. Food Prot. 45 (1982) 132", "generation time at 3 and 9 °C")
KEEPING_ADVICE = source("Extension advice on keeping sap", "days by temperature")
ICE_BALANCE = source("By hand", "ice in a tank", "second")
ICE_RELEASE = source("iapws (IAPWS-06 ice)", "density and heat of fusion", "library")

# --- springs
NOAA_JANUARY = source(
    "NOAA normals 1991-2020 in a monthly climate report of the US National Weather Service",
    "Montpelier VT, January: mean high and low, days by their extremes",
)
NWS_DAILY = source(
    "Daily climate reports of the US National Weather Service", "normals 1991-2020 by day"
)
MACLEISH_HOURS = source("R package macleish 0.3.10 (CC0)", "hourly weather, Whately MA, 2015")
FLIGHTS13 = source("R package nycflights13 (CC0)", "hourly weather, Newark NJ, 2013")

# --- readings and balances
_JORDACHE = "Narasimhan & Jordache, Data Reconciliation and Gross Error Detection (2000)"
EXCHANGER_EXAMPLE = source(_JORDACHE, "ch. 1, heat exchanger with bypass", "memory")
STEAM_PLANT = source("Serth & Heenan, AIChE J. 32 (1986) 733, as public code has it", "28 streams")
CHI_SQUARE = source("SciPy", "chi-square and normal laws", "library")
KKT = source("NumPy and SciPy", "equality-constrained least squares", "library")
