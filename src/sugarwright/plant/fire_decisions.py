"""When the fire is lit and let go, and what the tank that feeds the pan must show for it."""

from __future__ import annotations

import math

from sugarwright.plant import layout as at
from sugarwright.plant.asked import turns
from sugarwright.plant.hands import BRIM_FRACTION, calls, charge, may_begin
from sugarwright.plant.pan_kernel import fill_pan, is_lit, pan_mass_kg, reserve_now_m3
from sugarwright.plant.plan_clock import is_on, row_of
from sugarwright.plant.tank_kernel import Floats, mass_above_kg, volume_m3

MOST_LIGHT_UPS_A_DAY = 2.0


def feed_tank(p: Floats) -> int:
    """The tank that feeds the pan: stock behind a membrane, else sap."""
    return at.STOCK if p[at.HAS_MEMBRANE] > 0.0 else at.SAP


def tend_fire(
    p: Floats,
    x: Floats,
    y: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    row: Floats,
    hands: float,
) -> None:
    """Light the fire, or let it go, as it is due.

    Parameters
    ----------
    p : parameters of the house
    x, y : state and totals, **changed in place**
    plan, plan_day : one row a day from local day number ``plan_day`` on
    asked : what today's row has been asked, **noted in place**
    row : of the calendar
    hands : people who are neither on a trip nor at a fire
    """
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    feed_m3, called = volume_m3(p, x, feed_tank(p)), x[at.FIRE_CALLED_DAY] == row[at.DAY]
    if not called and calls(asked, today, at.FIRE_CALL_M3, feed_m3, row):
        x[at.FIRE_CALLED_DAY] = row[at.DAY]
    stay_s = min(row[at.STAY_S], row[at.PAN_OK_S])  # a pan to be mended must be cold by then
    if x[at.FIRE_ON] > 0.0:
        stays = stay_s >= p[at.CLEAR_S] + p[at.STEP_S]
        x[at.FIRE_ON] = 1.0 if stays and _is_fire_time(x, plan, plan_day, asked, row, 0.0) else 0.0
        return
    if x[at.LIT_DAY] != row[at.DAY]:
        x[at.LIT_DAY] = row[at.DAY]
        x[at.LIT_TODAY] = 0.0
    wood_m3 = p[at.LIGHT_UP_WOOD_M3] + p[at.FUEL_M3_S] * p[at.LEAST_BURN_S]
    worth_lighting = (
        hands + (1.0 if is_lit(p, x) else 0.0) >= 1.0
        and stay_s >= p[at.CLEAR_S] + p[at.LEAST_BURN_S]
        and may_begin(row, p[at.CLEAR_S] + p[at.LEAST_BURN_S])
        and x[at.LIT_TODAY] < MOST_LIGHT_UPS_A_DAY
        and x[at.WOOD_M3] >= wood_m3
        and not (p[at.NOT_WITH_FIRE] > 0.0 and x[at.MEMBRANE_ON] > 0.0)
        and _feed_waits(p, x, today, asked)
        and _is_fire_time(x, plan, plan_day, asked, row, p[at.LEAST_BURN_S])
    )
    if worth_lighting and _pan_is_filled(p, x):
        _light(p, x, y, row)


def _is_fire_time(
    x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats, least_s: float
) -> bool:
    """Tell whether the plan's hours of a fire are on, and for how long at least."""
    called_day = x[at.FIRE_CALLED_DAY]
    return is_on(asked, plan, plan_day, row, at.FIRE_START, at.FIRE_STOP, called_day, least_s)


def _feed_waits(p: Floats, x: Floats, today: Floats, asked: Floats) -> bool:
    """Tell whether the feed tank shows the plan's gauge and what the pan swallows.

    A tank too small for both waits until it is nearly full, and is let into the pan again and again
    until that is full.
    """
    lacking_kg = _lacking_kg(p, x)
    held_m3, reserve_m3 = volume_m3(p, x, feed_tank(p)), 1.2 * reserve_now_m3(p, x)
    if held_m3 < max(light_gauge_m3(p, 0.0, lacking_kg), reserve_m3):
        return False
    if held_m3 < light_gauge_m3(p, math.inf, lacking_kg):
        turns(asked, today, at.FIRE_STOCK_M3, held_m3 - lacking_kg * p[at.WATER_M3_KG])
    return held_m3 >= light_gauge_m3(p, today[at.FIRE_STOCK_M3], lacking_kg)


def _lacking_kg(p: Floats, x: Floats) -> float:
    """What the pan swallows before it is full, kg."""
    return (1.0 - x[at.PAN_FILLED]) * pan_mass_kg(p)


def _pan_is_filled(p: Floats, x: Floats) -> bool:
    """Fill the pan; tell whether it is full and enough is left to feed it."""
    feed, lacking_kg = feed_tank(p), _lacking_kg(p, x)
    if lacking_kg > 0.0:
        fill_pan(p, x, feed, min(lacking_kg, mass_above_kg(p, x, feed, p[at.RESERVE_M3])))
    return x[at.PAN_FILLED] >= 1.0 and volume_m3(p, x, feed) >= 1.1 * reserve_now_m3(p, x)


def light_gauge_m3(p: Floats, wanted_m3: float, lacking_kg: float) -> float:
    """What the feed tank must show before the pan is filled and lit.

    Parameters
    ----------
    p : parameters of the house
    wanted_m3 : gauge of the plan, m³
    lacking_kg : what the pan swallows before it is full
    """
    capacity_m3 = p[at.STOCK_CAPACITY_M3] if p[at.HAS_MEMBRANE] > 0.0 else p[at.SAP_CAPACITY_M3]
    gauge_m3 = max(wanted_m3, p[at.RESERVE_M3] * 1.2) + lacking_kg * p[at.WATER_M3_KG]
    return min(gauge_m3, BRIM_FRACTION * capacity_m3)


def _light(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    x[at.FIRE_ON] = 1.0
    x[at.LIT_TODAY] += 1.0
    x[at.WOOD_M3] -= p[at.LIGHT_UP_WOOD_M3]
    y[at.WOOD_BURNT_M3] += p[at.LIGHT_UP_WOOD_M3]
    y[at.LIGHT_UPS] += 1.0
    charge(y, row, p[at.CHORE_BOIL_S])
