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

import math

from sugarwright.plant import layout as at
from sugarwright.plant.asked import reached, read, turns
from sugarwright.plant.membrane_kernel import membrane_feed
from sugarwright.plant.pan_kernel import fill_pan, is_lit, pan_mass_kg, reserve_now_m3
from sugarwright.plant.plan_clock import (
    NO_HOUR,
    is_on,
    is_on_today,
    night_setting_m3_s,
    row_of,
    setting_m3_s,
)
from sugarwright.plant.tank_kernel import (
    CLOSE_M3,
    Floats,
    mass_above_kg,
    sugar_fraction,
    take_out,
    volume_m3,
)

FROST_C = -1.0
MOST_LIGHT_UPS_A_DAY = 2.0
DUMPING_S = 900.0  # to empty and rinse a tank of spoiled sap: common practice, no source
HEEL_FRACTION = 0.05  # of a tank: what an outlet and a careful membrane leave
LEAST_HEEL_KG = 0.1  # what a rinsed tank still holds
STOCK_ROOM_FRACTION = 0.9  # fuller than this, starting the membrane is not worth the walk
LEAST_PASSES = 1.5  # times what must stay in the stock tank: less is not passed again
AGAIN_LEAST_BRIX = 0.5  # nobody changes hoses to gain less: common practice, no source
BRIM_FRACTION = 0.95  # as full as a tank gets without worry: no gauge waits for more
SHORTEST_BEGUN_S = 1.0  # whatever is begun takes somebody's time


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
    hands = _empty_points(p, points, x, row, air_c)
    somebody = row[at.PEOPLE] > 0.0
    if p[at.HAS_MEMBRANE] > 0.0 and (somebody or x[at.MEMBRANE_ON] > 0.0):
        _membrane(p, x, y, plan, plan_day, asked, row, air_c)
    if somebody or x[at.FIRE_ON] > 0.0:
        _fire(p, x, y, plan, plan_day, asked, row, hands)


def charge(y: Floats, row: Floats, work_s: float) -> None:
    """Book somebody's time, at the price of an hour of whoever is there."""
    y[at.HANDS_S] += work_s
    y[at.HANDS_MONEY] += work_s * row[at.HOUR_MONEY_S]


def may_begin(row: Floats, needed_s: float) -> bool:
    """Tell whether something new may be begun: not by who is there only to end what runs already.

    Parameters
    ----------
    row : of the calendar
    needed_s : how long somebody must stay for it
    """
    counted_s = row[at.COUNTED_S]
    return counted_s <= 0.0 or row[at.STAY_S] - counted_s >= max(needed_s, SHORTEST_BEGUN_S)


def flow_now_m3_s(
    p: Floats, x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats
) -> float:
    """Concentrate flow that the valve is set to in this step, m³/s; never beyond its ends."""
    wanted_m3_s = _flow_wanted_m3_s(x, plan, plan_day, asked, row)
    return min(max(wanted_m3_s, p[at.LEAST_FLOW_M3_S]), p[at.MOST_FLOW_M3_S])


def _flow_wanted_m3_s(x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats) -> float:
    if _is_night(x, plan, plan_day, asked, row):
        night_m3_s = night_setting_m3_s(asked, plan, plan_day, row)
        if night_m3_s > 0.0:  # else it was left as it was set by day
            return night_m3_s
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    called = x[at.MEMBRANE_CALLED_DAY] == row[at.DAY]
    if called and read(asked, today, at.CALL_FLOW_M3_S) > 0.0:
        return today[at.CALL_FLOW_M3_S]
    begun = is_on_today(
        asked, today, at.MEMBRANE_START, at.MEMBRANE_STOP, called, row[at.MINUTE], 0.0
    )
    return setting_m3_s(asked, plan, plan_day, row, begun)


def feed_tank(p: Floats) -> int:
    """The tank that feeds the pan: stock behind a membrane, else sap."""
    return at.STOCK if p[at.HAS_MEMBRANE] > 0.0 else at.SAP


# --- tanks ---------------------------------------------------------------------------------------


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


def _empty_points(p: Floats, points: Floats, x: Floats, row: Floats, air_c: float) -> float:
    """Start and stop pumps and trips; return how many people are neither on a trip nor at a fire.

    A load is carried by somebody not at the fire.
    """
    hands = row[at.PEOPLE] - (1.0 if is_lit(p, x) else 0.0)
    room = p[at.SAP_CAPACITY_M3] - volume_m3(p, x, at.SAP) > CLOSE_M3
    for g in range(int(p[at.POINTS])):
        if points[g, at.EMPTYING_M3_S] <= 0.0:
            continue
        tank = at.GATHERED + g * at.POINT_WIDTH
        by_hand = points[g, at.BY_HAND] > 0.0
        pumps = air_c > FROST_C and row[at.PUMP_OK_S] > 0.0
        possible = room and (hands >= 1.0 if by_hand else pumps)
        start_m3 = min(
            points[g, at.EMPTYING_START_M3], BRIM_FRACTION * points[g, at.POINT_CAPACITY_M3]
        )
        going_on = x[tank + at.EMPTYING] > 0.0 or volume_m3(p, x, tank) >= start_m3
        x[tank + at.EMPTYING] = 1.0 if possible and going_on else 0.0
        if x[tank + at.EMPTYING] > 0.0:
            if by_hand:
                hands -= 1.0
            else:
                x[at.WET] = 1.0
    return hands


def _calls(asked: Floats, today: Floats, entry: int, held_m3: float, row: Floats) -> bool:
    """Tell whether a tank is so full that somebody who is there begins before the hour."""
    return (
        row[at.PEOPLE] > 0.0
        and not reached(asked, today, entry, 0.0)
        and reached(asked, today, entry, held_m3)
    )


# --- membrane ------------------------------------------------------------------------------------


def _is_night(x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats) -> bool:
    """Outside the plan's hours for the day setting, or with nobody there."""
    called_day = x[at.MEMBRANE_CALLED_DAY]
    return row[at.PEOPLE] <= 0.0 or not is_on(
        asked, plan, plan_day, row, at.MEMBRANE_START, at.MEMBRANE_STOP, called_day, 0.0
    )


def _membrane(
    p: Floats,
    x: Floats,
    y: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    row: Floats,
    air_c: float,
) -> None:
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    sap_m3, called = volume_m3(p, x, at.SAP), x[at.MEMBRANE_CALLED_DAY] == row[at.DAY]
    if not called and _calls(asked, today, at.MEMBRANE_CALL_M3, sap_m3, row):
        x[at.MEMBRANE_CALLED_DAY] = row[at.DAY]
    x[at.AGAIN_TO_BRIX] = 0.0
    if p[at.MAY_PASS_AGAIN] > 0.0:
        x[at.AGAIN_TO_BRIX] = read(asked, today, at.PASS_AGAIN_BRIX)
    may_run = _may_run(p, x, row, air_c)
    if x[at.MEMBRANE_ON] > 0.0 and not (may_run and _goes_on(p, x, plan, plan_day, asked, row)):
        stop_membrane(p, x, y, row)
    frost = _stands_in_frost(p, air_c)
    if not frost:
        _wash(p, x, y, today, asked, row)
    has_room = volume_m3(p, x, at.STOCK) < STOCK_ROOM_FRACTION * p[at.STOCK_CAPACITY_M3]
    if x[at.MEMBRANE_ON] > 1.5:
        if row[at.PEOPLE] > 0.0 and has_room and _sap_waits(p, x, today, asked):
            _switch(p, x, y, row, 1.0)
    elif x[at.MEMBRANE_ON] <= 0.0 and may_run and row[at.STAY_S] >= p[at.START_HANDS_S]:
        sap_goes = has_room and _sap_waits(p, x, today, asked)
        if (sap_goes or _may_go_again(p, x, row)) and _may_be_started(
            p, x, plan, plan_day, asked, row
        ):
            x[at.MEMBRANE_ON] = 1.0 if sap_goes else 2.0
            x[at.NEEDS_RINSE] = 0.0  # the next stop rinses it
            x[at.WET] = max(x[at.WET], p[at.MEMBRANE_OUTDOORS])
            y[at.MEMBRANE_STARTS] += 1.0
            charge(y, row, p[at.START_HANDS_S] + p[at.CHORE_RUN_S])
    if not frost:
        _make_up_rinse(p, x, y, row)


def _goes_on(p: Floats, x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats) -> bool:
    """Tell whether a membrane that runs may go on, alone or with somebody by day."""
    attended = _is_attended(p, row)
    if x[at.MEMBRANE_ON] > 1.5 and not attended:
        return False  # no cut-out ends a second pass
    if p[at.UNATTENDED] > 0.0 and _is_left_on(x, row):
        return True
    by_day = attended and not _is_night(x, plan, plan_day, asked, row)
    return by_day or _runs_alone(p, plan, plan_day, asked, row)


def _may_be_started(
    p: Floats, x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats
) -> bool:
    """Tell whether it is time to start the membrane, and whoever is there has the time for it."""
    if x[at.CLEANING_LEFT_S] > 0.0 or _is_night(x, plan, plan_day, asked, row):
        return False
    if _is_attended(p, row) and may_begin(row, attended_s(p)):
        return True
    return may_begin(row, p[at.START_HANDS_S]) and _runs_alone(p, plan, plan_day, asked, row)


def _runs_alone(p: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats) -> bool:
    """Tell whether the house and the plan leave the membrane running with nobody there."""
    return p[at.UNATTENDED] > 0.0 and night_setting_m3_s(asked, plan, plan_day, row) > 0.0


def _sap_waits(p: Floats, x: Floats, today: Floats, asked: Floats) -> bool:
    """Tell whether the sap tank shows the plan's gauge, or the least where that is more."""
    held_m3 = volume_m3(p, x, at.SAP)
    return held_m3 >= sap_gauge_m3(p, 0.0) and reached(asked, today, at.MEMBRANE_SAP_M3, held_m3)


def _is_left_on(x: Floats, row: Floats) -> bool:
    """Tell whether the membrane runs with nobody there: a plan made then turns nothing off.

    Parameters
    ----------
    x, row : state, and row of the calendar
    """
    return x[at.MEMBRANE_ON] > 0.0 and row[at.PEOPLE] <= 0.0


def attended_s(p: Floats) -> float:
    """For longer than this somebody must stay with a membrane that may not run alone, s."""
    return max(p[at.STEP_S], p[at.RINSE_S] + p[at.STOP_HANDS_S])


def least_to_pass_m3(p: Floats) -> float:
    """What stays in the stock tank when it passes through the membrane again, m³."""
    return max(p[at.RESERVE_M3], min(p[at.LEAST_SAP_M3], 0.3 * p[at.STOCK_CAPACITY_M3]))


def stock_may_pass(p: Floats, x: Floats, margin_brix: float) -> bool:
    """Tell whether the stock tank is still full and weak enough to pass through the membrane again.

    Parameters
    ----------
    p, x : parameters and state
    margin_brix : how much weaker than wanted it must be; to start, more than nothing
    """
    enough = volume_m3(p, x, at.STOCK) > least_to_pass_m3(p) + CLOSE_M3
    return enough and 100.0 * sugar_fraction(x, at.STOCK) < x[at.AGAIN_TO_BRIX] - margin_brix


def _is_attended(p: Floats, row: Floats) -> bool:
    """Tell whether somebody stays for long enough to stop the membrane, and to rinse it."""
    return row[at.STAY_S] > attended_s(p)


def _may_go_again(p: Floats, x: Floats, row: Floats) -> bool:
    """Tell whether it is worth the hands to let the stock tank pass once more.

    Drawing from a tank and returning to it fills none, and no cut-out stops at a strength: somebody
    must be there to end it.
    """
    enough = volume_m3(p, x, at.STOCK) >= LEAST_PASSES * least_to_pass_m3(p)
    by_somebody = _is_attended(p, row) and may_begin(row, attended_s(p))
    return enough and by_somebody and stock_may_pass(p, x, AGAIN_LEAST_BRIX)


def end_of_sap(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    """Stop the membrane, or let the stock tank pass through it again where the plan wants that."""
    if _may_go_again(p, x, row):
        _switch(p, x, y, row, 2.0)
    else:
        stop_membrane(p, x, y, row)


def _switch(p: Floats, x: Floats, y: Floats, row: Floats, to: float) -> None:
    """Let the membrane draw from the other tank."""
    x[at.MEMBRANE_ON] = to
    charge(y, row, p[at.START_HANDS_S])


def sap_gauge_m3(p: Floats, wanted_m3: float) -> float:
    """What the sap tank must show before the membrane is started: the plan's gauge, or the least.

    Parameters
    ----------
    p : parameters of the house
    wanted_m3 : gauge of the plan, m³
    """
    usable_m3 = p[at.SAP_CAPACITY_M3] - p[at.LEAST_SAP_M3]
    worth_it_m3 = p[at.LEAST_SAP_M3] + min(0.2 * p[at.LEAST_SAP_M3], 0.5 * usable_m3)
    return max(wanted_m3, worth_it_m3)


def _may_run(p: Floats, x: Floats, row: Floats, air_c: float) -> bool:
    """Frost, the circuit and its own order allow the membrane to run, and to be rinsed after."""
    in_order = row[at.MEMBRANE_OK_S] > attended_s(p)
    return (
        in_order
        and not _stands_in_frost(p, air_c)
        and not (p[at.NOT_WITH_FIRE] > 0.0 and is_lit(p, x))
    )


def _stands_in_frost(p: Floats, air_c: float) -> bool:
    """Tell whether water let into the membrane would freeze in it."""
    return p[at.MEMBRANE_OUTDOORS] > 0.0 and air_c < 0.0


def stop_membrane(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    """Switch the membrane off; whoever is there rinses it with permeate, if there is enough."""
    x[at.MEMBRANE_ON] = 0.0
    x[at.NEEDS_RINSE] = 1.0
    if row[at.PEOPLE] > 0.0:
        charge(y, row, p[at.STOP_HANDS_S])
        _rinse(p, x, y, row)


def _rinse(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    if row[at.MEMBRANE_OK_S] >= p[at.RINSE_S] and _use_permeate(p, x, y, p[at.RINSE_M3]):
        x[at.NEEDS_RINSE] = 0.0
        x[at.CLEANING_LEFT_S] = p[at.RINSE_S]
        x[at.WET] = max(x[at.WET], p[at.MEMBRANE_OUTDOORS])
        x[at.CONDITION] += p[at.RINSE_RECOVERY] * (1.0 - x[at.CONDITION])
        y[at.RINSES] += 1.0


def _make_up_rinse(p: Floats, x: Floats, y: Floats, row: Floats) -> None:
    """Rinse a membrane that stopped by itself, once somebody is back and it stays off."""
    due = x[at.NEEDS_RINSE] > 0.0 and x[at.MEMBRANE_ON] <= 0.0 and x[at.CLEANING_LEFT_S] <= 0.0
    if due and row[at.PEOPLE] > 0.0 and row[at.STAY_S] >= p[at.RINSE_S] + p[at.STOP_HANDS_S]:
        rinses = y[at.RINSES]
        _rinse(p, x, y, row)
        charge(y, row, p[at.STOP_HANDS_S] * (y[at.RINSES] - rinses))


def _wash(p: Floats, x: Floats, y: Floats, today: Floats, asked: Floats, row: Floats) -> None:
    possible = (
        x[at.WASHED_DAY] != row[at.DAY]
        and row[at.PEOPLE] > 0.0
        and min(row[at.STAY_S], row[at.MEMBRANE_OK_S]) >= p[at.WASH_DURATION_S]
        and may_begin(row, p[at.WASH_DURATION_S])
        and x[at.CLEANING_LEFT_S] <= 0.0
        and _has_permeate(p, x, p[at.WASH_M3])
    )
    due = (
        possible
        and reached(asked, today, at.WASH_AFTER_S, x[at.RUN_SINCE_WASH_S])
        and not reached(asked, today, at.WASH_AT, NO_HOUR)
        and reached(asked, today, at.WASH_AT, row[at.MINUTE])
    )
    if not due:
        return
    _use_permeate(p, x, y, p[at.WASH_M3])
    if x[at.MEMBRANE_ON] > 0.0:
        charge(y, row, p[at.STOP_HANDS_S])
    x[at.MEMBRANE_ON] = 0.0
    x[at.NEEDS_RINSE] = 0.0
    x[at.CLEANING_LEFT_S] = p[at.WASH_DURATION_S]
    x[at.CONDITION] += p[at.WASH_RECOVERY] * (1.0 - x[at.CONDITION])
    x[at.RUN_SINCE_WASH_S] = 0.0
    x[at.WASHED_DAY] = row[at.DAY]
    x[at.WET] = max(x[at.WET], p[at.MEMBRANE_OUTDOORS])
    y[at.WASHES] += 1.0
    charge(y, row, p[at.WASH_HANDS_S] + p[at.CHORE_WASH_S])


def _has_permeate(p: Floats, x: Floats, wanted_m3: float) -> bool:
    """Tell whether the tank has a volume of permeate above its outlet."""
    wanted_kg = wanted_m3 / p[at.WATER_M3_KG]
    return mass_above_kg(p, x, at.PERMEATE, p[at.PERMEATE_DEAD_M3]) >= wanted_kg


def _use_permeate(p: Floats, x: Floats, y: Floats, wanted_m3: float) -> bool:
    """Use a volume of permeate if the tank has it."""
    if not _has_permeate(p, x, wanted_m3):
        return False
    water_kg, sugar_kg = take_out(x, at.PERMEATE, wanted_m3 / p[at.WATER_M3_KG])
    y[at.CLEANING_WATER_KG] += water_kg
    y[at.CLEANING_SUGAR_KG] += sugar_kg
    return True


# --- fire ----------------------------------------------------------------------------------------


def _fire(
    p: Floats,
    x: Floats,
    y: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    row: Floats,
    hands: float,
) -> None:
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    feed_m3, called = volume_m3(p, x, feed_tank(p)), x[at.FIRE_CALLED_DAY] == row[at.DAY]
    if not called and _calls(asked, today, at.FIRE_CALL_M3, feed_m3, row):
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
