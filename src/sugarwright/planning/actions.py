"""From a plan's rows to the things to do: clock, gauge, what then happens, and when it ends.

What is expected is read from the trace of the run under the forecast itself; the rules for what
comes too late are those of the simulator.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.action import Action, OwnHour, Trigger
from sugarwright.planning.chores import frost, spoiled, wash
from sugarwright.planning.membrane_ends import CERTAIN_M3, membrane_ends
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import fire_stay_s
from sugarwright.plant.decisions import LEAST_PASSES, least_to_pass_m3, light_gauge_m3, sap_gauge_m3
from sugarwright.plant.pan_kernel import pan_mass_kg
from sugarwright.plant.tank_kernel import Floats

ON_ARRIVAL = (
    "membrane on", "membrane on again", "again through the membrane", "light the fire",
    "wash the membrane",
)  # fmt: skip
MOST_STARTS = 3  # of the membrane in a day that are worth a line


def actions_of(scene: Scene) -> list[Action]:
    """List what the day's row asks for, in order of time."""
    found = []
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0:
        found += _membrane(scene) if scene.row[at.MEMBRANE_START] >= 0.0 else _at_need(scene, True)
    found += _fire(scene) if scene.row[at.FIRE_START] >= 0.0 else _at_need(scene, False)
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0 and scene.row[at.WASH_AT] >= 0.0:
        found.append(wash(scene))
    found += frost(scene)
    found += spoiled(scene)
    found = [replace(each, on_arrival=_is_on_arrival(scene, each)) for each in found]
    # What has turned goes out before anything starts on it.
    return sorted(found, key=lambda each: (each.time_s, each.kind != "dump what has spoiled"))


def _called(action: Action, hour_s: int) -> Action:
    """Return an action as the call of a full tank makes it, where that comes before its hour."""
    trigger, call_m3 = action.trigger, action.call_m3
    if trigger is None or call_m3 is None or action.time_s >= hour_s:
        return action
    call_flow_m3_s = action.call_flow_m3_s
    other_m3_s = None if call_flow_m3_s is None else action.flow_m3_s
    return replace(
        action,
        trigger=replace(trigger, at_least_m3=call_m3),
        flow_m3_s=call_flow_m3_s or action.flow_m3_s,
        call_m3=None,
        call_flow_m3_s=None,
        own_hour=OwnHour(hour_s, trigger.at_least_m3, other_m3_s),
    )


def _is_on_arrival(scene: Scene, action: Action) -> bool:
    """Tell whether an action is for whoever comes in then: no clock needs to be watched for it."""
    return action.kind in ON_ARRIVAL and scene.comes_in(action.time_s)


def _at_need(scene: Scene, membrane: bool) -> list[Action]:
    """What is not planned for the day, but done at once if a tank gets nearly full."""
    call = at.MEMBRANE_CALL_M3 if membrane else at.FIRE_CALL_M3
    people = np.flatnonzero(scene.drive.calendar[scene.first : scene.last, at.PEOPLE])
    if scene.row[call] <= 0.0 or not len(people):
        return []
    column = at.T_MEMBRANE_ON if membrane else at.T_FIRE_ON
    on = scene.called(column, call, scene.last)
    tank = "sap" if membrane or scene.plant.p[at.HAS_MEMBRANE] <= 0.0 else "stock"
    gauge_m3 = scene.row[at.MEMBRANE_SAP_M3 if membrane else at.FIRE_STOCK_M3]
    trigger = Trigger(tank, float(max(scene.row[call], gauge_m3)))
    begin = scene.first + int(people[0])
    if not membrane:
        light, *rest = _one_fire(scene, "fire at need", begin, on)
        return [replace(light, trigger=trigger, latest_s=None), *rest]
    end = None if on is None else scene.first_where(column, on, len(scene.trace.rows), False)
    return [
        Action(
            "membrane at need",
            scene.time_s(begin),
            trigger,
            flow_m3_s=_call_flow_m3_s(scene.row) or float(scene.row[at.MEMBRANE_FLOW_M3_S]),
            expected_s=None if on is None else scene.time_s(on),
            until_s=None if end is None else scene.time_s(end),
            ends="" if end is None else membrane_ends(scene, end),
            caution="membrane",
        )
    ]


def _membrane(scene: Scene) -> list[Action]:
    """Switch the membrane on, and on again when somebody is back or the tank has refilled."""
    p, row, trace = scene.plant.p, scene.row, scene.trace
    begin = scene.at_hand(row[at.MEMBRANE_START])
    gauge = Trigger("sap", float(sap_gauge_m3(p, float(row[at.MEMBRANE_SAP_M3]))))
    passing = Trigger("stock", float(LEAST_PASSES * least_to_pass_m3(p)))
    night = float(row[at.NIGHT_FLOW_M3_S])
    found: list[Action] = []
    on = scene.called(at.T_MEMBRANE_ON, at.MEMBRANE_CALL_M3, begin)
    on = scene.first_where(at.T_MEMBRANE_ON, begin, scene.last) if on is None else on
    while on is not None or not found:
        at_step = begin if on is None else on
        end = (
            None if on is None else scene.first_where(at.T_MEMBRANE_ON, on, len(trace.rows), False)
        )
        called_m3_s = _call_flow_m3_s(row) if at_step < begin and not found else None
        flow_m3_s = float(row[at.MEMBRANE_FLOW_M3_S])
        brix, permeate_m3_s = _made(scene, at_step, called_m3_s or flow_m3_s)
        again = _passes_again(scene, on, end)
        ends = "" if end is None else membrane_ends(scene, end)
        if again is not None and again >= scene.last:  # the next day's row asks for that
            again, end, ends = None, again, "sap tank down"
        if again is not None and again == on:  # the map knows sap, and stock gets ever stronger
            brix, permeate_m3_s = None, None
        found.append(
            Action(
                _membrane_kind(scene, on, again, later=bool(found)),
                scene.time_s(at_step if found else min(begin, at_step)),
                passing if again is not None and again == on else gauge,
                call_m3=None if found else _call_m3(row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3),
                call_flow_m3_s=None if found else _call_flow_m3_s(row),
                flow_m3_s=flow_m3_s,
                night_flow_m3_s=night if _runs_alone(scene, on, end) else None,
                expected_s=None if on is None else scene.time_s(on),
                until_s=None if end is None else scene.time_s(end),
                ends=ends,
                concentrate_brix=brix,
                permeate_m3_s=permeate_m3_s,
                again_brix=None if again is None else float(row[at.PASS_AGAIN_BRIX]),
                again_s=None if again is None else scene.time_s(again),
                rinse_m3=None if _ends_alone(scene, end) else float(p[at.RINSE_M3]),
                caution="membrane",
            )
        )
        if end is None or len(found) == MOST_STARTS:
            break
        gone = np.flatnonzero(scene.drive.calendar[end : scene.last, at.PEOPLE] == 0.0)
        # What starts again while people are there needs no line of its own: the gauge says it.
        back = scene.last if not len(gone) else end + int(gone[0])
        on = scene.next_start(at.T_MEMBRANE_ON, back, scene.last)
    return [_called(found[0], scene.time_s(begin)), *found[1:]]


def _call_m3(row: Floats, call: int, gauge: int) -> float | None:
    """Level at which a tank calls before the hour: its gauge must be met as well."""
    return float(max(row[call], row[gauge])) if row[call] > 0.0 else None


def _call_flow_m3_s(row: Floats) -> float | None:
    """Setting of the membrane once the sap tank has called, where that is another."""
    flow_m3_s = float(row[at.CALL_FLOW_M3_S])
    other = row[at.MEMBRANE_CALL_M3] > 0.0 and flow_m3_s != row[at.MEMBRANE_FLOW_M3_S]
    return flow_m3_s if flow_m3_s > 0.0 and other else None


def _membrane_kind(scene: Scene, on: int | None, again: int | None, *, later: bool) -> str:
    if on is not None and again == on:
        return "again through the membrane"
    if later:
        return "membrane on again"
    goes_on = on is not None and scene.goes_on(at.T_MEMBRANE_ON, on)
    return "membrane runs on" if goes_on else "membrane on"


def _passes_again(scene: Scene, on: int | None, end: int | None) -> int | None:
    """First step of a run in which the stock tank passes through the membrane again."""
    if on is None:
        return None
    last = scene.drive.steps if end is None else end
    found = np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON)[on:last] > 1.5)
    return on + int(found[0]) if len(found) else None


def _ends_alone(scene: Scene, end: int | None) -> bool:
    """Tell whether a run stops with nobody there, who could rinse."""
    return end is not None and bool(scene.drive.calendar[end, at.PEOPLE] == 0.0)


def _runs_alone(scene: Scene, on: int | None, end: int | None) -> bool:
    """Tell whether a run goes on while nobody is there."""
    if on is None:
        return False
    return bool(
        (
            scene.drive.calendar[on : scene.drive.steps if end is None else end, at.PEOPLE] == 0.0
        ).any()
    )


def _made(scene: Scene, step: int, flow_m3_s: float) -> tuple[float | None, float | None]:
    """Strength of the concentrate and permeate flow at a setting, with the sap of a step."""
    plant, rows = scene.plant, scene.trace.rows
    if plant.membrane_map is None:
        return None, None
    now = rows[min(step, len(rows) - 1)]
    brix = float(now[at.T_SAP_BRIX])
    if brix <= 0.0:
        return None, None
    condition = max(0.05, float(now[at.T_CONDITION]))
    permeate_kg_s, passed_kg_s = plant.membrane_map.point(flow_m3_s, brix, 3.0, condition)
    sugar_kg_s = passed_kg_s
    concentrate_brix = brix
    for _ in range(20):  # the strength fixes the mass in the valve's volume, and that the strength
        concentrate_kg_s = flow_m3_s * density_kg_m3(min(concentrate_brix, 60.0), 3.0)
        kept = brix / 100.0 * (concentrate_kg_s + permeate_kg_s) - sugar_kg_s
        concentrate_brix = 100.0 * kept / concentrate_kg_s
    return concentrate_brix, permeate_kg_s * plant.p[at.WATER_M3_KG]


def _fire(scene: Scene) -> list[Action]:
    """Light the fire, and let it go; and again, if it went out for want of feed."""
    begin = scene.at_hand(scene.row[at.FIRE_START])
    lit = scene.called(at.T_FIRE_ON, at.FIRE_CALL_M3, begin)
    lit = scene.first_where(at.T_FIRE_ON, begin, scene.last) if lit is None else lit
    goes_on = lit is not None and scene.goes_on(at.T_FIRE_ON, lit)
    found = _one_fire(scene, "keep the fire" if goes_on else "light the fire", begin, lit)
    out = None if lit is None else scene.first_where(at.T_FIRE_ON, lit, scene.last, False)
    again = None if out is None else scene.first_where(at.T_FIRE_ON, out, scene.last)
    if again is not None:
        found += _one_fire(scene, "light the fire again", again, again)
    return found


def _one_fire(scene: Scene, kind: str, begin: int, lit: int | None) -> list[Action]:
    """One fire of the day, from its clock time, or the step at which it is lit, on."""
    p, row, trace = scene.plant.p, scene.row, scene.trace
    out = None if lit is None else scene.first_where(at.T_FIRE_ON, lit, scene.drive.steps, False)
    latest = _latest_light(scene, begin)
    filling_kg = _filling_kg(scene, begin)
    gauge_m3 = light_gauge_m3(p, float(row[at.FIRE_STOCK_M3]), filling_kg)
    reserve_m3 = trace.rows[max(0, min(begin, scene.drive.steps) - 1), at.T_RESERVE_M3]
    feed = "stock" if p[at.HAS_MEMBRANE] > 0.0 else "sap"
    syrup_m3, draws, first_draw_s = (None, None, None) if lit is None else _drawn(scene, lit)
    light = Action(
        kind,
        scene.time_s(begin if lit is None else min(begin, lit)),
        Trigger(feed, float(max(gauge_m3, 1.2 * reserve_m3))),
        call_m3=_call_m3(row, at.FIRE_CALL_M3, at.FIRE_STOCK_M3)
        if kind == "light the fire"
        else None,
        latest_s=None if latest is None else scene.time_s(latest),
        expected_s=None if lit is None else scene.time_s(lit),
        until_s=None if out is None else scene.time_s(out),
        ends="" if out is None else _fire_ends(scene, out),
        syrup_m3=syrup_m3,
        pan_filling_m3=filling_kg * float(p[at.WATER_M3_KG]) or None,
        draws=draws,
        first_draw_s=first_draw_s,
        caution="fire",
    )
    if lit is None:
        return [light]
    end = _latest_out(scene, lit)
    cold = end if out is None else out
    leave_s = scene.time_s(min(cold, len(trace.rows) - 1)) + int(p[at.CLEAR_S])
    go = Action(
        "let the fire go",
        scene.time_s(end if out is None else min(out, end)),
        latest_s=scene.time_s(end),
        reserve_m3=float(trace.rows[min(cold, len(trace.rows) - 1), at.T_RESERVE_M3]),
        expected_s=None if out is None else scene.time_s(out),
        leave_s=leave_s,
        caution="burn-down",
    )
    return [_called(light, scene.time_s(begin)), go]


def _filling_kg(scene: Scene, step: int) -> float:
    """What an empty pan swallows before it can be lit; 0 once it holds sap."""
    held_kg = scene.trace.rows[max(0, min(step, scene.drive.steps) - 1), at.T_PAN_SUGAR_KG]
    if held_kg > 0.0 or (step == 0 and scene.trace.rows[0, at.T_PAN_SUGAR_KG] > 0.0):
        return 0.0
    return float(pan_mass_kg(scene.plant.p))


def _latest_light(scene: Scene, begin: int) -> int | None:
    """Last step of the day at which the simulator would still light the fire."""
    p, row, calendar = scene.plant.p, scene.row, scene.drive.calendar
    span = slice(begin, scene.last)
    enough = (row[at.FIRE_STOP] - calendar[span, at.MINUTE]) * 60.0 >= p[at.LEAST_BURN_S]
    stays = fire_stay_s(calendar[span]) >= p[at.CLEAR_S] + p[at.LEAST_BURN_S]
    fine = np.flatnonzero(enough & stays)
    return begin + int(fine[-1]) if len(fine) else None


def _latest_out(scene: Scene, lit: int) -> int:
    """Step at which the fire is let go at the latest: by the plan's hour, or to leave in time."""
    p, row, calendar = scene.plant.p, scene.row, scene.drive.calendar
    span = slice(lit, scene.last)
    over = calendar[span, at.MINUTE] >= row[at.FIRE_STOP]
    leaving = fire_stay_s(calendar[span]) < p[at.CLEAR_S] + p[at.STEP_S]
    due = np.flatnonzero(over | leaving)
    return lit + int(due[0]) if len(due) else scene.last


def _fire_ends(scene: Scene, step: int) -> str:
    p, now = scene.plant.p, scene.trace.rows[step]
    column = at.T_STOCK_M3 if p[at.HAS_MEMBRANE] > 0.0 else at.T_SAP_M3
    if now[column] <= now[at.T_RESERVE_M3] + CERTAIN_M3:
        return "reserve"
    if now[at.T_WOOD_M3] <= 0.0:
        return "fuel"
    calendar = scene.drive.calendar[step]
    if calendar[at.STAY_S] < p[at.CLEAR_S] + p[at.STEP_S]:
        return "people leave"
    return "time"


def _drawn(scene: Scene, lit: int) -> tuple[float, int, int | None]:
    """Syrup drawn from lighting to the end of that boil, m³, in how many draws, and the first."""
    p, trace = scene.plant.p, scene.trace
    cold = scene.first_where(at.T_HEAT, lit, scene.drive.steps, False)
    end = scene.drive.steps if cold is None else cold + 1
    before_kg = trace.rows[lit - 1, at.T_SYRUP_KG] if lit > 0 else 0.0
    drawn_kg = trace.column(at.T_SYRUP_KG)[lit:end] - before_kg
    first = np.flatnonzero(drawn_kg > 0.0)
    volume_m3 = float(drawn_kg[-1]) / density_kg_m3(scene.plant.house.pan.finish_brix, 20.0)
    first_s = scene.time_s(lit + int(first[0])) if len(first) else None
    return volume_m3, round(float(drawn_kg[-1] / p[at.DRAW_KG])), first_s
