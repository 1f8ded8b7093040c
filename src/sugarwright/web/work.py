"""What the worker is asked: functions of a folder and a moment, with plain answers."""

from __future__ import annotations

from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.plan import plan_and_keep
from sugarwright.answering.record import record_of
from sugarwright.answering.standing import standing_of
from sugarwright.twin.report import NowReport


def stand(folder: str, now_s: float) -> NowReport:
    """Tell where everything stands."""
    house = house_as_learnt(folder)
    with record_of(folder, make=False) as book:
        return standing_of(folder, house, now_s, book)


def plan(folder: str, now_s: float) -> None:
    """Plan, and keep the plan in the logbook."""
    plan_and_keep(folder, int(now_s))
