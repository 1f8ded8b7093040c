"""The end of a run of the membrane as something to do, where somebody must stop it.

A run's end belongs to the run; whoever shows what is due next needs it at its own hour. Calendar,
page and the next times that matter all take it from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.membrane_hands import RUNS, hands_of
from sugarwright.planning.report import Day

STOP = "stop the membrane"
WASH = "wash the membrane"
NEXT_TIMES = 3
AT_ONCE_S = 600  # a wash that begins so soon after a run's end is what it is stopped for


def stop_of(run: Action) -> Action | None:
    """Return the stop of a run as an action of its own; None where no hand ends it.

    One that ends for its wash is stopped with that: :func:`with_stops`.
    """
    hand = next((each for each in hands_of(run) if each.what == "stop"), None)
    return None if hand is None else _stop(run, hand.time_s)


def with_stops(actions: Sequence[Action]) -> list[tuple[int, Action]]:
    """Return a day's actions with the stops of their runs, each with its number on the day's list.

    A stop stands at its hour and has its run's number. A wash for which a run is stopped has the
    setting of that run (``runs_at_m3_s``), so that it can be told to stop it first.
    """
    found = list(enumerate(actions, 1))
    for number, run in enumerate(actions, 1):
        stop = stop_of(run) or _stop_for_wash(run)
        if stop is None:
            continue
        after = next(n for n, (_, each) in enumerate(found) if each is run) + 1
        later = (n for n in range(after, len(found)) if found[n][1].time_s >= stop.time_s)
        place = next(later, len(found))
        wash = next((n for n in range(place, len(found)) if _is_for(found[n][1], stop)), None)
        if stop.ends == "time" and wash is not None:
            of_wash, washed = found[wash]
            found[wash] = of_wash, replace(washed, runs_at_m3_s=run.flow_m3_s)
        else:
            found.insert(place, (number, stop))
    return found


def each_once(days: Sequence[Sequence[tuple[int, Action]]]) -> list[list[tuple[int, Action]]]:
    """Return what :func:`with_stops` has of each day of a plan, each stop of a run but once.

    A run past midnight that ends for a wash is stopped with that, on the list of the wash's day.
    """
    washes_s = {
        each.time_s
        for day in days
        for _, each in day
        if each.kind == WASH and each.runs_at_m3_s is not None
    }
    return [[one for one in day if not _is_of_wash(one[1], washes_s)] for day in days]


def _is_of_wash(action: Action, washes_s: set[int]) -> bool:
    return action.kind == STOP and action.ends == "time" and action.time_s in washes_s


def next_times(days: Sequence[Day], now_s: float) -> tuple[tuple[int, str], ...]:
    """Return the next three times that matter; what falls on one time stays in the day's order.

    Parameters
    ----------
    days : of a plan
    now_s : UTC s
    """
    told = each_once([with_stops(by_the_hour(day.actions)) for day in days])
    due = [(action.time_s, action.kind) for day in told for _, action in day]
    return tuple(sorted((one for one in due if one[0] >= now_s), key=lambda one: one[0]))[
        :NEXT_TIMES
    ]


def _stop_for_wash(run: Action) -> Action | None:
    ends = run.kind in RUNS and run.expected_s is not None and run.ends == "time"
    return _stop(run, run.until_s) if ends and run.until_s is not None else None


def _stop(run: Action, time_s: int) -> Action:
    return Action(
        STOP,
        time_s,
        expected_s=time_s,
        ends=run.ends,
        runs_at_m3_s=run.flow_m3_s,
        again_brix=run.again_brix,
        stops_itself=run.stops_itself,
        reserve_m3=run.reserve_m3,
        rinse_m3=None if run.ends == "time" else run.rinse_m3,
        rinse_has_m3=run.rinse_has_m3,
        caution=run.caution,
    )


def _is_for(action: Action, stop: Action) -> bool:
    return action.kind == WASH and action.time_s - stop.time_s <= AT_ONCE_S
