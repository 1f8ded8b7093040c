"""Kinds of quantity of the trade: flows, heat, wood, membranes and strengths."""

from __future__ import annotations

from sugarwright.units.basic import (
    AREA,
    BTU_J,
    CORD_M3,
    DAY_S,
    DURATION,
    FOOT_M,
    GALLON_M3,
    HORSEPOWER_W,
    HOUR_S,
    PRESSURE,
    PSI_PA,
    VOLUME,
)
from sugarwright.units.kind import Kind, Unit

GFD_M_S = GALLON_M3 / FOOT_M**2 / DAY_S
LMH_M_S = 1e-3 / HOUR_S

FLOW = Kind(
    "flow",
    "_m3_s",
    "0.4 gal/min",
    (
        Unit("gal/min", GALLON_M3 / 60, ("gpm",)),
        Unit("gal/h", GALLON_M3 / HOUR_S, ("gph",)),
        Unit("gal/day", GALLON_M3 / DAY_S, ("gpd",)),
        Unit("qt/h", GALLON_M3 / 4 / HOUR_S),
        Unit("L/min", 1e-3 / 60, ("lpm",)),
        Unit("L/h", 1e-3 / HOUR_S, ("lph",)),
        Unit("mL/min", 1e-6 / 60),
        Unit("m3/h", 1 / HOUR_S),
    ),
    us=(("gal/h", 0.0), ("gal/min", 0.05 * GALLON_M3 / 60)),
    metric=(("L/h", 0.0), ("L/min", 1e-3 / 60)),
    ratio=(VOLUME, DURATION),
)

POWER = Kind(
    "power",
    "_w",
    "1.5 kW",
    (
        Unit("W", 1.0, ("watt", "watts")),
        Unit("kW", 1e3, ("kilowatt", "kilowatts")),
        Unit("MW", 1e6, ("megawatt", "megawatts")),
        Unit("hp", HORSEPOWER_W, ("horsepower",)),
        Unit("BTU/h", BTU_J / HOUR_S, ("BTUH", "BTU/hr", "BTU/hour")),
        Unit("MMBTU/h", 1e6 * BTU_J / HOUR_S, ("MMBTU/hr", "MMBTU/hour", "million BTU/h")),
    ),
    us=(("W", 0.0), ("kW", 1e3)),
    metric=(("W", 0.0), ("kW", 1e3)),
    refused=dict.fromkeys(
        ("MBTU/h", "MBH", "MBTU/hr"), "MBTU may be a thousand or a million BTU; write BTU or MMBTU"
    ),
)

ENERGY = Kind(
    "energy",
    "_j",
    "12 kWh",
    (
        Unit("kWh", 1e3 * HOUR_S, ("kilowatt hour", "kilowatt hours", "kilowatt-hours")),
        Unit("Wh", HOUR_S, ("watt hour", "watt hours")),
        Unit("BTU", BTU_J, ("BTUs",)),
        Unit("MMBTU", 1e6 * BTU_J, ("million BTU", "MMBTUs")),
        Unit("GJ", 1e9, ("gigajoule", "gigajoules")),
        Unit("MJ", 1e6, ("megajoule", "megajoules")),
        Unit("kJ", 1e3, ("kilojoule", "kilojoules")),
        Unit("J", 1.0, ("joule", "joules")),
    ),
    us=(("Wh", 0.0), ("kWh", 100 * HOUR_S)),
    metric=(("Wh", 0.0), ("kWh", 100 * HOUR_S)),
    refused=dict.fromkeys(
        ("MBTU", "MBTUs"), "MBTU may be a thousand or a million BTU; write BTU or MMBTU"
    ),
)

CURRENT = Kind(
    "electric current",
    "_a",
    "15 A",
    (Unit("A", 1.0, ("amp", "amps", "ampere", "amperes")), Unit("mA", 1e-3, ("milliamps",))),
    us=(("A", 0.0),),
    metric=(("A", 0.0),),
)

VOLTAGE = Kind(
    "voltage",
    "_v",
    "120 V",
    (
        Unit("V", 1.0, ("volt", "volts")),
        Unit("kV", 1e3, ("kilovolt", "kilovolts")),
        Unit("mV", 1e-3, ("millivolt", "millivolts")),
    ),
    us=(("V", 0.0),),
    metric=(("V", 0.0),),
)

BRIX = Kind(
    "sugar strength",
    "_brix",
    "2.1 Brix",
    (Unit("Brix", 1.0, ("", "%", "°Bx", "Bx", "° Brix", "degrees Brix", "deg Brix", "% sugar")),),
    us=(("Brix", 0.0),),
    metric=(("Brix", 0.0),),
    least=0.0,
    greatest=100.0,
    decimals={"Brix": 1},
)

FRACTION = Kind(
    "fraction",
    "_fraction",
    "40 %",
    (Unit("%", 0.01, ("percent", "per cent", "pct")), Unit("", 1.0)),
    us=(("%", 0.0),),
    metric=(("%", 0.0),),
)

WOOD = Kind(
    "stacked wood",
    "_wood_m3",
    "2 1/2 cord",
    (
        Unit("cord", CORD_M3, ("cords", "full cord", "full cords", "bush cord", "bush cords")),
        Unit("stere", 1.0, ("steres", "st", "m3 stacked", "stacked m3", "rm")),
        Unit("ft3 stacked", FOOT_M**3, ("stacked ft3", "cu ft stacked")),
    ),
    us=(("cord", 0.0),),
    metric=(("stere", 0.0),),
    refused={
        **dict.fromkeys(
            ("face cord", "face cords", "rick", "ricks", "stove cord", "stove cords"),
            "its size depends on the length of the sticks; write cords: "
            "height x width x length of the stack in feet, divided by 128",
        ),
        **dict.fromkeys(
            ("m3", "cubic meters", "cubic metres"),
            "a cubic metre of wood may be solid or stacked; write stere (1 m3 stacked)",
        ),
    },
)

ENERGY_PER_WOOD = Kind(
    "energy per stacked wood",
    "_j_m3",
    "20 MMBTU/cord",
    (
        Unit("MMBTU/cord", 1e6 * BTU_J / CORD_M3),
        Unit("GJ/m3", 1e9, ("GJ/stere",)),
        Unit("MJ/m3", 1e6, ("MJ/stere",)),
        Unit("J/m3", 1.0),
    ),
    us=(("MMBTU/cord", 0.0),),
    metric=(("GJ/m3", 0.0),),
    ratio=(ENERGY, WOOD),
)

PERMEATION = Kind(
    "permeation",
    "_m_s",
    "0.02 L/m2/h",
    (
        Unit("L/m2/h", LMH_M_S, ("LMH", "L/(m2 h)")),
        Unit("gfd", GFD_M_S, ("gal/ft2/day",)),
        Unit("m/s", 1.0),
    ),
    us=(("gfd", 0.0),),
    metric=(("L/m2/h", 0.0),),
    ratio=(VOLUME, AREA, DURATION),
)

PERMEABILITY = Kind(
    "permeability",
    "_m_s_pa",
    "5 L/m2/h/bar",
    (
        Unit("L/m2/h/bar", LMH_M_S / 1e5, ("LMH/bar", "L/(m2 h bar)")),
        Unit("gfd/psi", GFD_M_S / PSI_PA),
        Unit("m/s/Pa", 1.0),
    ),
    us=(("gfd/psi", 0.0),),
    metric=(("L/m2/h/bar", 0.0),),
    ratio=(VOLUME, AREA, DURATION, PRESSURE),
)

ANGLE = Kind(
    "angle",
    "_deg",
    "44.2 N",
    (Unit("°", 1.0, ("", "deg", "degree", "degrees")),),
    us=(("°", 0.0),),
    metric=(("°", 0.0),),
    least=-180.0,
    greatest=180.0,
    decimals={"°": 4},
)
