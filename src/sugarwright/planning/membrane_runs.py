"""What a day asks for of the membrane: each run with its gauge and end, and what was left undone.

What is expected is read from the trace of the run under the forecast itself.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.action import Action, Trigger, Wait
from sugarwright.planning.calls import call_m3, called
from sugarwright.planning.membrane_ends import has_cutout, membrane_ends
from sugarwright.planning.membrane_later import later_spans, worth_a_line
from sugarwright.planning.membrane_rinse import left_at_m3_s, rinse_of
from sugarwright.planning.membrane_waits import can_begin
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.membrane_decisions import LEAST_PASSES, least_to_pass_m3, sap_gauge_m3
from sugarwright.plant.tank_kernel import Floats

_ALL_DAY = ("frost", "out of order")  # worth knowing before a tank calls


def membrane_runs(scene: Scene) -> list[Action]:
    """Switch the membrane on, and on again when somebody is back or the tank has refilled."""
    met = _call_is_met(scene)
    asked = scene.at_hand(0.0 if met else scene.row[at.MEMBRANE_START])
    on = scene.called(at.T_MEMBRANE_ON, at.MEMBRANE_CALL_M3, asked)
    on = scene.first_where(at.T_MEMBRANE_ON, asked, scene.last) if on is None else on
    end = None if on is None else _end(scene, on)
    return _with_later(scene, _first(scene, asked, on, end, met=met), end)


def _with_later(scene: Scene, first: Action, end: int | None) -> list[Action]:
    """Return a day's first run, and those after its end that need a line of their own."""
    spans = later_spans(scene, end)
    runs = [_run(scene, "membrane on again", on, on, off) for _, on, off in spans]
    return [first, *worth_a_line(scene, spans, runs)]


def membrane_at_need(scene: Scene) -> list[Action]:
    """What no hour asks for, but is done at once when the sap tank gets nearly full.

    Where the forecast brings that, it is a run as any other, with its end and what follows it.
    """
    row, left_on = scene.row, _left_on(scene)
    on = scene.called(at.T_MEMBRANE_ON, at.MEMBRANE_CALL_M3, scene.last)
    if on is not None:
        return [*left_on, *_with_later(scene, _by_call(scene, on), _end(scene, on))]
    if left_on:
        return left_on
    people = np.flatnonzero(scene.drive.calendar[scene.first : scene.last, at.PEOPLE])
    level_m3 = call_m3(row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3)
    if level_m3 is None or not len(people):
        return []
    begin = scene.first + int(people[0])
    _, waits = can_begin(scene, begin)
    full = scene.before(at.T_SAP_M3)[begin] >= level_m3  # it calls already: what holds it up?
    return [
        Action(
            "membrane at need",
            scene.time_s(begin),
            Trigger("sap", level_m3),
            waits=waits if full else tuple(each for each in waits if each.why in _ALL_DAY),
            flow_m3_s=_call_flow_m3_s(row) or float(row[at.MEMBRANE_FLOW_M3_S]),
            caution="membrane",
        )
    ]


def _left_on(scene: Scene) -> list[Action]:
    """Tell of what ran as the plan began and runs on by itself, though no hour asks for it.

    Where somebody is there as it ends, its stop is told instead (``left_running``).
    """
    if not (scene.membrane_before and scene.goes_on(at.T_MEMBRANE_ON, scene.first + 1)):
        return []
    end, people = _end(scene, 0), scene.drive.calendar[:, at.PEOPLE] > 0.0
    if scene.first > 0 or not people[: scene.last if end is None else min(end, scene.last)].any():
        return []
    if end is not None and end < scene.last and people[end]:
        return []
    return [_run(scene, "membrane runs on", 0, 0, end, left_at_m3_s(scene))]


def _by_call(scene: Scene, on: int) -> Action:
    """Return the run that a full tank calls for on a day without an hour for it."""
    level_m3 = call_m3(scene.row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3)
    people = scene.drive.calendar[scene.first : on + 1, at.PEOPLE] > 0.0
    full = people & (scene.before(at.T_SAP_M3)[scene.first : on + 1] >= (level_m3 or 0.0))
    begin, waits = can_begin(scene, scene.first + int(np.argmax(full)) if full.any() else on)
    action = _run(scene, "membrane on", on, on, _end(scene, on))
    trigger = action.trigger if level_m3 is None else Trigger("sap", level_m3)
    return replace(action, trigger=trigger, by_call=True, waits=waits if begin == on else ())


def _end(scene: Scene, on: int) -> int | None:
    return scene.first_where(at.T_MEMBRANE_ON, on, len(scene.trace.rows), False)


def _first(scene: Scene, asked: int, on: int | None, end: int | None, *, met: bool) -> Action:
    """Return the day's first run: at its hour, at the first that can be, or as the tank calls."""
    goes_on = on is not None and scene.goes_on(at.T_MEMBRANE_ON, on)
    again = on is not None and _passes_again(scene, on, end) == on
    begin, waits = (asked, ()) if goes_on else can_begin(scene, asked, again=again)
    told = begin if on is None else min(begin, on)
    kind = "membrane runs on" if goes_on else "membrane on"
    kept = _kept(scene, waits, on) if told == begin else ()
    action = replace(_run(scene, kind, told, on, end), waits=kept)
    row = scene.row
    if met:
        return action
    action = replace(
        action,
        flow_m3_s=float(row[at.MEMBRANE_FLOW_M3_S]),
        call_m3=call_m3(row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3),
        call_flow_m3_s=_call_flow_m3_s(row),
    )
    return called(action, scene.time_s(begin))


def _kept(scene: Scene, waits: tuple[Wait, ...], on: int | None) -> tuple[Wait, ...]:
    """Return the waits that the run under the forecast keeps: none that is not over as it begins.

    Parameters
    ----------
    waits : what stands in the way by the rules
    on : step in which the membrane begins; None where it does not
    """
    if on is None:
        return waits
    begins_s = scene.time_s(on)
    return tuple(each for each in waits if each.until_s is not None and each.until_s <= begins_s)


def _run(
    scene: Scene,
    kind: str,
    told: int,
    on: int | None,
    end: int | None,
    flow_m3_s: float | None = None,
) -> Action:
    """One run, told at a step: what it is set to (None: by the plan) and makes, when it ends."""
    row = scene.row
    if flow_m3_s is None:
        flow_m3_s = _setting_m3_s(scene, told if on is None else on)
    brix, permeate_m3_s = _made(scene, told if on is None else on, flow_m3_s)
    ends = "" if end is None else membrane_ends(scene, end)
    again, again_when = _passes_again(scene, on, end), ""
    if again is not None and again >= scene.last:  # the next day's row asks for that
        end, ends, again = again, _goes_over(scene, again), None
    elif again is not None and again == on:  # the map knows sap, and stock gets ever stronger
        kind, brix, permeate_m3_s = "again through the membrane", None, None
    elif again is not None:
        again_when = _goes_over(scene, again)
    return Action(
        kind,
        scene.time_s(told),
        _gauge(scene, again is not None and again == on),
        flow_m3_s=flow_m3_s,
        night_flow_m3_s=float(row[at.NIGHT_FLOW_M3_S]) if _runs_alone(scene, on, end) else None,
        left_alone_s=_left_alone_s(scene, on, end),
        expected_s=None if on is None else scene.time_s(on),
        until_s=None if end is None else scene.time_s(end),
        ends=ends,
        stops_itself=has_cutout(scene, ends),
        concentrate_brix=brix,
        permeate_m3_s=permeate_m3_s,
        again_brix=None if again is None else float(row[at.PASS_AGAIN_BRIX]),
        again_s=None if again is None else scene.time_s(again),
        again_when=again_when,
        reserve_m3=_left_m3(scene, ends, passes=again is not None),
        **rinse_of(scene, end),
        caution="membrane",
    )


def _left_m3(scene: Scene, ends: str, *, passes: bool) -> float | None:
    """What a run leaves in the tank that it draws from, where that may end it."""
    p = scene.plant.p
    if passes:
        return float(least_to_pass_m3(p))
    return float(p[at.LEAST_SAP_M3]) if ends == "sap tank down" else None


def _gauge(scene: Scene, again: bool) -> Trigger:
    """What the tank that a run draws from must hold."""
    p = scene.plant.p
    if again:
        return Trigger("stock", float(LEAST_PASSES * least_to_pass_m3(p)))
    return Trigger("sap", float(sap_gauge_m3(p, float(scene.row[at.MEMBRANE_SAP_M3]))))


def _call_flow_m3_s(row: Floats) -> float | None:
    """Setting of the membrane once the sap tank has called, where that is another."""
    flow_m3_s = float(row[at.CALL_FLOW_M3_S])
    other = row[at.MEMBRANE_CALL_M3] > 0.0 and flow_m3_s != row[at.MEMBRANE_FLOW_M3_S]
    return flow_m3_s if flow_m3_s > 0.0 and other else None


def _setting_m3_s(scene: Scene, step: int) -> float:
    """Setting of the day in a step: that of the call, once the sap tank has called."""
    row, span = scene.row, slice(scene.first, step + 1)
    full = scene.before(at.T_SAP_M3)[span] >= row[at.MEMBRANE_CALL_M3]
    has_called = (full & (scene.drive.calendar[span, at.PEOPLE] > 0.0)).any()
    flow_m3_s = _call_flow_m3_s(row) if has_called else None
    return flow_m3_s or float(row[at.MEMBRANE_FLOW_M3_S])


def _call_is_met(scene: Scene) -> bool:
    """Tell whether the sap tank calls as the plan begins: then nothing is left to wait for."""
    level_m3 = scene.row[at.MEMBRANE_CALL_M3]
    if scene.first > 0 or level_m3 <= 0.0 or scene.before(at.T_SAP_M3)[0] < level_m3:
        return False
    there = scene.drive.calendar[0, at.PEOPLE] > 0.0
    return bool(there or not scene.membrane_before)  # a tank that fills alone is no less full


def _goes_over(scene: Scene, again: int) -> str:
    """Which tank stopped the sap, so that the membrane draws from the stock tank."""
    p, now = scene.plant.p, scene.trace.rows[again]
    room_m3 = p[at.STOCK_CAPACITY_M3] - now[at.T_STOCK_M3]
    return "stock tank full" if room_m3 < now[at.T_SAP_M3] - p[at.LEAST_SAP_M3] else "sap tank down"


def _passes_again(scene: Scene, on: int | None, end: int | None) -> int | None:
    """First step of a run in which the stock tank passes through the membrane again."""
    if on is None:
        return None
    last = scene.drive.steps if end is None else end
    found = np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON)[on:last] > 1.5)
    return on + int(found[0]) if len(found) else None


def _runs_alone(scene: Scene, on: int | None, end: int | None) -> bool:
    """Tell whether a run goes on while nobody is there."""
    if on is None:
        return False
    last = scene.drive.steps if end is None else end
    return bool((scene.drive.calendar[on:last, at.PEOPLE] == 0.0).any())


def _left_alone_s(scene: Scene, on: int | None, end: int | None) -> tuple[int, ...]:
    """Hours of the day at which the last one leaves a run that goes on."""
    if on is None:
        return ()
    last = min(scene.last + 1, scene.drive.steps if end is None else end)
    alone = scene.drive.calendar[on:last, at.PEOPLE] == 0.0
    leaves = np.flatnonzero(alone[1:] & ~alone[:-1]) + on + 1
    return tuple(scene.time_s(int(step)) for step in leaves)


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
