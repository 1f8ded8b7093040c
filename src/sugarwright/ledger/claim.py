"""What a maker says: so much sap of such a strength made so much syrup. Can it be so?

One balance of sugar ties the three figures. Where it does not close within what instruments do,
no one can say from the figures alone which is off; how far each would have to move, can be said.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError, RangeError
from sugarwright.ledger.bilinear import Stream, close
from sugarwright.ledger.chance import chi_square_above
from sugarwright.physics.solution import density_kg_m3, sap_to_syrup_ratio
from sugarwright.units import BRIX, VOLUME, parse

SAP_SD, SYRUP_SD, SD_BRIX, SYRUP_SD_BRIX = 0.03, 0.01, 0.1, 0.3
CLOSES = 0.05
"""A gap that chance gives less often than this is no chance."""
_UNIT = r"(?:gal(?:lons?)?|imp gal|L|l|lit(?:er|re)s?|ml|m3|qt|quarts?|pints?|pt)\.?"
_AMOUNT = re.compile(rf"(\d[\d,]*(?:\.\d+)?)\s*({_UNIT})(?![A-Za-z])")
_STRENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*(?:°\s*)?(?:brix|bx|%|percent)", re.I)
_NEGATIVE = re.compile(r"(?<![\w.])[-\u2212]\s*\d")
_RATIO = re.compile(r"(\d+(?:\.\d+)?)\s*(?:to|:)\s*1(?![\d.])", re.I)
_LONGEST = 300
_THICK = 50.0
"""Brix from which on a strength is the syrup's."""


@dataclass(frozen=True)
class Claimed:
    """What was said.

    Parameters
    ----------
    sap_m3, sap_brix, syrup_m3 : the three figures
    syrup_brix : strength of the syrup
    ratio : "so many to one", if it was said
    """

    sap_m3: float
    sap_brix: float
    syrup_m3: float
    syrup_brix: float
    ratio: float | None = None


@dataclass(frozen=True)
class Move:
    """One figure moved alone, so that the balance closes.

    Parameters
    ----------
    figure : "sap", "brix" or "syrup"
    said, needed : in m³ or Brix
    deviations : how far that is, in its standard deviations
    """

    figure: str
    said: float
    needed: float
    deviations: float


@dataclass(frozen=True)
class Claim:
    """Whether a claim can be so.

    Parameters
    ----------
    claimed : what was said
    closes : within what instruments do
    chance_fraction : of a gap as large by chance
    sugar_in_kg, sugar_out_kg : in the sap, in the syrup
    lost_fraction : of the sap's sugar that is missing in the syrup, as said; negative: too much
    said_ratio : volume of sap by volume of syrup, of the two volumes said
    balance_ratio : what the balance gives for these strengths, nothing lost
    told_ratio_off_fraction : how far the "so many to one" is from the two volumes; None if not said
    sap_m3, sap_brix, syrup_m3 : the smallest change of all three that closes it
    moves : each figure moved alone, the least unlikely first
    """

    claimed: Claimed
    closes: bool
    chance_fraction: float
    sugar_in_kg: float
    sugar_out_kg: float
    lost_fraction: float
    said_ratio: float
    balance_ratio: float
    told_ratio_off_fraction: float | None
    sap_m3: float
    sap_brix: float
    syrup_m3: float
    moves: tuple[Move, ...]


def read_claim(text: str, syrup_brix: float) -> Claimed:
    """Read a claim as it is said: "420 gal of sap at 1.9 Brix made 9.5 gal of syrup, 40 to 1".

    Parameters
    ----------
    text : with two volumes, the sap's first or larger, and the sap's Brix
    syrup_brix : strength of syrup when the text states none

    Raises
    ------
    InputError : a figure is missing, or cannot be read
    """
    if len(text) > _LONGEST:
        raise InputError("claim", text, "is too long")
    volumes = [parse(f"{a} {unit}", VOLUME, "claim") for a, unit in _AMOUNT.findall(text)]
    strengths = [parse(each, BRIX, "claim") for each in _STRENGTH.findall(text)]
    if not any(each < _THICK for each in strengths):
        strengths += _bare_strength(text)
    allowed = '"420 gal of sap at 1.9 Brix made 9.5 gal of syrup, 40 to 1"'
    if _NEGATIVE.search(text):
        raise InputError("claim", text, "has a figure below nothing", allowed)
    if len(volumes) != 2:
        raise InputError("claim", text, "needs two volumes, sap and syrup", allowed)
    if not strengths:
        raise InputError("claim", text, "needs the strength of the sap", allowed)
    thin = [each for each in strengths if each < _THICK]
    thick = [each for each in strengths if each >= _THICK]
    if len(thin) != 1 or len(thick) > 1:
        raise InputError("claim", text, "has strengths that can't be told apart", allowed)
    told = _RATIO.search(text)
    return Claimed(
        max(volumes), thin[0], min(volumes), thick[0] if thick else syrup_brix,
        float(told[1]) if told else None,
    )  # fmt: skip


def _bare_strength(text: str) -> list[float]:
    """Return what can be nothing but strengths: "420 gal at 1.9 made 9.5 gal at 66.8"."""
    for taken in (_AMOUNT, _STRENGTH, _RATIO):
        text = taken.sub(" ", text)
    text = re.sub(r"[,;](?!\d)", " ", text)
    bare = [float(each) for each in re.findall(r"(?<![\w.,:/])\d+(?:\.\d+)?(?![\w.,:/])", text)]
    return bare if sum(each < _THICK for each in bare) == 1 and len(bare) <= 2 else []


def judge_claim(claimed: Claimed) -> Claim:
    """Hold a claim against the balance of sugar.

    Parameters
    ----------
    claimed : what was said

    Raises
    ------
    RangeError : a figure that cannot be

    Notes
    -----
    Standard deviations: sap 3 % (a stick), its Brix 0.1, syrup 1 % and 0.3 Brix; judgements. Water
    taken off is the stream that nobody measures.
    """
    _can_be(claimed)
    sap_sd_m3, syrup_sd_m3 = SAP_SD * claimed.sap_m3, SYRUP_SD * claimed.syrup_m3
    streams = (
        Stream(claimed.sap_m3, sap_sd_m3, claimed.sap_brix, SD_BRIX),
        Stream(claimed.syrup_m3, syrup_sd_m3, claimed.syrup_brix, SYRUP_SD_BRIX),
        Stream(max(claimed.sap_m3 - claimed.syrup_m3, 1e-6), None, 0.0, 0.0),
    )
    closed = close(np.array([[1.0, -1.0, -1.0]]), streams)
    statistic = float(closed.linear.mismatch.values @ closed.linear.mismatch.values)
    chance = chi_square_above(1, statistic)
    came = _sugar_kg(claimed.sap_m3, claimed.sap_brix)
    made = _sugar_kg(claimed.syrup_m3, claimed.syrup_brix)
    said = claimed.sap_m3 / claimed.syrup_m3
    return Claim(
        claimed,
        chance >= CLOSES,
        chance,
        came,
        made,
        1.0 - made / came,
        said,
        sap_to_syrup_ratio(claimed.sap_brix, claimed.syrup_brix),
        None if claimed.ratio is None else claimed.ratio / said - 1.0,
        float(closed.volume_m3[0]),
        float(closed.brix[0]),
        float(closed.volume_m3[1]),
        _moves(claimed, came, made),
    )


def _moves(claimed: Claimed, came: float, made: float) -> tuple[Move, ...]:
    """Return how far each figure would have to move alone."""
    sap_m3 = claimed.sap_m3 * made / came
    syrup_m3 = claimed.syrup_m3 * came / made
    moves = [
        Move("sap", claimed.sap_m3, sap_m3, (sap_m3 / claimed.sap_m3 - 1.0) / SAP_SD),
        Move("syrup", claimed.syrup_m3, syrup_m3, (syrup_m3 / claimed.syrup_m3 - 1.0) / SYRUP_SD),
    ]
    brix = _strength(made / claimed.sap_m3)
    if brix is not None:
        off = (brix - claimed.sap_brix) / SD_BRIX
        moves.append(Move("brix", claimed.sap_brix, brix, off))
    return tuple(sorted(moves, key=lambda each: abs(each.deviations)))


def _strength(sugar_kg_m3: float) -> float | None:
    """Return the strength with so much sugar in a volume; None if no sap has it."""
    low, high = 0.0, 84.0
    if sugar_kg_m3 >= _sugar_kg(1.0, high):
        return None
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _sugar_kg(1.0, middle) < sugar_kg_m3 else (low, middle)
    return high


def _sugar_kg(volume_m3: float, brix: float) -> float:
    return volume_m3 * density_kg_m3(brix, 20.0) * brix / 100.0


def _can_be(claimed: Claimed) -> None:
    for name, value, least, greatest in (
        ("sap", claimed.sap_m3, 1e-4, 1e5),
        ("sap's Brix", claimed.sap_brix, 0.3, 40.0),
        ("syrup", claimed.syrup_m3, 1e-6, 1e4),
        ("syrup's Brix", claimed.syrup_brix, 50.0, 84.0),
    ):
        if not (math.isfinite(value) and least <= value <= greatest):
            raise RangeError(name, value, "cannot be", f"{least:g} to {greatest:g}")
    if claimed.syrup_m3 >= claimed.sap_m3:
        raise RangeError("syrup", claimed.syrup_m3, "is no less than the sap it came from")
