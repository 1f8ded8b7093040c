"""A full tank that calls for membrane or fire before the plan's own hour."""

from __future__ import annotations

from dataclasses import replace

from sugarwright.planning.action import Action, OwnHour, Trigger
from sugarwright.plant.tank_kernel import Floats


def call_m3(row: Floats, call: int, gauge: int) -> float | None:
    """Return the level at which a tank calls before the hour: its gauge must be met as well.

    Parameters
    ----------
    row : of the plan
    call, gauge : places in it of the calling level and of the hour's own gauge, m³
    """
    return float(max(row[call], row[gauge])) if row[call] > 0.0 else None


def calling_tank(action: Action) -> str:
    """Return the tank whose level calls for an action: of the membrane always the sap tank.

    Its gauge may be that of another: stock that passes again waits for the stock tank.
    """
    if action.flow_m3_s is not None or action.trigger is None:
        return "sap"
    return action.trigger.tank


def called(action: Action, hour_s: int) -> Action:
    """Return an action as the call of a full tank makes it, where that comes before its hour.

    Parameters
    ----------
    action : as the hour makes it, with the level that calls
    hour_s : UTC s of the plan's own hour
    """
    trigger, level_m3 = action.trigger, action.call_m3
    if trigger is None or level_m3 is None or action.time_s >= hour_s:
        return action
    call_flow_m3_s = action.call_flow_m3_s
    other_m3_s = None if call_flow_m3_s is None else action.flow_m3_s
    return replace(
        action,
        trigger=Trigger(calling_tank(action), level_m3),
        flow_m3_s=call_flow_m3_s or action.flow_m3_s,
        call_m3=None,
        call_flow_m3_s=None,
        own_hour=OwnHour(hour_s, trigger.at_least_m3, other_m3_s),
    )
