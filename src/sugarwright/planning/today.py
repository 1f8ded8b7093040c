"""Today's plan: find it, ask what it brings in weathers it was not fitted to, and say why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Action, Delay, Reason, Slack
from sugarwright.planning.actions import actions_of
from sugarwright.planning.after_trips import lit_after_trips
from sugarwright.planning.broken import broken_of
from sugarwright.planning.changes import changes_of
from sugarwright.planning.choose import choose
from sugarwright.planning.circuit import with_circuit
from sugarwright.planning.draws import left_without_fire
from sugarwright.planning.dying import dies_s
from sugarwright.planning.fans import fans_of
from sugarwright.planning.fire_chances import with_chances
from sugarwright.planning.fires import not_before
from sugarwright.planning.forced import Settled
from sugarwright.planning.idle import idle_of
from sugarwright.planning.limits import limits_of
from sugarwright.planning.marks import air_mark_of, mark_of
from sugarwright.planning.morning import first_look, morning_of, tonight, worth_rigging
from sugarwright.planning.outlook import lost_m3, spread, syrup_m3, way
from sugarwright.planning.planned import CHOSEN, Place, Planned, asked_by
from sugarwright.planning.readied import readied
from sugarwright.planning.reasons import LEAST_MONEY, fetched_first_money, of_day, without_losses
from sugarwright.planning.report import Change, Day, Morning, PlanReport
from sugarwright.planning.rule_card import Card
from sugarwright.planning.scene import Scene
from sugarwright.planning.search import Budget
from sugarwright.planning.slack import slack_of
from sugarwright.planning.standing import standing_of
from sugarwright.planning.still_runs import with_what_still_runs
from sugarwright.planning.stops import next_times
from sugarwright.planning.told_there import with_whoever_tells
from sugarwright.planning.trip_hands import GATHER, is_lit_after
from sugarwright.planning.wash_due import wash_due
from sugarwright.planning.watched import watches_of
from sugarwright.planning.weathers import Belief, make_weathers
from sugarwright.planning.work import chores_of, given_s, hands_s
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.none_known import NONE_KNOWN
from sugarwright.weather.so_far import missed_k

_NO_WEATHER = ("no weather",)


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
    *,
    settled: Settled | None = None,
    carried_out: str = "",
    brief: bool = False,
) -> tuple[PlanReport, Planned]:
    """Plan as :func:`plan_today` does; return the runs that the report was made from as well.

    Parameters
    ----------
    plant ... card : as there
    settled : a part of the plan that stands before the search
    carried_out : of a plan for tomorrow, what today goes by ("before" or "habit"); else empty
    brief : leave out what would change the plan and what more room would be worth
    """
    begin_s = now_s - now_s % HOUR_S
    seed = begin_s if seed is None else seed
    plant, counted_until_s = with_whoever_tells(plant, levels, now_s)
    weathers = make_weathers(plant, weather, now_s, hours, seed, belief)
    state = start_state(plant, levels)
    if settled is not None and carried_out:
        settled = worth_rigging(plant, weathers.forecast, state, settled)
    force = None if settled is None else settled.force
    if budget is not None and budget.seconds is not None:
        readied(plant, weathers, state)
    chosen = choose(plant, weathers, state, seed, budget, before, card=card, force=force)
    found = Planned(plant, chosen.menu, weathers, state, chosen.plan, chosen.habit)
    staying = frozenset[Place]() if settled is None else settled.places
    held = lit_after_trips(found, staying)
    planned, reasons = without_losses(held, staying)
    days = _days(planned, of_day(planned, reasons), now_s)
    if carried_out:
        days = (replace(days[0], actions=tonight(days[0].actions)), *days[1:])
    runs = planned.checked.ends[-1]
    morning = morning_of(planned, carried_out) if carried_out else None
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
        forecast_missed_k=missed_k(weather, now_s),
        standing=replace(standing_of(plant, state), fire_dies_s=dies_s(plant, state, now_s)),
        days=days,
        watch=watches_of(planned),
        next_s=next_times(days, now_s),
        plan=way(plant, runs),
        habit=way(plant, planned.by_habit),
        weathers=weathers.checked.scenarios,
        candidates=chosen.candidates,
        stopped_early=chosen.stopped_early,
        whose=chosen.whose if planned is held else "search",
        seed=seed,
        rows=tuple(tuple(row) for row in planned.plan.tolist()),
        broken=(
            *(_NO_WEATHER if weather.source == NONE_KNOWN else ()),
            *broken_of(plant, weathers.forecast, state, runs),
        ),
        changes=_changes(planned, morning, brief=brief),
        limits=() if brief else limits_of(planned),
        counted_until_s=counted_until_s,
        tapped_s=_tapped_later_s(plant, now_s),
        morning=morning,
        fans=() if brief else fans_of(planned),
        wash_due=wash_due(planned, days),
        pan_left=left_without_fire(planned),
    )
    if not brief:
        actions = report.days[report.main_day].actions
        report = replace(report, mark=mark_of(planned, actions, now_s))
        if weather.source != NONE_KNOWN:
            report = replace(report, air_mark=air_mark_of(planned, now_s))
    return report, planned


def _changes(planned: Planned, morning: Morning | None, *, brief: bool) -> tuple[Change, ...]:
    if brief:
        return ()
    if morning is None:
        return changes_of(planned)
    return changes_of(planned, 1, [first_look(planned)])


def _tapped_later_s(plant: Plant, now_s: int) -> int | None:
    tapping_s = int(tapped_s(plant.house))
    return tapping_s if tapping_s > now_s else None


def _days(planned: Planned, reasons: dict[Place, Reason], now_s: int) -> tuple[Day, ...]:
    """Each local day with its actions, none before now, and what it brings."""
    totals = planned.checked.totals_by_day()
    found = []
    for d in range(len(planned.plan)):
        scene = planned.scene(d)
        light_ups = totals[d][:, at.LIGHT_UPS]
        due = [not_before(each, now_s) for each in actions_of(scene, light_ups)]
        due = with_chances(due, light_ups)
        due = with_what_still_runs(planned, due)
        explained = [_explained(planned, action, d, reasons, now_s, due) for action in due]
        worth = [each for each in explained if _is_worth_saying(each)]
        actions = with_circuit(planned.plant.house, worth)
        day = _day(planned.plant, scene, actions, totals[d])
        found.append(day if actions else replace(day, idle=idle_of(planned, d)))
    return tuple(found)


def _explained(
    planned: Planned,
    action: Action,
    day: int,
    reasons: dict[Place, Reason],
    now_s: int,
    due: Sequence[Action],
) -> Action:
    """Add slack and reason to an action that the search chose."""
    action = _with_why_sap_waits(planned, action, day)
    start = asked_by(action)
    if start is None or _is_later_round(action, due):
        return action
    free = slack_of(planned, day, action, now_s, is_held=is_lit_after(action, due))
    return replace(
        action,
        slack=free if isinstance(free, Slack) else None,
        delay=free if isinstance(free, Delay) else None,
        reason=reasons.get((day, start)),
    )


def _with_why_sap_waits(planned: Planned, action: Action, day: int) -> Action:
    """Add to a fire for which sap waits what it costs to fetch that first; where hardly any, none.

    Who would rather fetch it then may.
    """
    if not action.sap_waits:
        return action
    money = fetched_first_money(planned, day)
    if money < LEAST_MONEY:
        return replace(action, sap_waits=())
    return replace(action, fetched_first_money=money)


def _is_later_round(action: Action, due: Sequence[Action]) -> bool:
    """Tell whether trips follow others of that day: the hour that the plan asks for is of those."""
    return action.kind == GATHER and any(
        each.kind == GATHER and each.time_s < action.time_s for each in due
    )


def _is_worth_saying(action: Action) -> bool:
    """Leave out what the forecast does not bring and hardly any other weather needs."""
    chosen = action.kind in CHOSEN
    needed = action.reason is not None and action.reason.money >= LEAST_MONEY
    return not chosen or action.expected_s is not None or needed


def _day(plant: Plant, scene: Scene, actions: list[Action], totals: Floats) -> Day:
    water, sugar = totals[:, at.SAP_WATER_KG], totals[:, at.SAP_SUGAR_KG]
    hours = scene.drive.calendar[scene.first : scene.last, at.HOUR].astype(np.int64)
    air_c = scene.drive.air_c[0, hours]
    lit = totals[totals[:, at.FIRE_S] > 0.0]
    return Day(
        begin_s=scene.time_s(scene.first),
        end_s=scene.time_s(scene.last),
        actions=tuple(actions),
        sap_m3=spread(mixed_m3(plant.p, water, sugar)),
        syrup_m3=spread(syrup_m3(plant, totals)),
        fire_s=spread(totals[:, at.FIRE_S]),
        wood_m3=spread(totals[:, at.WOOD_BURNT_M3]),
        energy_j=spread(totals[:, at.ELECTRICITY_J]),
        permeate_m3=spread(totals[:, at.PERMEATE_KG] * plant.p[at.WATER_M3_KG]),
        work_s=spread(hands_s(plant, totals, actions)),
        low_c=float(air_c.min()),
        high_c=float(air_c.max()),
        chores=chores_of(scene, totals, syrup_m3(plant, totals)),
        given_s=given_s(scene),
        lost_m3=spread(lost_m3(plant, totals)),
        lit_syrup_m3=spread(syrup_m3(plant, lit)) if len(lit) else None,
        lit_fire_s=spread(lit[:, at.FIRE_S]) if len(lit) else None,
    )
