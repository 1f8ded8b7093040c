"""What the log ends at another hour than the plan: a fire that is let go, a membrane stopped."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from sugarwright.planning.action import Action
from sugarwright.planning.membrane_hands import RUNS
from sugarwright.planning.report import PlanReport
from sugarwright.planning.stops import STOP, WASH
from sugarwright.twin.report import NowReport

CLEARLY_S = 15 * 60.0  # off its hour: what waits for it then has a wrong hour too (judgement)
AT_ONCE_S = 5 * 60.0  # after the plan's beginning: what a plan has for then, it found going on
LIKELY = 0.5
FIRE = "the fire was let go at another hour than planned"
MEMBRANE = "the membrane was stopped at another hour than planned"
_LET_GO = ("let the fire go", "let the fire go now")


def ended_otherwise(standing: NowReport, report: PlanReport) -> str:
    """Say what ended clearly before or after the hour that a plan has for it; else nothing.

    Parameters
    ----------
    standing : where everything stands, with the log's last words
    report : the plan
    """
    actions = [action for day in report.days for action in day.actions]
    found = {each.kind for each in actions if each.time_s < report.begin_s + AT_ONCE_S}
    pan, membrane = standing.pan, standing.membrane
    if pan.fire_probability < LIKELY:
        burns = not found.isdisjoint(("keep the fire", "let the fire go now"))
        out_s = _ended_s(pan.lit_s, pan.out_s)
        if _is_off(out_s, report, list(_let_go_s(actions)), goes_on=burns):
            return FIRE
    if membrane is not None and membrane.on_probability < LIKELY:
        runs = not found.isdisjoint(("membrane runs on", STOP))
        stopped_s = _ended_s(membrane.started_s, membrane.stopped_s)
        if _is_off(stopped_s, report, list(_stopped_s(actions)), goes_on=runs):
            return MEMBRANE
    return ""


def _ended_s(begun_s: float | None, ended_s: float | None) -> float | None:
    """Return when what was begun ended, UTC s; None where it goes on by the log, or never was."""
    if ended_s is None or (begun_s is not None and begun_s > ended_s):
        return None
    return ended_s


def _is_off(
    ended_s: float | None, report: PlanReport, planned_s: Sequence[float], *, goes_on: bool
) -> bool:
    """Tell whether an end is off every planned one; or unknown to a plan that lets it go on."""
    if ended_s is None:
        return False
    if ended_s < report.begin_s:
        return goes_on
    return bool(planned_s) and min(abs(each - ended_s) for each in planned_s) >= CLEARLY_S


def _let_go_s(actions: Sequence[Action]) -> Iterator[float]:
    yield from (each.time_s for each in actions if each.kind in _LET_GO)


def _stopped_s(actions: Sequence[Action]) -> Iterator[float]:
    for each in actions:
        if each.kind in RUNS:
            yield math.inf if each.until_s is None else each.until_s
        elif each.kind in (STOP, WASH):
            yield each.time_s
