"""Is it syrup, and where does it boil? As typed at the bench, answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sugarwright.answering.bench_terms import (
    BOILING_C,
    GREATEST_INVERT,
    Boils,
    Terms,
    ways_to_know,
)
from sugarwright.bench.boiling_now import BoilingNow, boiling_now
from sugarwright.bench.instruments import (
    Strength,
    by_hydrometer,
    by_refractometer,
    by_thermometer,
)
from sugarwright.bench.is_syrup import SyrupCheck, check_syrup
from sugarwright.bench.water_point import WaterPoint
from sugarwright.errors import InputError, RangeError

USUAL_CALIBRATION = "60 F"
NO_INVERT = "0 %"


@dataclass(frozen=True)
class Measured:
    """What was measured, as typed; None for what was not.

    Parameters
    ----------
    hydrometer, temperature : what it shows, and how warm the syrup in its cup is
    calibrated : at which it reads true
    refractometer, prism : what it shows, and how warm its prism is if it does not correct itself
    thermometer : in the boiling syrup
    boils : where water boils
    invert : share of the solids that is invert sugar
    law : whose limits apply
    """

    hydrometer: str | None = None
    temperature: str | None = None
    calibrated: str = USUAL_CALIBRATION
    refractometer: str | None = None
    prism: str | None = None
    thermometer: str | None = None
    boils: Boils = field(default_factory=Boils)
    invert: str = NO_INVERT
    law: str | None = None


def check(typed: Measured, terms: Terms) -> tuple[SyrupCheck, str]:
    """Return whether it is syrup, and whose limits that goes by.

    Raises
    ------
    InputError : nothing was measured, or what cannot be
    """
    water = typed.boils.point(terms)
    least, greatest, whose = terms.limits(typed.law)
    _belongs("temperature", typed.temperature, "hydrometer", typed.hydrometer, terms)
    _belongs("prism", typed.prism, "refractometer", typed.refractometer, terms)
    invert_fraction = terms.share(typed.invert, "invert", GREATEST_INVERT)
    found: list[Strength] = []
    cup_c, calibration_c = None, terms.temperature_c(typed.calibrated, "calibrated", 0.0, 30.0)
    if typed.hydrometer is not None:
        if typed.temperature is None:
            needed = f"is needed with {terms.named('hydrometer')}"
            raise terms.refusal("temperature", needed)
        cup_c = terms.temperature_c(typed.temperature, "temperature")
        found.append(_hydrometer(typed.hydrometer, cup_c, calibration_c, terms))
    if typed.refractometer is not None:
        found.append(_refractometer(typed.refractometer, typed.prism, terms))
    if typed.thermometer is not None:
        found.append(_thermometer(typed.thermometer, water, invert_fraction, terms))
    if not found:
        cup, shows = terms.named("temperature"), map(terms.named, ("refractometer", "thermometer"))
        allowed = ", ".join((f"{terms.named('hydrometer')} with {cup}", *shows))
        raise terms.refusal("check", "nothing was measured", allowed)
    return check_syrup(found, least, greatest, cup_c, calibration_c, water), whose


def boil(
    boils: Boils, terms: Terms, strengths: Sequence[str] = (), invert: str = NO_INVERT
) -> BoilingNow:
    """Return where syrup boils today.

    Parameters
    ----------
    boils : by what it is known where water does
    terms : of the question
    strengths : of syrup, as typed; none: the usual ones
    invert : share of the solids that is invert sugar

    Raises
    ------
    InputError : nothing tells where water boils, or what cannot be
    """
    water = boils.point(terms)
    if water is None:
        problem = "it is not known where water boils"
        raise terms.refusal("boil", problem, ways_to_know(terms))
    wanted = [terms.strength_brix(text, "brix", 1.0, 74.0) for text in strengths]
    if not wanted:
        wanted = sorted({66.0, 66.9, terms.finish_brix or 66.9})
    return boiling_now(water, wanted, terms.share(invert, "invert", GREATEST_INVERT))


def _belongs(
    name: str, text: str | None, instrument: str, reading: str | None, terms: Terms
) -> None:
    """Refuse what is said of an instrument without its reading: it would be passed over."""
    if text is not None and reading is None:
        problem = f"belongs to {terms.named(instrument)}, which is not given"
        raise InputError(terms.named(name), text, problem)


def _hydrometer(text: str, cup_c: float, calibration_c: float, terms: Terms) -> Strength:
    reading = terms.hydrometer_brix(text, "hydrometer", calibration_c)
    try:
        return by_hydrometer(reading, cup_c, calibration_c)
    except RangeError:
        raise RangeError(
            terms.named("hydrometer"),
            text,
            "nothing that is sap or syrup reads so at that temperature",
            fix=f"Check the reading and {terms.named('temperature')}, which is the sample's",
        ) from None


def _refractometer(text: str, prism: str | None, terms: Terms) -> Strength:
    reading = terms.strength_brix(text, "refractometer")
    if prism is None:
        return by_refractometer(reading)
    # Hotter than that the drop thickens while one looks, and no correction holds.
    return by_refractometer(reading, terms.temperature_c(prism, "prism", 5.0, 30.0))


def _thermometer(
    text: str, water: WaterPoint | None, invert_fraction: float, terms: Terms
) -> Strength:
    field = terms.named("thermometer")
    if water is None:
        problem = f"is needed with {field}, as syrup is judged by the rise over water"
        raise terms.refusal("water-boils", problem, ways_to_know(terms))
    boiling_c = terms.temperature_c(text, "thermometer", *BOILING_C)
    try:
        return by_thermometer(boiling_c, water, invert_fraction)
    except RangeError:
        raise RangeError(
            field,
            text,
            "is hotter than any syrup boils there",
            fix="Check it against boiling water; beyond syrup, candy tables serve better",
        ) from None
    except InputError as error:
        raise error.at(field) from None
