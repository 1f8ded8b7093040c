"""demo: its folder, its plan, and the same plan asked again."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from pydantic import TypeAdapter

from command_line import refused, run
from sugarwright.answering.plan import last_plan
from sugarwright.logbook.book import Logbook
from sugarwright.planning.report import PlanReport
from sugarwright.plant.read_house import read_house
from sugarwright.weather.files import read_weather_csv


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "demo-sugarhouse"


@pytest.fixture(scope="module")
def document(folder: Path) -> Any:
    ran = run("demo", folder, "--no-serve", "--json")
    assert ran.code == 0, ran
    return ran.document


@pytest.fixture
def at_once(document: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Answer with the plan found already: the search takes seconds."""
    report = TypeAdapter(PlanReport).validate_python(document)
    planned = SimpleNamespace(state=np.zeros(1))
    monkeypatch.setattr(
        "sugarwright.cli.plan_print.make_plan", lambda basis, tomorrow=False: (report, planned)
    )


def test_it_is_marked_as_invented(folder: Path, document: Any) -> None:
    assert "invented" in document["house"]
    assert "invented" in document["forecast_source"]
    for name in ("sugarhouse.toml", "weather.csv"):
        assert "invented" in (folder / name).read_text(encoding="utf-8").splitlines()[0]


def test_weather_is_that_of_its_script(folder: Path, document: Any) -> None:
    script = Path(__file__).resolve().parents[2] / "scripts" / "demo_weather.py"
    made = subprocess.run([sys.executable, script], capture_output=True, text=True, check=True)
    assert (folder / "weather.csv").read_text(encoding="utf-8") == made.stdout
    weather = read_weather_csv(folder / "weather.csv")
    now_s = document["begin_s"]
    assert weather.first_s <= now_s - 14 * 86400
    assert weather.end_s >= now_s + 7 * 86400
    assert (weather.temperature_c < 0).any()


def test_the_text_and_what_else_it_names(
    folder: Path, document: Any, at_once: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder.parent)
    ran = run("demo", folder.name)
    assert ran.code == 0, ran
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "Thursday 19 March 2026" in ran.out
    assert "Delete that folder" in " ".join(ran.out.split())
    for command in ("ledger", "learn", "log show", "now", "plan", "serve"):
        assert f"sugarwright {command} {folder.name}" in ran.out


def test_asked_again_it_is_the_same_plan(folder: Path, document: Any) -> None:
    ran = run("plan", folder, "--no-keep", "--json")
    assert ran.code == 0, ran
    asked, told = ran.document["standing"], document["standing"]
    assert asked["fire_dies_s"] is None is told["fire_dies_s"]
    for key in told.keys() - {"gathered", "fire_dies_s"}:
        assert asked[key] == pytest.approx(told[key], rel=1e-4)
    assert told["read_s"] is not None  # from its log, as everybody's


def test_the_plan_is_kept(folder: Path, document: Any) -> None:
    with Logbook.open(folder) as book:
        assert last_plan(book, document["begin_s"] + 60) is not None


def test_what_was_changed_in_it_stays(folder: Path, document: Any, at_once: None) -> None:
    path = folder / "sugarhouse.toml"
    text = path.read_text(encoding="utf-8")
    try:
        path.write_text(text.replace("taps = 240", "taps = 241"), encoding="utf-8")
        assert run("demo", folder).code == 0
        assert read_house(path).gathering[0].taps == 241
    finally:
        path.write_text(text, encoding="utf-8")


def test_the_files_of_others_are_left_alone(tmp_path: Path) -> None:
    for name in ("sugarhouse.toml", "weather.csv"):
        other = tmp_path / name.split(".")[0]
        other.mkdir()
        (other / name).write_text("mine")
        assert "left alone" in refused("demo", other)
        assert [path.name for path in other.iterdir()] == [name]
        assert (other / name).read_text() == "mine"
    assert "is a file" in refused("demo", tmp_path / "weather" / "weather.csv")
    assert "cannot be written" in refused("demo", tmp_path / "weather" / "weather.csv" / "x")
