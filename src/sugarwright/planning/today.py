"""Today's plan: find it, ask what it brings in weathers it was not fitted to, and say why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.actions import actions_of
from sugarwright.planning.choices import Menu
from sugarwright.planning.choose import choose
from sugarwright.planning.outlook import (
    day_cuts,
    lost_m3,
    spread,
    syrup_m3,
    totals_by_day,
    watches,
    way,
)
from sugarwright.planning.report import Action, Day, PlanReport, Reason, Slack, Standing
from sugarwright.planning.scene import Scene
from sugarwright.planning.search import Budget, judge_plans
from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, run_many, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats, life_used
from sugarwright.plant.worth import worth_lines
from sugarwright.weather.hours import HOUR_S, HourlyWeather

SLACK_MONEY = 3.0
LEAST_MONEY = 1.0
CHOSEN = {
    "membrane on": at.MEMBRANE_START,
    "membrane runs on": at.MEMBRANE_START,
    "light the fire": at.FIRE_START,
    "keep the fire": at.FIRE_START,
    "wash the membrane": at.WASH_AT,
    "membrane at need": at.MEMBRANE_CALL_M3,
    "fire at need": at.FIRE_CALL_M3,
}
TIMES_OF = {at.MEMBRANE_START: "starts", at.FIRE_START: "lights", at.WASH_AT: "washes"}


@dataclass(frozen=True)
class _Planned:
    """What the pieces of the report are made from."""

    plant: Plant
    menu: Menu
    weathers: Weathers
    state: Floats
    plan: Floats


def plan_today(
    plant: Plant,
    weather: HourlyWeather,
    levels: Levels,
    now_s: int,
    hours: int = 72,
    seed: int | None = None,
    budget: Budget | None = None,
    before: Floats | None = None,
    belief: Belief | None = None,
) -> PlanReport:
    """Plan the next hours of a house.

    Parameters
    ----------
    plant : the assembled house
    weather : observed hours and forecast without a gap; some two weeks before ``now_s`` bring the
        trees up to date
    levels : readings of now
    now_s : UTC s; the plan begins with the hour that this falls in, its actions not before
    hours : how far to plan
    seed : of all draws; None: the instant itself, so that the same morning gives the same plan
    budget : how much to search; None: as usual
    before : rows of an earlier plan for the same days (``PlanReport.rows``); it stays unless a new
        one gains a few dollars
    belief : of forecast and trees; None: the priors

    Returns
    -------
    PlanReport

    Raises
    ------
    InputError : when the weather does not reach, or a reading cannot be
    """
    begin_s = now_s - now_s % HOUR_S
    seed = begin_s if seed is None else seed
    weathers = make_weathers(plant, weather, now_s, hours, seed, belief)
    state = start_state(plant, levels)
    chosen = choose(plant, weathers, state, seed, budget, before)
    planned = _Planned(plant, chosen.menu, weathers, state, chosen.plan)
    both = run_many(plant, weathers.checked, np.stack([chosen.plan, chosen.habit]), state)
    days = _days(planned, now_s)
    return PlanReport(
        house=plant.house.site.name,
        timezone=plant.house.site.timezone,
        units=plant.house.site.units,
        currency=plant.house.site.currency,
        begin_s=now_s,
        end_s=begin_s + hours * HOUR_S,
        forecast_source=weather.source,
        forecast_issued_s=weather.issued_s,
        forecast_cautions=() if belief is None else belief.cautions,
        standing=_standing(plant, state),
        days=days,
        watch=watches(weathers.checked, both),
        next_s=_next(days, now_s),
        plan=way(plant, both, 0),
        habit=way(plant, both, 1),
        weathers=weathers.checked.scenarios,
        candidates=chosen.candidates,
        stopped_early=chosen.stopped_early,
        whose=chosen.whose,
        seed=seed,
        rows=tuple(tuple(row) for row in chosen.plan.tolist()),
        broken=_broken(plant, weathers.forecast, state, both),
    )


def _days(planned: _Planned, now_s: int) -> tuple[Day, ...]:
    """Each local day with its actions, none before now, and what it brings."""
    plant, forecast, checked = planned.plant, planned.weathers.forecast, planned.weathers.checked
    trace = simulate(plant, forecast, planned.plan, planned.state)
    cuts = day_cuts(forecast)
    totals = totals_by_day(plant, checked, planned.plan, planned.state)
    found = []
    for d, (first, last) in enumerate(pairwise(cuts)):
        scene = Scene(
            plant, forecast, trace, planned.plan[d], first, last,
            bool(planned.state[at.MEMBRANE_ON] > 0.0), bool(planned.state[at.FIRE_ON] > 0.0),
        )  # fmt: skip
        due = [replace(each, time_s=max(each.time_s, now_s)) for each in actions_of(scene)]
        explained = [_explained(planned, d, action, scene) for action in due]
        actions = [each for each in explained if _is_worth_saying(each)]
        found.append(_day(plant, scene, actions, totals[d]))
    return tuple(found)


def _day(plant: Plant, scene: Scene, actions: list[Action], totals: Floats) -> Day:
    water, sugar = totals[:, at.SAP_WATER_KG], totals[:, at.SAP_SUGAR_KG]
    hours = scene.drive.calendar[scene.first : scene.last, at.HOUR].astype(np.int64)
    air_c = scene.drive.air_c[0, hours]
    return Day(
        begin_s=scene.time_s(scene.first),
        end_s=scene.time_s(scene.last),
        actions=tuple(actions),
        sap_m3=spread(water * plant.p[at.WATER_M3_KG] + sugar * plant.p[at.SUGAR_M3_KG]),
        syrup_m3=spread(syrup_m3(plant, totals)),
        fire_s=spread(totals[:, at.FIRE_S]),
        wood_m3=spread(totals[:, at.WOOD_BURNT_M3]),
        energy_j=spread(totals[:, at.ELECTRICITY_J]),
        permeate_m3=spread(totals[:, at.PERMEATE_KG] * plant.p[at.WATER_M3_KG]),
        work_s=spread(totals[:, at.HANDS_S]),
        low_c=float(air_c.min()),
        high_c=float(air_c.max()),
    )


def _explained(planned: _Planned, day: int, action: Action, scene: Scene) -> Action:
    """Add slack and reason to an action that the search chose."""
    start = CHOSEN.get(action.kind)
    if start is None:
        return action
    return replace(
        action,
        slack=_slack(planned, day, start, scene),
        reason=_reason(planned, day, start),
    )


def _is_worth_saying(action: Action) -> bool:
    """Leave out what the forecast does not bring and hardly any other weather needs."""
    chosen = action.kind in CHOSEN
    needed = action.reason is not None and action.reason.money >= LEAST_MONEY
    return not chosen or action.expected_s is not None or needed


def _slack(planned: _Planned, day: int, start: int, scene: Scene) -> Slack | None:
    """The span of starting times around the one chosen that hardly costs anything."""
    if start not in TIMES_OF:
        return None
    chosen_min = planned.plan[day, start]
    times = np.unique(np.append(getattr(planned.menu, TIMES_OF[start])[day][1:], chosen_min))
    trials = np.repeat(planned.plan[np.newaxis], len(times), axis=0)
    trials[:, day, start] = times
    if start == at.FIRE_START:  # a fire lit later is kept as long
        burn = of.burn_min(planned.plan[day])
        trials[:, day, at.FIRE_STOP] = np.minimum(of.END_OF_DAY, times + burn)
    values = judge_plans(planned.plant, planned.weathers.searched, trials, planned.state)
    first = last = int(np.flatnonzero(times == chosen_min)[0])
    fine = values >= values[first] - SLACK_MONEY
    while first > 0 and fine[first - 1]:
        first -= 1
    while last < len(fine) - 1 and fine[last + 1]:
        last += 1
    if first == last:
        return None
    ends = [scene.time_s(scene.at_minute(times[i])) for i in (first, last)]
    return Slack(ends[0], ends[1], SLACK_MONEY)


def _reason(planned: _Planned, day: int, start: int) -> Reason:
    """What leaving an action out would change, in weathers that the plan was not fitted to."""
    without = planned.plan.copy()
    without[day, start] = of.NOT if start in TIMES_OF else 0.0
    plans = np.stack([planned.plan, without])
    results = run_many(planned.plant, planned.weathers.checked, plans, planned.state)
    totals = results.totals
    net = worth_lines(planned.plant, totals, results.states).net.mean(axis=1)
    syrup = syrup_m3(planned.plant, totals).mean(axis=1)
    lost = lost_m3(planned.plant, totals).mean(axis=1)
    full = (totals[..., at.SAP_FULL_AT_S] >= 0.0).mean(axis=1)
    return Reason(
        money=float(net[0] - net[1]),
        syrup_m3=float(syrup[0] - syrup[1]),
        spilled_m3=float(lost[1] - lost[0]),
        full_probability=float(full[1] - full[0]),
    )


def _standing(plant: Plant, x: Floats) -> Standing:
    p = plant.p
    brix, volume = [], []
    for tank in (at.SAP, at.STOCK, at.PERMEATE):
        water, sugar = x[tank + at.WATER], x[tank + at.SUGAR]
        brix.append(float(100.0 * sugar / (water + sugar)) if water + sugar > 0.0 else 0.0)
        volume.append(float(water * p[at.WATER_M3_KG] + sugar * p[at.SUGAR_M3_KG]))
    return Standing(
        sap_m3=volume[0],
        sap_brix=brix[0],
        sap_capacity_m3=float(p[at.SAP_CAPACITY_M3]),
        sap_life_used=life_used(p, float(x[at.SAP + at.CELLS])),
        stock_m3=volume[1],
        stock_brix=brix[1],
        stock_capacity_m3=float(p[at.STOCK_CAPACITY_M3]),
        permeate_m3=volume[2],
        permeate_capacity_m3=float(p[at.PERMEATE_CAPACITY_M3]),
        wood_m3=float(x[at.WOOD_M3]),
        has_membrane=bool(p[at.HAS_MEMBRANE] > 0.0),
    )


def _next(days: tuple[Day, ...], now_s: int) -> tuple[tuple[int, str], ...]:
    """The next three times that matter."""
    due = [
        (action.time_s, action.kind)
        for day in days
        for action in day.actions
        if not action.kind.endswith("at need")
    ]
    return tuple(sorted(one for one in due if one[0] >= now_s)[:3])


def _broken(plant: Plant, drive: Drive, state: Floats, results: Results) -> tuple[str, ...]:
    """What even the best plan found could not keep in any of the weathers, or had to do without."""
    p, totals = plant.p, results.totals[0]
    found = []
    if not (drive.calendar[:, at.PEOPLE] > 0.0).any():
        found.append("nobody there")
    if state[at.WOOD_M3] < p[at.LIGHT_UP_WOOD_M3] + p[at.FUEL_M3_S] * p[at.LEAST_BURN_S]:
        found.append("no wood for a boil")
    if (totals[:, at.SHORT_S] > 0.0).any():
        found.append("pan short of feed")
    if (totals[:, at.LIT_ALONE_S] > 0.0).any():
        found.append("fire alone")
    return tuple(found)
