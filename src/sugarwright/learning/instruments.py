"""Which instrument reads high or low, where the log has pairs that should agree.

Each pair says that a sum of instruments' biases, with known factors, equals a difference that was
read: a hydrometer beside a refractometer; the concentrate's reading beside the membrane's balance;
a thermometer in boiling or in ice water. Biases have normal priors; pairs are normal, with wild
ones weighed down as Student's t of four degrees does (K.L. Lange, R.J.A. Little and J.M.G. Taylor,
J. Am. Stat. Assoc. 84, 1989; from memory). Two instruments compared with each other alone can be
told to differ, never which is wrong: their own spreads then stay nearly as wide as before, so
neither is blamed however far they differ, and it is said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.instrument_pairs import Pair, pairs_of
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House

Floats = NDArray[np.float64]

PRIOR_SD = {"brix": 0.3, "temperature": 1.0, "volume": 0.05}
"""How far instruments of a sort stand off beforehand: Brix, K, part of the volume. Judgement:
hydrometers and refractometers agree within a few tenths, dial thermometers within a degree."""

CERTAIN_SDS = 1.96
TOLD_APART = 0.5
"""To what part of its first spread a bias must have narrowed before it is laid to the instrument.
Of two or three that were compared with each other alone none gets there."""
TAIL = 4.0
ROUNDS = 12


@dataclass(frozen=True)
class Bias:
    """How far an instrument reads off.

    Parameters
    ----------
    instrument, quantity : which
    pairs : that speak of it
    bias, sd : what is added to its readings, by it: Brix, K, or part of the volume
    prior_sd : how unsure such instruments are beforehand
    """

    instrument: str
    quantity: str
    pairs: int
    bias: float
    sd: float
    prior_sd: float

    @property
    def certain(self) -> bool:
        """Whether it is told apart from an instrument that reads true, and from the others."""
        return self.settled and abs(self.bias) > CERTAIN_SDS * self.sd

    @property
    def settled(self) -> bool:
        """Whether the log says how this one reads, not only how it differs from others."""
        return self.sd <= TOLD_APART * self.prior_sd


@dataclass(frozen=True)
class Apart:
    """Two instruments that differ, with nothing to say which of them is wrong.

    Parameters
    ----------
    first, second, quantity : which
    difference, sd : by how much the first reads above the second
    pairs : in which both were read
    """

    first: str
    second: str
    quantity: str
    difference: float
    sd: float
    pairs: int


@dataclass(frozen=True)
class InstrumentLesson:
    """What the log says of instruments.

    Parameters
    ----------
    biases : of each instrument that some pair speaks of
    apart : pairs of instruments that differ, where it can't be told which is wrong
    """

    biases: tuple[Bias, ...]
    apart: tuple[Apart, ...]


def learn_instruments(house: House, entries: Sequence[Entry]) -> InstrumentLesson:
    """Compare instruments wherever the log has pairs.

    Parameters
    ----------
    house : its tanks and elevation
    entries : that stand, in any order
    """
    pairs = pairs_of(house, sorted(entries, key=lambda each: (each.at_s, each.key)))
    biases: list[Bias] = []
    apart: list[Apart] = []
    for quantity in PRIOR_SD:
        here = [each for each in pairs if each.quantity == quantity]
        if here:
            found, unclear = _solved(here, quantity)
            biases += found
            apart += unclear
    return InstrumentLesson(tuple(biases), tuple(apart))


def _solved(pairs: Sequence[Pair], quantity: str) -> tuple[list[Bias], list[Apart]]:
    names = sorted({name for each in pairs for name, _ in each.parts})
    design = np.zeros((len(pairs), len(names)))
    for row, pair in zip(design, pairs, strict=True):
        for name, factor in pair.parts:
            row[names.index(name)] += factor
    difference = np.array([each.difference for each in pairs])
    sd = np.array([each.sd for each in pairs])
    prior_sd = PRIOR_SD[quantity]
    weight = np.ones(len(pairs))
    for _ in range(ROUNDS):
        precision = weight / sd**2
        inverse = np.eye(len(names)) / prior_sd**2 + design.T @ (precision[:, np.newaxis] * design)
        covariance = np.linalg.inv(inverse)
        bias = covariance @ (design.T @ (precision * difference))
        left = (difference - design @ bias) / sd
        weight = (TAIL + 1.0) / (TAIL + left**2)
    biases = []
    for at, name in enumerate(names):
        count = int((design[:, at] != 0.0).sum())
        own_sd = math.sqrt(covariance[at, at])
        biases.append(Bias(name, quantity, count, float(bias[at]), own_sd, prior_sd))
    apart = []
    for a in range(len(names)):
        for b in range(a + 1, len(names)):
            both = int(((design[:, a] != 0.0) & (design[:, b] != 0.0)).sum())
            if both == 0 or biases[a].certain or biases[b].certain:
                continue
            spread = covariance[a, a] + covariance[b, b] - 2.0 * covariance[a, b]
            gap, gap_sd = float(bias[a] - bias[b]), math.sqrt(max(spread, 1e-12))
            if abs(gap) > CERTAIN_SDS * gap_sd:
                apart.append(Apart(names[a], names[b], quantity, gap, gap_sd, both))
    return biases, apart
