"""How the house stands when a run begins."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.keeping import growth_rate_per_s
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import COLD_C, Plant
from sugarwright.plant.kernel import CELLS_MOST, WARMEST_C
from sugarwright.plant.tank_kernel import Floats

MOST_BRIX = 40.0  # of what waits in a tank: no membrane comes near it
MOST_PAN_BRIX = 70.0
AGED_AT_C = 3.0  # temperature at which sap whose age is told is taken to have waited


@dataclass(frozen=True)
class Contents:
    """What a tank holds.

    Parameters
    ----------
    volume_m3 : m³
    brix : mass percent
    age_s : how long it has waited, s (concentrate: since it was sap)
    temperature_c : °C
    """

    volume_m3: float = 0.0
    brix: float = 2.0
    age_s: float = 0.0
    temperature_c: float = AGED_AT_C


@dataclass(frozen=True)
class Levels:
    """Readings from which a run starts.

    Parameters
    ----------
    sap, stock, permeate : the tanks
    gathered : one for each gathering point that has a tank of its own, by position; may be shorter
    pan_brix : mean strength of what stands in the pan; 0 when it is empty
    wood_m3 : stacked wood on hand, m³; None: as the house description says
    condition : what fouling has left of the membrane, 0 to 1 (a wash brings it back)
    run_since_wash_s : running time of the membrane since its last wash, s
    membrane_on : the membrane is running
    fire_on : the pan is boiling on a stoked fire
    heat_fraction : of the full fire's heat, what one that was let go still gives; 0: none, and of a
        stoked fire it says nothing
    """

    sap: Contents = Contents()
    stock: Contents = Contents(brix=6.0)
    permeate: Contents = Contents(brix=0.0)
    gathered: tuple[Contents, ...] = ()
    pan_brix: float = 0.0
    wood_m3: float | None = None
    condition: float = 1.0
    run_since_wash_s: float = 0.0
    membrane_on: bool = False
    fire_on: bool = False
    heat_fraction: float = 0.0


def start_state(plant: Plant, levels: Levels) -> Floats:
    """Turn readings into the state that the kernel runs on.

    Parameters
    ----------
    plant : the assembled house
    levels : readings

    Returns
    -------
    State, (``state_size(points)``,).

    Raises
    ------
    RangeError : a tank holds more than its rim allows, or a reading is beyond what can be
    InputError : the membrane is said to run in a house without one, or a fire to burn or to die
        under an empty pan
    """
    p = plant.p
    x = np.zeros(at.state_size(len(plant.points)))
    _fill(p, x, at.SAP, levels.sap, p[at.SAP_CAPACITY_M3], "sap tank")
    if p[at.HAS_MEMBRANE] > 0.0:
        _fill(p, x, at.STOCK, levels.stock, p[at.STOCK_CAPACITY_M3], "stock tank", levels.sap.brix)
        _fill(p, x, at.PERMEATE, levels.permeate, p[at.PERMEATE_CAPACITY_M3], "permeate tank")
    for g, contents in enumerate(levels.gathered[: len(plant.points)]):
        if plant.points[g, at.OWN_TANK] > 0.0:
            name = plant.house.gathering[g].name
            capacity_m3 = plant.points[g, at.POINT_CAPACITY_M3]
            _fill(p, x, at.GATHERED + g * at.POINT_WIDTH, contents, capacity_m3, f"tank of {name}")
    _fill_pan(p, x, levels.pan_brix)
    wood_m3 = plant.house.fire.wood_on_hand_wood_m3 if levels.wood_m3 is None else levels.wood_m3
    x[at.WOOD_M3] = _within("wood_m3", wood_m3, 0.0, 1e5)
    x[at.CONDITION] = _within("condition", levels.condition, 0.01, 1.0)
    x[at.RUN_SINCE_WASH_S] = _within("run_since_wash_s", levels.run_since_wash_s, 0.0, 1e8)
    for never in (
        at.WASHED_DAY, at.LIT_DAY, at.RINSED_DAY, at.MEMBRANE_CALLED_DAY, at.FIRE_CALLED_DAY,
    ):  # fmt: skip
        x[never] = -1.0
    _start_machines(p, x, levels)
    return x


def _start_machines(p: Floats, x: Floats, levels: Levels) -> None:
    """Let run what runs."""
    if levels.membrane_on:
        if p[at.HAS_MEMBRANE] <= 0.0:
            raise InputError("membrane_on", True, "the house has no membrane")
        x[at.MEMBRANE_ON] = 1.0
        x[at.WET] = p[at.MEMBRANE_OUTDOORS]
    heat_fraction = _within("heat_fraction", levels.heat_fraction, 0.0, 1.0)
    if levels.fire_on or heat_fraction > 0.0:
        if levels.pan_brix <= 0.0:
            fix = "Say how strong the pan is, with --pan-brix."
            raise InputError("fire_on", True, "the pan is said to be empty", "", fix)
        x[at.FIRE_ON] = 1.0 if levels.fire_on else 0.0
        x[at.HEAT_W] = (1.0 if levels.fire_on else heat_fraction) * p[at.FULL_HEAT_W]
        x[at.PAN_TEMPERATURE] = p[at.BOILING_C]


def start_totals() -> Floats:
    """Totals at the beginning of a run: nothing has happened yet."""
    y = np.zeros(at.TOTALS_SIZE)
    y[[at.SAP_FULL_AT_S, at.STOCK_FULL_AT_S, at.SPOILED_AT_S, at.FIRST_DRAW_AT_S]] = -1.0
    return y


def _fill(
    p: Floats,
    x: Floats,
    tank: int,
    contents: Contents,
    capacity_m3: float,
    name: str,
    raw_brix: float | None = None,
) -> None:
    if not 0.0 <= contents.volume_m3 <= capacity_m3 * (1.0 + 1e-9):
        raise RangeError(
            f"{name} volume",
            f"{contents.volume_m3 * 1000:.4g} L",
            "is not what this tank can hold",
            f"0 to {capacity_m3 * 1000:.4g} L",
            "Read the tank again, or correct its size in sugarhouse.toml.",
        )
    _within(f"{name} brix", contents.brix, 0.0, MOST_BRIX)
    _within(f"{name} age_s", contents.age_s, 0.0, 1e8)
    mixed_m3_kg = p[at.WATER_M3_KG] + contents.brix / 100.0 * (
        p[at.SUGAR_M3_KG] - p[at.WATER_M3_KG]
    )
    mass_kg = contents.volume_m3 / mixed_m3_kg
    x[tank + at.SUGAR] = mass_kg * contents.brix / 100.0
    x[tank + at.WATER] = mass_kg - x[tank + at.SUGAR]
    temperature_c = _within(f"{name} temperature_c", contents.temperature_c, -5.0, WARMEST_C)
    x[tank + at.TEMPERATURE] = max(0.0, temperature_c)
    rate_per_s = growth_rate_per_s(AGED_AT_C, p[at.GROWTH_SLOPE], p[at.GROWTH_LEAST_C])
    cells = math.exp(min(rate_per_s * contents.age_s, math.log(CELLS_MOST)))
    if raw_brix is not None and raw_brix > 0.0:
        cells *= max(1.0, contents.brix / raw_brix)  # a membrane keeps every cell back
    x[tank + at.CELLS] = min(cells, CELLS_MOST)


def _within(name: str, value: float, least: float, greatest: float) -> float:
    """Return a reading that can be."""
    if not least <= value <= greatest:
        allowed = f"{least:g} to {greatest:g}"
        raise RangeError(name, value, "cannot be", allowed, "Read it again.")
    return value


def _fill_pan(p: Floats, x: Floats, brix: float) -> None:
    """Fill the pan with liquid of one strength, its gradient levelled out."""
    x[at.PAN_TEMPERATURE] = COLD_C
    x[at.PAN_WORTH] = 1.0
    if _within("pan_brix", brix, 0.0, MOST_PAN_BRIX) == 0.0:
        return
    x[at.PAN_FILLED] = 1.0
    for i in range(int(p[at.COMPARTMENTS])):
        x[at.PAN_SUGAR + i] = p[at.COMPARTMENT_KG + i] * brix / 100.0
