"""``sugarwright finish check`` and ``boil``: strength, and where things boil."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import (
    BarometerOption,
    ElevationOption,
    FolderOption,
    InvertOption,
    LawOption,
    SeaLevelOption,
    UnitsOption,
    WaterOption,
)
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError, RangeError
from sugarwright.units import BRIX, TEMPERATURE

if TYPE_CHECKING:
    from sugarwright.bench.instruments import Strength
    from sugarwright.bench.water_point import WaterPoint

GREATEST_INVERT = 0.3


def check(
    folder: FolderOption = None,
    hydrometer: Annotated[
        str | None,
        typer.Option(metavar="READING", help='What it shows: "59 Brix" or "32.1 Baume".'),
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(metavar="TEMP", help="Of the syrup in the hydrometer's cup.")
    ] = None,
    calibrated: Annotated[
        str, typer.Option(metavar="TEMP", help="At which the hydrometer reads true; it says so.")
    ] = "60 F",
    refractometer: Annotated[
        str | None, typer.Option(metavar="READING", help="What it shows on a cooled drop, Brix.")
    ] = None,
    prism: Annotated[
        str | None,
        typer.Option(metavar="TEMP", help="Of its prism; leave out if it corrects itself (ATC)."),
    ] = None,
    thermometer: Annotated[
        str | None, typer.Option(metavar="TEMP", help="Of the boiling syrup.")
    ] = None,
    water_boils: WaterOption = None,
    barometer: BarometerOption = None,
    sea_level: SeaLevelOption = None,
    elevation: ElevationOption = None,
    invert: InvertOption = "0 %",
    law: LawOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Is it syrup? By hydrometer, refractometer, thermometer, or any of them.

    Each reading becomes a strength with its uncertainty. Two or three are compared: they agree, or
    it says which is off and what may have caused it. Limits are those of the law you name, else
    of your folder's finish, else the US federal ones.

    Examples:
      sugarwright finish check --hydrometer "59 Brix" --temperature 211F
      sugarwright finish check --thermometer 219F --water-boils 212F --law maine
      sugarwright finish check --refractometer 66.2 --prism 24C
    """
    place = options.place_of(folder, units, temperature, thermometer, prism, water_boils)
    water = options.water_point(place, water_boils, barometer, sea_level, elevation)
    least, greatest, whose = options.limits(law, place)
    _belongs("--temperature", temperature, "--hydrometer", hydrometer)
    _belongs("--prism", prism, "--refractometer", refractometer)
    share = options.share(invert, "--invert", GREATEST_INVERT)
    found: list[Strength] = []
    cup_c, calibration_c = None, options.read(calibrated, TEMPERATURE, "--calibrated", 0.0, 30.0)
    if hydrometer is not None:
        if temperature is None:
            raise InputError("--temperature", None, "is needed with --hydrometer")
        cup_c = options.temperature_c(temperature, "--temperature", place.units)
        found.append(_hydrometer(hydrometer, cup_c, calibration_c))
    if refractometer is not None:
        found.append(_refractometer(refractometer, prism, place))
    if thermometer is not None:
        found.append(_thermometer(thermometer, water, share, place))
    if not found:
        raise InputError(
            "finish check",
            None,
            "nothing was measured",
            "--hydrometer with --temperature, --refractometer, --thermometer",
        )

    from sugarwright.bench.is_syrup import check_syrup
    from sugarwright.cli.finish_text import check_lines

    result = check_syrup(found, least, greatest, cup_c, calibration_c, water)
    say(*([as_json(result)] if json else check_lines(result, whose, place.units)))


def boil(
    folder: FolderOption = None,
    water_boils: WaterOption = None,
    barometer: BarometerOption = None,
    sea_level: SeaLevelOption = None,
    elevation: ElevationOption = None,
    brix: Annotated[
        list[str] | None,
        typer.Option(metavar="BRIX", help="Strength of syrup; may be given several times."),
    ] = None,
    invert: InvertOption = "0 %",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Where does syrup boil today? By your thermometer in water, barometer or elevation.

    Syrup is drawn by how much hotter it boils than water does that day. An inch of mercury on the
    barometer moves both by 1.7 F, four Brix's worth.

    Examples:
      sugarwright finish boil --water-boils 210.4F
      sugarwright finish boil --sea-level "30.12 inHg" --elevation "1200 ft"
    """
    place = options.place_of(folder, units, water_boils, barometer, sea_level, elevation)
    water = options.water_point(place, water_boils, barometer, sea_level, elevation)
    if water is None:
        raise InputError(
            "finish boil",
            None,
            "it is not known where water boils",
            "--water-boils, --barometer, --sea-level with --elevation, --elevation, or a FOLDER",
        )
    wanted = [options.read(text, BRIX, "--brix", 1.0, 74.0) for text in brix or ()]
    if not wanted:
        wanted = sorted({66.0, 66.9, place.finish_brix or 66.9})
    share = options.share(invert, "--invert", GREATEST_INVERT)

    from sugarwright.bench.boiling_now import boiling_now
    from sugarwright.cli.finish_text import boil_lines

    result = boiling_now(water, wanted, share)
    say(*([as_json(result)] if json else boil_lines(result, place.units)))


def _belongs(option: str, text: str | None, instrument: str, reading: str | None) -> None:
    """Refuse what is said of an instrument without its reading: it would be passed over."""
    if text is not None and reading is None:
        raise InputError(option, text, f"belongs to {instrument}, which is not given")


def _hydrometer(text: str, cup_c: float, calibration_c: float) -> Strength:
    from sugarwright.bench.instruments import by_hydrometer

    reading = options.reading_brix(text, "--hydrometer", calibration_c)
    try:
        return by_hydrometer(reading, cup_c, calibration_c)
    except RangeError:
        raise RangeError(
            "--hydrometer",
            text,
            "nothing that is sap or syrup reads so at that temperature",
            fix="Check the reading and --temperature, which is the sample's",
        ) from None


def _refractometer(text: str, prism: str | None, place: options.Place) -> Strength:
    from sugarwright.bench.instruments import by_refractometer

    reading = options.strength_brix(text, "--refractometer")
    if prism is None:
        return by_refractometer(reading)
    # Hotter than that the drop thickens while one looks, and no correction holds.
    prism_c = options.read(prism, TEMPERATURE, "--prism", 5.0, 30.0, place.units)
    return by_refractometer(reading, prism_c)


def _thermometer(
    text: str, water: WaterPoint | None, invert_fraction: float, place: options.Place
) -> Strength:
    from sugarwright.bench.instruments import by_thermometer

    if water is None:
        raise InputError(
            "--water-boils",
            None,
            "is needed with --thermometer, as syrup is judged by the rise over water",
            "--water-boils, --barometer, --sea-level with --elevation, --elevation, or a FOLDER",
        )
    low, high = options.BOILING_C
    boiling_c = options.read(text, TEMPERATURE, "--thermometer", low, high, place.units)
    try:
        return by_thermometer(boiling_c, water, invert_fraction)
    except RangeError:
        raise RangeError(
            "--thermometer",
            text,
            "is hotter than any syrup boils there",
            fix="Check it against boiling water; beyond syrup, candy tables serve better",
        ) from None
    except InputError as error:
        raise error.at("--thermometer") from None
