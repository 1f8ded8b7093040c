"""Generated springs: the same for the same seed, unbroken, within their source, and honest."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest

from sugarwright.errors import InputError, RangeError
from sugarwright.plant import house_checks
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.seasons import (
    MonthlyNormals,
    RealYears,
    generate,
    guess_normals,
    normals,
    real_years,
)
from sugarwright.weather.seasons.measures import measure, spell_lengths
from sugarwright.weather.seasons.places import PLACES
from sugarwright.weather.seasons.springs import Source, standard_offset_h

HILL = MonthlyNormals((-2, 0, 5, 12, 19), (-12, -11, -6, 0, 6), 44.0, -72.5, -5)  # invented
FIRST, LAST = date(2027, 2, 1), date(2027, 4, 30)


def invented_years(count: int) -> RealYears:
    """Invented springs: a year is told by its whole degrees, a day by thousandths."""
    at = np.arange(151)[:, np.newaxis] / 1000.0 + np.arange(24) / 100_000.0
    hours = np.array([at + year for year in range(count)])
    return RealYears(tuple(range(2001, 2001 + count)), hours, 0, -5)


@pytest.fixture(params=["normals", "years"])
def origin(request: pytest.FixtureRequest, whately_2015: HourlyWeather) -> Source:
    return HILL if request.param == "normals" else real_years([whately_2015], -5)


def test_same_seed_same_springs(origin: Source) -> None:
    one, two = (generate(origin, 5, 7, FIRST, LAST) for _ in range(2))
    np.testing.assert_array_equal(one.temperature_c, two.temperature_c)
    other = generate(origin, 5, 8, FIRST, LAST)
    assert np.abs(other.temperature_c - one.temperature_c).max() > 1.0


def test_a_spring_depends_on_neither_count_nor_days(origin: Source) -> None:
    many = generate(origin, 300, 7, FIRST, LAST)  # more than are drawn together
    few = generate(origin, 3, 7, date(2027, 3, 1), date(2027, 3, 10))
    begin = (few.first_s - many.first_s) // HOUR_S
    np.testing.assert_array_equal(few.temperature_c, many.temperature_c[:3, begin : begin + 240])
    assert len({row.tobytes() for row in many.temperature_c}) == 300


def test_days_are_those_of_standard_time(origin: Source) -> None:
    springs = generate(origin, 1, 1, FIRST, LAST)
    assert springs.first_s == datetime(2027, 2, 1, 5, tzinfo=UTC).timestamp()
    assert springs.temperature_c.shape == (1, 24 * 89)
    weather = springs.weather(0)
    assert weather.end_s == datetime(2027, 5, 1, 5, tzinfo=UTC).timestamp()


def test_warming_is_added_to_every_hour(origin: Source) -> None:
    now, later = (generate(origin, 2, 1, FIRST, LAST, warm) for warm in (0.0, 1.5))
    np.testing.assert_allclose(later.temperature_c - now.temperature_c, 1.5, atol=1e-12)
    assert "+1.5 K" in later.source


@pytest.mark.parametrize("count", [0, -1, 10**6])
def test_a_number_of_springs_is_wanted(count: int) -> None:
    with pytest.raises(RangeError, match="count"):
        generate(HILL, count, 1, FIRST, LAST)


@pytest.mark.parametrize("warming_k", [-11.0, 30.0, float("nan")])
def test_warming_has_bounds(warming_k: float) -> None:
    with pytest.raises(RangeError, match="warming_k"):
        generate(HILL, 1, 1, FIRST, LAST, warming_k)


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (LAST, FIRST),
        (date(2026, 12, 20), date(2027, 3, 1)),
        (date(2027, 4, 1), date(2027, 6, 1)),
        (date(2028, 4, 1), date(2028, 5, 31)),  # day 152 of a leap year
    ],
)
def test_days_outside_a_spring_are_refused(first: date, last: date) -> None:
    with pytest.raises(InputError, match="days"):
        generate(HILL, 1, 1, first, last)


def test_all_years_are_drawn_from_and_no_day_far_from_its_own() -> None:
    """A block's day lies within jitter and calendar shift (4 sd), unless held by the edges."""
    springs = generate(invented_years(3), 60, 3, date(2027, 1, 1), date(2027, 5, 31))
    days = springs.temperature_c.reshape(60, 151, 24)[:, :, 18]  # after the step has worn off
    season = days[:, :1] - np.round(days[:, :1])
    year = np.round(days - season)
    assert {0.0, 1.0, 2.0} <= set(np.unique(year))
    # The season's shift is in every hour; days within a spring differ by the source's day alone.
    same = np.abs(np.diff(days, axis=1) - 0.001) < 1e-9
    assert same.mean() > 0.7  # 4 to 8 of 5 to 9 steps lie within a block


def test_joins_wear_off(whately_2015: HourlyWeather) -> None:
    """No join adds a step: beyond the record's own greatest, only 1/12 of a join's gap an hour.

    3 K an hour: a gap of 36 K worn off in 12 h, more than the record holds between like days.
    """
    real = real_years([whately_2015], -5)
    own_k = np.abs(np.diff(real.temperature_c.reshape(-1))).max()
    made = generate(real, 200, 1, FIRST, LAST).temperature_c
    assert np.abs(np.diff(made, axis=1)).max() < own_k + 3.0


def test_springs_differ_in_warmth_even_from_one_year(whately_2015: HourlyWeather) -> None:
    """Season shift sd 1.2 K; block means and calendar add to it."""
    made = generate(real_years([whately_2015], -5), 200, 1, FIRST, LAST)
    assert made.temperature_c.mean(axis=1).std() > 1.2
    assert any("Only 1 real spring" in note for note in made.notes)


def test_eight_years_are_enough_to_say_nothing() -> None:
    parts = [hours_of(year, date(year, 1, 1), date(year, 5, 31)) for year in range(2001, 2009)]
    assert real_years(parts, -5).notes == ()
    assert len(real_years(parts[:7], -5).notes) == 1


def hours_of(year: int, first: date, last: date) -> HourlyWeather:
    begin_s = int(datetime(first.year, first.month, first.day, 5, tzinfo=UTC).timestamp())
    count = 24 * ((last - first).days + 1)
    return HourlyWeather(begin_s + HOUR_S * np.arange(count), np.full(count, year - 2000.0))


def test_no_full_spring_is_refused() -> None:
    with pytest.raises(InputError, match="no full spring"):
        real_years([hours_of(2001, date(2001, 2, 2), date(2001, 4, 30))], -5)
    with pytest.raises(InputError, match="no full spring"):
        real_years([], -5)


def test_a_record_of_years_is_split_and_cut_to_what_all_hold() -> None:
    long = hours_of(2001, date(2001, 3, 5), date(2003, 6, 30))  # 2002, 2003 whole
    short = hours_of(2004, date(2004, 1, 20), date(2004, 4, 30))
    again = hours_of(2003, date(2003, 1, 1), date(2003, 5, 31))
    found = real_years([long, short, again], -5)
    assert found.years == (2002, 2003, 2004)
    assert found.held == (19, 120)  # 20 January; 30 April is day 120 of a leap year
    np.testing.assert_array_equal(found.temperature_c[2], 4.0)
    assert any("2001 is left out" in note for note in found.notes)
    assert any("2003 is there twice" in note for note in found.notes)
    with pytest.raises(InputError, match="2027-01-20"):
        generate(found, 1, 1, date(2027, 1, 1), LAST)


@pytest.mark.parametrize(
    ("high_c", "low_c", "named"),
    [
        ((0, 1, 2, 3), (-9, -8, -7, -6, -5), "high_c"),
        ((0, 1, 2, 3, 99), (-9, -8, -7, -6, -5), "high_c"),
        ((0, 1, 2, 3, 4), (-9, -8, -70, -6, -5), "low_c"),
        ((0, 1, 2, 3, 4), (-9, -8, 2, -6, -5), "March"),
    ],
)
def test_normals_that_no_place_has(high_c: tuple, low_c: tuple, named: str) -> None:
    with pytest.raises(InputError, match=named):
        MonthlyNormals(high_c, low_c, 44.0, -72.0, -5)


def test_a_place_hardly_warmer_by_day_gets_no_upside_down_wave() -> None:
    flat = MonthlyNormals((0,) * 5, (-3.5,) * 5, 44.0, -72.5, -5)
    days = generate(flat, 100, 1, FIRST, LAST).temperature_c.reshape(100, -1, 24)
    by_hour = days.mean(axis=(0, 1))
    assert by_hour[14] > by_hour[5]


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
def test_the_guess_beside_a_station_leans_to_it(place: object) -> None:
    """2.5 K: a station has at least half the weight; the others are within 5 K of it."""
    guess = guess_normals(place.latitude_deg, place.longitude_deg, place.elevation_m, -5)
    np.testing.assert_allclose(guess.high_c, place.high_c, atol=2.5)
    assert "guess" in guess.words
    assert place.name in guess.notes[0]


def test_no_guess_far_from_all_stations() -> None:
    with pytest.raises(InputError, match="normals"):
        guess_normals(30.0, -100.0, 200.0, -6)


@pytest.mark.parametrize(
    ("zone", "hours"),
    [("America/New_York", -5), ("America/Chicago", -6), ("Europe/Berlin", 1), ("UTC", 0)],
)
def test_standard_time(zone: str, hours: int) -> None:
    assert standard_offset_h(zone) == hours


def test_measures_by_hand() -> None:
    frosty = np.array([-2.0] * 12 + [3.0] * 12)
    mild = np.full(24, 4.0)
    hours = np.concatenate([frosty, frosty, mild, frosty, mild, mild])
    found = measure(hours[np.newaxis])
    assert found.frost_thaw_days[0] == 3
    assert found.spells[0] == 2
    assert found.mean_spell_days[0] == 1.5
    assert found.longest_spell_days[0] == 2
    assert found.near_freezing_h[0] == 144
    assert found.greatest_step_k[0] == 6.0
    assert spell_lengths(np.zeros(3, dtype=bool)).size == 0


def test_the_house_file_and_the_generator_believe_the_same_months() -> None:
    assert (house_checks.DAILY_RANGE_K, house_checks.MONTHS) == (
        normals.DAILY_RANGE_K,
        normals.MONTHS,
    )
