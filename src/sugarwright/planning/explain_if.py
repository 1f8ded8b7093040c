"""Where the marks come from that would change a plan: the runs on both sides of each."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sugarwright.planning.changes import Compared, compared_of, is_some
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import (
    FireGauge,
    IfMark,
    IfSide,
    OffAir,
    OffCourse,
    Tried,
)
from sugarwright.planning.marks import ends_m3, held_m3, hourly_c
from sugarwright.planning.morning import first_look
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.weather.hours import HOUR_S


def of_if(planned: Planned, report: PlanReport) -> Explanation:
    """Show what stands behind each line that says what would change a plan.

    Parameters
    ----------
    planned, report : of one plan
    """
    compared: tuple[Compared, ...] = ()
    if report.changes:
        told = () if report.morning is None else (1, [first_look(planned)])
        compared = compared_of(planned, *told)
    return Explanation(
        "if", None, "", None, (), (), (), (), None,
        fire_gauges=tuple(_gauges(planned, report)),
        marks=tuple(_mark(each) for each in compared),
        off_course=_off_course(planned, report),
        off_air=_off_air(planned, report),
    )  # fmt: skip


def _gauges(planned: Planned, report: PlanReport) -> Iterator[FireGauge]:
    """The gauges under which a fire of the day is not lit, and its latest hour."""
    d = report.main_day
    lit = float((planned.checked.totals_by_day()[d][:, at.LIGHT_UPS] > 0.0).mean())
    for number, each in enumerate(report.days[d].actions, 1):
        if each.kind == "light the fire" and each.trigger is not None and each.latest_s:
            gauge_m3 = (each.own_hour or each.trigger).at_least_m3
            yield FireGauge(number, each.trigger.tank, gauge_m3, each.latest_s, lit)


def _mark(compared: Compared) -> IfMark:
    change, sample = compared.change, compared.sample
    mark = (change.mark_c if change.what == "coldest" else change.level_m3) or 0.0
    if change.what == "run":
        mark = float(compared.gauge.marks[0])  # told as none at all
    beyond = compared.beyond(mark)
    gain = compared.other_money - compared.plan_money
    tried = []
    for each in compared.gauge.marks.tolist():
        tail = compared.beyond(each)
        if is_some(sample, tail):
            found = tail & sample.learnt
            tried.append(Tried(each, int(found.sum()), float(gain[found].sum())))
    return IfMark(
        change=change,
        weathers=int(beyond[sample.base].sum()),
        beyond=_side(compared, beyond & ~sample.learnt),
        within=_side(compared, ~beyond & ~sample.learnt),
        found=_side(compared, beyond & sample.learnt),
        tried=tuple(tried),
    )


def _side(compared: Compared, runs: Flags) -> IfSide:
    """Sum up some of the runs; nothing where there is none."""
    if not runs.any():
        return IfSide(0, 0, 0.0, 0.0)
    plan, other = compared.plan_money[runs], compared.other_money[runs]
    return IfSide(
        int(runs.sum()), int((other > plan).sum()), float(plan.mean()), float(other.mean())
    )


def _off_course(planned: Planned, report: PlanReport) -> OffCourse | None:
    """What a tank holds in each weather at the mark at which another plan is asked for."""
    if report.mark is None:
        return None
    under_m3, over_m3 = ends_m3(report.mark, report.standing)
    values = held_m3(planned, report.mark)
    return OffCourse(
        mark=report.mark,
        under_m3=under_m3,
        over_m3=over_m3,
        by_weather=tuple(values.tolist()),
        weathers_under=0 if under_m3 is None else int(np.sum(values < under_m3)),
        weathers_over=0 if over_m3 is None else int(np.sum(values > over_m3)),
    )


def _off_air(planned: Planned, report: PlanReport) -> OffAir | None:
    """How warm it is in each weather at the mark at which another plan is asked for."""
    mark, drive = report.air_mark, planned.weathers.checked
    if mark is None:
        return None
    air_c = hourly_c(planned, drive)[:, (mark.time_s - drive.begin_s) // HOUR_S]
    return OffAir(
        mark,
        tuple(air_c.tolist()),
        int(np.sum(air_c < mark.low_c)),
        int(np.sum(air_c > mark.high_c)),
    )
