"""Networks of streams whose figures are published, for the tests of the ledger's mathematics."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

EXCHANGER = np.array(
    [
        [1, -1, -1, 0, 0, 0],
        [0, 1, 0, -1, 0, 0],
        [0, 0, 1, 0, -1, 0],
        [0, 0, 0, 1, 1, -1],
    ],
    dtype=np.float64,
)
"""A stream split, heated, and joined again (Narasimhan & Jordache 2000, chapter 1)."""
EXCHANGER_READ = np.array([101.91, 64.45, 34.65, 64.20, 36.44, 98.88])

STEAM_NODES = (
    (1, 2, -3, 4),
    (-5, -6, 7, 8, -9),
    (-1, 5, -10),
    (10, 11, -12),
    (3, -11, 13, -14, -15, -16, -17),
    (-2, 6, -13),
    (-7, 14, 18, -19, -20, -21),
    (15, -18, 22, -23, -24),
    (12, 16, -22, -25),
    (19, 23, -26, 27),
    (-8, 20, 26, 28),
)
"""The 28 streams and 11 units of a steam plant (Serth & Heenan, AIChE J. 32 (1986) 733)."""
STEAM_FLOWS = np.array(
    [
        *(0.86, 1.00, 111.82, 109.96, 53.27, 112.27, 2.32, 164.05, 0.83, 52.41),
        *(14.86, 67.27, 111.27, 91.86, 60.00, 23.64, 32.73, 16.23, 7.85, 10.60),
        *(87.32, 5.45, 2.59, 46.63, 85.46, 81.23, 70.79, 72.22),
    ]
)
"""True flows as a public set of benchmark problems has them, rounded so that they balance."""


def steam_network() -> Floats:
    """Return the incidence of the steam plant, (11, 28)."""
    incidence = np.zeros((len(STEAM_NODES), len(STEAM_FLOWS)))
    for node, streams in enumerate(STEAM_NODES):
        for stream in streams:
            incidence[node, abs(stream) - 1] = np.sign(stream)
    return incidence
