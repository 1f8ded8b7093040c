"""The pan, its fire, and the electricity of the house."""

from __future__ import annotations

from sugarwright.plant.fields import quantities, quantity, section
from sugarwright.plant.house_tank import PRACTICE
from sugarwright.units import (
    AREA,
    BRIX,
    CURRENT,
    DURATION,
    ENERGY_PER_WOOD,
    FLOW,
    FRACTION,
    PRICE_PER_ENERGY,
    VOLTAGE,
    VOLUME,
    WOOD,
)


@section(
    "The pan",
    caution="Never leave a lit pan: one that runs dry is ruined within minutes and can start a "
    "fire. No estimate of this program is a level gauge. Boiling sap and syrup stick and burn "
    "deep: gloves, boots, long sleeves, children and pets away.",
)
class Pan:
    """The evaporator, as compartments from feed to draw-off."""

    boil_rate_m3_s: float = quantity(
        FLOW,
        least="0.2 gal/h",
        greatest="2000 gal/h",
        help="Water boiled off in an hour at full fire: sap boiled on a steady day, per hour, is "
        "nearly it. The most telling number in this file.",
        ask="How much does your pan boil off in an hour at full fire (25 gal/h, 95 L/h)?",
    )
    floor_area_m2: float = quantity(
        AREA,
        default="12 ft2",
        least="0.5 ft2",
        greatest="500 ft2",
        help="Length times width of the pans over the fire, flues not counted.",
        source="flat pans 0.75-1.25 gal/h per ft2, flue pans 1.5-4 (from memory)",
    )
    compartments_m3: tuple[float, ...] = quantities(
        VOLUME,
        default=["11 gal", "11 gal", "1.3 gal", "1.3 gal", "1.3 gal"],
        least="0.02 gal",
        greatest="2000 gal",
        fewest=2,
        most=6,
        help="Liquid in each compartment while boiling, from feed to draw-off: area times depth, "
        "with the flues' own volume.",
        source="2 in of liquid over the floor is typical (Ohio State extension)",
    )
    heat_share: tuple[float, ...] = quantities(
        FRACTION,
        default=["36 %", "30 %", "12 %", "12 %", "10 %"],
        least="0 %",
        greatest="100 %",
        fewest=2,
        most=6,
        help="Part of the heat that goes into each compartment; together 100 %.",
        source="judgement: by heated surface",
    )
    mixing_fraction: float = quantity(
        FRACTION,
        default="15 %",
        least="0 %",
        greatest="100 %",
        help="How much neighbours mix back while boiling. Later first draw: more mixing.",
        source="judgement; learnt from the time of your first draw",
    )
    light_up_s: float = quantity(
        DURATION,
        default="15 min",
        least="1 min",
        greatest="3 h",
        help="Time constant of coming to full boil (two thirds there); full after two of them.",
        source="from memory: 20 to 40 min to full boil",
    )
    burn_down_s: float = quantity(
        DURATION,
        default="30 min",
        least="1 min",
        greatest="6 h",
        help="Time constant of dying down after the last wood.",
        source="from memory: 30 to 60 min",
    )
    draw_volume_m3: float = quantity(
        VOLUME,
        default="0.4 gal",
        least="0.01 gal",
        greatest="100 gal",
        help="Syrup of one draw.",
        source=PRACTICE,
    )
    finish_brix: float = quantity(
        BRIX,
        default="66.9 Brix",
        least="60 Brix",
        greatest="72 Brix",
        help="Strength of your syrup. The least that may be sold is your state's or province's "
        "rule: often 66.0, in some 66.9.",
    )
    reserve_m3: float = quantity(
        VOLUME,
        default="15 gal",
        least="0 gal",
        greatest="1000 gal",
        help="Feed kept for the burn-down when the fire is let go, so that liquid stays over the "
        "whole floor of the pan.",
        source="from memory and computed: 15 to 20 gal at 25 gal/h",
    )


@section(
    "Wood and fire",
    caution="Air in and steam out; a carbon monoxide alarm where you work; an extinguisher and a "
    "clear way out; stack and clearances by your local fire code.",
)
class Fire:
    """Wood, what of its heat reaches the sap, and the stoking."""

    heat_j_m3: float = quantity(
        ENERGY_PER_WOOD,
        default="20 MMBtu/cord",
        least="5 MMBtu/cord",
        greatest="35 MMBtu/cord",
        help="Net heat of the wood as you burn it: 18-24 dry hardwood, 10-15 softwood.",
        source="University of Connecticut extension fuel table",
    )
    efficiency_fraction: float = quantity(
        FRACTION,
        default="40 %",
        least="5 %",
        greatest="95 %",
        help="Part of that heat which ends in the sap.",
        source="40-60 % for open wood evaporators (Ohio State extension); lower with wet wood",
    )
    wood_on_hand_wood_m3: float = quantity(
        WOOD,
        default="3 cord",
        least="0 cord",
        greatest="1000 cord",
        help="Wood ready for the season.",
    )
    light_up_wood_m3: float = quantity(
        WOOD,
        default="0.02 cord",
        least="0 cord",
        greatest="1 cord",
        help="Wood that one light-up and cooling costs beyond the boiling.",
        source="judgement: 0.01 to 0.03 cord",
    )
    stoke_every_s: float = quantity(
        DURATION,
        default="10 min",
        least="1 min",
        greatest="2 h",
        help="Time between stokings.",
        source="from memory: 7 to 10 min with small splits; 10 to 20 min in trade text",
    )
    blower_current_a: float = quantity(
        CURRENT,
        default="0 A",
        least="0 A",
        greatest="50 A",
        help="Current of the draft blower; 0 without one.",
    )


@section(
    "Electricity",
    caution="Wet floor and electricity: ground-fault protection, a licensed electrician, your "
    "local code. The sum of amps here is no wiring advice.",
)
class Electricity:
    """Price of power, and the circuit that membrane, blower and pumps share."""

    price_money_j: float = quantity(
        PRICE_PER_ENERGY,
        default="$0.24/kWh",
        least="$0/kWh",
        greatest="$5/kWh",
        help="Price of electricity.",
        source="0.16 to 0.32 in the maple states (US EIA table 5.6.A, April 2025)",
    )
    circuit_a: float = quantity(
        CURRENT,
        default="20 A",
        least="1 A",
        greatest="400 A",
        help="Breaker of the circuit they share.",
    )
    voltage_v: float = quantity(
        VOLTAGE, default="240 V", least="12 V", greatest="600 V", help="Its voltage."
    )
