"""The weather screen: lows and highs as the radio tells them, and a service asked when pressed."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import weather_loopback as at
from command_line import run
from sugarwright.logbook.store import open_store
from sugarwright.web.app import build
from sugarwright.web.pages import weather
from sugarwright.web.shed import Shed
from weather_loopback import Loopback, fresh
from web_folder import write_house

SERVICES = ("NWS", "MET_NORWAY")
NOBODY_LISTENS = "http://127.0.0.1:9"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_house(tmp_path)
    (tmp_path / "weather.csv").unlink()
    return tmp_path


@pytest.fixture
def pages(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    for name in ("CONTACT", "OPEN_METEO_KEY", "OPEN_METEO_URL"):
        monkeypatch.delenv(f"SUGARWRIGHT_{name}", raising=False)
    monkeypatch.setattr(weather, "MOST_ASKING_S", 0.5)
    with TestClient(build(Shed(str(folder), plans=False)), base_url="http://localhost") as client:
        yield client


@pytest.fixture
def web(monkeypatch: pytest.MonkeyPatch) -> Iterator[Loopback]:
    """Let the services be a server on this machine."""
    now = datetime.now(UTC)
    monkeypatch.setattr(at, "NOW", now)
    monkeypatch.setattr(at, "TOP_OF_HOUR", now.replace(minute=0, second=0, microsecond=0))
    with at.serving() as loopback:
        for name in SERVICES:
            monkeypatch.setenv(f"SUGARWRIGHT_{name}_URL", loopback.url)
        fresh(loopback)
        yield loopback


def kept(folder: Path) -> list[str]:
    """Return the sources of the forecasts kept."""
    now_s = int(time.time())
    with open_store(str(folder), make=False) as book:
        return [each.source for each in book.weather.between(now_s - 86400, now_s + 60)]


def typed(client: TestClient, lows: list[str], highs: list[str], now: str = "") -> tuple[int, str]:
    answer = client.post("/weather", data={"low": lows, "high": highs, "now": now})
    return answer.status_code, answer.text


def test_what_the_radio_says_is_kept_as_the_command_keeps_it(
    pages: TestClient, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    status, page = typed(pages, ["24", "28 F", ""], ["45", "10 C", ""], "31")
    assert status == 200
    assert "Kept." in page
    beside = tmp_path_factory.mktemp("beside")
    write_house(beside)
    words = ("--low", "24F", "--low", "28F", "--high", "45F", "--high", "10C", "--now", "31F")
    assert run("weather", "import", *words, beside).code == 0
    forecasts = []
    for each in (folder, beside):
        with open_store(str(each), make=False) as book:
            (found,) = book.weather.between(0, int(time.time()) + 60)
            forecasts.append(found)
    assert [each.source for each in forecasts] == ["typed lows and highs"] * 2
    hours = [dict(zip(e.hours.time_s, e.hours.temperature_c, strict=True)) for e in forecasts]
    common = sorted(set(hours[0]) & set(hours[1]))[1:]  # the first hour may just have ended
    assert len(common) > 24
    assert [hours[0][each] for each in common] == pytest.approx([hours[1][each] for each in common])


def test_the_days_are_shown_and_the_next_step_is_told(pages: TestClient) -> None:
    assert "No weather is known" in pages.get("/weather").text
    page = typed(pages, ["24", "28"], ["45", "50"])[1]
    assert re.search(r"<td>24 °F \(", page)
    assert re.search(r"<td>45 °F \(", page)
    assert 'href="/log">Log a reading' in page


@pytest.mark.parametrize(
    ("lows", "highs", "said"),
    [
        ([""], [""], "Low: is needed"),
        (["", "28"], ["", ""], "left out before"),
        (["mild"], [""], "low"),
        (["24"], ["12"], "below the low"),
        (["-200"], [""], "no temperature of open air"),
        (["24"], ["45", "50"], "do not fit"),
    ],
)
def test_what_cannot_be_is_said_and_stays_in_the_form(
    pages: TestClient, folder: Path, lows: list[str], highs: list[str], said: str
) -> None:
    status, page = typed(pages, lows, highs)
    assert status == 422
    assert said in page
    assert "--low" not in page
    for text in filter(None, (*lows, *highs)):
        assert f'value="{text}"' in page
    assert kept(folder) == []


def test_a_metric_house_is_asked_in_celsius(folder: Path) -> None:
    path = folder / "sugarhouse.toml"
    text = path.read_text(encoding="utf-8").replace('units = "us"', 'units = "metric"')
    path.write_text(text, encoding="utf-8")
    with TestClient(build(Shed(str(folder), plans=False)), base_url="http://localhost") as client:
        assert "In °C." in client.get("/weather").text
        assert re.search(r"<td>-4 °C \(", typed(client, ["-4"], ["7"])[1])


def test_a_service_is_asked_when_pressed_and_never_before(
    pages: TestClient, folder: Path, web: Loopback
) -> None:
    pages.get("/weather")
    pages.get("/")
    assert web.count() == 0
    answer = pages.post("/weather/fetch", data={"contact": ""})
    assert answer.status_code == 200
    assert "US National Weather Service" in answer.text
    assert web.count() > 0
    assert len(kept(folder)) == 1


@pytest.mark.parametrize(
    ("address", "said"),
    [(NOBODY_LISTENS, "the connection was refused"), ("http://service.invalid", "no internet")],
)
def test_a_service_out_of_reach_is_told_in_plain_words(
    pages: TestClient,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    address: str,
    said: str,
) -> None:
    typed(pages, ["24"], ["45"])
    for name in SERVICES:
        monkeypatch.setenv(f"SUGARWRIGHT_{name}_URL", address)
    answer = pages.post("/weather/fetch", data={"contact": "maker@example.org"})
    assert answer.status_code == 502
    page = answer.text
    assert "No forecast came." in page
    assert said in page
    assert "still stands" in page
    assert "Errno" not in page
    assert 'value="maker@example.org"' in page
    assert kept(folder) == ["typed lows and highs"]


def test_a_service_that_is_silent_is_not_waited_for(
    pages: TestClient, folder: Path, web: Loopback
) -> None:
    web.delay_s = 1.5
    answer = pages.post("/weather/fetch", data={"contact": ""})
    assert answer.status_code == 502
    assert "did not answer within 0.5 s" in answer.text
    assert kept(folder) == []


def test_a_service_that_sends_nonsense_is_told(
    pages: TestClient, folder: Path, web: Loopback
) -> None:
    web.answers["/points/"] = lambda *asked: (200, {}, b"<html>Please sign in</html>")
    answer = pages.post("/weather/fetch", data={"contact": ""})
    assert answer.status_code == 502
    assert "sign in first" in answer.text
    assert kept(folder) == []


def test_a_contact_that_cannot_be_sent_along_is_refused(pages: TestClient) -> None:
    answer = pages.post("/weather/fetch", data={"contact": "mäker@example.org"})
    assert answer.status_code == 422
    assert "plain letters" in answer.text


def test_a_file_in_the_folder_goes_before_and_that_is_said(folder: Path) -> None:
    write_house(folder)
    with TestClient(build(Shed(str(folder), plans=False)), base_url="http://localhost") as client:
        page = client.get("/weather").text
    assert "weather.csv in the folder says the weather" in page
    assert "No weather is known" not in page


def test_today_leads_to_it_where_none_is_known(pages: TestClient) -> None:
    page = pages.get("/").text
    assert "Tell the weather" in page
    assert 'href="/weather"' in page
    typed(pages, ["24"], ["45"])
    assert "Tell the weather" not in pages.get("/").text
