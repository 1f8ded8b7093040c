"""``sugarwright finish adjust``, ``blend`` and ``ratio``: amounts, by mass."""

from __future__ import annotations

from typing import Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import FolderOption, UnitsOption
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say

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
    terms = options.terms_of(folder, units, volume, weight)

    from sugarwright.answering import bench_batch as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_batch import adjust_told

    typed = bench.BatchTyped(volume, weight, brix, temperature, to, with_, error)
    result, target = bench.adjust(typed, terms)
    say(*([as_json(result)] if json else told_lines(adjust_told(result, target, terms.units))))


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
    terms = options.terms_of(folder, units, *drums)

    from sugarwright.answering import bench_batch as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_batch import blend_told

    result, is_aimed = bench.blend(drums, to, terms, error)
    say(*([as_json(result)] if json else told_lines(blend_told(result, is_aimed, terms.units))))


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
    terms = options.terms_of(folder, units, sap)

    from sugarwright.answering import bench_batch as bench
    from sugarwright.cli.finish_text import told_lines
    from sugarwright.saying.bench_batch import ratio_told

    result = bench.ratio(sap, brix, to, terms, error)
    say(*([as_json(result)] if json else told_lines(ratio_told(result, terms.units))))
