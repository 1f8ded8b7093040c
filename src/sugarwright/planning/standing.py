"""How a house stands when a plan begins, read from the state that the plan is run from."""

from __future__ import annotations

from sugarwright.planning.beginning import PointTank, Standing
from sugarwright.planning.broken import least_wood_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.pan_kernel import pan_mass_kg, pan_sugar_kg
from sugarwright.plant.tank_kernel import Floats, life_used, mixed_m3


def standing_of(plant: Plant, x: Floats) -> Standing:
    """Sum up a state.

    Parameters
    ----------
    plant : the house
    x : (state,)
    """
    p = plant.p
    (sap_m3, sap_brix), (stock_m3, stock_brix), (permeate_m3, _) = (
        _tank(p, x, tank) for tank in (at.SAP, at.STOCK, at.PERMEATE)
    )
    return Standing(
        sap_m3=sap_m3,
        sap_brix=sap_brix,
        sap_capacity_m3=float(p[at.SAP_CAPACITY_M3]),
        sap_life_used=life_used(p, float(x[at.SAP + at.CELLS])),
        stock_m3=stock_m3,
        stock_brix=stock_brix,
        stock_capacity_m3=float(p[at.STOCK_CAPACITY_M3]),
        permeate_m3=permeate_m3,
        permeate_capacity_m3=float(p[at.PERMEATE_CAPACITY_M3]),
        wood_m3=float(x[at.WOOD_M3]),
        has_membrane=bool(p[at.HAS_MEMBRANE] > 0.0),
        boil_wood_m3=least_wood_m3(p),
        fire_burns=bool(x[at.FIRE_ON] > 0.0),
        gathered=_points(plant, x),
        pan_brix=_pan_brix(p, x),
        membrane_runs=bool(x[at.MEMBRANE_ON] > 0.0),
    )


def _points(plant: Plant, x: Floats) -> tuple[PointTank, ...]:
    found = []
    for g, gathering in enumerate(plant.house.gathering):
        if plant.points[g, at.OWN_TANK] > 0.0:
            held_m3, brix = _tank(plant.p, x, at.GATHERED + g * at.POINT_WIDTH)
            rim_m3 = float(plant.points[g, at.POINT_CAPACITY_M3])
            found.append(PointTank(gathering.name, held_m3, brix, rim_m3))
    return tuple(found)


def _tank(p: Floats, x: Floats, tank: int) -> tuple[float, float]:
    """What a tank holds, m³, and how strong that is."""
    water, sugar = x[tank + at.WATER], x[tank + at.SUGAR]
    brix = float(100.0 * sugar / (water + sugar)) if water + sugar > 0.0 else 0.0
    return float(mixed_m3(p, water, sugar)), brix


def _pan_brix(p: Floats, x: Floats) -> float:
    """Mean strength of what stands in the pan; 0 of an empty one."""
    return float(100.0 * pan_sugar_kg(p, x) / pan_mass_kg(p)) if x[at.PAN_FILLED] > 0.0 else 0.0
