"""Where the house stands, its trees, and how long their sap keeps."""

from __future__ import annotations

import datetime

from sugarwright.plant.fields import (
    choice,
    day,
    number,
    quantities,
    quantity,
    section,
    table_of,
    text,
    zone,
)
from sugarwright.units import ANGLE, BRIX, FRACTION, LENGTH, TEMPERATURE


@section("Usual temperatures of the place")
class Normals:
    """Means of each day's high and low, from the nearest weather station, for seasons made up.

    National weather services print them as "climate normals". Without them they are guessed.
    """

    highs_c: tuple[float, ...] = quantities(
        TEMPERATURE,
        least="-45 C",
        greatest="45 C",
        fewest=5,
        most=5,
        help="Mean daily high of January, February, March, April and May.",
        example=["29 F", "32 F", "40 F", "54 F", "68 F"],
    )
    lows_c: tuple[float, ...] = quantities(
        TEMPERATURE,
        least="-45 C",
        greatest="45 C",
        fewest=5,
        most=5,
        help="Mean daily low of the same months.",
        example=["13 F", "14 F", "23 F", "35 F", "47 F"],
    )


@section("The place")
class Site:
    """Name, position and clock of the sugarhouse, and the units it is shown in."""

    name: str = text(
        help="What the house is called on plans and sheets.", ask="What is your sugarhouse called?"
    )
    units: str = choice(
        ("us", "metric"),
        default="us",
        help="Units to show. You may write any unit anywhere, whatever stands here.",
        ask="Show US or metric units?",
        alike={"si": "metric", "m": "metric", "litres": "metric", "imperial": "us", "usa": "us"},
    )
    latitude_deg: float = quantity(
        ANGLE,
        least="-90 deg",
        greatest="90 deg",
        help="Degrees north of the equator; two decimals are plenty. For the weather and the sun.",
        ask="Latitude, degrees north (44.26)?",
    )
    longitude_deg: float = quantity(
        ANGLE,
        least="-180 deg",
        greatest="180 deg",
        help="Degrees east of Greenwich; west is negative, so all of North America is.",
        ask="Longitude, degrees east; west is negative (-72.58)?",
    )
    elevation_m: float = quantity(
        LENGTH,
        default="1000 ft",
        least="-1000 ft",
        greatest="10000 ft",
        help="Height above the sea, from a map. Sap boils 1.8 F (1 C) cooler for each 1,000 ft "
        "(300 m), and syrup is drawn by its boiling point.",
        source="ICAO standard atmosphere and IAPWS-95 (computed)",
        ask="Elevation, the height of your sugarhouse above the sea?",
    )
    timezone: str = zone(
        help="Name in the IANA time zone database.", ask="Time zone (America/New_York)?"
    )
    currency: str = text(
        default="$", longest=8, help='Sign printed before money. In this file money is written "$".'
    )
    normals: Normals | None = table_of(
        Normals, default=None, help="For `simulate --season` and `season`."
    )


@section("The trees")
class Trees:
    """What you know of them; the rest is learnt from your tank readings."""

    sap_brix: float = quantity(
        BRIX,
        default="2.0 Brix",
        least="0.5 Brix",
        greatest="8 Brix",
        help="Sugar in early-season sap, as a refractometer shows it.",
        source="2 % is the usual rule-of-thumb sap",
    )
    yield_factor: float = number(
        default=1.0,
        least=0.05,
        greatest=5.0,
        help="Your sap per tap against an ordinary bush on the same weather: 1.2 is a fifth more.",
    )
    tapped: datetime.date = day(
        help="Date of tapping, year-month-day. Old holes run less.",
        ask="When did you tap, or when will you (2027-02-27)?",
    )


@section("Keeping")
class Keeping:
    """How old sap is judged. Growth is counted in powers of ten of the cells at the start."""

    warn_log: float = number(
        default=2.0,
        least=0.1,
        greatest=8.0,
        help="Warn at this growth: 2 is a hundredfold.",
        source="square-root growth model; the limit is a judgement",
    )
    spoiled_log: float = number(
        default=3.0,
        least=0.2,
        greatest=9.0,
        help="Sap past this growth is dumped: 3 is a thousandfold.",
        source="square-root growth model; the limit is a judgement",
    )
    tired_worth_fraction: float = quantity(
        FRACTION,
        default="60 %",
        least="0 %",
        greatest="100 %",
        help="Worth of syrup from nearly spoiled sap, against syrup from fresh sap.",
        source="dark against light grades in bulk prices, roughly",
    )
    heel_life_fraction: float = quantity(
        FRACTION,
        default="70 %",
        least="10 %",
        greatest="100 %",
        help="A heel that has used so much of its life goes out with the day's rinse; 100 %: only "
        "what has spoiled goes.",
        source="common practice, no source: fresh sap on an old heel begins as old",
    )
