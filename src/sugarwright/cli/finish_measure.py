"""``sugarwright finish check`` and ``boil``: strength, and where things boil."""

from __future__ import annotations

from typing import Annotated

import typer

from sugarwright.answering.bench_terms import Boils
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
    terms = options.terms_of(folder, units, temperature, thermometer, prism, water_boils)

    from sugarwright.answering import bench_measure as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_measure import check_told

    boils = Boils(water_boils, barometer, sea_level, elevation)
    measured = bench.Measured(
        hydrometer, temperature, calibrated, refractometer, prism, thermometer, boils, invert, law
    )
    result, whose = bench.check(measured, terms)
    say(*([as_json(result)] if json else told_lines(check_told(result, whose, terms.units))))


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
    terms = options.terms_of(folder, units, water_boils, barometer, sea_level, elevation)

    from sugarwright.answering import bench_measure as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_measure import boil_told

    boils = Boils(water_boils, barometer, sea_level, elevation)
    result = bench.boil(boils, terms, brix or (), invert)
    told = boil_told(result, terms.units, terms.named)
    say(*([as_json(result)] if json else told_lines(told)))
