"""What a plan could not keep, or had to do without: wishes that cannot all be met."""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import HEEL_FRACTION
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.simulate import Drive, Results
from sugarwright.plant.tank_kernel import Floats, volume_m3


def broken_of(plant: Plant, drive: Drive, state: Floats, results: Results) -> tuple[str, ...]:
    """List what even the best plan could not keep in any of the weathers, or had to do without.

    Parameters
    ----------
    plant : the house
    drive : the forecast's
    state : at the beginning
    results : of the plan, in the weathers that it is reported in

    Returns
    -------
    As ``PlanReport.broken`` has them, the gravest first.
    """
    totals = results.totals[0]
    found = []
    if (totals[:, at.LIT_ALONE_S] > 0.0).any():
        found.append("fire alone")
    if (totals[:, at.SHORT_S] > 0.0).any():
        found.append("pan short of feed")
    if not (drive.calendar[:, at.PEOPLE] > 0.0).any():
        found.append("nobody there")
    found += _spoiled(plant.p, state)
    found += _machines(plant, drive)
    if state[at.WOOD_M3] < least_wood_m3(plant.p):
        found.append("no wood for a boil")
    if tapped_s(plant.house) > drive.begin_s:
        found.append("taps not set")
    return tuple(found)


def least_wood_m3(p: Floats) -> float:
    """What the shortest boil takes of stacked wood, m³."""
    return float(p[at.LIGHT_UP_WOOD_M3] + p[at.FUEL_M3_S] * p[at.LEAST_BURN_S])


def _spoiled(p: Floats, x: Floats) -> list[str]:
    """Tanks that have turned, more in them than their heel."""
    found = []
    for name, tank, rim in (
        ("sap spoiled", at.SAP, at.SAP_CAPACITY_M3),
        ("stock spoiled", at.STOCK, at.STOCK_CAPACITY_M3),
    ):
        turned = x[tank + at.CELLS] >= p[at.SPOILED_CELLS]
        if turned and volume_m3(p, x, tank) > HEEL_FRACTION * p[rim]:
            found.append(name)
    return found


def _machines(plant: Plant, drive: Drive) -> list[str]:
    """Membrane and pan that cannot be used at any time at which somebody could."""
    p, calendar = plant.p, drive.calendar
    there = calendar[:, at.PEOPLE] > 0.0
    found = []
    if p[at.HAS_MEMBRANE] > 0.0 and there.any():
        hours = calendar[:, at.HOUR].astype(np.int64)
        frost = (p[at.MEMBRANE_OUTDOORS] > 0.0) & (drive.air_c[0, hours] < 0.0)
        if frost[there].all():
            found.append("membrane frozen out")
        if (calendar[there, at.MEMBRANE_OK_S] <= 0.0).all():
            found.append("membrane out of order")
    if there.any() and (calendar[there, at.PAN_OK_S] <= 0.0).all():
        found.append("pan out of order")
    return found
