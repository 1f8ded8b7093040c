"""The boil: its fire and draws by the log, the heat to draw at, entries made from that page."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.boil import boil_of, draw_heat
from sugarwright.answering.folder import house_in
from sugarwright.answering.record import record_of
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.twin.report import When
from sugarwright.units import DURATION, show
from sugarwright.web.rendering import words_of
from sugarwright.web.shed import Shed
from web_folder import NOW_S
from web_reading import text_of
from web_serving import standing_known

MINUTE_S = 60.0


def said(folder: Path, *lines: tuple[float, str]) -> tuple[Entry, ...]:
    """Log lines so many minutes before now; return all that stands."""
    house = house_in(str(folder))
    with record_of(str(folder)) as book:
        for minutes, text in lines:
            book.add(understand(text, house, NOW_S - minutes * MINUTE_S).entries)
        return book.entries()


@pytest.fixture
def house(folder: Path) -> House:
    return house_in(str(folder))


def test_a_fire_burns_until_its_last_wood(folder: Path, house: House) -> None:
    entries = said(folder, (90, "lit"), (20, "stoke"))
    boil = boil_of(house, entries, None)
    assert boil.burns
    assert boil.stoked_s == NOW_S - 20 * MINUTE_S
    assert boil.stoke_s == NOW_S - 20 * MINUTE_S + house.fire.stoke_every_s
    boil = boil_of(house, said(folder, (5, "fire out")), None)
    assert not boil.burns
    assert boil.out_s == NOW_S - 5 * MINUTE_S


def test_draws_are_those_since_the_fire_was_lit(folder: Path, house: House) -> None:
    lines = (600, "draw 9 gal"), (200, "lit"), (100, "draw 0.5 gal 66.8"), (70, "draw")
    boil = boil_of(house, said(folder, *lines), None)
    assert [each.since_s / MINUTE_S for each in boil.draws] == [100.0, 30.0]
    assert boil.guessed == 1
    half_gallon_m3 = 0.5 * 3.785411784e-3
    assert boil.drawn_m3 == pytest.approx(half_gallon_m3 + house.pan.draw_volume_m3)


def test_the_page_tells_heat_draws_and_when_to_stoke(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    feed = (95, "stock 120 gal 8"), (94, "stock 120 gal 8")
    said(folder, *feed, (90, "lit"), (4, "stoke"), (30, "draw 0.5 gal 66.8"))
    shed.changed()
    standing_known(shed)
    told = text_of(pages.get("/boil").text)
    house, words = shed.house(), words_of(shed)
    heat = draw_heat(house, None).syrup[0].boiling_c
    assert f"{heat * 1.8 + 32:.1f} °F" in told
    clock = words.clock(NOW_S - 4 * MINUTE_S + house.fire.stoke_every_s)
    every = show(house.fire.stoke_every_s, DURATION)
    assert f"At {clock}: every {every}, wood last went on at 05:06" in told
    assert "0.5 gal in 1 draw." in told
    assert "Never leave a lit pan" in told


SHORT = (120, "lit"), (9, "stock 3 gal"), (8, "stock 3 gal")  # the second bears the first out


def test_with_the_feed_at_its_reserve_no_wood_is_asked_for(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    said(folder, *SHORT, (5, "pan 13 Brix"))
    shed.changed()
    standing_known(shed)
    told = text_of(pages.get("/boil").text)
    title = re.search(r"No more wood: the feed is down to [\d.]+ gal, .* takes about 1\d gal", told)
    assert title is not None
    assert (
        title.start()
        < told.index("Keep liquid over its whole floor")
        < told.index("Draw when the pan")
    )
    assert "Stay until it has stopped boiling" in told
    assert "Lit since 03:10, and nothing logged of it since 05:05;" in told
    assert "by the log its feed is below the reserve since about 0" in told
    assert "Between" not in told
    assert "last wood before that" not in told
    assert "every 10 min" not in told


def test_a_fire_logged_out_ends_the_alarm_at_once(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    said(folder, *SHORT)
    shed.changed()
    standing_known(shed)
    assert "No more wood" in text_of(pages.get("/boil").text)
    said(folder, (1, "fire out"))  # where everything stands is not worked out again yet
    for path in ("/", "/boil"):
        assert "No more wood" not in text_of(pages.get(path).text)


def test_a_fire_of_which_nobody_says_anything_is_asked_after(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    said(folder, (16 * 60, "lit"))
    shed.changed()
    standing_known(shed)
    told = text_of(pages.get("/boil").text)
    assert "Look at the pan: is the fire out?" in told
    assert "Lit since Wed 13:10, and nothing logged of it since;" in told
    assert "No fire" not in told


def test_without_a_fire_it_says_so(pages: TestClient) -> None:
    assert "No fire in the last day and a half" in text_of(pages.get("/boil").text)


def test_a_trial_of_the_thermometer_moves_the_mark_by_as_much(pages: TestClient) -> None:
    def mark() -> float:
        found = re.search(r'class="figure">([\d.]+) °F', pages.get("/boil").text)
        assert found is not None
        return float(found[1])

    pages.get("/boil?water=211.0")
    low = mark()
    pages.get("/boil?water=212.0 F")
    assert mark() - low == pytest.approx(1.0, abs=0.11)
    pages.get("/boil?water=")
    assert "by your elevation" in text_of(pages.get("/boil").text)


@pytest.mark.parametrize("typed", ["90", "-3", "hot", "1e9", "300 C"])
def test_no_heat_at_which_water_boils_is_refused_with_what_can_be(
    pages: TestClient, typed: str
) -> None:
    answer = pages.get("/boil", params={"water": typed})
    assert answer.status_code == 422
    assert "water boils at" in text_of(answer.text)
    assert f'value="{typed}"' in answer.text
    assert "needs a unit" not in answer.text


def test_a_bare_number_below_zero_is_refused_for_what_it_is(pages: TestClient) -> None:
    told = text_of(pages.get("/boil", params={"water": "-5"}).text)
    assert 'water boils at = "-5": is no heat at which water boils where syrup is made' in told


@pytest.mark.parametrize("cookie", ["nan", "1e9", "<b>", ""])
def test_a_cookie_of_nonsense_is_passed_over(pages: TestClient, cookie: str) -> None:
    pages.cookies.set("sugarwright-water-boils", cookie)
    assert "by your elevation" in text_of(pages.get("/boil").text)


def test_an_entry_made_here_comes_back_here(pages: TestClient, folder: Path) -> None:
    page = pages.get("/boil").text
    key = re.search(r'name="key" value="(\w+)"', page)
    assert key is not None
    sent = {"key": key[1], "text": "lit", "back": "/boil"}
    answer = pages.post("/log", data=sent)
    assert answer.url.path == "/boil"
    assert "Kept" in text_of(answer.text)
    assert [each.kind for each in said(folder)][-1] == "fire_lit"
    elsewhere = pages.post("/log", data={**sent, "back": "//elsewhere.example"})
    assert elsewhere.url.path == "/log"


def test_when_the_next_draw_comes_is_told_as_a_span(shed: Shed) -> None:
    from sugarwright.saying.boil import next_draw_text

    words = words_of(shed)
    at = datetime(2026, 3, 19, 6, 0, tzinfo=words.zone).timestamp()
    when = When(1.0, at, at + 600.0, at + 1200.0)
    assert next_draw_text(when, words, NOW_S) == "Between 06:00 and 06:20."
    assert "any minute" in next_draw_text(when, words, at + 2000.0)
    assert "no draw is in sight" in next_draw_text(None, words, NOW_S)
