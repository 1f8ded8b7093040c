"""``sugarwright finish adjust``, ``blend`` and ``ratio``: amounts, by mass."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import FolderOption, UnitsOption
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError, QuantityError
from sugarwright.units import BRIX, MASS, VOLUME, parse

if TYPE_CHECKING:
    from sugarwright.bench.adjust import Batch

ToOption = Annotated[
    str | None,
    typer.Option(metavar="BRIX", help="Strength you want; left out: the folder's finish."),
]
ErrorOption = Annotated[
    str,
    typer.Option(
        "--error", metavar="BRIX", help="Of your instrument: one standard deviation in Brix."
    ),
]
ROOM_C = 20.0
_DRUM = re.compile(
    r"\s*(?P<amount>.*?[a-z0-9])(?:\s*[,;@]\s*|\s+(?:at|of)\s+|\s+)"
    r"(?P<brix>[0-9]+(?:[.,][0-9]+)?)\s*(?:%|°?\s*bx|°?\s*brix)?\s*",
    re.IGNORECASE,
)


def adjust(
    folder: FolderOption = None,
    volume: Annotated[str | None, typer.Option(metavar="VOLUME", help="Of the batch.")] = None,
    weight: Annotated[
        str | None, typer.Option(metavar="MASS", help="Of the batch, instead of its volume.")
    ] = None,
    brix: Annotated[
        str | None, typer.Option(metavar="BRIX", help="Strength of the batch as it is.")
    ] = None,
    temperature: Annotated[
        str, typer.Option(metavar="TEMP", help="Of the batch when its volume was read.")
    ] = "68 F",
    to: ToOption = None,
    with_: Annotated[
        str | None,
        typer.Option(
            "--with",
            metavar="BRIX",
            help="Strength of what you add: sap, thin or heavy syrup. Left out: water, or boiling.",
        ),
    ] = None,
    error: ErrorOption = "0.2 Brix",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """How much do I add to bring a batch to its strength? Or boil off.

    Heavy syrup is thinned with water or sap, thin syrup boiled down or strengthened with heavier.
    All by mass, so that nothing is lost by volumes that don't add up.

    Examples:
      sugarwright finish adjust --volume "6 gal" --brix 68.2 --to 66.9
      sugarwright finish adjust --weight "40 lb" --brix 64 --to 66.5 --with 69
    """
    place = options.place_of(folder, units, volume, weight)
    target = options.target_brix(to, place)
    if brix is None:
        raise InputError("--brix", None, "is needed: the strength of the batch as it is")
    strength = options.strength_brix(brix, "--brix")
    at_c = options.temperature_c(temperature, "--temperature", place.units)
    added = None if with_ is None else options.strength_brix(with_, "--with", 0.0)
    sd_brix = options.read(error, BRIX, "--error", 0.0, 5.0)
    mass = options.batch_kg(volume, weight, strength, at_c)

    from sugarwright.bench.adjust import Batch
    from sugarwright.bench.adjust import adjust as adjusted
    from sugarwright.cli.finish_text import adjust_lines

    batch = Batch(mass, strength, sd_brix, 0.01 if weight is None else 0.002)
    result = adjusted(batch, target, added)
    say(*([as_json(result)] if json else adjust_lines(result, target, place.units)))


def blend(
    folder: FolderOption = None,
    drum: Annotated[
        list[str] | None,
        typer.Option(
            metavar="AMOUNT BRIX", help='A drum, "40 gal 68.2" or "300 lb 65.1"; give each.'
        ),
    ] = None,
    to: Annotated[
        str | None,
        typer.Option(metavar="BRIX", help="Strength you want. Left out: pour all together."),
    ] = None,
    error: ErrorOption = "0.2 Brix",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """What comes of blending drums, or how much of each gives the strength I want?

    Volumes are taken at 68 F (20 C). With --to it gives the largest blend of that strength.

    Examples:
      sugarwright finish blend --drum "40 gal 68.2" --drum "38 gal 65.1"
      sugarwright finish blend --drum "150 L 68.2" --drum "140 L 65.1" --to 66.9
    """
    drums = drum or []
    place = options.place_of(folder, units, *drums)
    if not drums:
        raise InputError("--drum", None, "is needed, once for each drum", 'for example "40 gal 68"')
    sd_brix = options.read(error, BRIX, "--error", 0.0, 5.0)
    batches = [_drum(text, sd_brix) for text in drums]

    from sugarwright.bench.blend import blend as blended
    from sugarwright.bench.blend import blend_to
    from sugarwright.cli.finish_text import blend_lines

    target = None if to is None else options.strength_brix(to, "--to")
    result = blended(batches) if target is None else blend_to(batches, target)
    say(*([as_json(result)] if json else blend_lines(result, target is not None, place.units)))


def ratio(
    folder: FolderOption = None,
    brix: Annotated[str | None, typer.Option(metavar="BRIX", help="Strength of the sap.")] = None,
    sap: Annotated[str, typer.Option(metavar="VOLUME", help="How much sap.")] = "100 gal",
    to: Annotated[
        str | None,
        typer.Option(metavar="BRIX", help="Of the syrup; left out: the folder's finish, or 66.0."),
    ] = None,
    error: ErrorOption = "0.1 Brix",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """How much syrup is in this sap? By the balance of sugar, beside the rules of thumb.

    The rule of 86 is a percent short for thin sap and several percent over for concentrate. The
    balance counts all sugar as kept: foam, niter and spills come off it.

    Examples:
      sugarwright finish ratio --brix 2.1 --sap "400 gal"
      sugarwright finish ratio --brix 8 --sap "300 L" --to 66.9
    """
    place = options.place_of(folder, units, sap)
    if brix is None:
        raise InputError("--brix", None, "is needed: the strength of the sap")
    sap_brix = options.read(brix, BRIX, "--brix", 0.2, 60.0)
    syrup_brix = place.finish_brix or 66.0
    if to is not None:
        syrup_brix = options.strength_brix(to, "--to")
    sap_m3 = options.read(sap, VOLUME, "--sap", 1e-6, 1e5)
    sd_brix = options.read(error, BRIX, "--error", 0.0, 2.0)

    from sugarwright.bench.sap_to_syrup import sap_to_syrup
    from sugarwright.cli.finish_text import ratio_lines

    result = sap_to_syrup(sap_m3, sap_brix, syrup_brix, sd_brix)
    say(*([as_json(result)] if json else ratio_lines(result, place.units)))


def _drum(text: str, sd_brix: float) -> Batch:
    from sugarwright.bench.adjust import Batch, batch_of_volume

    found = _DRUM.fullmatch(text) if len(text) <= 100 else None
    if found is None:
        raise QuantityError(
            "--drum", text, "is no amount and strength", fix='Write it like "40 gal 68.2"'
        )
    brix = options.strength_brix(found["brix"], "--drum")
    try:
        parse(found["amount"], MASS)
    except InputError:
        volume_m3 = options.read(found["amount"], VOLUME, "--drum", 1e-6, 1e3)
        return batch_of_volume(volume_m3, brix, ROOM_C, sd_brix)
    mass = options.read(found["amount"], MASS, "--drum", 1e-3, 1e6)
    return Batch(mass, brix, sd_brix, 0.002)
