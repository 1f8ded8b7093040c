"""The adapters against the documented shapes (invented values), and against lies.

Shapes: tests/weather_loopback.py names the documentation of each.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

import weather_loopback as at
from sugarwright.errors import ServiceError
from sugarwright.weather.distance import distance_km
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.services.document import interval
from sugarwright.weather.services.met_norway import MetNorway
from sugarwright.weather.services.nws import NationalWeatherService
from sugarwright.weather.services.open_meteo import OpenMeteo, OpenMeteoEnsemble, fetch_history
from sugarwright.weather.services.polite import Manners, PoliteAsker
from sugarwright.weather.services.service import Brought, Place, Service
from weather_loopback import NOW_S, PLACE, Loopback, air_c, serving


@pytest.fixture
def web() -> Iterator[Loopback]:
    with serving() as loopback:
        yield loopback.usual()


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[PoliteAsker]:
    with PoliteAsker(tmp_path, Manners("tests"), lambda: float(NOW_S), lambda s: None) as asker:
        yield asker


def expected(time_s: np.ndarray) -> np.ndarray:
    return np.array([air_c(datetime.fromtimestamp(each, UTC)) for each in time_s])


def read(service: Service, document: Any, place: Place = PLACE) -> Brought:
    found = service.read(document, place, NOW_S)
    assert found is not None
    return found


class TestNationalWeatherService:
    def test_point_grid_and_station(self, web: Loopback, ask: PoliteAsker) -> None:
        brought = NationalWeatherService(web.url).fetch(PLACE, ask, NOW_S)
        (forecast,) = brought.forecasts
        assert forecast.issued_s == datetime(2027, 3, 9, 10, 5, tzinfo=UTC).timestamp()
        assert forecast.elevation_m == 341.0
        assert forecast.hours.first_s == datetime(2027, 3, 9, 10, tzinfo=UTC).timestamp()
        assert len(forecast.hours) == 148
        np.testing.assert_allclose(
            forecast.hours.temperature_c, expected(forecast.hours.time_s), atol=0.006
        )
        assert forecast.hours.humidity_fraction is not None
        assert forecast.hours.humidity_fraction[0] == pytest.approx(0.7)
        (measured,) = brought.observed
        assert "Balsam Notch Airport (KXYZ)" in measured.source
        assert measured.end_s <= NOW_S - 20 * 60  # hours that are over, with all their readings
        assert web.asked[0][0] == "/points/44.26,-72.58"

    def test_the_mapping_is_asked_once_a_month(self, web: Loopback, tmp_path: Path) -> None:
        for day in range(3):
            now_s = NOW_S + day * 86400
            with PoliteAsker(tmp_path, Manners("t"), lambda now_s=now_s: float(now_s)) as asker:
                NationalWeatherService(web.url).fetch(PLACE, asker, now_s)
        assert web.count("/points/") == 1
        assert web.count("/gridpoints/XYZ/12,34/stations") == 1
        assert sum(path == "/gridpoints/XYZ/12,34" for path, _, _ in web.asked) == 3

    def test_a_value_that_spans_hours_is_each_of_them(self) -> None:
        values = [
            {"validTime": "2027-03-09T10:00:00+00:00/PT5H", "value": -3},
            {"validTime": "2027-03-09T15:00:00+00:00/PT1H", "value": 1.5},
            {"validTime": "2027-03-09T16:00:00+00:00/P1DT2H", "value": 4},
        ]
        (forecast,) = read(NationalWeatherService(), at.grid(values)).forecasts
        assert forecast.hours.temperature_c.tolist() == [-3.0] * 5 + [1.5] + [4.0] * 26

    def test_the_change_of_clocks_takes_no_hour_away(self) -> None:
        """On 2027-03-14 clocks in New York go from 02:00 to 03:00 (IANA tz database)."""
        first = datetime.fromisoformat("2027-03-14T00:00:00-05:00")
        moments = [first + timedelta(hours=hour) for hour in range(24)]
        stamps = [each.astimezone(ZoneInfo("America/New_York")).isoformat() for each in moments]
        assert {each[-6:] for each in stamps} == {"-05:00", "-04:00"}
        values = [{"validTime": f"{each}/PT1H", "value": 1.0} for each in stamps]
        document = at.grid(values)
        document["properties"]["updateTime"] = "2027-03-14T05:00:00+00:00"
        (forecast,) = read(NationalWeatherService(), document).forecasts
        assert len(forecast.hours) == 24

    def test_fahrenheit_is_known_by_its_unit(self) -> None:
        values = [{"validTime": "2027-03-09T10:00:00+00:00/PT8H", "value": 32}]
        (forecast,) = read(NationalWeatherService(), at.grid(values, "wmoUnit:degF")).forecasts
        assert forecast.hours.temperature_c == pytest.approx(0.0)

    def test_short_nulls_are_drawn_and_long_ones_end_it(self) -> None:
        document = at.grid()
        values = document["properties"]["temperature"]["values"]
        for number in (20, 21, 22):
            values[number]["value"] = None
        for number in range(60, 70):
            values[number]["value"] = None
        (forecast,) = read(NationalWeatherService(), document).forecasts
        assert len(forecast.hours) == 60 - 2
        assert any("3 of 58 hours are drawn" in note for note in forecast.hours.notes)
        assert any("gap of 10 hours" in note for note in forecast.hours.notes)

    @pytest.mark.parametrize(
        ("path", "value", "said"),
        [
            (("properties", "temperature", "uom"), "wmoUnit:furlong", "no unit known"),
            (("properties", "temperature", "values"), [], "empty"),
            (("properties", "updateTime"), "yesterday", "no time"),
            (("properties", "updateTime"), "2027-03-09T10:05:00", "no time"),
            (("geometry", "coordinates"), [["x", None]], "no place"),
            (("geometry",), None, "missing"),
            (("properties", "temperature", "values", 3, "validTime"), "now/PT1H", "no span"),
            (("properties", "temperature", "values", 3, "value"), 300, "no temperature of open"),
            (("properties", "temperature", "values", 30, "value"), 50, "jumps by"),
        ],
    )
    def test_lies_are_named(self, path: tuple[Any, ...], value: Any, said: str) -> None:
        document = at.grid()
        inner = document
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = value
        with pytest.raises(ServiceError, match=said):
            NationalWeatherService().read(document, PLACE, NOW_S)

    def test_only_nulls(self) -> None:
        values = [{"validTime": "2027-03-09T10:00:00+00:00/PT99H", "value": None}]
        with pytest.raises(ServiceError, match="only nulls"):
            NationalWeatherService().read(at.grid(values), PLACE, NOW_S)

    def test_times_that_go_backward(self) -> None:
        document = at.grid()
        document["properties"]["temperature"]["values"].reverse()
        with pytest.raises(ServiceError, match="go backward"):
            NationalWeatherService().read(document, PLACE, NOW_S)

    def test_another_place(self) -> None:
        with pytest.raises(ServiceError, match="km from the house"):
            NationalWeatherService().read(at.grid(), Place(44.26, 72.58), NOW_S)

    def test_readings_that_failed_their_checks_are_left_out(self) -> None:
        document = at.observations(30)
        wrong = document["features"][10]["properties"]["temperature"]
        wrong |= {"value": 48.0, "qualityControl": "X"}
        document["features"][20]["properties"]["temperature"]["value"] = None
        pieces = read(NationalWeatherService(), document).observed
        assert max(piece.temperature_c.max() for piece in pieces) < 9.0
        assert len(pieces) == 3

    def test_many_pages_of_readings(self, web: Loopback, ask: PoliteAsker) -> None:
        """A station that reads every five minutes fills more than one page of 500."""
        moments = [at.NOW - timedelta(minutes=5 * step) for step in range(1200)]

        def page(path: str, query: dict[str, str], headers: dict[str, str]) -> at.Answer:
            end = datetime.fromisoformat(query["end"])
            inside = [each for each in moments if each <= end][: int(query["limit"])]
            features = [at.reading(each, air_c(each)) for each in inside]
            return 200, {}, json.dumps({"features": features}).encode()

        web.answers["/stations/KXYZ/observations"] = page
        brought = NationalWeatherService(web.url).fetch(PLACE, ask, NOW_S)
        assert sum(map(len, brought.observed)) >= 1200 // 12 - 2

    def test_without_its_station_the_forecast_comes(self, web: Loopback, ask: PoliteAsker) -> None:
        web.answers["/stations/KXYZ/observations"] = at.refusing(404)
        brought = NationalWeatherService(web.url).fetch(PLACE, ask, NOW_S)
        assert len(brought.forecasts) == 1
        assert "No measured hours" in brought.notes[0]

    def test_hourly_periods_in_fahrenheit(self) -> None:
        document = at.grid()
        first = datetime.fromisoformat("2027-03-09T06:00:00-05:00")
        document["properties"] = {
            "updateTime": "2027-03-09T10:05:00+00:00",
            "periods": [
                {
                    "startTime": (first + timedelta(hours=hour)).isoformat(),
                    "endTime": (first + timedelta(hours=hour + 1)).isoformat(),
                    "temperature": 41,
                    "temperatureUnit": "F",
                }
                for hour in range(12)
            ],
        }
        (forecast,) = read(NationalWeatherService(), document).forecasts
        assert forecast.hours.temperature_c == pytest.approx(5.0)
        assert len(forecast.hours) == 12


class TestOpenMeteo:
    def test_past_days_and_forecast(self, web: Loopback, ask: PoliteAsker) -> None:
        (forecast,) = OpenMeteo(web.url).fetch(PLACE, ask, NOW_S).forecasts
        assert forecast.issued_s == NOW_S - NOW_S % HOUR_S - 6 * HOUR_S
        assert (forecast.lead_h < 0).sum() == 14 * 24 + 5
        np.testing.assert_allclose(
            forecast.hours.temperature_c, expected(forecast.hours.time_s), atol=0.051
        )
        assert web.asked[0][1]["elevation"] == "320"
        assert "apikey" not in web.asked[0][1]
        assert "CC BY 4.0" in forecast.attribution

    def test_a_key_is_used(self, web: Loopback, ask: PoliteAsker) -> None:
        OpenMeteo(web.url, "k-1").fetch(PLACE, ask, NOW_S)
        assert web.asked[0][1]["apikey"] == "k-1"

    def test_members_as_far_as_all_reach(self, web: Loopback, ask: PoliteAsker) -> None:
        (forecast,) = OpenMeteoEnsemble(web.url).fetch(PLACE, ask, NOW_S).forecasts
        members = forecast.member_temperature_c
        assert members is not None
        assert members.shape == (31, 9 * 24 - 5)
        np.testing.assert_allclose(members.mean(axis=0), forecast.hours.temperature_c, atol=1e-9)
        assert members[1, 0] - members[2, 0] == pytest.approx(-0.1)

    def test_an_ensemble_without_members(self, web: Loopback, ask: PoliteAsker) -> None:
        web.answers["/v1/ensemble"] = at.ensemble(3)
        with pytest.raises(ServiceError, match="3 members"):
            OpenMeteoEnsemble(web.url).fetch(PLACE, ask, NOW_S)

    def test_the_archive_is_history(self, web: Loopback, ask: PoliteAsker) -> None:
        first, last = date(2015, 1, 1), date(2015, 7, 19)
        (piece,) = fetch_history(PLACE, first, last, ask, web.url)
        assert len(piece) == 24 * 200
        assert web.asked[0][1]["start_date"] == "2015-01-01"

    def test_local_times_by_their_offset(self) -> None:
        plain, moved = at.open_meteo(), at.open_meteo()
        moved["utc_offset_seconds"] = -5 * HOUR_S
        moved["hourly"]["time"] = [
            (datetime.fromisoformat(each) - timedelta(hours=5)).strftime("%Y-%m-%dT%H:%M")
            for each in plain["hourly"]["time"]
        ]
        unix = at.open_meteo()
        unix["hourly"]["time"] = [
            int(datetime.fromisoformat(f"{each}+00:00").timestamp())
            for each in plain["hourly"]["time"]
        ]
        (first,), (second,), (third,) = (
            read(OpenMeteo(), each).forecasts for each in (plain, moved, unix)
        )
        assert first == second == third

    def test_local_times_over_the_change_of_clocks_are_not_guessed(self) -> None:
        """In November an hour of New York's clock comes twice."""
        document = at.open_meteo()
        document["hourly"]["time"][5] = document["hourly"]["time"][4]
        with pytest.raises(ServiceError, match="go backward"):
            OpenMeteo().read(document, PLACE, NOW_S)

    def test_fahrenheit_is_known_by_its_unit(self) -> None:
        document = at.open_meteo()
        document["hourly_units"]["temperature_2m"] = "°F"
        document["hourly"]["temperature_2m"] = [50.0] * len(document["hourly"]["time"])
        (forecast,) = read(OpenMeteo(), document).forecasts
        assert forecast.hours.temperature_c == pytest.approx(10.0)

    @pytest.mark.parametrize(
        ("change", "said"),
        [
            ({"latitude": -44.0}, "km from the house"),
            ({"latitude": None}, "missing"),
            (
                {"hourly": {"time": ["2027-03-09T00:00"], "temperature_2m": [1, 2]}},
                "2 values for 1",
            ),
            ({"hourly": {"time": ["2027-03-09T00:30"], "temperature_2m": [1]}}, "no whole hour"),
            ({"hourly": {"time": ["soon"], "temperature_2m": [1]}}, "no time"),
            ({"hourly_units": {"temperature_2m": "K"}}, "no unit"),
        ],
    )
    def test_lies_are_named(self, change: dict[str, Any], said: str) -> None:
        with pytest.raises(ServiceError, match=said):
            OpenMeteo().read(at.open_meteo(**change), PLACE, NOW_S)


class TestMetNorway:
    def test_coarse_steps_keep_their_extremes(self, web: Loopback, ask: PoliteAsker) -> None:
        (forecast,) = MetNorway(web.url).fetch(PLACE, ask, NOW_S).forecasts
        hours = forecast.hours
        assert forecast.issued_s == datetime(2027, 3, 9, 10, 41, tzinfo=UTC).timestamp()
        fine = hours.time_s < hours.first_s + 58 * HOUR_S
        np.testing.assert_allclose(
            hours.temperature_c[fine], expected(hours.time_s[fine]), atol=0.051
        )
        late = hours.temperature_c[~fine]
        assert late.max() > 7.4  # 8.0 at 22 UTC lies between the steps of 18 and 24
        assert late.min() < -3.4
        assert forecast.p10_temperature_c is None
        assert web.asked[0][1] == {"lat": "44.26", "lon": "-72.58", "altitude": "320"}

    def test_percentiles_where_there_are_some(self) -> None:
        (forecast,) = read(MetNorway(), at.met_norway(percentiles=True)).forecasts
        assert forecast.p10_temperature_c is not None
        assert forecast.p90_temperature_c is not None
        spread = forecast.p90_temperature_c - forecast.p10_temperature_c
        np.testing.assert_allclose(spread, 3.0, atol=0.11)

    @pytest.mark.parametrize(
        ("path", "value", "said"),
        [
            (("geometry", "coordinates"), [72.58, 44.26], "km from the house"),
            (("properties", "meta", "updated_at"), None, "missing"),
            (("properties", "meta", "units", "air_temperature"), "rankine", "no unit"),
            (("properties", "timeseries"), [], "empty"),
            (("properties", "timeseries", 3, "time"), "2027-03-09T10:00:00Z", "go backward"),
            (("properties", "timeseries", 3, "time"), 7, "no time"),
        ],
    )
    def test_lies_are_named(self, path: tuple[Any, ...], value: Any, said: str) -> None:
        document = at.met_norway()
        inner: Any = document
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = value
        with pytest.raises(ServiceError, match=said):
            MetNorway().read(document, PLACE, NOW_S)


SERVICES: list[Service] = [NationalWeatherService(), OpenMeteo(), MetNorway()]
DOCUMENTS = [at.grid(), at.open_meteo(), at.met_norway()]


def test_each_knows_its_own_documents_only() -> None:
    for service in SERVICES:
        known = [service.read(each, PLACE, NOW_S) is not None for each in DOCUMENTS]
        assert known == [service is each for each in SERVICES]


@pytest.mark.parametrize("document", [*DOCUMENTS, at.ensemble(), at.observations()])
def test_whatever_part_is_replaced_there_is_no_traceback(document: dict[str, Any]) -> None:
    """Every part of a document in turn becomes something else; only ServiceError may come."""

    def parts(inner: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
        steps = inner.items() if isinstance(inner, dict) else enumerate(inner)
        for step, below in list(steps)[:2]:
            yield (*path, step)
            if isinstance(below, dict | list):
                yield from parts(below, (*path, step))

    for path in parts(document):
        for lie in (None, "lie", -1e300, [], {}):
            lying = copy.deepcopy(document)
            inner: Any = lying
            for step in path[:-1]:
                inner = inner[step]
            inner[path[-1]] = lie
            for service in SERVICES:
                try:
                    service.read(lying, PLACE, NOW_S)
                except ServiceError as error:
                    assert str(error).endswith((".", "?"))  # noqa: PT017


def test_an_interval_is_a_start_and_a_duration() -> None:
    """The example of the Gridpoint FAQ: from 1800 to 2100."""
    begin_s, end_s = interval("2019-07-04T18:00:00+00:00/PT3H")
    assert datetime.fromtimestamp(begin_s, UTC).hour == 18
    assert datetime.fromtimestamp(end_s, UTC).hour == 21


@pytest.mark.parametrize(
    "text", ["2019-07-04T18:00:00+00:00/", "x/PT1H", "", None, "2019/P999999D"]
)
def test_what_is_no_interval(text: Any) -> None:
    with pytest.raises(ValueError, match=r".*"):
        interval(text)


def test_distance_along_the_ground() -> None:
    """A minute of latitude is a nautical mile, 1.852 km (its old definition)."""
    assert distance_km(44.0, -72.0, 44.0 + 1.0 / 60.0, -72.0) == pytest.approx(1.852, rel=0.002)
