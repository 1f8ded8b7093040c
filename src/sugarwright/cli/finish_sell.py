"""``sugarwright finish grade``, ``pack`` and ``law``: what syrup for sale needs."""

from __future__ import annotations

from typing import Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import FolderOption, UnitsOption
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError
from sugarwright.units import FRACTION, VOLUME


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
    if light is None:
        raise InputError("--light", None, "is needed: the light let through", 'as in "62 %"')
    through = options.share(light, "--light", 1.0)
    sd_fraction = options.read(error, FRACTION, "--error", 0.0, 0.2)

    from sugarwright.bench.grade import grade as graded
    from sugarwright.cli.finish_text import grade_lines

    result = graded(through, sd_fraction)
    say(*([as_json(result)] if json else grade_lines(result)))


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
    place = options.place_of(folder, units, volume, *(into or ()))
    if volume is None:
        raise InputError("--volume", None, "is needed: the hot batch", 'for example "10 gal"')
    strength = place.finish_brix or 66.9
    if brix is not None:
        strength = options.strength_brix(brix, "--brix")
    packing_c = options.temperature_c(temperature, "--temperature", place.units)
    volume_m3 = options.read(volume, VOLUME, "--volume", 1e-5, 1e3)
    loss_fraction = options.share(loss, "--loss", 0.4)

    from sugarwright.bench.containers import USUAL, containers
    from sugarwright.cli.finish_text import pack_lines

    sizes = [_size(text) for text in into or ()]
    result = containers(volume_m3, strength, packing_c, sizes, USUAL[place.units], loss_fraction)
    say(*([as_json(result)] if json else pack_lines(result, strength, place.units)))


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
    system = options.place_of(None, units).units

    from sugarwright.bench.density_law import density_laws
    from sugarwright.cli.finish_text import law_lines

    try:
        result = density_laws(place)
    except InputError as error:
        raise error.at("PLACE") from None
    say(*([as_json(result)] if json else law_lines(result, system)))


def _size(text: str) -> str:
    """Return the name of a container as typed: any case, one or many of them, "1l" for "1 L".

    Raises
    ------
    InputError : no such container
    """
    from sugarwright.bench.containers import SIZES

    def plain(name: str) -> str:
        return "".join(name.casefold().split()).replace("-", "").rstrip("s")

    wanted = plain(text)
    for name in SIZES:
        if plain(name) == wanted:
            return name
    raise InputError("--into", text, "is no container known here", ", ".join(SIZES))
