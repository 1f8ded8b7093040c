"""Generated springs against real ones, published counts, and what they must keep."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from sources import FLIGHTS13, MACLEISH_HOURS, NOAA_JANUARY, NWS_DAILY
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.seasons import (
    MonthlyNormals,
    RealYears,
    generate,
    guess_normals,
    real_years,
)
from sugarwright.weather.seasons.measures import Measures, measure
from sugarwright.weather.seasons.normals import HOURLY_MISSES_K, MONTH_DAYS, monthly
from sugarwright.weather.seasons.places import PLACES
from sugarwright.weather.seasons.process import Wandering

FEBRUARY_TO_APRIL = date(2015, 2, 1), date(2015, 4, 30)


def months_of(real: RealYears) -> tuple[list[float], list[float]]:
    """Mean high and low of each month of a real spring, as a thermometer would show them."""
    days = real.temperature_c[0]
    edges = np.cumsum([0, *MONTH_DAYS]) - real.first
    high, low = days.max(axis=1), days.min(axis=1)
    cut = [(max(a, 0), b) for a, b in pairwise(edges)]
    return (
        [float(high[a:b].mean()) + HOURLY_MISSES_K for a, b in cut],
        [float(low[a:b].mean()) - HOURLY_MISSES_K for a, b in cut],
    )


def like_the_months_of(real: RealYears, latitude_deg: float, longitude_deg: float) -> Measures:
    """Springs that know no more of a real one than its ten monthly means."""
    place = MonthlyNormals(*map(tuple, months_of(real)), latitude_deg, longitude_deg, -5)
    return measure(generate(place, 400, 5, *FEBRUARY_TO_APRIL).temperature_c)


def real_measures(real: RealYears) -> Measures:
    days = real.temperature_c[:, 31 - real.first : 120 - real.first]
    return measure(days.reshape(1, -1))


@pytest.mark.parametrize("name", list(Measures.__dataclass_fields__))
class TestRealSpringIsOneOfThem:
    """What ten monthly means can't say is the generator's work: the real spring is inside.

    1 to 99 % (400 springs). The generator's figures were set on an Illinois record; how far these
    two scatter about their course was known too, their counts of days and hours were not used.
    """

    @MACLEISH_HOURS
    def test_whately_2015(self, name: str, whately_like: tuple[Measures, Measures]) -> None:
        self.check(name, *whately_like)

    @FLIGHTS13
    def test_newark_2013(self, name: str, newark_like: tuple[Measures, Measures]) -> None:
        self.check(name, *newark_like)

    def check(self, name: str, real: Measures, made: Measures) -> None:
        low, high = np.quantile(getattr(made, name), [0.01, 0.99])
        assert low <= getattr(real, name)[0] <= high


@pytest.fixture(scope="module")
def whately_like(whately_2015: HourlyWeather) -> tuple[Measures, Measures]:
    real = real_years([whately_2015], -5)
    return real_measures(real), like_the_months_of(real, 42.448, -72.681)


@pytest.fixture(scope="module")
def newark_like(newark_2013: HourlyWeather) -> tuple[Measures, Measures]:
    real = real_years([newark_2013], -5)
    return real_measures(real), like_the_months_of(real, 40.68, -74.17)


OUTSIDE = {
    (
        "whately",
        "frost_thaw_days",
    ): "a hill, guessed from a valley; a very cold February",
    ("newark", "near_freezing_h"): "more hours near freezing than in 99 % of springs",
}
"""Measures of real springs that normals alone do not reach, as docs/seasons.md says."""


@pytest.fixture(scope="module")
def by_normals() -> dict[str, Measures]:
    guessed = guess_normals(42.448, -72.681, 251.0, -5)
    return {
        name: measure(generate(place, 400, 5, *FEBRUARY_TO_APRIL).temperature_c)
        for name, place in (("whately", guessed), ("newark", _place("Newark NJ")))
    }


@pytest.mark.parametrize("name", list(Measures.__dataclass_fields__))
@pytest.mark.parametrize("place", ["whately", "newark"])
def test_normals_alone_reach_the_real_spring(
    place: str,
    name: str,
    by_normals: dict[str, Measures],
    whately_like: tuple[Measures, Measures],
    newark_like: tuple[Measures, Measures],
) -> None:
    """1 to 99 % of springs about a climate that is not the year's own; but for two, named above."""
    real = {"whately": whately_like, "newark": newark_like}[place][0]
    low, high = np.quantile(getattr(by_normals[place], name), [0.01, 0.99])
    inside = low <= getattr(real, name)[0] <= high
    assert inside != ((place, name) in OUTSIDE)


@NOAA_JANUARY
def test_days_of_january_by_their_extremes() -> None:
    """Mean high 25.8 F, low 7.4 F: 21.6 days stay at or below 32 F, 30.0 go there, 9.6 to 0 F.

    Two days: a January's mean wanders by 2 K, and thirty of them still by 0.4 K, a day or so in
    such counts; the coldest nights are skewed in nature and not here.
    """
    place = _place("Montpelier VT")
    days = generate(place, 400, 1, date(2015, 1, 1), date(2015, 1, 31)).temperature_c
    days = days.reshape(400, 31, 24)
    high_c, low_c = days.max(axis=2) + HOURLY_MISSES_K, days.min(axis=2) - HOURLY_MISSES_K
    whole_degree_c = 0.5 / 1.8  # read in whole degrees Fahrenheit
    assert (high_c <= 0.0 + whole_degree_c).sum(axis=1).mean() == pytest.approx(21.6, abs=2.0)
    assert (low_c <= 0.0 + whole_degree_c).sum(axis=1).mean() == pytest.approx(30.0, abs=2.0)
    assert (low_c <= -160 / 9 + whole_degree_c).sum(axis=1).mean() == pytest.approx(9.6, abs=2.0)


@NWS_DAILY
@pytest.mark.parametrize(
    ("name", "day", "high_f", "low_f"),
    [
        ("Burlington VT", date(2026, 3, 6), 37, 20),
        ("Burlington VT", date(2026, 3, 7), 38, 20),
        ("Newark NJ", date(2025, 1, 15), 40, 25),
        ("Newark NJ", date(2025, 2, 23), 45, 29),
        ("Newark NJ", date(2025, 4, 10), 60, 42),
        ("Newark NJ", date(2025, 4, 11), 61, 43),
    ],
)
def test_course_between_the_months(name: str, day: date, high_f: int, low_f: int) -> None:
    """1 K: half a degree F from rounding there, as much here, and 0.3 K of chance over springs."""
    springs = generate(_place(name), 400, 1, day, day).temperature_c
    # The mean of highs alone: a day's mean has no such table.
    assert springs.max(axis=1).mean() + HOURLY_MISSES_K == pytest.approx((high_f - 32) / 1.8, abs=1)
    assert springs.min(axis=1).mean() - HOURLY_MISSES_K == pytest.approx((low_f - 32) / 1.8, abs=1)


def _place(name: str) -> MonthlyNormals:
    place = next(each for each in PLACES if each.name == name)
    return MonthlyNormals(
        place.high_c, place.low_c, place.latitude_deg, place.longitude_deg, -5, place.name
    )


def test_highs_and_lows_are_those_typed() -> None:
    """0.4 K: three times the standard error of a mean of 400 springs (sd of a month 2.3 K)."""
    place = _place("Concord NH")
    days = generate(place, 400, 9, date(2015, 1, 1), date(2015, 5, 31)).temperature_c
    days = days.reshape(400, 151, 24)
    high_c = monthly(days.max(axis=2)).mean(axis=0) + HOURLY_MISSES_K
    low_c = monthly(days.min(axis=2)).mean(axis=0) - HOURLY_MISSES_K
    np.testing.assert_allclose(high_c, place.high_c, atol=0.4)
    np.testing.assert_allclose(low_c, place.low_c, atol=0.4)


def test_slow_part_has_the_spread_and_memory_stated() -> None:
    """4.8 K and 0.60 to 0.71 about a course: Richardson-like fits to four springs."""
    daily = Wandering(3, 0, 300).slow_k.reshape(151, 24, 300).mean(axis=1)
    assert daily.std() == pytest.approx(4.8, abs=0.15)
    hours = np.ascontiguousarray(np.repeat(daily, 24, axis=0).T)
    assert 0.60 <= measure(hours).daily_memory.mean() <= 0.71
