"""Trace a number of a plan back to the runs that it was summed from."""

from __future__ import annotations

from dataclasses import dataclass, fields
from difflib import get_close_matches
from itertools import pairwise

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.course import net_money
from sugarwright.planning.outlook import spread, syrup_m3
from sugarwright.planning.planned import CHOSEN, Place, Planned, without
from sugarwright.planning.report import PlanReport, Range
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Results, Trace, run_many, simulate
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines

HOUR_S = 3600.0
QUANTITIES = ("syrup", "hours", "wood", "power", "permeate", "money", "full")


@dataclass(frozen=True)
class MoneyLine:
    """One line of what a way of working is worth, beside another way; means, costs negative.

    Parameters
    ----------
    name : as in ``Money``; "net" is the last, and the sum of the others
    plan_money : of the plan
    other_money : of the habit, or of the plan without the action
    """

    name: str
    plan_money: float
    other_money: float


@dataclass(frozen=True)
class Hour:
    """An hour of the run under the forecast itself; what is explained, and how things then stand.

    Parameters
    ----------
    time_s : UTC s of its end
    amount : of what is explained, within the hour, in its SI unit; None of money and a full tank
    sap_m3, stock_m3, permeate_m3 : at its end
    membrane_on, fire_on : at its end
    other_sap_m3, other_stock_m3 : without the action; None where nothing is left out
    """

    time_s: int
    amount: float | None
    sap_m3: float
    stock_m3: float
    permeate_m3: float
    membrane_on: bool
    fire_on: bool
    other_sap_m3: float | None
    other_stock_m3: float | None


@dataclass(frozen=True)
class Explanation:
    """Where a number of a plan comes from.

    Parameters
    ----------
    of : "syrup" [m³], "hours" (at a lit pan) [s], "wood" [m³ stacked], "power" [J], "permeate"
        [m³], "money" (net worth), "full" (UTC s at which the sap tank first is) or "action"
    number, kind : of the action on the page
    mean : over the weathers: the number of the report; of "full" the share in which it happens
    by_weather : over the plan's hours in each weather, in its SI unit; None where a tank is never
        full. Of an action: what the plan is worth more with it
    by_day : the ranges of the days, over the weathers; empty where a day has none
    money : line by line, of "money" beside the habit, of an action beside the plan without it
    hours : of the run under the forecast
    forecast_amount : what that run comes to: the sum of its hours; None where they have none
    """

    of: str
    number: int | None
    kind: str
    mean: float
    by_weather: tuple[float | None, ...]
    by_day: tuple[Range, ...]
    money: tuple[MoneyLine, ...]
    hours: tuple[Hour, ...]
    forecast_amount: float | None


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
    InputError : there is no such number, or the action follows from another one
    """
    check_question(what)
    if what.strip().isdigit():
        return _of_action(planned, report, int(what))
    if what == "money":
        return _of_money(planned)
    if what == "full":
        return _of_full(planned)
    return _of_amount(planned, what)


def check_question(what: str) -> None:
    """Refuse what no plan has; it takes no plan to know that.

    Raises
    ------
    InputError : ``what`` is neither one of ``QUANTITIES`` nor a number
    """
    if what in QUANTITIES or (what.strip().isascii() and what.strip().isdigit()):
        return
    near = get_close_matches(what.strip().lower()[:40], QUANTITIES, n=1, cutoff=0.6)
    fix = f'Did you mean "{near[0]}"?' if near else ""
    allowed = f"{', '.join(QUANTITIES)}, or the number of an action"
    raise InputError("--explain", what, "is no number of a plan", allowed, fix)


def amounts(planned: Planned, what: str, totals: Floats) -> Floats:
    """What totals (..., ``TOTALS_SIZE``) come to of a quantity, in its SI unit.

    Parameters
    ----------
    planned : whose house it is
    what : one of ``QUANTITIES`` that is summed
    totals : of runs, or of what they grew by
    """
    if what == "syrup":
        return syrup_m3(planned.plant, totals)
    place = {
        "hours": at.FIRE_S,
        "wood": at.WOOD_BURNT_M3,
        "power": at.ELECTRICITY_J,
        "permeate": at.PERMEATE_KG,
    }[what]
    factor = float(planned.plant.p[at.WATER_M3_KG]) if what == "permeate" else 1.0
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
    )


def _of_money(planned: Planned) -> Explanation:
    runs = planned.checked.ends[-1]
    values = net_money(planned.plant, runs)[0]
    lines = _lines(planned, runs, planned.by_habit)
    return Explanation(
        "money", None, "", float(values.mean()), tuple(values.tolist()), (), lines,
        _hours(planned), None,
    )  # fmt: skip


def _of_full(planned: Planned) -> Explanation:
    after_s = planned.checked.ends[-1].totals[0, :, at.SAP_FULL_AT_S]
    begin_s = planned.weathers.checked.begin_s
    times = tuple(None if each < 0.0 else float(begin_s + each) for each in after_s.tolist())
    share = float((after_s >= 0.0).mean())
    return Explanation("full", None, "", share, times, (), (), _hours(planned), None)


def _of_action(planned: Planned, report: PlanReport, number: int) -> Explanation:
    """The plan beside the plan without the action."""
    day = report.main_day
    actions = report.days[day].actions
    if not 1 <= number <= len(actions):
        allowed = f"1 to {len(actions)}" if actions else "none: nothing is to be done"
        raise InputError("--explain", number, "is no action of the plan's day", allowed)
    action = actions[number - 1]
    column = CHOSEN.get(action.kind)
    if column is None:
        raise InputError(
            "--explain", number, f"({action.kind}) is no choice: it follows from the others",
            fix="Ask for the action that it follows from.",
        )  # fmt: skip
    place: Place = (day, column)
    runs = planned.checked.ends[-1]
    plan = without(planned.plan, place)
    others = run_many(planned.plant, planned.weathers.checked, plan[np.newaxis], planned.state)
    gains = net_money(planned.plant, runs)[0] - net_money(planned.plant, others)[0]
    other = simulate(planned.plant, planned.weathers.forecast, plan, planned.state)
    return Explanation(
        "action", number, action.kind, float(gains.mean()), tuple(gains.tolist()), (),
        _lines(planned, runs, others), _hours(planned, other=other), None,
    )  # fmt: skip


def _lines(planned: Planned, runs: Results, others: Results) -> tuple[MoneyLine, ...]:
    """Each line of the worth of two ways, in the mean over the weathers, and their sums."""
    one, two = (worth_lines(planned.plant, each.totals, each.states) for each in (runs, others))
    names = [each.name for each in fields(one)] + ["net"]
    return tuple(
        MoneyLine(name, float(np.mean(getattr(one, name))), float(np.mean(getattr(two, name))))
        for name in names
    )


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
