"""What the commands of the finish bench read in common: texts into SI, each within what can be."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.errors import InputError, RangeError
from sugarwright.units import (
    BRIX,
    FRACTION,
    LENGTH,
    MASS,
    PRESSURE,
    TEMPERATURE,
    VOLUME,
    Kind,
    parse,
    show,
)

if TYPE_CHECKING:
    from sugarwright.bench.density_law import DensityLaw
    from sugarwright.bench.water_point import WaterPoint

FolderOption = Annotated[
    str | None,
    typer.Argument(
        metavar="FOLDER",
        show_default=False,
        help="Folder with sugarhouse.toml, for elevation, units and finish; needed for nothing.",
    ),
]
UnitsOption = Annotated[
    str | None,
    typer.Option(
        metavar="us|metric", help="Units to show. Left out: the folder's, or those you typed."
    ),
]
WaterOption = Annotated[
    str | None,
    typer.Option(
        metavar="TEMP", help="What the same thermometer showed in boiling water today; the best."
    ),
]
BarometerOption = Annotated[
    str | None,
    typer.Option(metavar="PRESSURE", help="Pressure of the air where you are, not at sea level."),
]
SeaLevelOption = Annotated[
    str | None,
    typer.Option(
        metavar="PRESSURE", help="Pressure as a weather report gives it; with --elevation."
    ),
]
ElevationOption = Annotated[
    str | None, typer.Option(metavar="HEIGHT", help="Of the sugarhouse above the sea.")
]
InvertOption = Annotated[
    str,
    typer.Option(
        metavar="SHARE", help="Invert sugar in the solids: some 1 % early, several % late."
    ),
]
LawOption = Annotated[
    str | None,
    typer.Option(metavar="PLACE", help="Whose limits apply: us, canada, vermont, maine, ..."),
]

_BAUME = re.compile(r"\s*(?:°|deg(?:rees?)?)?\s*b(?:e|é|aum[eé])\s*$", re.IGNORECASE)
_METRIC = re.compile(r"[0-9.,]\s*(?:°?\s*c|celsius|m?l|hl|lit\w*|k?g|kpa|hpa|m?bar|m)\b", re.I)

LEAST_BRIX, GREATEST_BRIX = 0.1, 80.0
COLD_C, HOT_C = -5.0, 110.0
BOILING_C = (82.0, 120.0)
WATER_BOILS_C = (82.0, 103.5)
AIR_PA = (50e3, 105e3)
AIR_UNITS = {"us": "inHg", "metric": "hPa"}  # as barometers show it


@dataclass(frozen=True)
class Place:
    """What the folder says, where one is named, and the units to show."""

    units: str
    elevation_m: float | None = None
    finish_brix: float | None = None


def place_of(folder: str | None, units: str | None, *typed: str | None) -> Place:
    """Return the place and units: as asked for, else the folder's, else those that were typed.

    Raises
    ------
    InputError : no such units, or the folder cannot be read
    """
    if units is not None and units.strip().casefold() not in ("us", "metric"):
        raise InputError("--units", units, "is no system of units", "us, metric")
    asked = None if units is None else units.strip().casefold()
    if folder is not None:
        from sugarwright.cli.folder import house_in

        house = house_in(folder)
        return Place(asked or house.site.units, house.site.elevation_m, house.pan.finish_brix)
    is_metric = any(text is not None and _METRIC.search(text) for text in typed)
    return Place(asked or ("metric" if is_metric else "us"))


def read(
    text: str,
    kind: Kind,
    option: str,
    least: float,
    greatest: float,
    system: str = "us",
    unit: str | None = None,
) -> float:
    """Return a typed quantity in SI, refused outside what it can be at the bench.

    Raises
    ------
    InputError : no quantity of that kind, or outside the range
    """
    value = parse(text, kind, option)
    if not least <= value <= greatest:
        low, high = (_edge(end, kind, system, unit) for end in (least, greatest))
        raise RangeError(option, text, "cannot be at this bench", f"{low} to {high}")
    return value


def _edge(value: float, kind: Kind, system: str, unit: str | None = None) -> str:
    digits = 1 if kind in (TEMPERATURE, BRIX) or unit == "inHg" else None
    return show(value, kind, system, digits=digits, unit=unit)


def temperature_c(text: str, option: str, system: str = "us") -> float:
    """Return the temperature of a sample or batch."""
    return read(text, TEMPERATURE, option, COLD_C, HOT_C, system)


def strength_brix(text: str, option: str, least: float = LEAST_BRIX) -> float:
    """Return a strength in Brix."""
    return read(text, BRIX, option, least, GREATEST_BRIX)


def reading_brix(text: str, option: str, calibration_c: float) -> float:
    """Return what a hydrometer shows, in Brix: it may have been read in Baumé."""
    if not _BAUME.search(text):
        return strength_brix(text, option)
    from sugarwright.physics.scales import brix_from_baume

    number = parse(_BAUME.sub("", text), BRIX, option)  # a bare number, read as such
    if not 0.1 <= number <= 42.0:
        raise RangeError(option, text, "cannot be at this bench", "0.1 to 42.0 Baumé")
    return brix_from_baume(number, calibration_c)


def share(text: str, option: str, greatest: float) -> float:
    """Return a share of a whole."""
    return read(text, FRACTION, option, 0.0, greatest)


def batch_kg(
    text: str | None, weight: str | None, brix: float, at_c: float, option: str = "--volume"
) -> float:
    """Return the mass of a batch given by volume or by weight; one of the two.

    Raises
    ------
    InputError : neither or both, or what cannot be
    """
    if text is None and weight is None:
        raise InputError(option, None, "is needed, or --weight instead of it")
    if text is not None and weight is not None:
        raise InputError(
            "--weight", weight, f"cannot stand beside {option}", fix="Give one of both"
        )
    if weight is not None:
        return read(weight, MASS, "--weight", 1e-3, 1e6)
    from sugarwright.physics.solution import mass_kg

    assert text is not None
    return mass_kg(read(text, VOLUME, option, 1e-6, 1e3), brix, at_c)


def target_brix(text: str | None, place: Place, option: str = "--to") -> float:
    """Return the strength wanted: as typed, else the folder's.

    Raises
    ------
    InputError : neither
    """
    if text is not None:
        return strength_brix(text, option)
    if place.finish_brix is not None:
        return place.finish_brix
    raise InputError(option, None, "is needed: the strength you want", fix="For example --to 66.9")


def limits(law: str | None, place: Place) -> tuple[float, float | None, str]:
    """Return least and greatest strength, and whose they are."""
    from sugarwright.bench.density_law import density_law

    if law is None and place.finish_brix is not None:
        return place.finish_brix, None, "your finish in sugarhouse.toml"
    found: DensityLaw = density_law("us" if law is None else law)
    return found.least_brix, found.greatest_brix, found.place


def water_point(
    place: Place,
    water_boils: str | None,
    barometer: str | None,
    sea_level: str | None,
    elevation: str | None,
) -> WaterPoint | None:
    """Return where water boils by the best that was given; None when nothing was.

    Raises
    ------
    InputError : what cannot be, or a sea-level pressure without an elevation
    """
    from sugarwright.bench import water_point as known

    height_m = place.elevation_m
    if elevation is not None:
        height_m = read(elevation, LENGTH, "--elevation", -200.0, 4500.0, place.units)
    if water_boils is not None:
        low, high = WATER_BOILS_C
        boils_c = read(water_boils, TEMPERATURE, "--water-boils", low, high, place.units)
        return known.from_boiling_water(boils_c)
    if barometer is not None:
        air_pa = read(barometer, PRESSURE, "--barometer", *AIR_PA, unit=AIR_UNITS[place.units])
        return known.from_barometer(air_pa)
    if sea_level is not None:
        if height_m is None:
            raise InputError("--elevation", None, "is needed with --sea-level")
        unit = AIR_UNITS[place.units]
        reported_pa = read(sea_level, PRESSURE, "--sea-level", 90e3, 105e3, unit=unit)
        return known.from_weather_report(reported_pa, height_m)
    return None if height_m is None else known.from_elevation(height_m)
