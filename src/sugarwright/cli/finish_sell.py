"""``sugarwright finish grade``, ``pack`` and ``law``: what syrup for sale needs."""

from __future__ import annotations

from typing import Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import FolderOption, UnitsOption
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say


def grade(
    light: Annotated[
        str | None,
        typer.Option(metavar="SHARE", help='Let through at 560 nm, glycerol being 100: "62 %".'),
    ] = None,
    error: Annotated[
        str, typer.Option(metavar="SHARE", help="Of the instrument: one standard deviation.")
    ] = "1 %",
    json: JsonOption = False,
) -> None:
    """Which colour class is it? From the light that 10 mm of syrup let through.

    US and Canadian standards share the four classes and their limits. Taste, clearness and density
    make the grade as well; those are for you to judge.

    Example:
      sugarwright finish grade --light "62 %"
    """
    from sugarwright.answering import bench_sell as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_sell import grade_told

    result = bench.grade(light, options.terms_of(None, None), error)
    say(*([as_json(result)] if json else told_lines(grade_told(result))))


def pack(
    folder: FolderOption = None,
    volume: Annotated[
        str | None, typer.Option(metavar="VOLUME", help="Of the batch, hot as it is packed.")
    ] = None,
    temperature: Annotated[
        str, typer.Option(metavar="TEMP", help="Of the syrup as it is packed.")
    ] = "185 F",
    brix: Annotated[
        str | None,
        typer.Option(metavar="BRIX", help="Strength; left out: the folder's finish, or 66.9."),
    ] = None,
    into: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SIZE", help="gallon, quart, pint, 500 mL ...; the larger are filled first."
        ),
    ] = None,
    loss: Annotated[
        str, typer.Option(metavar="SHARE", help="Left in filter, filler and pails: 1 to 3 %.")
    ] = "2 %",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """How many containers does this batch fill? And what must each weigh?

    Hot syrup shrinks by some 3 % while it cools to the 68 F (20 C) of its label, so fill by weight
    and not by the hot level.

    Examples:
      sugarwright finish pack --volume "10 gal" --temperature 186F
      sugarwright finish pack --volume "40 L" --into "1 L" --into "250 mL"
    """
    terms = options.terms_of(folder, units, volume, *(into or ()))

    from sugarwright.answering import bench_sell as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_sell import pack_told

    result, strength = bench.pack(volume, terms, temperature, brix, into or (), loss)
    say(*([as_json(result)] if json else told_lines(pack_told(result, strength, terms.units))))


def law(
    place: Annotated[
        str | None,
        typer.Argument(metavar="PLACE", help="us, canada, vermont ...; all if left out."),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """How dense must syrup be by law? Least and greatest, each with its source.

    A table to start from, and no legal advice: what was only quoted or is from memory says so, and
    the authority's own text rules.

    Examples:
      sugarwright finish law
      sugarwright finish law vermont
    """
    terms = options.terms_of(None, units)

    from sugarwright.answering import bench_sell as bench
    from sugarwright.cli.finish_text import law_lines
    from sugarwright.saying.bench_sell import laws_told

    result = bench.law(place, terms)
    say(*([as_json(result)] if json else law_lines(laws_told(result, terms.units))))
