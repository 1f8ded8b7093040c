"""The season's outlook: how springs are put together, and what is made of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from house_files import MINIMAL
from sugarwright.errors import InputError
from sugarwright.physics.tree import TreeParameters, run_tree
from sugarwright.planning.season_outlook import Asked, season_outlook, spring_year
from sugarwright.planning.season_report import SeasonOutlook
from sugarwright.planning.season_today import season_today
from sugarwright.planning.season_trees import DRYING_DAYS, Bush, make_bush, season_trees
from sugarwright.planning.season_warmth import SUGAR_BUDS_K_H
from sugarwright.planning.season_weather import KEPT_A_DAY, PossibleSprings, possible_springs
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.tree_knowledge import nothing_learnt
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.seasons import Springs, generate, guess_normals
from sugarwright.weather.seasons.measures import measure

COUNT = 30
TAPS = 310


def utc_s(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


def house_of(tapped: str, more: str = "") -> House:
    return parse_house(MINIMAL.replace("2027-02-20", tapped) + more)


@pytest.fixture(scope="module")
def springs() -> Springs:
    place = guess_normals(44.1, -71.9, 300.0, -5)
    return generate(place, COUNT, 5, date(2027, 1, 1), date(2027, 5, 31))


def flat(begin: str, hours: int, temperature_c: float, issued: str = "") -> HourlyWeather:
    time_s = utc_s(begin) + HOUR_S * np.arange(hours)
    issued_s = utc_s(issued) if issued else None
    return HourlyWeather(time_s, np.full(hours, temperature_c), issued_s=issued_s)


NOW_S = utc_s("2027-03-10 12:00")


class TestSprings:
    def test_measured_hours_stand_as_they_are(self, springs: Springs) -> None:
        pieces = [flat("2027-02-01", 240, -9.0), flat("2027-02-20", 24 * 30, 1.5)]
        made = possible_springs(springs, pieces, None, NOW_S, 1, -5.0)
        for piece in pieces:
            first, last = made.hour(piece.first_s), made.hour(min(piece.end_s, NOW_S))
            assert (made.temperature_c[:, first:last] == piece.temperature_c[0]).all()
        assert made.known_since_s == pieces[0].first_s
        hour = made.hour(NOW_S)  # measured "hours" after now are none
        assert made.temperature_c[:, hour + 1 :].std() > 1.0
        assert (made.temperature_c[:, hour + 200 :] == springs.temperature_c[:, hour + 200 :]).all()

    def test_the_mean_of_the_members_is_the_forecast(self, springs: Springs) -> None:
        forecast = flat("2027-03-08", 24 * 20, 3.0, "2027-03-10 12:00")
        made = possible_springs(springs, [], forecast, NOW_S, 1, -5.0)
        first, last = made.hour(NOW_S), made.hour(NOW_S + 10 * 86400)
        assert made.temperature_c[:, first:last].mean(axis=0) == pytest.approx(3.0, abs=1e-9)
        assert made.temperature_c[:, first:last].std() > 1.0
        assert made.forecast_to_s == NOW_S + 10 * 86400  # twenty days of it were given

    def test_a_step_fades_as_deviations_do(self, springs: Springs) -> None:
        forecast = flat("2027-03-10 12:00", 48, 30.0, "2027-03-10 12:00")
        made = possible_springs(springs, [], forecast, NOW_S, 1, -5.0)
        end = made.hour(forecast.end_s)
        off_k = made.temperature_c - springs.temperature_c
        assert off_k[:, end + 23] == pytest.approx(KEPT_A_DAY * off_k[:, end - 1], rel=1e-9)
        assert np.abs(off_k[:, end + 120 :]).max() == 0.0

    def test_nothing_jumps_where_sources_meet(self, springs: Springs) -> None:
        measured = flat("2027-02-20", 24 * 18, 12.0)
        forecast = flat("2027-03-10 00:00", 24 * 6, -12.0, "2027-03-10 12:00")
        made = possible_springs(springs, [measured], forecast, NOW_S, 1, -5.0)
        steps = np.abs(np.diff(made.temperature_c, axis=1))
        for join_s in (measured.first_s, forecast.end_s):
            hour = made.hour(join_s)
            # weather itself moves by a degree or two in an hour; the steps here are of dozens
            assert steps[:, hour - 2 : hour + 1].max() < 4.0

    def test_how_long_a_deviation_lasts(
        self, newark_2013: HourlyWeather, whately_2015: HourlyWeather
    ) -> None:
        # Open hourly data of two places (tests/data/README.md): January to May, standard time.
        memories = []
        for weather, year in ((newark_2013, 2013), (whately_2015, 2015)):
            begin_s = utc_s(f"{year}-01-01 05:00")
            spring = weather.between(begin_s, begin_s + 150 * 86400)
            whole = spring.temperature_c[: len(spring) // 24 * 24]
            memories.append(float(measure(whole[np.newaxis]).daily_memory[0]))
        assert min(memories) - 0.1 < KEPT_A_DAY < max(memories) + 0.1

    def test_there_is_an_end(self, springs: Springs) -> None:
        with pytest.raises(InputError, match="after the springs"):
            possible_springs(springs, [], None, utc_s("2027-06-10"), 1, -5.0)


def one_tree_bush(weather: HourlyWeather, house: House) -> Bush:
    """Return a bush of one known spring and the trees as expected, runs as they come."""
    springs = PossibleSprings(
        weather.first_s, weather.temperature_c[np.newaxis].copy(), None, None, "", ()
    )
    trees = np.array(TreeParameters())[np.newaxis]
    return Bush(house, springs, trees, np.ones((1, len(weather))))


TAPPED_S = utc_s("2015-03-05 17:00")
THEN_S = utc_s("2015-03-20 16:00")


@pytest.fixture(scope="module")
def weather(whately_2015: HourlyWeather) -> HourlyWeather:
    return whately_2015.between(utc_s("2015-02-01 05:00"), utc_s("2015-05-15 04:00"))


@pytest.fixture(scope="module")
def sap_m3(weather: HourlyWeather) -> np.ndarray:
    hours = (TAPPED_S - weather.first_s) / HOUR_S
    return np.array(run_tree(weather.temperature_c.tolist(), hours)[0])


@pytest.fixture(scope="module")
def outlook(weather: HourlyWeather) -> SeasonOutlook:
    bush = one_tree_bush(weather, house_of("2015-03-05"))
    return season_outlook(bush, Asked(THEN_S, (), 1, None, ""))


class TestAgainstPlainTrees:
    """One spring of open data, run by the plain twin of the compiled trees."""

    def test_what_has_run_and_what_is_to_come(
        self, weather: HourlyWeather, sap_m3: np.ndarray, outlook: SeasonOutlook
    ) -> None:
        now = (THEN_S - weather.first_s) // HOUR_S
        assert outlook.so_far is not None
        assert outlook.so_far.sap_m3_per_tap.middle == pytest.approx(sap_m3[:now].sum(), rel=1e-9)
        assert outlook.to_come.sap_m3.middle == pytest.approx(TAPS * sap_m3[now:].sum(), rel=1e-9)
        weeks = sum(week.sap_m3.middle for week in outlook.weeks)
        assert 0.9 * outlook.to_come.sap_m3.middle < weeks <= outlook.to_come.sap_m3.middle

    def test_syrup_holds_the_sap_s_sugar(
        self, weather: HourlyWeather, sap_m3: np.ndarray, outlook: SeasonOutlook
    ) -> None:
        hours = (TAPPED_S - weather.first_s) / HOUR_S
        brix = np.array(run_tree(weather.temperature_c.tolist(), hours)[1])
        now = (THEN_S - weather.first_s) // HOUR_S
        # densities by ICUMSA's polynomial, computed apart: 2 Brix at 4 °C, 66.9 Brix at 20 °C
        sugar_kg = TAPS * (sap_m3 * brix)[now:].sum() / 100.0 * 1007.8
        syrup_m3 = sugar_kg / 0.669 / 1329.0
        assert outlook.to_come.syrup_m3.middle == pytest.approx(syrup_m3, rel=3e-3)
        price = house_of("2015-03-05").prices.syrup_money_m3
        worth = outlook.to_come.syrup_money.middle
        assert worth == pytest.approx(outlook.to_come.syrup_m3.middle * price, rel=1e-9)

    def test_the_end_is_where_19_of_20_parts_have_run(
        self, weather: HourlyWeather, sap_m3: np.ndarray, outlook: SeasonOutlook
    ) -> None:
        hour = int(np.argmax(np.cumsum(sap_m3) >= 0.95 * sap_m3.sum()))
        assert outlook.end.middle_s == weather.first_s + HOUR_S * hour
        assert outlook.end.low_s == outlook.end.high_s == outlook.end.middle_s

    def test_pulling_later_adds_what_runs_between(
        self, weather: HourlyWeather, sap_m3: np.ndarray, outlook: SeasonOutlook
    ) -> None:
        before_s = THEN_S
        assert len(outlook.pulls) >= 2
        for pull in outlook.pulls:
            first, last = ((s - weather.first_s) // HOUR_S for s in (before_s, pull.pulled_s))
            added = TAPS * sap_m3[first:last].sum()
            assert pull.more.sap_m3.middle == pytest.approx(added, rel=1e-9)
            part = sap_m3[:last].sum() / sap_m3.sum()
            assert pull.run_fraction.middle == pytest.approx(part, rel=1e-9)
            before_s = pull.pulled_s

    def test_warm_sums_are_degree_days_by_the_hour(
        self, weather: HourlyWeather, outlook: SeasonOutlook
    ) -> None:
        holes, red, sugar = outlook.warmth
        since = weather.time_s[(weather.time_s >= TAPPED_S) & (weather.time_s < THEN_S)]
        warm = weather.between(since[0], since[-1] + 1).temperature_c - 5.0
        assert holes.so_far_k_h.middle == pytest.approx(warm[warm > 0.0].sum(), rel=1e-9)
        all_warm = np.cumsum(np.maximum(weather.temperature_c - 10.0, 0.0))
        for buds, needed in ((red, 44.0 / 1.8 * 24.0), (sugar, 1320.0)):
            hour = int(np.argmax(all_warm >= needed))
            assert buds.reached.middle_s == weather.first_s + HOUR_S * hour

    def test_no_sap_runs_into_taps_that_are_not_set(self, weather: HourlyWeather) -> None:
        bush = one_tree_bush(weather, house_of("2015-03-05"))
        for drying in (False, True):
            run = bush.tapped_and_drying if drying else bush.tapped
            before, _ = run(TAPPED_S).between(0, bush.springs.hour(TAPPED_S))
            assert before[0] == 0.0

    def test_holes_that_dry_give_less_by_their_age(self, weather: HourlyWeather) -> None:
        bush = one_tree_bush(weather, house_of("2015-03-05"))
        hour = bush.springs.hour(TAPPED_S + 35 * 86400)
        plain = bush.tapped(TAPPED_S).between(hour, hour + 24)[0]
        dry = bush.tapped_and_drying(TAPPED_S).between(hour, hour + 24)[0]
        assert plain[0] > 0.0
        # within the day the age itself moves by a seventieth
        assert dry[0] / plain[0] == pytest.approx(np.exp(-35.5 / DRYING_DAYS), rel=0.01)


def test_buds_by_the_hour_agree_with_the_published_way_of_summing(
    newark_2013: HourlyWeather, whately_2015: HourlyWeather
) -> None:
    # 30 degree-days C above 10 C, each day by the mean of its high and low, as gardeners sum them.
    for weather, year in ((newark_2013, 2013), (whately_2015, 2015)):
        begin_s = utc_s(f"{year}-01-01 05:00")
        days = weather.between(begin_s, begin_s + 150 * 86400).temperature_c
        days = days[: len(days) // 24 * 24].reshape(-1, 24)
        by_means = np.cumsum(np.maximum((days.max(axis=1) + days.min(axis=1)) / 2.0 - 10.0, 0.0))
        by_hours = np.cumsum(np.maximum(days - 10.0, 0.0).sum(axis=1))
        apart = np.argmax(by_hours >= SUGAR_BUDS_K_H) - np.argmax(by_means >= 30.0)
        assert abs(apart) <= 4


def outlook_of(springs: Springs, tapped: str, now: str, *days: date) -> SeasonOutlook:
    now_s = utc_s(now)
    made = possible_springs(springs, [], None, now_s, 1, -5.0)
    trees = season_trees(TreeParameters(), None, COUNT, 1)
    bush = make_bush(house_of(tapped), made, trees, 1)
    return season_outlook(bush, Asked(now_s, days, 1, None, "trees of a test"))


def tap_dates(outlook: SeasonOutlook) -> list[tuple[str, str]]:
    return [
        (f"{datetime.fromtimestamp(day.tapped_s, UTC):%m-%d}", day.name) for day in outlook.days
    ]


class TestWhenToTap:
    def test_today_next_week_and_the_one_after(self, springs: Springs) -> None:
        outlook = outlook_of(springs, "2026-02-27", "2027-02-24 13:00")
        assert tap_dates(outlook) == [("02-24", "today"), ("03-03", ""), ("03-10", "")]
        assert any("earlier season" in text for text in outlook.notes)
        assert outlook.tapped_s is None

    def test_the_day_in_the_house_s_file_is_compared(self, springs: Springs) -> None:
        outlook = outlook_of(springs, "2027-03-06", "2027-02-24 13:00")
        assert ("03-06", "planned") in tap_dates(outlook)

    def test_taps_that_are_set_leave_no_question(self, springs: Springs) -> None:
        outlook = outlook_of(springs, "2027-02-20", "2027-02-24 13:00")
        assert outlook.days == ()
        assert outlook.so_far is not None
        with pytest.raises(InputError, match="taps were set"):
            outlook_of(springs, "2027-02-20", "2027-02-24 13:00", date(2027, 3, 1))

    def test_before_the_winter_whole_seasons_are_compared(self, springs: Springs) -> None:
        outlook = outlook_of(springs, "2026-02-27", "2026-11-20 13:00")
        assert [day for day, _ in tap_dates(outlook)] == ["02-01", "02-15", "03-01", "03-15"]

    def test_only_days_of_this_spring_can_be_compared(self, springs: Springs) -> None:
        for day in (date(2027, 2, 1), date(2027, 5, 30), date(2028, 2, 27)):
            with pytest.raises(InputError, match="no day to tap on"):
                outlook_of(springs, "2026-02-27", "2027-02-24 13:00", day)

    def test_comparisons_hang_together(self, springs: Springs) -> None:
        days = [date(2027, 2, 24), date(2027, 3, 10), date(2027, 3, 24), date(2027, 4, 7)]
        outlook = outlook_of(springs, "2026-02-27", "2027-02-24 13:00", *days)
        found = outlook.days
        assert sum(day.best_fraction for day in found) == pytest.approx(1.0)
        assert sum(day.drying_best_fraction for day in found) == pytest.approx(1.0)
        gone = [day.gone_fraction.middle for day in found]
        assert gone == sorted(gone)
        assert gone[-1] > gone[0] + 0.2
        for day in found:
            dry, plain = day.drying_sap_m3_per_tap, day.amount.sap_m3_per_tap
            assert dry.middle < plain.middle
            assert plain.low < plain.middle < plain.high
            first, end = day.first_run.middle_s, day.end.middle_s
            assert first is not None
            assert end is not None
            assert day.tapped_s <= first < end
        assert found[0].amount.sap_m3 == outlook.to_come.sap_m3

    def test_a_hole_that_dries_may_be_drilled_too_early(self, springs: Springs) -> None:
        outlook = outlook_of(
            springs, "2026-02-27", "2027-01-05 13:00", date(2027, 1, 8), date(2027, 3, 5)
        )
        early, late = outlook.days
        assert early.amount.sap_m3.middle >= late.amount.sap_m3.middle
        assert early.drying_sap_m3_per_tap.middle < late.drying_sap_m3_per_tap.middle


def test_reached_is_a_date_of_a_spring_or_never(springs: Springs) -> None:
    made = possible_springs(springs, [], None, NOW_S, 1, -5.0)
    bush = make_bush(
        house_of("2027-02-20"), made, season_trees(TreeParameters(), None, COUNT, 1), 1
    )
    come = np.zeros(made.temperature_c.shape, dtype=bool)
    for spring in range(18):
        come[spring, 10 * spring :] = True
    when = bush.reached(come)
    assert when.low_s == made.first_s + 20 * HOUR_S  # the third of thirty
    assert when.middle_s == made.first_s + 140 * HOUR_S  # the fifteenth
    assert when.high_s is None  # twelve never see it


@pytest.mark.parametrize(
    ("now", "year"), [("2027-01-02", 2027), ("2027-05-30", 2027), ("2027-06-02", 2028)]
)
def test_which_spring_is_meant(now: str, year: int) -> None:
    assert spring_year(utc_s(f"{now} 12:00"), "America/New_York") == year


def test_what_was_learnt_narrows_the_outlook() -> None:
    known = replace(
        nothing_learnt(2027, 1.3, 2.0), gatherings=20, yield_sd_log=0.05, sap_brix_sd=0.05
    )
    prior = season_trees(TreeParameters(), None, 400, 1)
    learnt = season_trees(TreeParameters(), known, 400, 1)
    scale, charge, lag = (
        TreeParameters._fields.index(name)
        for name in ("bush_scale", "full_charge_m3", "wood_lag_h")
    )
    volumes = [np.log(trees[:, scale] * trees[:, charge]).std() for trees in (prior, learnt)]
    # prior: two log-normals of 0.35; learnt: the 0.05 stated
    assert volumes == pytest.approx([np.hypot(0.35, 0.35), 0.05], rel=0.1)
    assert np.median(learnt[:, scale]) == pytest.approx(1.3, rel=0.02)
    assert np.log(learnt[:, lag]).std() == pytest.approx(0.3, rel=0.1)  # volumes tell nothing of it


def test_everything_together_is_the_same_twice(tmp_path: Path) -> None:
    def look(seed: int) -> SeasonOutlook:
        house = house_of("2027-02-20")
        return season_today(house, (), [], None, NOW_S, count=COUNT, seed=seed)

    assert look(1) == look(1)
    assert look(1).to_come != look(2).to_come
    assert "no forecast" in " ".join(look(1).notes)
