"""The steps of a run as people see them: clock, day, who is there, and for how long yet."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from plant_houses import house
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import begin_stay_s, light_stay_s, make_calendar
from sugarwright.plant.house import House, Person
from sugarwright.plant.special_hours import SOMEBODY, Outage, Presence, SpecialHours

NOBODY = Person(name="nobody", weekdays=(), weekends=())


def at_home(*people: Person, zone: str = "America/New_York") -> House:
    described = house()
    return replace(described, people=people, site=replace(described.site, timezone=zone))


def calendar_of(described: House, local: datetime, hours: int, step_s: float = 300.0) -> np.ndarray:
    begin = local.replace(tzinfo=ZoneInfo(described.site.timezone))
    return make_calendar(described, int(begin.timestamp()), round(hours * 3600 / step_s), step_s)


@pytest.mark.parametrize("zone", ["America/New_York", "America/St_Johns", "America/Halifax"])
@pytest.mark.parametrize("begin", [datetime(2015, 3, 8, 3), datetime(2015, 11, 1, 3)])
def test_clock_and_day_are_those_of_the_time_zone(zone: str, begin: datetime) -> None:
    """Against Python's own time zones, over the days on which the clocks change.

    Newfoundland lies half an hour off: there they change within a UTC hour.
    """
    begin_s = int(begin.replace(tzinfo=UTC).timestamp())
    calendar = make_calendar(at_home(NOBODY, zone=zone), begin_s, 24 * 12, 300.0)
    for k, row in enumerate(calendar):
        local = datetime.fromtimestamp(begin_s + 300 * k, tz=ZoneInfo(zone))
        assert row[at.MINUTE] == local.hour * 60 + local.minute
        assert row[at.DAY] == local.date().toordinal()
        assert row[at.HOUR] == k // 12


def test_weekdays_and_weekends() -> None:
    person = Person(weekdays=((1020, 1260),), weekends=((420, 480), (600, 1260)))
    calendar = calendar_of(at_home(person), datetime(2015, 3, 20), 7 * 24)
    hours = {}
    for offset in range(7):
        day = date(2015, 3, 20) + timedelta(days=offset)
        there = calendar[calendar[:, at.DAY] == day.toordinal(), at.PEOPLE]
        hours[day.strftime("%a")] = there.sum() / 12.0
    assert hours == {day: 12.0 if day in ("Sat", "Sun") else 4.0 for day in hours}
    assert len(hours) == 7


def test_a_span_past_midnight_belongs_to_the_day_on_which_it_begins() -> None:
    """Fridays until two; nobody comes on Saturday evening."""
    person = Person(weekdays=((1320, 120),), weekends=())
    calendar = calendar_of(at_home(person), datetime(2015, 3, 20), 4 * 24)  # a Friday
    hours = np.flatnonzero(calendar[:, at.PEOPLE] > 0.0) / 12.0
    expected = [(0.0, 2.0), (22.0, 26.0), (94.0, 96.0)]  # Thursday's, Friday's, Monday's
    within = np.zeros(len(hours), dtype=bool)
    for begin, end in expected:
        within |= (hours >= begin) & (hours < end)
    assert within.all()
    assert len(hours) == 12 * sum(end - begin for begin, end in expected)


def test_staying_counts_over_people_and_past_the_end_of_the_run() -> None:
    """One comes when the other leaves; the run ends while somebody is there."""
    one = Person(name="one", weekdays=((480, 720),), weekends=(), hour_money_s=20.0 / 3600)
    two = Person(name="two", weekdays=((720, 900),), weekends=(), hour_money_s=10.0 / 3600)
    calendar = calendar_of(at_home(one, two), datetime(2015, 3, 23, 8), 5)
    staying_h = calendar[:, at.STAY_S] / 3600.0
    np.testing.assert_allclose(staying_h, 7.0 - np.arange(60) / 12.0)
    np.testing.assert_allclose(calendar[:48, at.HOUR_MONEY_S], 20.0 / 3600)
    np.testing.assert_allclose(calendar[48:, at.HOUR_MONEY_S], 10.0 / 3600)


def test_the_price_of_an_hour_is_that_of_the_cheapest_there() -> None:
    both = ((480, 720),)
    dear = Person(name="dear", weekdays=((420, 780),), weekends=(), hour_money_s=1.0)
    cheap = Person(name="cheap", weekdays=both, weekends=(), hour_money_s=0.5)
    calendar = calendar_of(at_home(dear, cheap), datetime(2015, 3, 23, 6), 8, 3600.0)
    # Nobody is there from 6 and from 13: then it is the cheapest of all who could be asked.
    np.testing.assert_array_equal(
        calendar[:, at.HOUR_MONEY_S], [0.5, 1, 0.5, 0.5, 0.5, 0.5, 1, 0.5]
    )
    np.testing.assert_array_equal(calendar[:, at.PEOPLE], [0, 1, 2, 2, 2, 2, 1, 0])


def test_hours_that_go_otherwise_stand_before_the_usual_ones() -> None:
    one = Person(name="one", weekdays=((480, 720),), weekends=(), hour_money_s=1.0)
    described, begin = at_home(one), datetime(2015, 3, 23, tzinfo=ZoneInfo("America/New_York"))
    at_s = int(begin.timestamp())
    special = SpecialHours(
        presence=(
            Presence("one", at_s, at_s + 9 * 3600, there=False),  # comes an hour later
            Presence("one", at_s + 18 * 3600, at_s + 20 * 3600, there=True),
            Presence(SOMEBODY, at_s + 11 * 3600, at_s + 13 * 3600, there=True),
        ),
        outages=(Outage("pan", at_s + 10 * 3600, at_s + 12 * 3600),),
    )
    calendar = make_calendar(described, at_s, 24, 3600.0, special)
    there = np.flatnonzero(calendar[:, at.PEOPLE])
    np.testing.assert_array_equal(there, [9, 10, 11, 12, 18, 19])
    assert calendar[:, at.PEOPLE].max() == 1.0  # somebody counts where nobody else is
    np.testing.assert_array_equal(calendar[9:14, at.STAY_S] / 3600, [4, 3, 2, 1, 0])
    np.testing.assert_array_equal(calendar[8:12, at.PAN_OK_S] / 3600, [2, 1, 0, 0])
    assert np.isinf(calendar[12:, at.PAN_OK_S]).all()
    assert np.isinf(calendar[:, [at.MEMBRANE_OK_S, at.PUMP_OK_S]]).all()


def test_who_only_ends_what_runs_is_there_and_begins_nothing() -> None:
    one = Person(name="one", weekdays=((480, 720),), weekends=(), hour_money_s=1.0)
    described, begin = at_home(one), datetime(2015, 3, 23, tzinfo=ZoneInfo("America/New_York"))
    at_s = int(begin.timestamp())
    hours = at_s + 11 * 3600, at_s + 14 * 3600
    told = SpecialHours((Presence(SOMEBODY, *hours, there=True, for_what_runs=True),))
    calendar = make_calendar(described, at_s, 24, 3600.0, told)
    np.testing.assert_array_equal(np.flatnonzero(calendar[:, at.PEOPLE]), np.arange(8, 14))
    np.testing.assert_array_equal(calendar[8:15, at.STAY_S] / 3600, [6, 5, 4, 3, 2, 1, 0])
    np.testing.assert_array_equal(begin_stay_s(calendar)[8:15] / 3600, [4, 3, 2, 1, 0, 0, 0])
    calendar[10, at.PAN_OK_S] = 1800.0
    np.testing.assert_array_equal(light_stay_s(calendar)[9:12] / 3600, [3, 0.5, 1])
    usual = make_calendar(described, at_s, 24, 3600.0)
    assert not usual[:, at.COUNTED_S].any()
