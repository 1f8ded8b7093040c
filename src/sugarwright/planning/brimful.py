"""A tank that is full as a plan begins: whether it is emptied and fills again, or runs over.

The simulator notes only when a tank first is at its rim. Of one that stands there already that says
nothing of the hours to come: whoever reads the plan wants to know whether it fills once more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sugarwright.planning.report import Watch
from sugarwright.planning.watches import FULL_FRACTION, again_s, watch_of
from sugarwright.planning.yard import Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, simulate
from sugarwright.plant.tank_kernel import Floats, mixed_m3, volume_m3

SAP_FULL = "sap tank full"
_TANKS = {
    SAP_FULL: (at.SAP, at.T_SAP_M3, at.SAP_CAPACITY_M3),
    "stock tank full": (at.STOCK, at.T_STOCK_M3, at.STOCK_CAPACITY_M3),
}


def with_brimful(
    found: Sequence[Watch],
    plant: Plant,
    drive: Drive,
    plan: Floats,
    state: Floats,
    runs: Results,
    yard: Yard | None,
) -> tuple[Watch, ...]:
    """Return watches; one of a tank that is full as the plan begins tells what comes of that.

    Its chance and time are those of its filling again once it was emptied. Where it is not emptied
    first, a sap tank has what runs over its rim.

    Parameters
    ----------
    found : watches of a plan
    plant, drive : the house, and the weathers that they are of
    plan : (days, ``PLAN_WIDTH``)
    state : of the plant when it begins
    runs : of the plan in the weathers, at their ends
    yard : what stands outside under the plan, in the weathers; None where nothing does
    """
    told = []
    for watch in found:
        if watch.what in _TANKS and _is_full(plant, state, watch.what):
            again = _again(watch, plant, drive, plan, state)
            if again is None and watch.what == SAP_FULL:
                again = replace(watch, lost_m3=_over_m3(plant, runs, yard))
            told.append(again or watch)
        else:
            told.append(watch)
    return tuple(told)


def _is_full(plant: Plant, state: Floats, what: str) -> bool:
    tank, _, rim = _TANKS[what]
    return volume_m3(plant.p, state, tank) >= FULL_FRACTION * float(plant.p[rim])


def _again(watch: Watch, plant: Plant, drive: Drive, plan: Floats, state: Floats) -> Watch | None:
    """When a tank is emptied and full again; None where hardly any weather brings that."""
    _, column, rim = _TANKS[watch.what]
    runs = (simulate(plant, drive, plan, state, scenario=w) for w in range(drive.scenarios))
    held_m3 = np.stack([run.column(column) for run in runs])
    times = again_s(held_m3, float(plant.p[rim]), plant.step_s)
    again = watch_of(drive, watch.what, times)
    return None if again is None else replace(again, again=True)


def _over_m3(plant: Plant, runs: Results, yard: Yard | None) -> float:
    """What runs over the sap tank's rim, m³, median of the weathers; gathering tanks are apart."""
    totals = runs.totals[0]
    over_m3 = mixed_m3(plant.p, totals[:, at.SPILLED_WATER_KG], totals[:, at.SPILLED_SUGAR_KG])
    if yard is not None:
        own = np.flatnonzero(plant.points[:, at.OWN_TANK] > 0.0).tolist()
        outside = [sum(float(yard.spilled_m3(w, g).sum()) for g in own) for w in range(len(totals))]
        over_m3 = over_m3 - np.array(outside)
    return max(0.0, float(np.median(over_m3)))
