"""What happens outside the house under a plan: gathering tanks, trips and pumps, wet lines.

The trace has no column for each gathering point, so the runs are made once more, a step at a time,
and the states between kept of what stands out there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning.course import stand_at
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.hands import BRIM_FRACTION
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import CLOSE_M3, Floats, mixed_m3

Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


@dataclass(frozen=True)
class Yard:
    """Gathering points and lines under a plan, step by step, in some weathers.

    Parameters
    ----------
    drive : the weathers
    held_m3 : (weathers, steps + 1, points), what each gathering tank holds before and after steps
    come_m3 : (weathers, steps, points), sap that came from the trees
    emptying : (weathers, steps, points), whether a pump or a trip went on at the step's end or
        had moved sap within it
    wet : (weathers, steps), whether lines and machines hold water that a frost would freeze
    flushed : (weathers, steps), whether a membrane that stands outdoors runs, or is being rinsed or
        washed, at the step's end
    """

    drive: Drive
    held_m3: Floats
    come_m3: Floats
    emptying: Flags
    wet: Flags
    flushed: Flags

    def moved_m3(self, weather: int, point: int) -> Floats:
        """What each step moved from a gathering tank to the sap tank, m³; (steps,)."""
        held, come = self.held_m3[weather, :, point], self.come_m3[weather, :, point]
        left: Floats = held[:-1] + come - held[1:]
        return np.where(self.emptying[weather, :, point], left, 0.0)

    def spilled_m3(self, weather: int, point: int) -> Floats:
        """What ran over a gathering tank's rim in each step, m³; none while it is emptied."""
        held, come = self.held_m3[weather, :, point], self.come_m3[weather, :, point]
        left: Floats = np.maximum(0.0, held[:-1] + come - held[1:])
        return np.where(self.emptying[weather, :, point], 0.0, left)


def has_yard(plant: Plant) -> bool:
    """Tell whether anything of the house outside holds sap or water of its own."""
    tanks = bool((plant.points[:, at.OWN_TANK] > 0.0).any())
    return tanks or bool(plant.p[at.MEMBRANE_OUTDOORS] > 0.0)


def start_m3(plant: Plant, point: int) -> float:
    """Level of a gathering tank from which its pump starts, or a trip is worth it, m³."""
    brim_m3 = BRIM_FRACTION * plant.points[point, at.POINT_CAPACITY_M3]
    return float(min(plant.points[point, at.EMPTYING_START_M3], brim_m3))


def yard_of(plant: Plant, drive: Drive, plan: Floats, state: Floats) -> Yard | None:
    """Follow what stands outside through a plan.

    Parameters
    ----------
    plant, drive : the house, and the weathers
    plan : (days, ``PLAN_WIDTH``)
    state : at the beginning: (state,), or (scenarios, state)

    Returns
    -------
    Yard; None where the house has neither a gathering tank nor a membrane outdoors.
    """
    if not has_yard(plant):
        return None
    begin = np.broadcast_to(state, (drive.scenarios, state.shape[-1]))
    ends = stand_at(plant, drive, plan, state, range(1, drive.steps + 1), 1)
    states = [begin, *(each.states[0] for each in ends)]
    points = len(plant.points)
    rows = np.stack([each[:, at.WET :] for each in states], axis=1)
    outside = rows[:, :, at.GATHERED - at.WET :].reshape(*rows.shape[:2], points, at.POINT_WIDTH)
    water, sugar = outside[..., at.WATER], outside[..., at.SUGAR]
    held_m3 = mixed_m3(plant.p, water, sugar)
    come_m3 = _come_m3(plant, drive)
    flowing = outside[:, 1:, :, at.EMPTYING] > 0.0
    # A tank emptied within the step is no longer being emptied at its end, but nothing else
    # lowers it.
    fell = held_m3[:, 1:] < held_m3[:, :-1] - CLOSE_M3
    own = plant.points[:, at.OWN_TANK] > 0.0
    emptying = (flowing | fell) & own
    wet, flushed = rows[:, 1:, 0] > 0.0, _flushed(plant, states[1:])
    return Yard(drive, held_m3, come_m3, emptying, wet, flushed)


def _flushed(plant: Plant, ends: list[Floats]) -> Flags:
    """Whether water goes through a membrane outdoors, (weathers, steps)."""
    outdoors = bool(plant.p[at.MEMBRANE_OUTDOORS] > 0.0)
    machine = np.stack([each[:, [at.MEMBRANE_ON, at.CLEANING_LEFT_S]] for each in ends], axis=1)
    found: Flags = np.any(machine > 0.0, axis=2) & outdoors
    return found


def _come_m3(plant: Plant, drive: Drive) -> Floats:
    """Sap from the trees in each step, (weathers, steps, points)."""
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    kg_s = drive.sap_kg_s[:, hours]
    come: Floats = mixed_m3(plant.p, kg_s[..., 0], kg_s[..., 1]) * plant.step_s
    return come
