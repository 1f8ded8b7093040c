"""A claim about sap and syrup, judged in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sugarwright.units import MASS, VOLUME, show

if TYPE_CHECKING:
    from sugarwright.ledger.claim import Claim, Move

_FIGURE = {"sap": "the sap", "brix": "its Brix", "syrup": "the syrup"}
_BY = {"sap": "3 %", "brix": "0.1 Brix", "syrup": "1 %"}


def claim_texts(found: Claim, units: str) -> Iterator[str]:
    """Yield whether it closes, and what would have to move."""
    said = found.claimed
    yield (
        f"{_volume(said.sap_m3, units)} of sap at {said.sap_brix:g} Brix holds "
        f"{_mass(found.sugar_in_kg, units)} of sugar; {_volume(said.syrup_m3, units)} of syrup at "
        f"{said.syrup_brix:g} Brix holds {_mass(found.sugar_out_kg, units)}."
    )
    yield (
        f"By volume that is {found.said_ratio:.1f} to 1. With nothing lost, sap of "
        f"{said.sap_brix:g} Brix makes {said.syrup_brix:g} Brix at {found.balance_ratio:.1f} to 1."
    )
    if found.told_ratio_off_fraction is not None and abs(found.told_ratio_off_fraction) > 0.02:
        yield (
            f'The "{said.ratio:g} to 1" does not fit its own two volumes: they make '
            f"{found.said_ratio:.1f} to 1."
        )
    if found.closes:
        yield (
            "It closes, within what a stick (3 %), a hydrometer (0.1 Brix) and a measure (1 %) do: "
            f"a gap as large comes {_times(found.chance_fraction)}."
        )
        return
    lost = found.lost_fraction
    share = f"{100.0 * abs(lost):.0f} %"
    much = (
        f"{share} of the sugar is missing in the syrup."
        if lost > 0.0
        else f"the syrup holds {share} more sugar than the sap."
    )
    yield f"It does not close: {much} Such a gap comes {_times(found.chance_fraction)}."
    yield (
        "The smallest change that closes it, each figure by its own uncertainty: sap "
        f"{_volume(found.sap_m3, units)} at {found.sap_brix:.2f} Brix, syrup "
        f"{_volume(found.syrup_m3, units)}."
    )
    moves = "; ".join(_move(move, units) for move in found.moves)
    yield f"Or one figure alone, the least unlikely first: {moves}."
    if lost > 0.0:
        yield (
            "Or the sugar did get lost, or is still in the pan: spills, foam, niter, a pan not "
            "emptied. The figures alone can't tell."
        )


def _move(move: Move, units: str) -> str:
    if move.figure == "brix":
        said, needed = f"{move.said:g} Brix", f"{move.needed:.2f} Brix"
    else:
        said, needed = _volume(move.said, units), _volume(move.needed, units)
    off = abs(move.deviations)
    return (
        f"{_FIGURE[move.figure]}: not {said} but {needed} "
        f"({off:.1f} times its uncertainty of {_BY[move.figure]})"
    )


def _volume(value_m3: float, units: str) -> str:
    unit = "gal" if units == "us" else "L"
    small = value_m3 < (0.4 if units == "us" else 0.1)
    return show(value_m3, VOLUME, units, digits=1 if small else 0, unit=unit)


def _mass(value_kg: float, units: str) -> str:
    return show(value_kg, MASS, units, digits=1, unit="lb" if units == "us" else "kg")


def _times(chance: float) -> str:
    if chance >= 0.2:
        return f"by chance {10.0 * chance:.0f} times in 10"
    if chance >= 0.005:
        return f"by chance once in {1.0 / chance:.0f} times"
    return "by chance less than once in 200 times" if chance > 1e-4 else "by no chance"
