"""Today's plan: find it, ask what it brings in weathers it was not fitted to, and say why."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from sugarwright.planning.actions import actions_of
from sugarwright.planning.changes import changes_of
from sugarwright.planning.choose import choose
from sugarwright.planning.idle import idle_of
from sugarwright.planning.limits import limits_of
from sugarwright.planning.outlook import spread, standing_unrinsed, syrup_m3, watches, way
from sugarwright.planning.planned import CHOSEN, Place, Planned
from sugarwright.planning.reasons import slacks, without_losses
from sugarwright.planning.report import Action, Day, PlanReport, Reason, Slack, Standing
from sugarwright.planning.rule_card import Card
from sugarwright.planning.scene import Scene
from sugarwright.planning.search import Budget
from sugarwright.planning.weathers import Belief, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats, life_used
from sugarwright.weather.hours import HOUR_S, HourlyWeather

LEAST_MONEY = 1.0


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
    card: Card | None = None,
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
    card : the house's rule card, which stands where it is as good as a new plan

    Returns
    -------
    PlanReport

    Raises
    ------
    InputError : when the weather does not reach, or a reading cannot be
    """
    return plan_with_grounds(
        plant, weather, levels, now_s, hours, seed, budget, before, belief, card
    )[0]


def plan_with_grounds(
    plant: Plant,
    weather: HourlyWeather,
    levels: Levels,
    now_s: int,
    hours: int = 72,
    seed: int | None = None,
    budget: Budget | None = None,
    before: Floats | None = None,
    belief: Belief | None = None,
    card: Card | None = None,
) -> tuple[PlanReport, Planned]:
    """Plan as :func:`plan_today` does; return the runs that the report was made from as well."""
    begin_s = now_s - now_s % HOUR_S
    seed = begin_s if seed is None else seed
    weathers = make_weathers(plant, weather, now_s, hours, seed, belief)
    state = start_state(plant, levels)
    chosen = choose(plant, weathers, state, seed, budget, before, card=card)
    found = Planned(plant, chosen.menu, weathers, state, chosen.plan, chosen.habit)
    planned, reasons = without_losses(found)
    days = _days(planned, reasons, now_s)
    runs = planned.checked.ends[-1]
    alone = standing_unrinsed(plant, weathers.checked, planned.plan, state)
    report = PlanReport(
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
        watch=watches(weathers.checked, runs) + (() if alone is None else (alone,)),
        next_s=_next(days, now_s),
        plan=way(plant, runs),
        habit=way(plant, planned.by_habit),
        weathers=weathers.checked.scenarios,
        candidates=chosen.candidates,
        stopped_early=chosen.stopped_early,
        whose=chosen.whose if planned is found else "search",
        seed=seed,
        rows=tuple(tuple(row) for row in planned.plan.tolist()),
        broken=_broken(plant, weathers.forecast, state, runs),
        changes=changes_of(planned),
        limits=limits_of(planned),
    )
    return report, planned


def _days(planned: Planned, reasons: dict[Place, Reason], now_s: int) -> tuple[Day, ...]:
    """Each local day with its actions, none before now, and what it brings."""
    forecast, totals = planned.weathers.forecast, planned.checked.totals_by_day()
    free = slacks(planned)
    found = []
    for d, (first, last) in enumerate(pairwise(planned.checked.cuts)):
        scene = Scene(
            planned.plant, forecast, planned.trace, planned.plan[d], first, last,
            bool(planned.state[at.MEMBRANE_ON] > 0.0), bool(planned.state[at.FIRE_ON] > 0.0),
        )  # fmt: skip
        due = [replace(each, time_s=max(each.time_s, now_s)) for each in actions_of(scene)]
        explained = [_explained(action, d, reasons, free) for action in due]
        actions = [each for each in explained if _is_worth_saying(each)]
        day = _day(planned.plant, scene, actions, totals[d])
        found.append(day if actions else replace(day, idle=idle_of(planned, d)))
    return tuple(found)


def _explained(
    action: Action, day: int, reasons: dict[Place, Reason], free: dict[Place, Slack]
) -> Action:
    """Add slack and reason to an action that the search chose."""
    start = CHOSEN.get(action.kind)
    if start is None:
        return action
    return replace(action, slack=free.get((day, start)), reason=reasons.get((day, start)))


def _is_worth_saying(action: Action) -> bool:
    """Leave out what the forecast does not bring and hardly any other weather needs."""
    chosen = action.kind in CHOSEN
    needed = action.reason is not None and action.reason.money >= LEAST_MONEY
    return not chosen or action.expected_s is not None or needed


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
    if drive.calendar[0, at.PEOPLE] <= 0.0:
        if state[at.FIRE_ON] > 0.0:
            found.append("fire burns unwatched")
        if state[at.MEMBRANE_ON] > 0.0 and p[at.UNATTENDED] <= 0.0:
            found.append("membrane runs unwatched")
    if state[at.WOOD_M3] < p[at.LIGHT_UP_WOOD_M3] + p[at.FUEL_M3_S] * p[at.LEAST_BURN_S]:
        found.append("no wood for a boil")
    if (totals[:, at.SHORT_S] > 0.0).any():
        found.append("pan short of feed")
    if (totals[:, at.LIT_ALONE_S] > 0.0).any():
        found.append("fire alone")
    return tuple(found)
