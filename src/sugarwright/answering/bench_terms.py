"""What every question at the finish bench is asked in: texts into SI, each within what can be."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

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

LEAST_BRIX, GREATEST_BRIX = 0.1, 80.0
COLD_C, HOT_C = -5.0, 110.0
BOILING_C = (82.0, 120.0)
WATER_BOILS_C = (82.0, 103.5)
AIR_PA = (50e3, 105e3)
AIR_UNITS = {"us": "inHg", "metric": "hPa"}  # as barometers show it
GREATEST_INVERT = 0.3
_BAUME = re.compile(r"\s*(?:°|deg(?:rees?)?)?\s*b(?:e|é|aum[eé])\s*$", re.IGNORECASE)


def read(
    text: str,
    kind: Kind,
    field: str,
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
    value = parse(text, kind, field)
    if not least <= value <= greatest:
        low, high = (_edge(end, kind, system, unit) for end in (least, greatest))
        raise RangeError(field, text, "cannot be at this bench", f"{low} to {high}")
    return value


def _edge(value: float, kind: Kind, system: str, unit: str | None = None) -> str:
    digits = 1 if kind in (TEMPERATURE, BRIX) or unit == "inHg" else None
    return show(value, kind, system, digits=digits, unit=unit)


@dataclass(frozen=True)
class Terms:
    """How one asks: in which units, of which house, and what the face calls each field.

    Parameters
    ----------
    units : us or metric
    named : gives a field's name as the person knows it, an option or a label
    elevation_m : of the house, if there is one
    finish_brix : its strength of syrup
    """

    units: str
    named: Callable[[str], str]
    elevation_m: float | None = None
    finish_brix: float | None = None

    def refusal(self, name: str, problem: str, allowed: str = "", fix: str = "") -> InputError:
        """Return what is raised of a field that was left out."""
        return InputError(self.named(name), None, problem, allowed, fix)

    def temperature_c(
        self, text: str, name: str, least: float = COLD_C, greatest: float = HOT_C
    ) -> float:
        """Return the temperature of a sample or batch."""
        return read(text, TEMPERATURE, self.named(name), least, greatest, self.units)

    def strength_brix(
        self, text: str, name: str, least: float = LEAST_BRIX, greatest: float = GREATEST_BRIX
    ) -> float:
        """Return a strength in Brix."""
        return read(text, BRIX, self.named(name), least, greatest)

    def hydrometer_brix(self, text: str, name: str, calibration_c: float) -> float:
        """Return what a hydrometer shows, in Brix: it may have been read in Baumé."""
        if not _BAUME.search(text):
            return self.strength_brix(text, name)
        from sugarwright.physics.scales import brix_from_baume

        number = parse(_BAUME.sub("", text), BRIX, self.named(name))  # a bare number, read as such
        if not 0.1 <= number <= 42.0:
            raise RangeError(self.named(name), text, "cannot be at this bench", "0.1 to 42.0 Baumé")
        return brix_from_baume(number, calibration_c)

    def share(self, text: str, name: str, greatest: float) -> float:
        """Return a share of a whole."""
        return read(text, FRACTION, self.named(name), 0.0, greatest)

    def volume_m3(self, text: str, name: str, least: float = 1e-6, greatest: float = 1e3) -> float:
        """Return a volume."""
        return read(text, VOLUME, self.named(name), least, greatest, self.units)

    def batch_kg(self, volume: str | None, weight: str | None, brix: float, at_c: float) -> float:
        """Return the mass of a batch given by volume or by weight; one of the two.

        Raises
        ------
        InputError : neither or both, or what cannot be
        """
        by_weight = self.named("weight")
        if volume is None and weight is None:
            raise self.refusal("volume", f"is needed, or {by_weight} instead of it")
        if volume is not None and weight is not None:
            problem = f"cannot stand beside {self.named('volume')}"
            raise InputError(by_weight, weight, problem, fix="Give one of both")
        if weight is not None:
            return read(weight, MASS, by_weight, 1e-3, 1e6, self.units)
        from sugarwright.physics.solution import mass_kg

        assert volume is not None
        return mass_kg(self.volume_m3(volume, "volume"), brix, at_c)

    def target_brix(self, text: str | None) -> float:
        """Return the strength wanted: as typed, else the house's.

        Raises
        ------
        InputError : neither
        """
        if text is not None:
            return self.strength_brix(text, "to")
        if self.finish_brix is not None:
            return self.finish_brix
        fix = f"For example {self.named('to')} 66.9"
        raise self.refusal("to", "is needed: the strength you want", fix=fix)

    def limits(self, law: str | None) -> tuple[float, float | None, str]:
        """Return least and greatest strength, and whose they are."""
        from sugarwright.bench.density_law import density_law

        if law is None and self.finish_brix is not None:
            return self.finish_brix, None, "your finish in sugarhouse.toml"
        found: DensityLaw = density_law("us" if law is None else law)
        return found.least_brix, found.greatest_brix, found.place


@dataclass(frozen=True)
class Boils:
    """By what it is known where water boils, as typed; the first that is given counts.

    Parameters
    ----------
    water_boils : what the thermometer showed in boiling water
    barometer : pressure of the air there
    sea_level : pressure as a weather report gives it
    elevation : of the place; left out: the house's
    """

    water_boils: str | None = None
    barometer: str | None = None
    sea_level: str | None = None
    elevation: str | None = None

    def point(self, terms: Terms) -> WaterPoint | None:
        """Return where water boils; None when nothing was given, and no house.

        Raises
        ------
        InputError : what cannot be, or a sea-level pressure without an elevation
        """
        from sugarwright.bench import water_point as known

        height_m, unit = terms.elevation_m, AIR_UNITS[terms.units]
        if self.elevation is not None:
            field = terms.named("elevation")
            height_m = read(self.elevation, LENGTH, field, -200.0, 4500.0, terms.units)
        if self.water_boils is not None:
            boils_c = terms.temperature_c(self.water_boils, "water-boils", *WATER_BOILS_C)
            return known.from_boiling_water(boils_c)
        if self.barometer is not None:
            field = terms.named("barometer")
            return known.from_barometer(read(self.barometer, PRESSURE, field, *AIR_PA, unit=unit))
        if self.sea_level is not None:
            field = terms.named("sea-level")
            if height_m is None:
                raise terms.refusal("elevation", f"is needed with {field}")
            reported_pa = read(self.sea_level, PRESSURE, field, 90e3, 105e3, unit=unit)
            return known.from_weather_report(reported_pa, height_m)
        return None if height_m is None else known.from_elevation(height_m)


def ways_to_know(terms: Terms) -> str:
    """Return by what it can be known where water boils, as the face names it."""
    water, air, sea, height = map(
        terms.named, ("water-boils", "barometer", "sea-level", "elevation")
    )
    return f"{water}, {air}, {sea} with {height}, {height}, or {terms.named('folder')}"
