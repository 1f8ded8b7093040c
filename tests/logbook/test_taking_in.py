"""Files of earlier days come into the logbook once and whole, and stay where they are."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from pathlib import Path

import pytest

from command_line import make_house
from logbook_cases import note
from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.store import open_store
from sugarwright.logbook.trees import TREES, trees_of
from sugarwright.plant.tree_file import read_trees

HEADER = "time_utc,temperature_c,pressure_pa,humidity_fraction,wind_m_s,source"
TREES_TEXT = """\
[[fit]]
season = 2027
learnt = 2027-03-30T12:00:00Z
gatherings = 11
brix_readings = 9
independent_gatherings = 6.5
yield_factor = 1.2
yield_sd_log = 0.1
sap_brix = 2.1
sap_brix_sd = 0.05
[[fit.shape]]
name = "flow_lag_h"
value = 3.0
sd_log = 0.2
scale_correlation = 0.5
"""


def forecast_text(day: int) -> str:
    """Return a kept forecast as it was written to a file of its own."""
    document = {
        "format": "sugarwright forecast 1",
        "issued": f"2027-03-{day:02d}T05:00:00Z",
        "fetched": f"2027-03-{day:02d}T05:10:00Z",
        "source": "Invented service",
        "attribution": "",
        "latitude_deg": 44.2,
        "longitude_deg": -72.5,
        "elevation_m": None,
        "shape_sd_k": 0.0,
        "first_hour": f"2027-03-{day:02d}T05:00:00Z",
        "temperature_c": [-3.25, -1.0, 2.0],
        "p10_temperature_c": None,
        "p90_temperature_c": None,
        "notes": [],
        "member_temperature_c": None,
    }
    return json.dumps(document)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder as commands kept it before there was a logbook."""
    made = make_house(tmp_path / "house")
    (made / "forecasts").mkdir()
    for day in (9, 10):
        name = f"2027-03-{day:02d}T0500Z-invented-service.json"
        (made / "forecasts" / name).write_text(forecast_text(day))
    (made / "plans").mkdir()
    plan = {"begin_s": 1804568400, "day": 1, "house": "x", "rows": [[1.0]]}
    (made / "plans" / "2027-03-09T0500Z.json").write_text(json.dumps(plan))
    rows = [f"2027-03-09T{hour:02d}:00Z,{hour - 5},,0.5,,station" for hour in (6, 7, 9)]
    (made / "observed.csv").write_text("\n".join([HEADER, *rows]) + "\n")
    (made / "trees.toml").write_text(TREES_TEXT)
    return made


def files(folder: Path) -> dict[str, str]:
    """Return every file that was there before, with a mark of its content."""
    found = [path for path in folder.rglob("*") if path.is_file()]
    ours = [path for path in found if LOGBOOK_FILE not in path.name and "backups" not in path.parts]
    return {str(each): hashlib.sha256(each.read_bytes()).hexdigest() for each in ours}


def lines(folder: Path) -> dict[str, int]:
    """Return how many lines each table holds."""
    raw = sqlite3.connect(folder / LOGBOOK_FILE)
    names = [name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    counts = {name: raw.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}
    raw.close()
    return counts


def test_everything_is_there_and_the_files_stay_as_they_were(folder: Path) -> None:
    before = files(folder)
    with Logbook.open(folder) as book:
        assert [len(each.hours) for each in book.weather.between(0, 4e9)] == [3, 3]
        assert [each.temperature_c.tolist() for each in book.weather.observed()] == [[1, 2], [4]]
        assert [each["rows"] for each in book.plans.newest_first(0, 4e9)] == [[[1.0]]]
        fits = trees_of(book.knowledge(TREES))
        assert book.house_at(0.0) == (folder / "sugarhouse.toml").read_text()
        assert book.troubles == ()
        assert book.weather.damaged() == ()
    assert fits == read_trees(folder / "trees.toml")
    assert fits[0].shapes[0].value == 3.0
    assert files(folder) == before


def test_once(folder: Path) -> None:
    for _ in range(3):
        Logbook.open(folder).close()
        counts = lines(folder)
    assert counts["forecasts"] == 2
    assert (counts["plans"], counts["observed"], counts["knowledge"]) == (1, 3, 1)
    assert counts["taken_in"] == 5


def test_what_comes_later_is_taken_in_then_and_what_is_there_stands(folder: Path) -> None:
    Logbook.open(folder).close()
    (folder / "forecasts" / "2027-03-11T0500Z-invented-service.json").write_text(forecast_text(11))
    path = folder / "observed.csv"
    text = path.read_text().replace("T06:00Z,1", "T06:00Z,15")
    path.write_text(text + "2027-03-09T10:00Z,5,,,,station\n")
    with Logbook.open(folder) as book:
        assert len(book.weather.between(0, 4e9)) == 3
        assert [each.temperature_c.tolist() for each in book.weather.observed()] == [[1, 2], [4, 5]]


def test_a_house_that_changes_is_kept_as_it_was(folder: Path) -> None:
    path = folder / "sugarhouse.toml"
    Logbook.open(folder).close()
    path.write_text(path.read_text() + "\n# a new pan is thought of\n")
    with Logbook.open(folder) as book:
        assert "new pan" in (book.house_at(4e9) or "")
        assert "new pan" not in (book.house_at(0.0) or "")
    assert lines(folder)["houses"] == 2


@pytest.mark.parametrize("damage", ["", "{", "[1]", '{"format": "other"}'])
def test_a_damaged_forecast_is_named_until_it_is_mended(folder: Path, damage: str) -> None:
    path = folder / "forecasts" / "2027-03-10T0500Z-invented-service.json"
    path.write_text(damage)
    for _ in range(2):
        with Logbook.open(folder) as book:
            assert len(book.weather.between(0, 4e9)) == 1
            (sentence,) = book.weather.damaged()
            assert path.name in sentence
    path.write_text(forecast_text(10))
    with Logbook.open(folder) as book:
        assert len(book.weather.between(0, 4e9)) == 2
        assert book.weather.damaged() == ()


@pytest.mark.parametrize(
    "line", ["2027-03-09T07:00Z,warm,,,,x", "2027-03-09T07:00,1,,,,x", "2027-03-09T07:00Z,1"]
)
def test_a_damaged_line_is_named_and_the_others_taken_in(folder: Path, line: str) -> None:
    path = folder / "observed.csv"
    path.write_text(path.read_text() + line + "\n")
    with Logbook.open(folder) as book:
        assert sum(map(len, book.weather.observed())) == 3
        assert "line 5" in book.weather.damaged()[0]
    assert line in path.read_text()


def test_a_table_of_another_form_is_named_with_what_to_do(folder: Path) -> None:
    (folder / "observed.csv").write_text("time,temp (F)\n2027-03-09 01:00,30\n")
    with Logbook.open(folder) as book:
        assert "weather import" in book.weather.damaged()[0]
        assert book.weather.observed() == ()


def test_a_spoilt_file_of_the_trees_is_a_trouble_that_is_told(folder: Path) -> None:
    (folder / "trees.toml").write_text(TREES_TEXT.replace("1.2", "nan"))
    with Logbook.open(folder) as book:
        assert book.knowledge(TREES) is None
        (trouble,) = book.troubles
        assert "yield_factor" in trouble


def test_a_plan_that_cannot_be_read_is_passed_over(folder: Path) -> None:
    (folder / "plans" / "2027-03-10T0500Z.json").write_text("{")
    (folder / "plans" / "2027-03-11T0500Z.json").write_text("[]")
    with Logbook.open(folder) as book:
        assert len(list(book.plans.newest_first(0, 4e9))) == 1


class TestOneDoor:
    def test_without_files_and_nothing_to_keep_no_file_is_made(self, tmp_path: Path) -> None:
        with open_store(tmp_path, make=False) as book:
            assert book.weather.newest(4e9) is None
            assert book.entries() == ()
            with pytest.raises(LogbookError, match="cannot be opened for writing"):
                book.add([note("a")])
        assert not list(tmp_path.iterdir())

    def test_files_that_belong_into_it_make_one(self, folder: Path) -> None:
        open_store(folder, make=False).close()
        assert (folder / LOGBOOK_FILE).exists()
