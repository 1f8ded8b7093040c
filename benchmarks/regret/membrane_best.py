"""The most permeate that a membrane could give in each hour of a season, at each setting."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.kernel import WARMEST_C
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

SETTINGS = 10
BETWEEN = 1.01  # permeate between two settings bends above their line by less
TEMPERATURES_C = np.array([0.0, 2.0, 4.0, 6.0, 8.0, 11.0, 15.0, 20.0, 25.0, 30.0])
BRIX_STEP = 0.25


@dataclass(frozen=True)
class Best:
    """Settings and what they give at most.

    Parameters
    ----------
    flows_m3_s : (settings,) of concentrate
    permeate_kg_s : (hours, settings)
    sweeter : at most, how many times sugar by water rises
    """

    flows_m3_s: Floats
    permeate_kg_s: Floats
    sweeter: float


def best_settings(plant: Plant, drive: Drive, sweetest: Floats, weakest: Floats) -> Best:
    """Ask the membrane, clean, at the warmest and weakest that the sap can be by each hour."""
    p, membrane_map = plant.p, plant.membrane_map
    assert membrane_map is not None
    flows = np.geomspace(p[at.LEAST_FLOW_M3_S], p[at.MOST_FLOW_M3_S], SETTINGS)
    brix = 100.0 * weakest / (1.0 + weakest)
    step = np.floor(brix / BRIX_STEP).astype(np.int64)
    warm = np.searchsorted(TEMPERATURES_C, _warmest_c(p, drive))
    condition = float(p[at.CONDITION_LASTING])
    known: dict[tuple[int, int], Floats] = {}
    for pair in {(int(b), int(w)) for b, w in zip(step, warm, strict=True)}:
        at_brix, at_c = max(0.5, BRIX_STEP * pair[0]), TEMPERATURES_C[pair[1]]
        known[pair] = np.array(
            [membrane_map.point(float(flow), at_brix, float(at_c), condition)[0] for flow in flows]
        )
    permeate = BETWEEN * np.array([known[int(b), int(w)] for b, w in zip(step, warm, strict=True)])
    kept_kg_s = flows / p[at.WATER_M3_KG]
    sugar_kg_s = sweetest[:, np.newaxis] * (permeate + kept_kg_s)
    water_kg_s = np.maximum(0.5 * kept_kg_s, kept_kg_s - sugar_kg_s)
    return Best(flows, permeate, float((1.0 + permeate / water_kg_s).max()))


def _warmest_c(p: Floats, drive: Drive) -> Floats:
    """The warmest that sap can be by the end of each hour: it follows the air, and comes with it.

    A tank moves towards the air, and what runs in is as warm as the air, so it is never warmer
    than the warmer of the air and of what it was, moved towards the air.
    """
    steps = round(3600.0 / p[at.STEP_S])
    stays = (1.0 - p[at.TANK_SHARE]) ** steps
    running = drive.sap_kg_s[0].sum(axis=(1, 2)) > 0.0
    found, here_c = np.zeros(drive.air_c.shape[1]), 0.0
    for hour, air_c in enumerate(drive.air_c[0]):
        outside_c = max(0.0, float(air_c))
        if p[at.SAP_INDOORS] > 0.0:
            outside_c = max(outside_c, float(p[at.INDOORS_LEAST_C]))
        before_c = here_c
        here_c = outside_c + (here_c - outside_c) * stays
        if running[hour]:
            here_c = max(here_c, outside_c)
        found[hour] = min(WARMEST_C, max(before_c, here_c))
    return found
