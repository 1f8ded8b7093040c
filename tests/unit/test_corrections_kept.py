"""A kept bias corrects what ``now`` and the ledger stand on, until it is taken back."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from command_line import run
from pan_learning import HOUSE
from sugarwright.answering.folder import house_in
from sugarwright.answering.house import learnt_in
from sugarwright.answering.readings import readings
from sugarwright.learning.instrument_keys import INSTRUMENTS, key_of
from sugarwright.learning.kept import Figure, Kept
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure

NOW_S = 1_773_900_000.0  # 2026-03-19
BIAS = Kept(INSTRUMENTS, 5, 4.0, 9, (Figure(key_of("brix", "hydrometer"), 0.5, 0.05, False, 0.0),))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    level = (Measure("volume", 0.8), Measure("brix", 2.5, sd=0.05, typed="2.5 Brix"))
    with Logbook.open(tmp_path) as book:
        for n in range(3):
            at_s = NOW_S - 3600.0 * (3 - n)
            book.add([Entry(f"sap {n}", "reading", at_s, at_s, place="sap", measures=level)])
    return tmp_path


def keep(folder: Path) -> None:
    with Logbook.open(folder) as book:
        book.keep_knowledge(INSTRUMENTS, BIAS.document(), time.time())


def sap_brix(folder: Path) -> float:
    told = run("now", folder, "--at", "2026-03-19 06:00", "--json")
    (sap,) = [each for each in told.document["tanks"] if each["place"] == "sap"]
    return float(sap["brix"]["middle"])


def test_now_stands_on_corrected_readings_until_it_is_undone(folder: Path) -> None:
    raw = sap_brix(folder)
    assert raw == pytest.approx(2.5, abs=0.1)
    keep(folder)
    assert sap_brix(folder) == pytest.approx(raw - 0.5, abs=0.1)
    told = run("now", folder, "--at", "2026-03-19 06:00")
    assert "The hydrometer reads 0.50 Brix high by 9 comparisons: corrected." in told.err
    assert run("learn", folder, "--undo", "instruments").code == 0
    assert sap_brix(folder) == raw
    assert "corrected" not in run("now", folder, "--at", "2026-03-19 06:00").err


def test_the_log_itself_stays_as_read(folder: Path) -> None:
    keep(folder)
    with Logbook.open(folder) as book:
        assert {each.value("brix") for each in book.entries()} == {2.5}
        assert {each.value("brix") for each in readings(book)} == {2.0}
    assert "2.5 Brix" in run("log", "show", folder).out


def test_the_ledger_says_that_it_corrects(folder: Path) -> None:
    assert "corrected" not in run("ledger", folder).err
    keep(folder)
    told = run("ledger", folder)
    assert told.code == 0
    assert "reads 0.50 Brix high" in told.err


def test_the_history_names_the_instrument(folder: Path) -> None:
    keep(folder)
    assert "hydrometer reads too high by 0.50 Brix" in run("learn", folder, "--history").out
    versions = json.loads(run("learn", folder, "--history", "--json").out)["versions"]
    assert [each["name"] for each in versions] == ["instruments"]


def test_what_was_learnt_is_told_with_its_version(folder: Path) -> None:
    house = house_in(str(folder))

    def told() -> list[tuple[str, int]]:
        with Logbook.open(folder) as book:
            return [(each.name, each.version) for each in learnt_in(str(folder), house, book)]

    assert told() == []
    keep(folder)
    keep(folder)
    assert told() == [("instruments", 2)]
    assert run("learn", folder, "--undo", "instruments").code == 0
    assert told() == [("instruments", 1)]
    keep(folder)
    assert told() == [("instruments", 3)]  # what was taken back keeps its number
