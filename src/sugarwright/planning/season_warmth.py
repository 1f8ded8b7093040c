"""Warm sums that go with slow tap holes and opening buds: advice, each with its source.

Warmth is summed hour by hour above a base. None of this decides: the nose and the taste do.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.physics.tree import TreeParameters
from sugarwright.planning.outlook import spread
from sugarwright.planning.season_report import WarmSum
from sugarwright.planning.season_trees import Bush

BUDS_BASE_C = 10.0
RED_BUDS_K_H = 44.0 / 1.8 * 24.0  # 44 degree-days Fahrenheit above 50 F
# Published as 30 to 55 degree-days Celsius, from daily means. A day's warm hours count here even
# when its mean doesn't: 30 by daily means fall within days of 55 by the hour (see the tests).
SUGAR_BUDS_K_H = 55.0 * 24.0
HOLES_SOURCE = (
    "the tree model's own prior, set so that seasons end as they do in the open data; common "
    "practice agrees that warm spells close holes, and gives no figure"
)
RED_SOURCE = (
    "Ohio State University Extension (L. Ober, 2017): first red maple buds at 44 degree-days F "
    "above 50 F from 1 January"
)
SUGAR_SOURCE = (
    "30 to 55 degree-days C above 10 C by daily means, which is some 55 by the hour; widely "
    "repeated, no study found behind it. A model of leaves with the same base: F. Raulier and P.Y. "
    "Bernier, Can. J. For. Res. 30, 2000"
)
CAUTIONS = (
    "Smell and taste the sap of each gathering, and the first steam: that decides, not a sum. Sap "
    "changes over the last month before the leaves come (Garcia and others, PLoS ONE 15, 2020), "
    "so it can turn before buds are seen to open; red maples turn first.",
    "Springs are made up, trees differ, and this model has met the gatherings of few bushes: take "
    "the ranges as they are, wide.",
)


def warm_sums(bush: Bush, now_s: int, tapped_s: int | None) -> tuple[WarmSum, ...]:
    """Return the warm sums: of tap holes once the taps are set, and of buds.

    Parameters
    ----------
    bush : the house's taps in possible springs
    now_s : UTC s
    tapped_s : UTC s at which the taps were set; None while they are not
    """
    buds = bush.warm_k_h(BUDS_BASE_C, bush.springs.first_s)
    found = [] if tapped_s is None else [_holes(bush, now_s, tapped_s)]
    for what, needed_k_h, source in (
        ("red maple buds", RED_BUDS_K_H, RED_SOURCE),
        ("sugar maple buds", SUGAR_BUDS_K_H, SUGAR_SOURCE),
    ):
        found.append(
            WarmSum(
                what=what,
                base_c=BUDS_BASE_C,
                needed_k_h=needed_k_h,
                so_far_k_h=spread(_now(bush, buds, now_s)),
                reached=bush.reached(buds >= needed_k_h),
                source=source,
            )
        )
    return tuple(found)


def red_buds_open(bush: Bush) -> NDArray[np.bool_]:
    """Return where (springs, hours) the warm sum of the first buds has been reached."""
    return bush.warm_k_h(BUDS_BASE_C, bush.springs.first_s) >= RED_BUDS_K_H


def _holes(bush: Bush, now_s: int, tapped_s: int) -> WarmSum:
    """Return the warm sum at which half of a tap hole is closed: each spring has its own trees."""
    base_c = TreeParameters().warm_c
    sums = bush.warm_k_h(base_c, tapped_s)
    needed = bush.trees[:, TreeParameters._fields.index("ageing_half_k_h")]
    return WarmSum(
        what="tap holes",
        base_c=base_c,
        needed_k_h=float(np.median(needed)),
        so_far_k_h=spread(_now(bush, sums, now_s)),
        reached=bush.reached(sums >= needed[:, np.newaxis]),
        source=HOLES_SOURCE,
    )


def _now(bush: Bush, sums: NDArray[np.float64], now_s: int) -> NDArray[np.float64]:
    hour = bush.springs.hour(now_s)
    return sums[:, hour - 1] if hour > 0 else np.zeros(len(sums))
