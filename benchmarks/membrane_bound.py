"""How well could a lasting fall of a membrane be told at all? The bound of information.

For logs of invented membranes (``membrane_worlds.py``) the Fisher information of their readings is
summed with the errors they were really made with, the part that a day shares included; washes, the
level and the fouling an hour are unknowns with their priors, the fall has none. No estimator that
is right on average has a smaller spread (C.R. Rao, Bull. Calcutta Math. Soc. 37, 1945; from
memory). Printed: the spread of the fall, the chance that a 90 % interval of that spread lies above
nought, and the same if nothing but the level and the fall were unknown: what washes hide.

    .venv/bin/python benchmarks/membrane_bound.py [LOGS]
"""

from __future__ import annotations

import dataclasses
import sys
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from membrane_worlds import Membrane, World, invented_house, true_machine
from sugarwright.learning.membrane_course import FALL, LEVEL
from sugarwright.learning.membrane_fit import errors_of
from sugarwright.learning.membrane_known import SURE, Known, days_of_readings, fitted

SHARES = (0.0, 0.25, 0.5, 0.75)
WORLDS = {
    "readings on seven days": World(days=6),
    "on eight, seven days apart": World(days=7),
    "seven days, no strength of the concentrate": World(days=6, concentrate_read=False),
    "seven days, strengths to 0.1 Brix": World(days=6, brix_sd=0.1),
    "seven days, washed every second evening": World(days=6, wash_days=2),
    "seven days, never washed": World(days=6, wash_days=0),
}


def information(known: Known, days: list[int], shared: float) -> NDArray[np.float64]:
    """Return the information of all parameters, that of the readings alone for the fall."""
    fit = known.fit
    errors = errors_of(known.readings, known.seen, days, shared_fraction=shared)
    spread = np.diag(errors.own_sd**2) + errors.shared @ errors.shared.T
    _, slopes, _ = fit.course.with_slopes(fit.mean)
    prior = fit.prior_information.copy()
    prior[FALL] = 0.0
    found: NDArray[np.float64] = slopes.T @ np.linalg.solve(spread, slopes) + np.diag(prior)
    return found


def spreads(world: World, logs: int) -> tuple[float, float]:
    """Return the spread of the fall, and if only the level were unknown beside it; mean of logs."""
    house = invented_house()
    machine = true_machine(house)
    found = []
    for seed in range(logs):
        known, _ = fitted(house, Membrane(world, machine, seed).live())
        of = information(known, days_of_readings(house, known.readings), world.shared)
        two = of[np.ix_((LEVEL, FALL), (LEVEL, FALL))]
        found.append([np.linalg.inv(each)[at, at] for each, at in ((of, FALL), (two, 1))])
    whole, alone = np.sqrt(np.mean(found, axis=0))
    return float(whole), float(alone)


def main(logs: int) -> None:
    normal = NormalDist()
    print(
        "| readings | shared by a day | spread of the fall | told at best | level alone unknown |"
    )
    print("|---|---|---|---|---|", flush=True)
    for name, world in WORLDS.items():
        for shared in SHARES if name in list(WORLDS)[:2] else (0.25,):
            whole, alone = spreads(dataclasses.replace(world, shared=shared), logs)
            told = normal.cdf(world.fall_day / whole - SURE)
            print(
                f"| {name} | {shared:.0%} | {100 * whole:.2f} % a day | {told:.0%} "
                f"| {100 * alone:.2f} |",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
