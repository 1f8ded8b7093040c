"""The membrane (reverse osmosis)."""

from __future__ import annotations

from sugarwright.plant.fields import choice, number, quantity, section, whole, yes_no
from sugarwright.plant.house_tank import PLACES, PRACTICE
from sugarwright.units import (
    AREA,
    CURRENT,
    DURATION,
    FLOW,
    FRACTION,
    LENGTH,
    MONEY,
    PERMEABILITY,
    PERMEATION,
    POWER,
    PRESSURE,
    VOLUME,
)

JUDGEMENT = "judgement; learnt from your log"


@section(
    "The membrane",
    caution="High pressure: relieve it before you open anything. Washing: the cleaner's label and "
    "the membrane maker's instructions rule; goggles and gloves; powder into water; never mix "
    "alkaline, acid and chlorine cleaners, rinse between; chlorine ruins most membranes; rinse "
    "until neutral before sap goes through; keep wash water out of streams and wells.",
)
class Membrane:
    """Reverse osmosis. Delete the whole section if you have none.

    You set the concentrate valve; pressure at the valve end is held at exit_pressure.
    The defaults are one 4 x 40 inch element; a 2.5 x 40 has some 28 ft2.
    """

    in_series: int = whole(
        default=1,
        least=1,
        greatest=12,
        help="Elements one after the other in a string.",
    )
    in_parallel: int = whole(
        default=1,
        least=1,
        greatest=24,
        help="Strings side by side.",
        ask="How many membrane elements side by side?",
    )
    element_area_m2: float = quantity(
        AREA,
        default="82 ft2",
        least="1 ft2",
        greatest="500 ft2",
        help="Membrane area of one element: 82 ft2 (7.6 m2) for 4 x 40 inch, 28 ft2 (2.6 m2) for "
        "2.5 x 40.",
        source="public model files of a 4-inch element (7.4 to 7.9 m2); 2.5-inch from memory",
        ask="Membrane area of one element?",
    )
    element_length_m: float = quantity(
        LENGTH,
        default="0.9 m",
        least="0.2 m",
        greatest="2 m",
        help="Active length of one element.",
        source="0.87 m in a published element model; 40-inch class",
    )
    spacer_height_m: float = quantity(
        LENGTH,
        default="0.71 mm",
        least="0.2 mm",
        greatest="3 mm",
        help="Height of the feed channel: 28 thousandths of an inch is usual.",
        source="0.7112 mm in a published element model",
    )
    spacer_porosity_fraction: float = quantity(
        FRACTION,
        default="89 %",
        least="50 %",
        greatest="99 %",
        help="Part of the channel not filled by the spacer.",
        source="from memory",
    )
    permeability_m_s_pa: float = quantity(
        PERMEABILITY,
        default="5 L/m2/h/bar",
        least="0.2 L/m2/h/bar",
        greatest="30 L/m2/h/bar",
        help="Water through the clean, new membrane at 25 C.",
        source="from memory: 3.5-4 standard, 5.5-6 low energy, 7.5-8 extra low energy",
    )
    sugar_permeability_m_s: float = quantity(
        PERMEATION,
        default="0.02 L/m2/h",
        least="0 L/m2/h",
        greatest="20 L/m2/h",
        help="Sugar that leaks through; loose (nano) membranes ten times the default.",
        source="from memory: rejection above 99.5 %",
    )
    film_factor: float = number(
        default=1.0,
        least=0.1,
        greatest=10.0,
        help="Mixing at the membrane against the textbook correlation.",
        source="judgement: the spread of two correlations is a factor 1.4",
    )
    friction_multiplier: float = number(
        default=1.0,
        least=0.1,
        greatest=10.0,
        help="Pressure lost along an element against the textbook correlation.",
        source="judgement: two formulas differ by 1.0 to 2.2",
    )
    exit_pressure_pa: float = quantity(
        PRESSURE,
        default="200 psi",
        least="20 psi",
        greatest="600 psi",
        help="Gauge pressure at the concentrate valve in ordinary running. Stay under the "
        "limit on the machine's own plate.",
        source=PRACTICE,
    )
    pump_flow_m3_s: float | None = quantity(
        FLOW,
        default=None,
        example="60 gal/h",
        least="0.1 gal/h",
        greatest="20000 gal/h",
        help="What the pressure pump gives against no pressure, from its plate. Left out: it holds "
        "exit_pressure at every setting.",
    )
    pump_shutoff_pa: float | None = quantity(
        PRESSURE,
        default=None,
        example="200 psi",
        least="20 psi",
        greatest="1500 psi",
        help="Pressure at which it gives nothing any more. Left out: a plunger or vane pump, which "
        "gives pump_flow at any pressure.",
    )
    recirculation_flow_m3_s: float = quantity(
        FLOW,
        default="4 gal/min",
        least="0 gal/min",
        greatest="200 gal/min",
        help="Flow sent round again past the membrane so that it keeps moving; 0 if none.",
        source="from memory: 4-inch elements want 3 to 4 gal/min along them",
    )
    least_flow_m3_s: float = quantity(
        FLOW,
        default="8 gal/h",
        least="0.1 gal/h",
        greatest="5000 gal/h",
        help="Least concentrate flow you set: the sweetest concentrate.",
    )
    most_flow_m3_s: float = quantity(
        FLOW,
        default="60 gal/h",
        least="0.1 gal/h",
        greatest="20000 gal/h",
        help="Most concentrate flow you set.",
    )
    motor_power_w: float = quantity(
        POWER,
        default="1.1 kW",
        least="0 kW",
        greatest="50 kW",
        help="Electric power of all its motors while running.",
        source=PRACTICE,
    )
    motor_current_a: float = quantity(
        CURRENT,
        default="10 A",
        least="0 A",
        greatest="200 A",
        help="Their current on the sugarhouse's circuit.",
        source=PRACTICE,
    )
    condition_fraction: float = quantity(
        FRACTION,
        default="95 %",
        least="5 %",
        greatest="130 %",
        help="Flow now against new, freshly washed and at the same temperature.",
        source=JUDGEMENT,
    )
    loss_per_hour_fraction: float = quantity(
        FRACTION,
        default="1 %",
        least="0 %",
        greatest="20 %",
        help="Flow lost to fouling in an hour of running.",
        source=JUDGEMENT,
    )
    rinse_volume_m3: float = quantity(
        VOLUME,
        default="20 gal",
        least="0 gal",
        greatest="2000 gal",
        help="Permeate for a rinse.",
        source=PRACTICE,
    )
    rinse_duration_s: float = quantity(
        DURATION, default="15 min", least="0 min", greatest="4 h", help="Time of a rinse."
    )
    rinse_recovery_fraction: float = quantity(
        FRACTION,
        default="40 %",
        least="0 %",
        greatest="100 %",
        help="Part of the lost flow that a rinse brings back.",
        source=JUDGEMENT,
    )
    wash_volume_m3: float = quantity(
        VOLUME,
        default="60 gal",
        least="0 gal",
        greatest="5000 gal",
        help="Permeate for a wash with its rinsing.",
        source=PRACTICE,
    )
    wash_duration_s: float = quantity(
        DURATION,
        default="1 h",
        least="0 min",
        greatest="24 h",
        help="Time of a wash; the cleaner's label decides.",
        source=PRACTICE,
    )
    wash_hands_s: float = quantity(
        DURATION,
        default="25 min",
        least="0 min",
        greatest="24 h",
        help="Part of it in which somebody stands there.",
        source=PRACTICE,
    )
    wash_recovery_fraction: float = quantity(
        FRACTION,
        default="90 %",
        least="0 %",
        greatest="100 %",
        help="Part of the lost flow that a wash brings back.",
        source=JUDGEMENT,
    )
    wash_cost_money: float = quantity(
        MONEY, default="$3", least="$0", greatest="$500", help="Cleaner for one wash."
    )
    start_hands_s: float = quantity(
        DURATION,
        default="15 min",
        least="0 min",
        greatest="4 h",
        help="To start it and see it run.",
    )
    stop_hands_s: float = quantity(
        DURATION, default="5 min", least="0 min", greatest="4 h", help="To stop it."
    )
    unattended: bool = yes_no(
        default=False,
        help="true if your house's rules let it run with nobody there. Needs all three cut-outs.",
    )
    passes_again: bool = yes_no(
        default=False,
        help="true if it can draw from the stock tank and return to it: once more, and stronger.",
    )
    low_flow_cutout: bool = yes_no(
        default=False, help="true if it stops by itself when the feed or the flow fails."
    )
    full_tank_cutout: bool = yes_no(
        default=False, help="true if it stops by itself when the stock tank is full."
    )
    frost_cutout: bool = yes_no(
        default=False, help="true if it is kept from freezing by itself when it stands."
    )
    place: str = choice(PLACES, default="indoors", help="A membrane must never freeze.")
    least_sap_m3: float = quantity(
        VOLUME,
        default="10 gal",
        least="0 gal",
        greatest="5000 gal",
        help="It is stopped when the sap tank is down to this.",
    )


def may_run_alone(membrane: Membrane) -> bool:
    """Return whether it may run with nobody there: the house allows it and has every cut-out."""
    cutouts = (membrane.low_flow_cutout, membrane.full_tank_cutout, membrane.frost_cutout)
    return membrane.unattended and all(cutouts)
