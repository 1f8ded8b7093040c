"""What runs from each member's trees, hour by hour, and how its runs of sap differ."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.assemble import COLD_C
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.ensemble import Ensemble, Ground
from sugarwright.twin.spreads import RUN_LOG, SAP_BRIX
from sugarwright.twin.told import dice

SPIN_UP_H = 14 * 24  # two weeks with a frost bring the trees up to date


def sap_of(ground: Ground, ensemble: Ensemble, begin_h: int, end_h: int, stand_h: int) -> Floats:
    """Return sap of each member and hour, (members, hours, points, 2) kg/s."""
    _bring_trees_to(ground, ensemble, begin_h)
    house = ground.plant.house
    sap = np.zeros((ensemble.members, end_h - begin_h, len(house.gathering), 2))
    density = density_kg_m3(2.0, COLD_C)
    factor: Floats | None = None
    for v, vacuum_pa in enumerate(ground.vacuums_pa):
        volume_m3, brix, run = _hours(ground, ensemble, v, vacuum_pa, begin_h, end_h)
        if factor is None:  # trees of one air freeze together, whatever pulls at them
            factor = _run_factors(ground, ensemble, run, begin_h)
            factor *= ensemble.tree_scale()[:, np.newaxis]
        strength = np.clip(brix + ensemble.traits[:, SAP_BRIX, np.newaxis], 0.3, 8.0) / 100.0
        for g, each in enumerate(house.gathering):
            if each.vacuum_pa == vacuum_pa:
                mass_kg_s = each.taps * density / 3600.0 * volume_m3 * factor
                sap[:, :, g, 1] = mass_kg_s * strength
                sap[:, :, g, 0] = mass_kg_s - sap[:, :, g, 1]
    _bring_trees_to(ground, ensemble, stand_h)
    return sap


def _hours(
    ground: Ground, ensemble: Ensemble, v: int, vacuum_pa: float, begin_h: int, end_h: int
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Sap per tap, its Brix and the number of the run, (members, hours)."""
    given = sap_run(
        ground.air.hours(begin_h, end_h),
        3600.0 * begin_h,
        tapped_s(ground.plant.house),
        vacuum_pa,
        ensemble.tree_rows,
        start=ensemble.tree_states[v],
    )
    return given.sap_m3_per_tap, given.brix, given.run


def _bring_trees_to(ground: Ground, ensemble: Ensemble, hour: int) -> None:
    """Bring the trees to the begin of an hour; the first time through the weeks before it."""
    if ensemble.tree_hour == hour:
        return
    tapped = tapped_s(ground.plant.house)
    for v, vacuum_pa in enumerate(ground.vacuums_pa):
        begin_h, start = ensemble.tree_hour, ensemble.tree_states[v]
        if begin_h is None:
            first_h = min(int(tapped // 3600), hour - SPIN_UP_H)
            begin_h, start = (
                max(first_h, ground.air.first_s // 3600),
                None,
            )  # warmth counts from then
            begin_h = min(begin_h, hour - 1)
        given = sap_run(
            ground.air.hours(begin_h, hour), 3600.0 * begin_h, tapped, vacuum_pa,
            ensemble.tree_rows, start=start,
        )  # fmt: skip
        ensemble.tree_states[v] = given.states
    ensemble.tree_hour = hour


def _run_factors(
    ground: Ground, ensemble: Ensemble, run: NDArray[np.int64], begin_h: int
) -> Floats:
    """What each hour's sap is multiplied by: drawn anew at each frost, wandering in between.

    Leaves the last hour's in the traits.
    """
    spreads, members = ground.spreads, ensemble.members
    logs = np.empty(run.shape)
    now_log = ensemble.traits[:, RUN_LOG]
    for k in range(run.shape[1]):
        new = run[:, k] != ensemble.run
        if new.any():
            now_log = np.where(new, _fresh_runs(ground, run[:, k]), now_log)
            ensemble.run = run[:, k].copy()
        if begin_h + k > ensemble.run_hour:  # the hour that the leg begins in goes on as it was
            source = dice(ground.seed, "run drift", begin_h + k)
            now_log = now_log + spreads.run_drift_log * source.standard_normal(members)
            ensemble.run_hour = begin_h + k
        logs[:, k] = now_log
    ensemble.traits[:, RUN_LOG] = now_log
    factors: Floats = np.exp(logs)
    return factors


def _fresh_runs(ground: Ground, run: NDArray[np.int64]) -> Floats:
    """Draw the factor of a run of each member; its mean is 1."""
    sd = ground.spreads.run_log
    logs = np.zeros(len(run))
    for number in np.unique(run):
        source = dice(ground.seed, "run", int(number))
        drawn = sd * source.standard_normal(len(run)) - 0.5 * sd**2
        logs = np.where(run == number, drawn, logs)
    return logs
