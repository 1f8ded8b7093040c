"""Plans to begin a search with: what a sensible person might do, and what the house does today."""

from __future__ import annotations

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.choices import Menu, Picks
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats


def presets(menu: Menu, habit: Floats) -> Picks:
    """List plans to start from, (plans, days, choices).

    Parameters
    ----------
    menu : what can be chosen
    habit : (days, ``PLAN_WIDTH``), the house's way of working
    """
    plans = [nearest(menu, habit)]
    for start in (0, 1, 2):  # not at all, at the first chance, in the afternoon
        for light in (0, 1, 2):
            for flow in (0, len(menu.flows_m3_s) // 2):
                alone = {0, flow + 1} if len(menu.nights_m3_s) > 1 and start else {0}
                plans += [_steady(menu, start, light, flow, night) for night in sorted(alone)]
    if menu.gathers:
        plans += [_fire_first(menu, each) for each in plans if each[0, of.LIGHT] == 1]
    return np.unique(np.array(plans), axis=0)


def _fire_first(menu: Menu, picks: Picks) -> Picks:
    """Let trips for sap wait until the last hour for them."""
    later = picks.copy()
    later[:, of.GATHER] = [len(each) - 1 for each in menu.gathers]
    return later


def nearest(menu: Menu, plan: Floats) -> Picks:
    """Return the picks that come nearest to a plan's rows, (days, choices).

    The habit's own times and settings are on the menu. Its fire may still end at another time, on
    days on which nobody is there when it is to be lit: the menu has how long a fire is kept.
    """
    picks = np.zeros((menu.days, menu.choices), dtype=np.int64)
    for d in range(menu.days):
        row = plan[min(d, len(plan) - 1)]
        picks[d, of.LIGHT] = _time(menu.lights[d], row[at.FIRE_START])
        picks[d, of.BURN] = _closest(menu.burns_min, of.burn_min(row))
        picks[d, of.STOCK_CALL] = _closest(menu.stock_calls_m3, row[at.FIRE_CALL_M3])
        picks[d, of.STOCK_GAUGE] = _closest(menu.stock_gauges_m3, row[at.FIRE_STOCK_M3])
        if menu.gathers:
            picks[d, of.GATHER] = _closest(menu.gathers[d], row[at.GATHER_START])
        if menu.membrane:
            picks[d, of.START] = _time(menu.starts[d], row[at.MEMBRANE_START])
            picks[d, of.SAP_CALL] = _closest(menu.sap_calls_m3, row[at.MEMBRANE_CALL_M3])
            picks[d, of.CALL_FLOW] = _closest(menu.call_flows_m3_s, row[at.CALL_FLOW_M3_S])
            picks[d, of.SAP_GAUGE] = _closest(menu.sap_gauges_m3, row[at.MEMBRANE_SAP_M3])
            picks[d, of.FLOW_SET] = _closest(menu.flows_m3_s, row[at.MEMBRANE_FLOW_M3_S])
            picks[d, of.STOP] = _closest(menu.stops_min, row[at.MEMBRANE_STOP])
            picks[d, of.AGAIN] = _closest(menu.agains_brix, row[at.PASS_AGAIN_BRIX])
            picks[d, of.NIGHT] = _closest(menu.nights_m3_s, row[at.NIGHT_FLOW_M3_S])
            picks[d, of.WASH_AFTER] = _closest(menu.wash_afters_s, row[at.WASH_AFTER_S])
            picks[d, of.WASH] = _time(menu.washes[d], row[at.WASH_AT])
    return picks


def _steady(menu: Menu, start: int, light: int, flow: int, night: int) -> Picks:
    """The same every day: membrane and fire at the first chance (1), later (2) or not (0)."""
    picks = np.zeros((menu.days, menu.choices), dtype=np.int64)
    for d in range(menu.days):
        picks[d, of.LIGHT] = _steady_time(menu.lights[d], light)
        picks[d, of.BURN] = len(menu.burns_min) - 1
        if menu.membrane:
            picks[d, of.START] = _steady_time(menu.starts[d], start)
            picks[d, of.FLOW_SET] = flow
            picks[d, of.NIGHT] = night
            picks[d, of.WASH] = len(menu.washes[d]) - 1 if start else 0
    return picks


def _steady_time(times: Floats, when: int) -> int:
    return (0, min(1, len(times) - 1), _time(times, 17 * 60.0))[when]


def _closest(options: Floats, value: float) -> int:
    return int(np.argmin(np.abs(options - value)))


def _time(times: Floats, minute: float) -> int:
    """Place of the first time on offer at or after a minute; "not today" if there is none."""
    if minute < 0.0:
        return 0
    later = np.flatnonzero(times >= minute)
    return int(later[0]) if len(later) else 0
