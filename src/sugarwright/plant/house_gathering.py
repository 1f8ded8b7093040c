"""How the sap comes in: by itself, through a pump, or in trips."""

from __future__ import annotations

from sugarwright.plant.fields import choice, quantity, section, table_of, text, whole
from sugarwright.plant.house_tank import PRACTICE, Tank
from sugarwright.units import CURRENT, DURATION, FLOW, LENGTH, PRESSURE, VOLUME

WAYS = ("gravity", "pump", "trips")


@section(
    "The pump that sends sap in",
    caution="Ground-fault protection, a licensed electrician and your local code. Drain pump and "
    "line before a frost; never thaw with a flame.",
)
class Pump:
    """A transfer pump with its line. The program finds the flow where pump and line agree."""

    start_volume_m3: float = quantity(
        VOLUME,
        default="50 gal",
        least="1 gal",
        greatest="50000 gal",
        help="Volume in the gathering tank at which the pump is started, by float or by hand.",
    )
    shutoff_head_m: float = quantity(
        LENGTH,
        default="60 ft",
        least="3 ft",
        greatest="1000 ft",
        help="Highest lift at which the pump still holds the water but moves none (its plate).",
    )
    free_flow_m3_s: float = quantity(
        FLOW,
        default="20 gal/min",
        least="0.1 gal/min",
        greatest="500 gal/min",
        help="Flow with no lift and no line.",
    )
    lift_m: float = quantity(
        LENGTH,
        default="20 ft",
        least="-500 ft",
        greatest="500 ft",
        help="Rise from the gathering tank to the sap tank; negative when it falls.",
    )
    line_length_m: float = quantity(
        LENGTH,
        default="500 ft",
        least="1 ft",
        greatest="20000 ft",
        help="Length of the line. What stands in it freezes: it must drain.",
    )
    line_bore_m: float = quantity(
        LENGTH,
        default="1.049 in",
        least="0.2 in",
        greatest="6 in",
        help="Inside diameter of the line; 1.049 in is 1-inch pipe by iron pipe size.",
    )
    current_a: float = quantity(
        CURRENT,
        default="8 A",
        least="0 A",
        greatest="200 A",
        help="Current of the motor; 0 when it does not hang on the sugarhouse's circuit.",
        source=PRACTICE,
    )


@section("Fetching it")
class Trips:
    """Sap fetched by sled, truck or pail."""

    load_m3: float = quantity(
        VOLUME, default="60 gal", least="1 gal", greatest="5000 gal", help="What one trip brings."
    )
    duration_s: float = quantity(
        DURATION,
        default="40 min",
        least="1 min",
        greatest="12 h",
        help="One trip, there and back, with loading and emptying.",
    )
    start_volume_m3: float = quantity(
        VOLUME,
        default="40 gal",
        least="1 gal",
        greatest="50000 gal",
        help="You don't set out for less than this in the gathering tank, or with room for less in "
        "the sap tank (of a small one half is room enough).",
    )


@section("Gathering")
class Gathering:
    """A group of taps whose sap comes in together. Write one [[gathering]] for each.

    "gravity": runs to the sap tank by itself. "pump": collects in a tank of its own and is
    pumped. "trips": collects in tanks or pails and is fetched.
    """

    name: str = text(default="main", help="Short name; each gathering needs another.")
    taps: int = whole(
        least=1, greatest=20000, help="Number of taps.", ask="How many taps have you?"
    )
    way: str = choice(
        WAYS,
        default="gravity",
        help="How the sap reaches the sugarhouse.",
        ask="How does sap come in: by gravity, by pump, or do you carry it in trips (buckets)?",
        alike={
            "buckets": "trips",
            "bucket": "trips",
            "pails": "trips",
            "bags": "trips",
            "carry": "trips",
            "tractor": "trips",
            "trip": "trips",
            "tubing": "gravity",
            "lines": "gravity",
            "slope": "gravity",
            "pumped": "pump",
        },
    )
    vacuum_pa: float = quantity(
        PRESSURE,
        default="0 inHg",
        least="0 inHg",
        greatest="29.9 inHg",
        help="Vacuum at the tap-hole on a good day; 0 for buckets and lines open to the air.",
        source="a full line with 10 ft of drop below the tap makes some 9 inHg (hydrostatics)",
    )
    tank: Tank | None = table_of(
        Tank,
        default=None,
        title="The gathering tank",
        help="Its own tank, for pump and trips.",
        ask="Volume of the tank, or of all pails, in which sap is gathered out there?",
    )
    pump: Pump | None = table_of(Pump, default=None, help='For way = "pump".')
    trips: Trips | None = table_of(Trips, default=None, help='For way = "trips".')
