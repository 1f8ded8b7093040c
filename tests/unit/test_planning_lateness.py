"""People are late: what that does to a plan's worth, and what is done on coming in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planning_cases import demo_plant, forecast_from, local_s, usual_levels
from sugarwright.planning.choices import END_OF_DAY, habit_rows
from sugarwright.planning.judging import PlanJudge, judge_plans
from sugarwright.planning.lateness import LATE_MIN, LATE_SHARE, LateJudge, arrivals, by_arrival
from sugarwright.planning.weathers import Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HourlyWeather

STEP_S = 300.0
NOW = "2015-03-24 05:10"
HOURS = 48


@pytest.fixture(scope="module")
def weathers(whately_2015: HourlyWeather) -> Weathers:
    """Return the weathers of two days with a run."""
    now_s = local_s(NOW)
    return make_weathers(demo_plant(), forecast_from(whately_2015, now_s, HOURS), now_s, HOURS, 3)


def two_days(*stays: tuple[float, float]) -> Floats:
    """Calendar of two days from five in the morning on, with somebody there from hour to hour."""
    hours = 5.0 + np.arange(int(43 * 3600 / STEP_S)) * STEP_S / 3600.0
    calendar = np.zeros((len(hours), at.CALENDAR_WIDTH))
    calendar[:, at.DAY] = 700.0 + hours // 24.0
    calendar[:, at.MINUTE] = np.round(60.0 * (hours % 24.0))
    for begin, end in stays:
        calendar[:, at.PEOPLE] += (hours % 24.0 >= begin) & (hours % 24.0 < end)
    return calendar


def minutes_of(calendar: Floats, flags: np.ndarray) -> list[tuple[float, float]]:
    return [(float(row[at.DAY]), float(row[at.MINUTE])) for row in calendar[flags]]


class TestArrivals:
    def test_who_comes_home_in_the_evening(self) -> None:
        calendar = two_days((17.0, 22.0))
        come = minutes_of(calendar, arrivals(calendar, STEP_S))
        assert come == [(700.0, 1020.0), (701.0, 1020.0)]

    def test_who_was_out_for_half_an_hour_has_not_arrived(self) -> None:
        calendar = two_days((6.0, 12.0), (12.5, 22.0))
        come = minutes_of(calendar, arrivals(calendar, STEP_S))
        assert come == [(700.0, 360.0), (701.0, 360.0)]

    def test_who_is_there_at_the_beginning_has_come_before(self) -> None:
        calendar = two_days((0.0, 24.0))
        assert not arrivals(calendar, STEP_S).any()

    def test_of_two_people_the_first_arrives(self) -> None:
        calendar = two_days((16.0, 22.0), (17.5, 21.0))
        come = minutes_of(calendar, arrivals(calendar, STEP_S))
        assert come == [(700.0, 960.0), (701.0, 960.0)]

    def test_an_hour_told_while_nobody_is_there_is_for_who_comes(self) -> None:
        calendar = two_days((6.5, 7.5), (17.0, 22.0))
        told = by_arrival(calendar, arrivals(calendar, STEP_S))
        assert told.shape == (2, 1441)
        on_coming = {minute for minute in range(0, 1441, 30) if told[1, minute]}
        assert on_coming == {*range(0, 391, 30), *range(480, 1021, 30), 450}
        assert not told[0, 1050]  # half past five: somebody is there, and has a clock to watch
        assert not told[0, 1380]  # gone to bed: nobody comes any more that day


class TestLateJudge:
    def rows_at(self, weathers: Weathers, minute: float) -> Floats:
        """The demo's habit, with membrane and fire begun at a minute of both days."""
        rows = habit_rows(demo_plant(), len(np.unique(weathers.compared.calendar[:, at.DAY])))
        rows[:, [at.MEMBRANE_START, at.FIRE_START]] = minute
        rows[:, [at.MEMBRANE_SAP_M3, at.FIRE_STOCK_M3]] = 0.1
        rows[:, at.WASH_AT] = -1.0
        rows[:, [at.MEMBRANE_STOP, at.FIRE_STOP]] = END_OF_DAY
        return rows

    def test_in_some_of_the_weathers_everything_begins_an_hour_later(
        self, weathers: Weathers
    ) -> None:
        plant, state, drive = *self.start(), weathers.compared
        told, later = self.rows_at(weathers, 1110.0), self.rows_at(weathers, 1110.0 + LATE_MIN)
        split = round((1.0 - LATE_SHARE) * drive.scenarios)
        in_time = judge_plans(plant, drive.some(slice(0, split)), told[np.newaxis], state)
        late = judge_plans(plant, drive.some(slice(split, None)), later[np.newaxis], state)
        by_hand = (1.0 - LATE_SHARE) * in_time + LATE_SHARE * late
        judged = LateJudge(PlanJudge(plant, drive, state)).values(told[np.newaxis])
        assert judged == pytest.approx(by_hand)
        assert not np.isclose(by_hand, judge_plans(plant, drive, told[np.newaxis], state))

    def test_what_begins_on_coming_in_is_not_late(self, weathers: Weathers) -> None:
        plant, state = self.start()
        drive = self.home_at_one(weathers.compared)
        told = self.rows_at(weathers, 780.0)
        judged = LateJudge(PlanJudge(plant, drive, state)).values(told[np.newaxis])
        assert judged == pytest.approx(judge_plans(plant, drive, told[np.newaxis], state))

    def test_what_is_not_planned_is_not_done_late(self, weathers: Weathers) -> None:
        plant, state = self.start()
        rows = self.rows_at(weathers, -1.0)
        judged = LateJudge(PlanJudge(plant, weathers.compared, state)).values(rows[np.newaxis])
        by_hand = judge_plans(plant, weathers.compared, rows[np.newaxis], state)
        assert judged == pytest.approx(by_hand)

    @staticmethod
    def start() -> tuple[Plant, Floats]:
        plant = demo_plant()
        return plant, start_state(plant, usual_levels())

    @staticmethod
    def home_at_one(drive: Drive) -> Drive:
        """The same weathers with nobody there before one o'clock."""
        calendar = drive.calendar.copy()
        away = calendar[:, at.MINUTE] < 780.0
        calendar[away, at.PEOPLE] = 0.0
        calendar[away, at.STAY_S] = 0.0
        return replace(drive, calendar=calendar)
