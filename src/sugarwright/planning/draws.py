"""What a fire is expected to give: its draws, and what stands in the pan after the last one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.beginning import PanLeft
from sugarwright.planning.planned import Planned
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import HEEL_FRACTION
from sugarwright.plant.pan_kernel import pan_mass_kg
from sugarwright.plant.simulate import Drive, Trace
from sugarwright.plant.tank_kernel import mixed_m3
from sugarwright.weather.hours import HOUR_S

NOT_LIT_AGAIN = 1.2  # times the reserve: no fire is lit for less feed
MOST_LIT = 0.5  # of the weathers: a fire in more of them boils on what stands in the pan
LEAST_LEFT_M3 = 2e-4  # of syrup in the pan: less makes no difference worth a word


@dataclass(frozen=True)
class Drawn:
    """The syrup of one fire.

    Parameters
    ----------
    syrup_m3 : at 20 °C, from lighting until the pan is cold or lit anew
    draws : in how many
    first_s : UTC s of the first; None without one
    later_m3 : what of it comes after the day's midnight
    """

    syrup_m3: float
    draws: int
    first_s: int | None
    later_m3: float


def drawn(scene: Scene, lit: int) -> Drawn:
    """Tell what the fire that burns from a step on gives.

    Parameters
    ----------
    scene : the day
    lit : the step at which it is lit, or at which the plan finds it burning
    """
    trace, draw_kg = scene.trace, scene.plant.p[at.DRAW_KG]
    syrup_kg_m3 = density_kg_m3(scene.plant.house.pan.finish_brix, 20.0)
    end = _end_of_boil(scene, lit)
    drawn_kg = trace.column(at.T_SYRUP_KG)[lit:end] - _before_kg(scene, lit)
    first = np.flatnonzero(drawn_kg > 0.0)
    today_kg = drawn_kg[min(end, scene.last) - lit - 1]
    return Drawn(
        float(drawn_kg[-1]) / syrup_kg_m3,
        round(float(drawn_kg[-1] / draw_kg)),
        scene.time_s(lit + int(first[0])) if len(first) else None,
        float(drawn_kg[-1] - today_kg) / syrup_kg_m3,
    )


def _end_of_boil(scene: Scene, lit: int) -> int:
    """Step before which a fire's draws are its own: until it is cold, or the next one is lit.

    A fire that the next day's row keeps is told on that day again, and counts there from then on.
    """
    steps = scene.drive.steps
    cold = scene.first_where(at.T_HEAT, lit, steps, False)
    again = scene.next_start(at.T_FIRE_ON, lit + 1, steps)
    told_again = _told_again(scene, lit)
    end = min(steps if cold is None else cold + 1, steps if again is None else again)
    return end if told_again is None else min(end, told_again)


def _told_again(scene: Scene, lit: int) -> int | None:
    """Step of the next day from which its row keeps a fire that has burnt on; None if none does.

    One that only a full tank keeps on the next day is told on its own day alone.
    """
    if lit >= scene.last or scene.last >= scene.drive.steps:
        return None
    start, calendar = scene.row_at(scene.last)[at.FIRE_START], scene.drive.calendar[scene.last :]
    same = calendar[:, at.DAY] == calendar[0, at.DAY]
    there = same & (calendar[:, at.MINUTE] >= start) & (calendar[:, at.PEOPLE] > 0.0)
    if start < 0.0 or not there.any():
        return None
    kept = scene.last + int(np.argmax(there))
    on = scene.trace.column(at.T_FIRE_ON)[scene.last - 1 : kept + 1] > 0.0
    return kept if on.all() else None


def _before_kg(scene: Scene, step: int) -> float:
    """Syrup drawn before a step."""
    return float(scene.trace.rows[step - 1, at.T_SYRUP_KG]) if step > 0 else 0.0


def left_in_pan(scene: Scene, lit: int) -> tuple[float, float] | None:
    """Tell what stands in the pan after the last fire, where nothing is expected to move it on.

    Parameters
    ----------
    scene : the day
    lit : the step at which the fire is lit

    Returns
    -------
    The syrup that its sugar makes, m³, and its mean strength, Brix. None where a draw is expected
    in the plan's hours, another fire, sap that is worth the name, or feed enough for one more.
    """
    again = scene.next_start(at.T_FIRE_ON, lit + 1, scene.drive.steps)
    draws_on = scene.trace.rows[-1, at.T_SYRUP_KG] > _before_kg(scene, lit)
    if (
        again is not None
        or draws_on
        or _is_more_to_come(scene.plant, scene.drive, scene.trace, lit)
    ):
        return None
    return _left(scene.plant, scene.trace)


def left_without_fire(planned: Planned) -> PanLeft | None:
    """Tell what stands in the pan where the plan has no fire, and nothing to come for one.

    Parameters
    ----------
    planned : the plan

    Returns
    -------
    None where the forecast, or most weathers, bring a fire, or sap that is worth the name.
    """
    plant, drive, trace = planned.plant, planned.weathers.forecast, planned.trace
    lit = (planned.checked.ends[-1].totals[0][:, at.FIRE_S] > 0.0).mean()
    burns = (trace.column(at.T_FIRE_ON) > 0.0).any() or planned.state[at.FIRE_ON] > 0.0
    if burns or lit > MOST_LIT or _is_more_to_come(plant, drive, trace, 0):
        return None
    found = _left(plant, trace)
    return None if found is None else PanLeft(*found)


def _left(plant: Plant, trace: Trace) -> tuple[float, float] | None:
    """The syrup that the sugar in the pan makes in the end, m³, and its mean strength, Brix."""
    finish_brix, sugar_kg = plant.house.pan.finish_brix, float(trace.rows[-1, at.T_PAN_SUGAR_KG])
    left_m3 = sugar_kg / (finish_brix / 100.0) / density_kg_m3(finish_brix, 20.0)
    if left_m3 < LEAST_LEFT_M3:
        return None
    return left_m3, 100.0 * sugar_kg / float(pan_mass_kg(plant.p))


def _is_more_to_come(plant: Plant, drive: Drive, trace: Trace, step: int) -> bool:
    """Tell whether sap runs after a step, or stands in the tanks in the end, for another fire."""
    p, now = plant.p, trace.rows[-1]
    hour = int(drive.calendar[step, at.HOUR])
    water_kg, sugar_kg = drive.sap_kg_s[0, hour:].sum(axis=(0, 1)) * HOUR_S
    coming_m3 = mixed_m3(p, water_kg, sugar_kg)
    held_m3 = now[at.T_SAP_M3] + now[at.T_STOCK_M3] + now[at.T_GATHERED_M3]
    membrane_m3 = p[at.LEAST_SAP_M3] if p[at.HAS_MEMBRANE] > 0.0 else 0.0
    waiting = held_m3 > NOT_LIT_AGAIN * now[at.T_RESERVE_M3] + membrane_m3
    return bool(waiting or coming_m3 > HEEL_FRACTION * p[at.SAP_CAPACITY_M3])
