"""When the membrane starts, stops, passes stock again, is rinsed and washed; and its setting."""

from __future__ import annotations

from sugarwright.plant import layout as at
from sugarwright.plant.asked import reached, read
from sugarwright.plant.hands import calls, charge, may_begin
from sugarwright.plant.pan_kernel import is_lit
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

STOCK_ROOM_FRACTION = 0.9  # fuller than this, starting the membrane is not worth the walk
LEAST_PASSES = 1.5  # times what must stay in the stock tank: less is not passed again
AGAIN_LEAST_BRIX = 0.5  # nobody changes hoses to gain less: common practice, no source


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


def _is_night(x: Floats, plan: Floats, plan_day: int, asked: Floats, row: Floats) -> bool:
    """Outside the plan's hours for the day setting, or with nobody there."""
    called_day = x[at.MEMBRANE_CALLED_DAY]
    return row[at.PEOPLE] <= 0.0 or not is_on(
        asked, plan, plan_day, row, at.MEMBRANE_START, at.MEMBRANE_STOP, called_day, 0.0
    )


def tend_membrane(
    p: Floats,
    x: Floats,
    y: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    row: Floats,
    air_c: float,
) -> None:
    """Start, stop, rinse and wash the membrane as it is due.

    Parameters
    ----------
    p : parameters of the house
    x, y : state and totals, **changed in place**
    plan, plan_day : one row a day from local day number ``plan_day`` on
    asked : what today's row has been asked, **noted in place**
    row : of the calendar
    air_c : temperature, °C
    """
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    sap_m3, called = volume_m3(p, x, at.SAP), x[at.MEMBRANE_CALLED_DAY] == row[at.DAY]
    if not called and calls(asked, today, at.MEMBRANE_CALL_M3, sap_m3, row):
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
