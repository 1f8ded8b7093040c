"""A day's fires as things to do: one that burns already, those planned, one at need, their ends.

What is expected is read from the trace of the run under the forecast itself; the rules for what
comes too late are those of the simulator.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Action, LastWood, Trigger
from sugarwright.planning.calls import call_m3, called
from sugarwright.planning.draws import drawn, left_in_pan
from sugarwright.planning.dying import STAY, stay_with
from sugarwright.planning.fire_hours import latest_light, latest_out, own_stay_s
from sugarwright.planning.membrane_ends import CERTAIN_M3
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.fire_decisions import light_gauge_m3
from sugarwright.plant.kernel import NO_WOOD_M3
from sugarwright.plant.pan_kernel import pan_mass_kg


def fires_of(scene: Scene, *, is_likely: bool = False) -> list[Action]:
    """List what a day has to do with fires, in order of time.

    A fire that burns when the plan begins comes first, whether the day's row asks for one or not:
    nobody may have to guess whether to stoke it. So does one that was let go and is still hot.

    Parameters
    ----------
    scene : the day
    is_likely : whether it comes to a fire in most of the weathers that the plan is checked in
    """
    found = [_with_syrup(scene, each, 0) for each in stay_with(scene)]
    begin = scene.first
    if scene.first == 0 and scene.fire_before:
        out = scene.first_where(at.T_FIRE_ON, 0, scene.drive.steps, False)
        if out == 0:
            found.append(_let_go_now(scene))
        else:
            found += _one_fire(scene, "keep the fire", 0, 0)
        begin = scene.last if out is None else out
        if _is_asked_for(scene, begin) or _is_called(scene, out):
            return found + _lit_again(scene, begin)
    if scene.row[at.FIRE_START] >= 0.0:
        return found + _planned(scene)
    return found + _at_need(scene, is_likely=is_likely)


def _is_asked_for(scene: Scene, step: int) -> bool:
    """Tell whether the hour from which the day's row asks for a fire has come by a step."""
    start = scene.row[at.FIRE_START]
    return step >= scene.last or (start >= 0.0 and scene.at_hand(start) <= step)


def _is_called(scene: Scene, out: int | None) -> bool:
    """Tell whether a full tank keeps a fire that burns, on a day whose row does not ask for it."""
    return scene.row[at.FIRE_CALL_M3] > 0.0 and out != 0


def _planned(scene: Scene) -> list[Action]:
    """Light the fire, and let it go; and again, if it went out for want of feed."""
    begin = scene.at_hand(scene.row[at.FIRE_START])
    lit = scene.called(at.T_FIRE_ON, at.FIRE_CALL_M3, begin)
    lit = scene.first_where(at.T_FIRE_ON, begin, scene.last) if lit is None else lit
    goes_on = lit is not None and scene.goes_on(at.T_FIRE_ON, lit)
    found = _one_fire(scene, "keep the fire" if goes_on else "light the fire", begin, lit)
    return found + _after(scene, lit)


def _at_need(scene: Scene, *, is_likely: bool) -> list[Action]:
    """What no hour asks for, but is done at once when the feed's tank gets nearly full.

    Where forecast and most weathers bring that, it is a fire as any other.
    """
    people = np.flatnonzero(scene.drive.calendar[scene.first : scene.last, at.PEOPLE])
    level_m3 = call_m3(scene.row, at.FIRE_CALL_M3, at.FIRE_STOCK_M3)
    if level_m3 is None or not len(people):
        return []
    lit = scene.called(at.T_FIRE_ON, at.FIRE_CALL_M3, scene.last)
    trigger = Trigger(_feed(scene), level_m3)
    if lit is not None and is_likely:
        light, *rest = _one_fire(scene, "light the fire", lit, lit)
        light = replace(light, trigger=trigger, call_m3=None, by_call=True)
    else:
        light, *rest = _one_fire(scene, "fire at need", scene.first + int(people[0]), lit)
        light = replace(light, trigger=trigger, latest_s=None)
    return [light, *rest, *_after(scene, lit)]


def _after(scene: Scene, lit: int | None) -> list[Action]:
    """The fires of a day that are lit after another has gone out."""
    out = None if lit is None else scene.first_where(at.T_FIRE_ON, lit, scene.last, False)
    return [] if out is None else _lit_again(scene, out)


def _lit_again(scene: Scene, begin: int) -> list[Action]:
    found: list[Action] = []
    again = scene.next_start(at.T_FIRE_ON, max(begin, 1), scene.last)
    while again is not None:
        found += _one_fire(scene, "light the fire again", again, again)
        again = scene.next_start(at.T_FIRE_ON, again + 1, scene.last)
    return found


def _one_fire(scene: Scene, kind: str, begin: int, lit: int | None) -> list[Action]:
    """One fire of the day, from its clock time, or the step at which it is lit, on."""
    p, row = scene.plant.p, scene.row
    out = None if lit is None else scene.first_where(at.T_FIRE_ON, lit, scene.drive.steps, False)
    latest = latest_light(scene, begin)
    filling_kg = _filling_kg(scene, begin)
    gauge_m3 = light_gauge_m3(p, float(row[at.FIRE_STOCK_M3]), filling_kg)
    reserve_m3 = scene.trace.rows[max(0, min(begin, scene.drive.steps) - 1), at.T_RESERVE_M3]
    light = Action(
        kind,
        scene.time_s(begin if lit is None else min(begin, lit)),
        Trigger(_feed(scene), float(max(gauge_m3, 1.2 * reserve_m3))),
        call_m3=call_m3(row, at.FIRE_CALL_M3, at.FIRE_STOCK_M3)
        if kind == "light the fire"
        else None,
        latest_s=None if latest is None else scene.time_s(latest),
        expected_s=None if lit is None else scene.time_s(lit),
        until_s=None if out is None else scene.time_s(out),
        ends="" if out is None else _ends(scene, out),
        pan_filling_m3=filling_kg * float(p[at.WATER_M3_KG]) or None,
        caution="fire",
    )
    if kind == "keep the fire":  # it waits for no gauge
        light = _if_somebody_stays(scene, replace(light, trigger=None, latest_s=None), begin, out)
    if lit is None:
        return [replace(light, last_wood=_last_wood(scene, kind, begin))]
    light = _with_syrup(scene, light, lit)
    go = replace(_let_go(scene, lit, out), only_if_stay_s=light.only_if_stay_s)
    return [called(light, scene.time_s(begin)), go]


def _with_syrup(scene: Scene, action: Action, lit: int) -> Action:
    """Add what a fire is expected to give, and what it leaves where that is the last of it."""
    given = drawn(scene, lit)
    left_m3, left_brix = left_in_pan(scene, lit) or (None, None)
    return replace(
        action, syrup_m3=given.syrup_m3, draws=given.draws, first_draw_s=given.first_s,
        syrup_later_m3=given.later_m3 or None, left_syrup_m3=left_m3, left_brix=left_brix,
    )  # fmt: skip


def _if_somebody_stays(scene: Scene, keep: Action, begin: int, out: int | None) -> Action:
    """Say until when somebody must stay to keep a fire, where the house's own hours end before.

    And until when without another log: what is kept can be let go instead.
    """
    dying_s, now_s = int(scene.plant.p[at.CLEAR_S]), scene.time_s(begin)
    stay_s = scene.time_s(scene.drive.steps if out is None else out) + dying_s
    else_s = now_s + dying_s
    if stay_s <= max(else_s, now_s + own_stay_s(scene, begin)):
        return keep
    return replace(keep, only_if_stay_s=stay_s, else_stay_s=else_s)


def not_before(action: Action, now_s: int) -> Action:
    """Return an action of the hour that has begun as it is done now: a fire dies from now on.

    Parameters
    ----------
    action : as the run has it, which begins with the whole hour
    now_s : UTC s
    """
    late_s = max(0, now_s - action.time_s)
    late = replace(action, time_s=action.time_s + late_s)
    if late.else_stay_s is not None:
        late = replace(late, else_stay_s=late.else_stay_s + late_s)
    if late.kind in ("let the fire go now", STAY) and late.leave_s is not None:
        late = replace(late, leave_s=late.leave_s + late_s)
    if late.kind == "let the fire go now":
        late = replace(late, expected_s=late.time_s)
    return late


def _let_go(scene: Scene, lit: int, out: int | None, *, by_call: bool = False) -> Action:
    """Let a fire of the day go, by its latest hour or once it ends by itself."""
    rows, end = scene.trace.rows, latest_out(scene, lit, by_call=by_call)
    cold = end if out is None else out
    leave_s = scene.time_s(min(cold, len(rows) - 1)) + int(scene.plant.p[at.CLEAR_S])
    return Action(
        "let the fire go",
        scene.time_s(end if out is None else min(out, end)),
        latest_s=scene.time_s(end),
        reserve_m3=float(rows[min(cold, len(rows) - 1), at.T_RESERVE_M3]),
        expected_s=None if out is None else scene.time_s(out),
        ends="" if out is None else _ends(scene, out),
        leave_s=leave_s,
        caution="burn-down",
    )


def _last_wood(scene: Scene, kind: str, begin: int) -> LastWood | None:
    """How a fire would end that the forecast does not light: nobody lights one without knowing."""
    if begin >= scene.last:
        return None
    go = _let_go(scene, begin, None, by_call=kind == "fire at need")
    if go.latest_s is None or go.leave_s is None or go.latest_s <= scene.time_s(begin):
        return None
    return LastWood(go.latest_s, go.reserve_m3 or 0.0, go.leave_s)


def _let_go_now(scene: Scene) -> Action:
    """Let go a fire that burns when the plan begins, and is not kept."""
    p = scene.plant.p
    now_s = scene.time_s(0)
    action = Action(
        "let the fire go now",
        now_s,
        expected_s=now_s,
        ends=_ends(scene, 0),
        reserve_m3=float(scene.trace.rows[0, at.T_RESERVE_M3]),
        boils_off_m3=float(p[at.BURN_DOWN_KG] * p[at.WATER_M3_KG]),
        leave_s=now_s + int(p[at.CLEAR_S]),
        caution="burn-down",
    )
    return _with_syrup(scene, action, 0)


def _feed(scene: Scene) -> str:
    """The tank that feeds the pan."""
    return "stock" if scene.plant.p[at.HAS_MEMBRANE] > 0.0 else "sap"


def _filling_kg(scene: Scene, step: int) -> float:
    """What an empty pan swallows before it can be lit; 0 once it holds sap."""
    held_kg = scene.trace.rows[max(0, min(step, scene.drive.steps) - 1), at.T_PAN_SUGAR_KG]
    if held_kg > 0.0 or (step == 0 and scene.trace.rows[0, at.T_PAN_SUGAR_KG] > 0.0):
        return 0.0
    return float(pan_mass_kg(scene.plant.p))


def _ends(scene: Scene, step: int) -> str:
    p, now = scene.plant.p, scene.trace.rows[step]
    column = at.T_STOCK_M3 if p[at.HAS_MEMBRANE] > 0.0 else at.T_SAP_M3
    if now[at.T_WOOD_M3] <= NO_WOOD_M3:
        return "fuel"
    if now[column] <= now[at.T_RESERVE_M3] + CERTAIN_M3:
        return "reserve"
    calendar, dying_s = scene.drive.calendar[step], p[at.CLEAR_S] + p[at.STEP_S]
    if calendar[at.PAN_OK_S] < dying_s:
        return "out of order"
    return "people leave" if calendar[at.STAY_S] < dying_s else "time"
