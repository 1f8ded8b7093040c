"""``sugarwright weather`` as typed: with a service there, gone, half there and lying."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

import weather_loopback as at
from command_line import frosty_days, make_house, refused, run
from sugarwright.answering import weather_told
from sugarwright.logbook.store import open_store
from sugarwright.weather.services.polite import Manners
from weather_loopback import Loopback, fresh, serving


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return make_house(tmp_path / "house", site__latitude="44.26", site__longitude="-72.58")


@pytest.fixture
def web(monkeypatch: pytest.MonkeyPatch) -> Iterator[Loopback]:
    """The loopback service, on the machine's own clock, patient for tenths of a second."""
    monkeypatch.setattr(at, "NOW", datetime.now(UTC))
    monkeypatch.setattr(
        at, "TOP_OF_HOUR", datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    )
    with serving() as loopback:
        for name in ("NWS", "MET_NORWAY", "OPEN_METEO"):
            monkeypatch.setenv(f"SUGARWRIGHT_{name}_URL", loopback.url)
        monkeypatch.setenv("SUGARWRIGHT_CONTACT", "maker@example.org")
        monkeypatch.setattr(Manners, "__init__", _impatient)
        fresh(loopback)
        yield loopback


def _impatient(self: Manners, user_agent: str) -> None:
    for name, value in (("timeout_s", 0.3), ("total_s", 0.5), ("most_bytes", 2**22)):
        object.__setattr__(self, name, value)
    object.__setattr__(self, "user_agent", user_agent)


def gone(loopback: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NWS", "MET_NORWAY", "OPEN_METEO"):
        monkeypatch.setenv(f"SUGARWRIGHT_{name}_URL", "http://127.0.0.1:9")


class TestFetch:
    def test_what_came_is_told_and_kept(self, house: Path, web: Loopback) -> None:
        ran = run("weather", "fetch", house)
        assert ran.code == 0
        assert "US National Weather Service: issued" in ran.out
        assert "Open-Meteo ensemble, 31 members" in ran.out
        assert "CC BY 4.0" in ran.out
        assert "measured hours are new" in ran.out
        store = open_store(house).weather
        assert len(store.between(0, 4e9)) == 3
        assert store.observed()
        assert "maker@example.org" in web.asked[0][2]["User-Agent"]

    def test_within_the_hour_nobody_is_asked_again(self, house: Path, web: Loopback) -> None:
        run("weather", "fetch", house)
        asked = web.count()
        ran = run("weather", "fetch", house, "--json")
        assert web.count() == asked
        assert [each["is_new"] for each in ran.document["forecasts"]] == [False] * 3

    def test_one_service_by_name(self, house: Path, web: Loopback) -> None:
        ran = run("weather", "fetch", house, "--service", "met-norway", "--json")
        (came,) = ran.document["forecasts"]
        assert came["service"] == "met-norway"
        assert came["ends_s"] > time.time() + 2 * 86400

    def test_a_place_that_the_first_does_not_know_goes_to_the_next(
        self, house: Path, web: Loopback
    ) -> None:
        web.answers["/points/"] = at.refusing(404, {}, b'{"detail": "outside of the US"}')
        ran = run("weather", "fetch", house, "--json")
        assert "met-norway" in [each["service"] for each in ran.document["forecasts"]]
        assert "outside of the US" in ran.document["problems"][0]

    def test_nothing_came_and_nothing_is_kept(
        self, house: Path, web: Loopback, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        gone(web, monkeypatch)
        message = refused("weather", "fetch", house)
        assert "was not reached" in message
        assert "--low 24F" in message

    def test_nothing_came_but_something_is_kept(
        self, house: Path, web: Loopback, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        run("weather", "import", "--low", "24F", "--high", "45F", house)
        gone(web, monkeypatch)
        ran = run("weather", "fetch", house)
        assert ran.code == 0
        assert "still stands" in ran.err

    @pytest.mark.parametrize(
        "words", [("--service", "oracle"), ("--history", "2020-2010"), ("--contact", "a\nb")]
    )
    def test_what_cannot_be_asked(self, house: Path, web: Loopback, words: tuple[str, str]) -> None:
        assert words[0] in refused("weather", "fetch", house, *words)

    def test_met_norway_wants_a_contact(
        self, house: Path, web: Loopback, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.delenv("SUGARWRIGHT_CONTACT")
        assert "--contact" in refused("weather", "fetch", house, "--service", "met-norway")

    def test_past_springs(self, house: Path, web: Loopback) -> None:
        ran = run("weather", "fetch", house, "--history", "2015", "--json")
        assert ran.code == 0
        (path,) = ran.document["files"]
        assert Path(path).name == "2015.csv"
        assert len(Path(path).read_text().splitlines()) > 24 * 180


LIES: dict[str, Any] = {
    "gone": None,
    "slow": "slow",
    "web page": lambda *asked: (200, {}, b"<html>sign in</html>"),
    "cut": lambda *asked: (200, {}, b'{"properties": {"temp'),
    "busy": at.refusing(429, {"Retry-After": "600"}),
    "broken": at.refusing(500),
    "nonsense": {"properties": {"temperature": {"values": [3]}}},
}


@pytest.mark.parametrize("lie", LIES)
def test_with_the_network_gone_or_lying_everything_stands_on_what_is_kept(
    house: Path, web: Loopback, monkeypatch: pytest.MonkeyPatch, lie: str
) -> None:
    run("weather", "fetch", house)
    for path in (house / weather_told.ANSWERS).iterdir():
        path.unlink()  # as if hours had gone by
    if lie == "gone":
        gone(web, monkeypatch)
    elif lie == "slow":
        web.delay_s = 0.4
    else:
        web.answers = {"/": LIES[lie]}
    ran = run("weather", "fetch", house)
    assert ran.code == 0
    assert "Nothing from: " in ran.out
    shown = run("weather", "show", house)
    assert shown.code == 0
    assert "Stands on: US National Weather Service, issued" in shown.out


def test_with_the_network_gone_a_plan_still_comes_and_says_what_it_stands_on(
    house: Path, web: Loopback, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("weather", "fetch", house)
    gone(web, monkeypatch)
    ran = run("plan", house, "--hours", "12", "--json")
    assert ran.code == 0
    assert ran.document["forecast_source"] == "US National Weather Service"
    assert ran.document["forecast_issued_s"] == at.TOP_OF_HOUR.timestamp() - 3600
    assert "Stands on: US National Weather Service, issued" in ran.err
    assert " h old" in ran.err


class TestShow:
    def test_days_band_and_standing(self, house: Path, web: Loopback) -> None:
        run("weather", "fetch", house)
        ran = run("weather", "show", house, "--days", "3")
        assert "80 %" in ran.out
        assert "measured" in ran.out
        assert "freezing" in ran.out
        assert all(len(line) <= 80 for line in ran.out.splitlines())

    def test_its_document(self, house: Path, web: Loopback) -> None:
        run("weather", "fetch", house)
        document = run("weather", "show", house, "--json").document
        assert document["standing"]["source"] == "US National Weather Service"
        assert document["standing"]["measured_h"] > 20
        day = document["days"][1]
        assert (
            day["low"]["p10_c"]
            < day["low"]["middle_c"]
            < day["low"]["p90_c"]
            < day["high"]["p90_c"]
        )
        low, high = at.air_c(at.NOW.replace(hour=10)), at.air_c(at.NOW.replace(hour=22))
        assert day["low"]["middle_c"] == pytest.approx(low, abs=0.1)
        assert day["high"]["middle_c"] == pytest.approx(high, abs=0.1)

    def test_a_picture(self, house: Path, web: Loopback, tmp_path: Path) -> None:
        run("weather", "fetch", house)
        picture = tmp_path / "week.svg"
        assert run("weather", "show", house, "--chart", picture).code == 0
        assert "<svg" in picture.read_text()

    def test_with_nothing_the_three_ways_are_told(self, house: Path) -> None:
        message = refused("weather", "show", house)
        assert "weather fetch" in message
        assert "--low 24F" in message


class TestImport:
    def test_measured_hours_with_a_gap(self, house: Path, tmp_path: Path) -> None:
        lines = frosty_days(4, "2026-03-01").splitlines()
        table = tmp_path / "logger.csv"
        table.write_text("\n".join([*lines[:30], *lines[60:]]))
        ran = run("weather", "import", table, house)
        assert "66 measured hours" in ran.out
        assert len(open_store(house).weather.observed()) == 2
        again = run("weather", "import", table, house, "--json").document
        assert (again["measured_h"], again["new_measured_h"]) == (66, 0)

    def test_a_dry_run_writes_nothing(self, house: Path, tmp_path: Path) -> None:
        table = tmp_path / "logger.csv"
        table.write_text(frosty_days(4, "2026-03-01"))
        before = sorted(house.iterdir())
        assert "Nothing was written" in run("weather", "import", table, house, "--dry-run").out
        assert sorted(house.iterdir()) == before

    def test_json_saved_from_a_service(self, house: Path, tmp_path: Path) -> None:
        saved = tmp_path / "saved.json"
        saved.write_text(json.dumps(at.met_norway()))
        document = run("weather", "import", saved, house, "--json").document
        assert document["new_forecasts"] == 1

    def test_json_of_elsewhere_is_refused(self, tmp_path: Path) -> None:
        far = make_house(tmp_path / "far", site__latitude="36.0", site__longitude="-80.0")
        saved = tmp_path / "saved.json"
        saved.write_text(json.dumps(at.met_norway()))
        assert "km from the house" in refused("weather", "import", saved, far)

    def test_rows_in_json(self, house: Path, tmp_path: Path) -> None:
        rows = [
            {"when": f"2026-03-09T{hour:02d}:00Z", "temp_c": hour - 5.0, "note": "x"}
            for hour in range(24)
        ]
        saved = tmp_path / "rows.json"
        saved.write_text(json.dumps({"station": "own", "data": rows}))
        assert "24 measured hours" in run("weather", "import", saved, house).out

    def test_a_table_with_its_issue_is_a_forecast(self, house: Path, tmp_path: Path) -> None:
        table = tmp_path / "forecast.csv"
        table.write_text("# issued: 2027-03-01T05:10Z\n" + frosty_days(5, "2027-03-01"))
        ran = run("weather", "import", table, house)
        assert "A forecast" in ran.out
        assert len(open_store(house).weather.between(0, 4e9)) == 1

    def test_typed(self, house: Path) -> None:
        words = ("--tonight", "24F", "--tomorrow", "45F", "--low", "28F", "--now", "33F")
        assert run("weather", "import", *words, house).code == 0
        shown = run("weather", "show", house, "--days", "1", "--json").document
        assert shown["temperature_c"][0] == pytest.approx(5.0 / 9.0, abs=0.01)
        assert "typed" in shown["standing"]["source"]
        assert any("curve" in each for each in shown["standing"]["cautions"])

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            ((), "FILE"),
            (("--high", "45F"), "low"),
            (("--low", "50F", "--high", "20F"), "below the low"),
            (("--low", "45F", "--high", "24F"), "45 °F"),
            (("--low", "24", "F"), "in quotes"),
            (("--low", "cold"), "--low"),
            (("--low", "24F", "--high", "1", "--high", "2"), "--high"),
            (("nothing.csv",), "no such file"),
        ],
    )
    def test_what_cannot_be(
        self, house: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
    ) -> None:
        monkeypatch.chdir(house)
        assert said in refused("weather", "import", *words)
