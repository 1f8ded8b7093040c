"""Trace a number of a plan back to the runs that it was summed from."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from itertools import pairwise

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.action import Action
from sugarwright.planning.calls import call_m3
from sugarwright.planning.course import net_money
from sugarwright.planning.explain_if import of_if
from sugarwright.planning.explain_money import money_lines
from sugarwright.planning.explain_more import of_more
from sugarwright.planning.explain_steps import made_by, steps_of
from sugarwright.planning.explain_work import of_work
from sugarwright.planning.explanation import Explanation, Hour, Start
from sugarwright.planning.instead import KINDS
from sugarwright.planning.judging import BROKEN_MONEY
from sugarwright.planning.outlook import few_that_make, lost_m3, spread, syrup_m3
from sugarwright.planning.planned import CHOSEN, Planned, asked_by
from sugarwright.planning.reasons import left_out
from sugarwright.planning.report import PlanReport
from sugarwright.planning.slack import time_s, try_starts
from sugarwright.planning.watched import of_watch
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Trace, simulate
from sugarwright.plant.tank_kernel import Floats, mixed_m3

HOUR_S = 3600.0
SUMMED = ("syrup", "draws", "sap", "permeate", "lost", "hours", "wood", "power")
TIMES = {"full": at.SAP_FULL_AT_S, "stock full": at.STOCK_FULL_AT_S, "spoil": at.SPOILED_AT_S}
QUANTITIES = (
    *SUMMED,
    "stock",
    *TIMES,
    "brix",
    "money",
    "habit",
    "slack",
    "more",
    "work",
    "watch",
    "if",
)
_ALSO = {
    "spilled": "lost", "spoiled": "spoil", "spoilt": "spoil", "sap full": "full",
    "concentrate": "brix",
}  # fmt: skip


def explain(planned: Planned, report: PlanReport, what: str) -> Explanation:
    """Explain a number of a plan.

    Parameters
    ----------
    planned, report : of one plan
    what : one of ``QUANTITIES``, or the number of an action of the day that is told of

    Returns
    -------
    Explanation

    Raises
    ------
    InputError : there is no such number
    """
    what = check_question(what)
    if what.isdigit():
        return _of_action(planned, report, int(what))
    if what in SUMMED:
        return _of_amount(planned, what)
    if what in TIMES:
        return _of_time(planned, what)
    if what in _OF_REPORT:
        return _OF_REPORT[what](planned, report)
    return {"money": _of_money, "habit": _of_habit, "stock": _of_stock, "more": of_more}[what](
        planned
    )


def check_question(what: str) -> str:
    """Return what is asked for by its own name; it takes no plan to know that it is none.

    Raises
    ------
    InputError : ``what`` is neither one of ``QUANTITIES`` nor a number
    """
    plain = " ".join(what.lower().split())
    plain = _ALSO.get(plain, plain)
    if plain in QUANTITIES or (plain.isascii() and plain.isdigit()):
        return plain
    near = get_close_matches(plain[:40], QUANTITIES, n=1, cutoff=0.6)
    fix = f'Did you mean "{near[0]}"?' if near else ""
    allowed = f"{', '.join(QUANTITIES)}, or the number of an action"
    raise InputError("--explain", what, "is no number of a plan", allowed, fix)


def amounts(planned: Planned, what: str, totals: Floats) -> Floats:
    """What totals (..., ``TOTALS_SIZE``) come to of a quantity, in its SI unit.

    Parameters
    ----------
    planned : whose house it is
    what : one of ``SUMMED``
    totals : of runs, or of what they grew by
    """
    plant, p = planned.plant, planned.plant.p
    if what == "syrup":
        return syrup_m3(plant, totals)
    if what == "lost":
        return lost_m3(plant, totals)
    if what == "sap":
        return mixed_m3(p, totals[..., at.SAP_WATER_KG], totals[..., at.SAP_SUGAR_KG])
    place = {
        "draws": at.DRAWS,
        "hours": at.FIRE_S,
        "wood": at.WOOD_BURNT_M3,
        "power": at.ELECTRICITY_J,
        "permeate": at.PERMEATE_KG,
    }[what]
    factor = float(p[at.WATER_M3_KG]) if what == "permeate" else 1.0
    found: Floats = totals[..., place] * factor
    return found


def _of_amount(planned: Planned, what: str) -> Explanation:
    course = planned.checked
    values = amounts(planned, what, course.ends[-1].totals[0])
    hours = _hours(planned, what)
    return Explanation(
        of=what,
        number=None,
        kind="",
        mean=float(values.mean()),
        by_weather=tuple(values.tolist()),
        by_day=tuple(spread(amounts(planned, what, day)) for day in course.totals_by_day()),
        money=(),
        hours=hours,
        forecast_amount=float(amounts(planned, what, planned.trace.totals)),
        middle=float(np.median(values)),
        few_weathers=few_that_make(values),
    )


def _of_stock(planned: Planned) -> Explanation:
    """What the stock tank holds at the end of the plan, and of each of its days."""

    def held_m3(states: Floats) -> Floats:
        stock = states[..., at.STOCK : at.STOCK + at.TANK_WIDTH]
        return mixed_m3(planned.plant.p, stock[..., at.WATER], stock[..., at.SUGAR])

    values = [held_m3(end.states[0]) for end in planned.checked.ends]
    last = float(planned.trace.rows[-1, at.T_STOCK_M3])
    return Explanation(
        "stock", None, "", float(values[-1].mean()), tuple(values[-1].tolist()),
        tuple(map(spread, values)), (), _hours(planned), last,
        middle=float(np.median(values[-1])), few_weathers=few_that_make(values[-1]),
    )  # fmt: skip


def _of_money(planned: Planned) -> Explanation:
    runs = planned.checked.ends[-1]
    values = net_money(planned.plant, runs)[0]
    lines = money_lines(planned.plant, runs, planned.by_habit)
    return Explanation(
        "money", None, "", float(values.mean()), tuple(values.tolist()), (), lines,
        _hours(planned), None,
    )  # fmt: skip


def _of_habit(planned: Planned) -> Explanation:
    """What the plan is worth more than the usual way, in each weather."""
    runs, usual = planned.checked.ends[-1], planned.by_habit
    gains = net_money(planned.plant, runs)[0] - net_money(planned.plant, usual)[0]
    drive = planned.weathers.forecast
    other = simulate(planned.plant, drive, planned.habit, planned.state)
    return Explanation(
        "habit", None, "", float(gains.mean()), tuple(gains.tolist()), (),
        money_lines(planned.plant, runs, usual), _hours(planned, other=other), None,
        few_weathers=few_that_make(gains),
    )  # fmt: skip


def _of_time(planned: Planned, what: str) -> Explanation:
    after_s = planned.checked.ends[-1].totals[0, :, TIMES[what]]
    begin_s = planned.weathers.checked.begin_s
    times = tuple(None if each < 0.0 else float(begin_s + each) for each in after_s.tolist())
    share = float((after_s >= 0.0).mean())
    return Explanation(what, None, "", share, times, (), (), _hours(planned), None)


def _of_brix(planned: Planned, report: PlanReport) -> Explanation:
    steps = made_by(planned, report)
    if not steps:
        raise InputError(
            "--explain", "brix", "the plan makes no concentrate of sap by the forecast",
            _allowed(report),
        )  # fmt: skip
    return Explanation("brix", None, "", None, (), (), (), _hours(planned), None, steps)


def _of_slack(planned: Planned, report: PlanReport) -> Explanation:
    """Each of the next starts at other times, and what that costs."""
    starts = list[Start]()
    for day, each in enumerate(report.days):
        for action in each.actions:
            starts += _starts(planned, day, action, report.begin_s)
    return Explanation("slack", None, "", None, (), (), (), (), None, (), tuple(starts))


def _starts(planned: Planned, day: int, action: Action, now_s: int) -> Iterator[Start]:
    tried = try_starts(planned, day, action, now_s)
    if tried is None:
        return
    sunk_money = 0.5 * BROKEN_MONEY / planned.weathers.checked.scenarios  # a rule broken in one
    costs = tried.as_planned - tried.values
    costs[tried.told] = 0.0  # as planned: a full tank may call before it
    for k, (step, cost) in enumerate(zip(tried.steps.tolist(), costs.tolist(), strict=True)):
        breaks_rule, planned_so = cost > sunk_money, k == tried.told
        yield Start(
            KINDS[CHOSEN[action.kind]], time_s(planned, step), cost, breaks_rule, planned_so
        )


def _allowed(report: PlanReport) -> str:
    """Say what of a plan can be explained."""
    count = len(report.days[report.main_day].actions)
    actions = {0: "", 1: "1 (its action), "}.get(count, f"1 to {count} (its actions), ")
    return actions + ", ".join(QUANTITIES)


def _of_action(planned: Planned, report: PlanReport, number: int) -> Explanation:
    """The plan beside the plan without the action, and the steps that its numbers are read from."""
    day = report.main_day
    actions = report.days[day].actions
    if not 1 <= number <= len(actions):
        raise InputError("--explain", number, "is no action of the plan's day", _allowed(report))
    action = actions[number - 1]
    steps, column = steps_of(planned, action), asked_by(action)
    if column is None:
        return Explanation(
            "action", number, action.kind, None, (), (), (), _hours(planned), None, steps
        )
    runs = planned.checked.ends[-1]
    plan, others, machine = left_out(planned, (day, column))
    gains = net_money(planned.plant, runs)[0] - net_money(planned.plant, others)[0]
    other = simulate(planned.plant, planned.weathers.forecast, plan, planned.state)
    return Explanation(
        "action", number, action.kind, float(gains.mean()), tuple(gains.tolist()), (),
        money_lines(planned.plant, runs, others), _hours(planned, other=other), None, steps,
        call_m3=_calls_m3(planned.plan[day], column),
        of_day=bool(machine), again=machine == "again",
        few_weathers=few_that_make(gains),
    )  # fmt: skip


def _calls_m3(row: Floats, column: int) -> float | None:
    """Level that calls for what an hour is left out of; None where nothing calls for it."""
    if column == at.MEMBRANE_START:
        return call_m3(row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3)
    if column == at.FIRE_START:
        return call_m3(row, at.FIRE_CALL_M3, at.FIRE_STOCK_M3)
    return None


def _hours(planned: Planned, what: str = "", other: Trace | None = None) -> tuple[Hour, ...]:
    """The run under the forecast, hour by hour; what is left of the last one is its own."""
    drive, rows = planned.weathers.forecast, planned.trace.rows
    clocks = drive.begin_s + np.arange(1, drive.steps + 1) * planned.plant.step_s
    ends = [*(np.flatnonzero(clocks[:-1] % HOUR_S == 0.0) + 1).tolist(), drive.steps]
    parts = _hourly(planned, what, [0, *ends]) if what else [None] * len(ends)
    found = []
    for end, amount in zip(ends, parts, strict=True):
        now = rows[end - 1]
        without_it = None if other is None else other.rows[end - 1]
        found.append(
            Hour(
                time_s=int(clocks[end - 1]),
                amount=amount,
                sap_m3=float(now[at.T_SAP_M3]),
                stock_m3=float(now[at.T_STOCK_M3]),
                permeate_m3=float(now[at.T_PERMEATE_M3]),
                membrane_on=bool(now[at.T_MEMBRANE_ON] > 0.0),
                fire_on=bool(now[at.T_FIRE_ON] > 0.0),
                other_sap_m3=None if without_it is None else float(without_it[at.T_SAP_M3]),
                other_stock_m3=None if without_it is None else float(without_it[at.T_STOCK_M3]),
            )
        )
    return tuple(found)


def _hourly(planned: Planned, what: str, cuts: list[int]) -> list[float | None]:
    """What each hour adds, by running on from its beginning."""
    plant, drive = planned.plant, planned.weathers.forecast
    state, totals, found = planned.state, None, list[float | None]()
    before = 0.0
    for first, last in pairwise(cuts):
        trace = simulate(plant, drive, planned.plan, state, totals, 0, first, last)
        state, totals = trace.state, trace.totals
        now = float(amounts(planned, what, totals))
        found.append(now - before)
        before = now
    return found


_OF_REPORT = {"brix": _of_brix, "slack": _of_slack, "work": of_work, "watch": of_watch, "if": of_if}
