"""The demo's invented half season: made by its script, taken in whole, and telling."""

from __future__ import annotations

import csv
import runpy
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from command_line import run
from sugarwright.answering.weather import twin_weather
from sugarwright.cli.demo import MORNING
from sugarwright.cli.demo_folder import fill_logbook, write_missing
from sugarwright.cli.moment import read_moment_s
from sugarwright.logbook.book import Logbook
from sugarwright.plant import layout as at
from sugarwright.plant.house import House
from sugarwright.plant.read_house import read_house
from sugarwright.twin.now import Question, now

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ROOT / "src" / "sugarwright" / "demo"
DAYS_FOLLOWED = 3


@pytest.fixture(scope="module")
def scripts() -> Iterator[dict[str, Any]]:
    """What the script that writes the log defines; it finds its neighbours as when it is run."""
    sys.path.insert(0, str(ROOT / "scripts"))
    try:
        yield runpy.run_path(str(ROOT / "scripts" / "demo_log.py"))
    finally:
        sys.path.remove(str(ROOT / "scripts"))


@pytest.fixture(scope="module")
def truth(scripts: dict[str, Any]) -> Any:
    return scripts["live"]()


@pytest.fixture(scope="module")
def house() -> House:
    return read_house(SHIPPED / "sugarhouse.toml")


@pytest.fixture(scope="module")
def morning_s(house: House) -> int:
    return int(read_moment_s("--now", MORNING, house.site.timezone, 0.0))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, house: House, morning_s: int) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo-sugarhouse"
    write_missing(path)
    fill_logbook(str(path), house, morning_s)
    return path


def shipped_rows() -> list[dict[str, str]]:
    with (SHIPPED / "log.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_log_is_that_of_its_script(scripts: dict[str, Any], truth: Any) -> None:
    made = scripts["table"](truth)
    assert (SHIPPED / "log.csv").read_text(encoding="utf-8") == made


def test_the_forecasts_are_those_of_their_script(scripts: dict[str, Any]) -> None:
    forecasts = runpy.run_path(str(ROOT / "scripts" / "demo_forecasts.py"))
    assert (SHIPPED / "forecasts.csv").read_bytes().decode() == forecasts["table"]()


def test_every_line_is_taken_in(folder: Path, house: House, morning_s: int) -> None:
    rows = shipped_rows()
    with Logbook.open(folder) as book:
        assert {each.key for each in book.newest(10**6)} == {row["key"] for row in rows}
        corrections = sum(bool(row["replaces"]) for row in rows)
        assert len(book.entries()) == len(rows) - corrections
        assert {each.who for each in book.entries()} == {"Ines", "Tobias"}
        assert max(each.made_s for each in book.entries()) <= morning_s
        late = [each for each in book.entries() if each.made_s - each.at_s > 3600.0]
        assert len(late) == 1
        assert len(book.weather.between(0.0, morning_s)) >= 20
        assert book.weather.observed()
    fill_logbook(str(folder), house, morning_s)  # again: what is there stays
    with Logbook.open(folder) as book:
        assert len(book.newest(10**6)) == len(rows)


def test_the_ledger_names_every_slip(folder: Path, scripts: dict[str, Any]) -> None:
    ran = run("ledger", folder, "--json")
    suspects = [doubt["suspects"] for doubt in ran.document["doubts"]]
    assert all(len(each) == 1 for each in suspects)  # it knows which, and finds nothing else
    found = {(each["keys"][0], each["slip"]["kind"]) for (each,) in suspects}
    assert found == {(slip.key, slip.kind) for slip in scripts["SLIPS"]}


def test_learn_names_the_leaking_line(folder: Path) -> None:
    learnt = run("learn", folder, "--json").document["learnt"]
    points = {each["point"]: each for each in learnt["points"]}
    assert points["low corner"]["leak_chance_fraction"] > 0.7
    assert points["upper bush"]["leak_chance_fraction"] < 0.3


def test_learn_sees_that_the_hydrometer_reads_high(folder: Path, scripts: dict[str, Any]) -> None:
    learnt = run("learn", folder, "--json").document["learnt"]["instruments"]
    found = {each["instrument"]: each for each in learnt["biases"]}["hydrometer"]
    off = abs(found["bias"] - scripts["HYDROMETER_OFF"])
    assert off <= 2.0 * found["sd"]
    assert "The hydrometer reads 0.18 Brix high" in run("learn", folder).out


def test_learn_sees_the_membrane_fall_for_good(folder: Path) -> None:
    ran = run("learn", "membrane", folder)
    assert "It falls for good" in ran.out


def test_now_knows_where_the_tanks_truly_stand(
    folder: Path, house: House, morning_s: int, truth: Any
) -> None:
    with Logbook.open(folder) as book:
        entries = book.entries(begin_s=morning_s - DAYS_FOLLOWED * 86400.0)
        weather = twin_weather(str(folder), house, book)
        report = now(Question(house, entries, float(morning_s), weather), None)
    assert not report.doubts
    step = int((morning_s - truth.drive.begin_s) // truth.plant.step_s)
    held = {place: truth.tank(step, tank)[0] for place, tank in
            (("sap", at.SAP), ("stock", at.STOCK), ("permeate", at.PERMEATE))}  # fmt: skip
    for tank in report.tanks:
        if tank.place in held:
            band, slack_m3 = tank.volume_m3, 0.02 * held[tank.place]  # marks err by 2.5 %
            assert band.low - slack_m3 <= held[tank.place] <= band.high + slack_m3, tank.place
