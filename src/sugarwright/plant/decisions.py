"""What people and cut-outs do at the beginning of a step: the plan's clock times and gauges.

An action is a clock time *and* a gauge. A start waits for its gauge; a second, high gauge calls for
it before its hour, or on a day without one, so that nobody watches a tank run over. A stop comes at
its clock time or when a tank says so, whichever is first. Nobody acts who is not there. What the
house forbids is decided here, for every plan alike: no plan can ask for a lit pan with nobody at
it, or for a membrane that runs alone where the house does not allow it.

What today's row of the plan is asked is noted (``plant/asked.py``), and it is asked last: what can
be told without it is told first.
"""

from __future__ import annotations

from sugarwright.plant import layout as at
from sugarwright.plant.asked import reached
from sugarwright.plant.fire_decisions import feed_tank, tend_fire
from sugarwright.plant.hands import BRIM_FRACTION, charge, room_to_set_out_m3
from sugarwright.plant.membrane_decisions import stop_membrane, tend_membrane
from sugarwright.plant.membrane_kernel import membrane_feed
from sugarwright.plant.pan_kernel import is_lit
from sugarwright.plant.plan_clock import NO_HOUR, row_of
from sugarwright.plant.tank_kernel import CLOSE_M3, Floats, take_out, volume_m3

FROST_C = -1.0
DUMPING_S = 900.0  # to empty and rinse a tank of spoiled sap: common practice, no source
HEEL_FRACTION = 0.05  # of a tank: what an outlet and a careful membrane leave
LEAST_HEEL_KG = 0.1  # what a rinsed tank still holds


def decide(
    p: Floats,
    points: Floats,
    x: Floats,
    y: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    row: Floats,
    air_c: float,
    now_s: float,
) -> None:
    """Do whatever is due now.

    Parameters
    ----------
    p, points : parameters of the house and of its gathering points
    x, y : state and totals, **changed in place**
    plan, plan_day : one row a day from local day number ``plan_day`` on
    asked : what today's row has been asked, **noted in place**
    row : of the calendar
    air_c, now_s : temperature, °C, and seconds since the plan began
    """
    _dump_spoiled(p, x, y, row, now_s)
    _drain_for_frost(p, x, y, row, air_c)
    _tend_tanks(p, x, y, row)
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    hands = _empty_points(p, points, x, today, asked, row, air_c)
    somebody = row[at.PEOPLE] > 0.0
    if p[at.HAS_MEMBRANE] > 0.0 and (somebody or x[at.MEMBRANE_ON] > 0.0):
        tend_membrane(p, x, y, plan, plan_day, asked, row, air_c)
    if somebody or x[at.FIRE_ON] > 0.0:
        tend_fire(p, x, y, plan, plan_day, asked, row, hands)


def _dump_spoiled(p: Floats, x: Floats, y: Floats, row: Floats, now_s: float) -> None:
    """Dump what has spoiled, when somebody is there; never what a hot pan is fed with.

    A heel goes out with the day's rinse once it is so old that fresh sap on it would begin as old.
    That is no loss to report, and no work of its own.
    """
    hot = x[at.FIRE_ON] > 0.0 or x[at.HEAT_W] > 0.0
    for tank in (at.SAP, at.STOCK):
        held_kg, cells = x[tank + at.WATER] + x[tank + at.SUGAR], x[tank + at.CELLS]
        if held_kg <= LEAST_HEEL_KG or cells < p[at.HEEL_CELLS]:
            continue
        rim_m3 = p[at.SAP_CAPACITY_M3] if tank == at.SAP else p[at.STOCK_CAPACITY_M3]
        heel = volume_m3(p, x, tank) <= HEEL_FRACTION * rim_m3
        if not heel and cells < p[at.SPOILED_CELLS]:
            continue
        if y[at.SPOILED_AT_S] < 0.0 and not heel:
            y[at.SPOILED_AT_S] = now_s
        if row[at.PEOPLE] > 0.0 and not (hot and tank == feed_tank(p)):
            if x[at.MEMBRANE_ON] > 0.0 and tank == membrane_feed(x):
                stop_membrane(p, x, y, row)
            water_kg, sugar_kg = take_out(x, tank, held_kg)
            y[at.DUMPED_WATER_KG] += water_kg
            y[at.DUMPED_SUGAR_KG] += sugar_kg
            charge(y, row, 0.0 if heel else DUMPING_S)


def _drain_for_frost(p: Floats, x: Floats, y: Floats, row: Floats, air_c: float) -> None:
    if x[at.WET] > 0.0 and air_c < FROST_C and x[at.MEMBRANE_ON] <= 0.0:
        x[at.WET] = 0.0
        y[at.FROSTS] += 1.0
        charge(y, row, p[at.CHORE_FROST_S])


def _tend_tanks(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    """Book the chores of a day with sap, once, when somebody is there."""
    if row[at.PEOPLE] <= 0.0 or x[at.RINSED_DAY] == row[at.DAY]:
        return
    if volume_m3(p, x, at.SAP) + volume_m3(p, x, at.STOCK) > 0.05 * p[at.SAP_CAPACITY_M3]:
        x[at.RINSED_DAY] = row[at.DAY]
        charge(y, row, p[at.CHORE_DAY_S])


def _empty_points(
    p: Floats, points: Floats, x: Floats, today: Floats, asked: Floats, row: Floats, air_c: float
) -> float:
    """Start and stop pumps and trips; return how many people are neither on a trip nor at a fire.

    A load is carried by somebody not at the fire, who sets out from the plan's minute on, once the
    sap tank has room for what is worth it: nobody carries a nearly full tank its trickle all day.
    """
    hands = row[at.PEOPLE] - (1.0 if is_lit(p, x) else 0.0)
    room_m3 = p[at.SAP_CAPACITY_M3] - volume_m3(p, x, at.SAP)
    for g in range(int(p[at.POINTS])):
        if points[g, at.EMPTYING_M3_S] <= 0.0:
            continue
        tank = at.GATHERED + g * at.POINT_WIDTH
        by_hand = points[g, at.BY_HAND] > 0.0
        pumps = air_c > FROST_C and row[at.PUMP_OK_S] > 0.0
        possible = room_m3 > CLOSE_M3 and (hands >= 1.0 if by_hand else pumps)
        start_m3 = min(
            points[g, at.EMPTYING_START_M3], BRIM_FRACTION * points[g, at.POINT_CAPACITY_M3]
        )
        worth_it = volume_m3(p, x, tank) >= start_m3 and (
            not by_hand or room_m3 >= room_to_set_out_m3(p, start_m3)
        )
        going = possible and (
            x[tank + at.EMPTYING] > 0.0
            or (worth_it and (not by_hand or _is_time_to_gather(today, asked, row)))
        )
        x[tank + at.EMPTYING] = 1.0 if going else 0.0
        if x[tank + at.EMPTYING] > 0.0:
            if by_hand:
                hands -= 1.0
            else:
                x[at.WET] = 1.0
    return hands


def _is_time_to_gather(today: Floats, asked: Floats, row: Floats) -> bool:
    """Tell whether the plan has people set out for sap by now."""
    return not reached(asked, today, at.GATHER_START, NO_HOUR) and reached(
        asked, today, at.GATHER_START, row[at.MINUTE]
    )
