"""``sugarwright ledger claim``: can it be so?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli import finish_options as options
from sugarwright.cli.finish_options import UnitsOption
from sugarwright.cli.folder import JsonOption
from sugarwright.cli.output import as_json, say, wrapped
from sugarwright.errors import InputError
from sugarwright.units import BRIX, VOLUME, parse

if TYPE_CHECKING:
    from sugarwright.ledger.claim import Claimed

USUAL_BRIX = 66.0


def claim(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="WORDS...", show_default=False, help="What is said, in words."),
    ] = None,
    sap: Annotated[str | None, typer.Option(metavar="VOLUME", help="How much sap.")] = None,
    brix: Annotated[str | None, typer.Option(metavar="BRIX", help="Its strength.")] = None,
    syrup: Annotated[str | None, typer.Option(metavar="VOLUME", help="How much syrup.")] = None,
    syrup_brix: Annotated[
        str, typer.Option(metavar="BRIX", help="Strength of the syrup.")
    ] = f"{USUAL_BRIX:g}",
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Can it be so? Holds "so much sap made so much syrup" against the balance of sugar.

    Says whether the figures close within what a stick (3 %), a hydrometer (0.1 Brix) and a measure
    (1 %) do; else which figure would have to move, and how far.

    Examples:
      sugarwright ledger claim "420 gal at 1.9 Brix made 9.5 gal, 40 to 1"
      sugarwright ledger claim --sap "420 gal" --brix 1.9 --syrup "9.5 gal"
    """
    text = " ".join(words or ())
    terms = options.terms_of(None, units, text, sap, syrup)
    said_brix = parse(syrup_brix, BRIX, "--syrup-brix")

    from sugarwright.ledger.claim import judge_claim, read_claim

    claimed = (
        read_claim(text, said_brix) if text else _by_options(sap, brix, syrup, said_brix)
    )  # fmt: skip
    found = judge_claim(claimed)
    if json:
        say(as_json(found))
        return

    from sugarwright.saying.ledger_claim import claim_texts

    say(*(wrapped(text) for text in claim_texts(found, terms.units)))


def _by_options(sap: str | None, brix: str | None, syrup: str | None, syrup_brix: float) -> Claimed:
    from sugarwright.ledger.claim import Claimed

    for option, given in (("--sap", sap), ("--brix", brix), ("--syrup", syrup)):
        if given is None:
            fix = 'Or say it in words: "420 gal of sap at 1.9 Brix made 9.5 gal of syrup"'
            raise InputError(option, None, "is needed", fix=fix)
    return Claimed(
        parse(sap or "", VOLUME, "--sap"),
        parse(brix or "", BRIX, "--brix"),
        parse(syrup or "", VOLUME, "--syrup"),
        syrup_brix,
    )
