"""The season's page: sums by the log, where the sugar went, forecasts, what may come."""

from __future__ import annotations

import itertools
import re
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.folder import house_in
from sugarwright.answering.ledger import ledger_in
from sugarwright.answering.season import season_in
from sugarwright.answering.season_totals import (
    SeasonTotals,
    burnt_m3,
    season_log_in,
    season_totals,
)
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.words import understand
from sugarwright.saying.forecast_skill import skill_texts
from sugarwright.web.app import build
from sugarwright.web.pages.season_view import LEFT, STEM, TOP, day_bars, sugar_picture
from sugarwright.web.shed import Shed
from web_folder import NOW_S, write_house
from web_reading import text_of
from web_serving import PATIENCE_S

CORD_M3 = 3.624556363776


@pytest.fixture(scope="module")
def folder(half_season: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the half season."""
    return Path(shutil.copytree(half_season, tmp_path_factory.mktemp("season") / "house"))


@pytest.fixture(scope="module")
def totals(folder: Path) -> SeasonTotals:
    return totals_of(folder)


def totals_of(folder: Path) -> SeasonTotals:
    log, ledger = (ask(str(folder), NOW_S) for ask in (season_log_in, ledger_in))
    return season_totals(log, ledger)


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[str]:
    """Return the page when all is worked out."""
    shed = Shed(str(folder), lambda: NOW_S, plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        assert "The log is being summed up" in client.get("/season").text
        end_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < end_s:
            questions = (season_log_in, ledger_in, season_in)
            asked = [shed.worked_out(each, 1e9) for each in questions]
            assert not any(each.problem for each in asked)
            if not any(each.behind for each in asked):
                break
            time.sleep(0.1)
        else:
            pytest.fail("the season was not worked out")
        yield client.get("/season").text


def test_sums_are_those_of_the_ledger_and_the_fires(page: str, totals: SeasonTotals) -> None:
    told = text_of(page)
    assert totals.sap_m3 is not None
    assert totals.syrup_m3 is not None
    assert f"Sap {totals.sap_m3.value / 3.785411784e-3:,.0f} gal" in told
    assert f"Syrup {totals.syrup_m3.value / 3.785411784e-3:.0f} gal" in told
    assert f"{totals.fires} fires" in told


def test_days_add_up_to_the_sums(totals: SeasonTotals) -> None:
    assert totals.sap_m3 is not None
    assert totals.syrup_m3 is not None
    assert sum(each.sap_m3 for each in totals.days) == pytest.approx(totals.sap_m3.value)
    assert sum(each.syrup_m3 for each in totals.days) == pytest.approx(totals.syrup_m3.value)
    assert sum(each.fire_s for each in totals.days) == pytest.approx(totals.fire_s)
    days = [each.day for each in totals.days]
    assert days == sorted(set(days))


def test_all_sugar_leaves_the_stem_somewhere(totals: SeasonTotals) -> None:
    assert totals.account is not None
    picture = sugar_picture(totals.account, "us")
    assert picture is not None
    whole_kg = sum(each.sugar_kg for each in totals.account.came)
    xs = [float(x) for x, _ in re.findall(r"L([\d.]+) ([\d.]+)", picture.stem)]
    foot = (xs[-2] - LEFT) / STEM  # what is left of the stem's breadth where the syrup is
    syrup_kg = sum(e.sugar_kg for e in totals.account.went if e.name == "syrup")
    small_kg = sum(
        e.sugar_kg
        for e in totals.account.went
        if e.name != "syrup" and e.sugar_kg < 0.004 * whole_kg
    )
    assert foot == pytest.approx((syrup_kg + small_kg) / whole_kg, abs=2e-3)
    ys = [each.y for each in picture.branches]
    assert all(later - earlier > 25.0 for earlier, later in itertools.pairwise(ys))
    assert ys[0] > TOP
    assert picture.branches[0].name == "spilled or run over"


def test_the_days_bars_stand_on_their_days(totals: SeasonTotals) -> None:
    found = day_bars(totals.days, "us")
    assert found is not None
    assert len(found.bars) == 23  # from 25 February to 19 March
    best = max(totals.days, key=lambda each: each.syrup_m3)
    highest = max(found.bars, key=lambda each: each.height)
    shares = [each.syrup_m3 / best.syrup_m3 for each in totals.days if each.syrup_m3 > 0.0]
    heights = [each.height / highest.height for each in found.bars if each.height > 0.0]
    assert heights == pytest.approx(shares, abs=0.01)
    assert day_bars((), "us") is None


def test_the_page_tells_skill_and_what_may_come(page: str, totals: SeasonTotals) -> None:
    told = text_of(page)
    for text in skill_texts(totals.skill):
        assert text in told
    assert "Still to come (320 taps, tapped 24 Feb)" in told
    assert "When to pull" in told
    assert "Smell and taste the sap" in told


@pytest.fixture
def said(folder: Path) -> list[Entry]:
    house = house_in(str(folder))
    lines = (
        (0.0, "wood 3 cords"), (1.0, "wood in 1 cord"), (2.0, "wood 2.5 cords"),
        (3.0, "wood in 1 cord"),
    )  # fmt: skip
    return [
        entry
        for hours, text in lines
        for entry in understand(text, house, NOW_S + 3600.0 * hours).entries
    ]


def test_wood_is_burnt_from_what_was_there_and_what_was_brought(said: list[Entry]) -> None:
    assert burnt_m3(said) == pytest.approx(1.5 * CORD_M3)
    assert burnt_m3(said[:2]) is None
    assert burnt_m3(()) is None


def test_a_new_house_has_nothing_yet(tmp_path: Path) -> None:
    write_house(tmp_path)
    found = totals_of(tmp_path)
    assert (found.account, found.days, found.fires, found.burnt_m3) == (None, (), 0, None)
    assert next(iter(skill_texts(found.skill))).startswith("No forecast that was kept")
    shed = Shed(str(tmp_path), lambda: NOW_S, plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        assert client.get("/season").status_code == 200
