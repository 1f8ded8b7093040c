"""Killed at any moment (SIGKILL): what was acknowledged is there, once, and the file is sound.

This is what happens when the program is ended or the machine's kernel stops it. Power cuts, which a
test cannot make, are met by ``synchronous = FULL``: SQLite's own documentation ("Atomic Commit In
SQLite", 2004-, section 9) says what that asks of the disk.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from killing import Tell, killed
from logbook_cases import MORNING_S, note, reading
from sugarwright.logbook import schema
from sugarwright.logbook.backups import list_backups
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.checking import check_logbook, damage
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.version import APPLICATION_ID, VERSION

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")

KILLS = 300
LONGEST_S = 0.03


def stored_keys(folder: Path) -> list[str]:
    raw = sqlite3.connect(folder / LOGBOOK_FILE)
    keys = [key for (key,) in raw.execute("SELECT key FROM entries")]
    raw.close()
    return keys


def batch(at: int, number: int) -> list[Entry]:
    """Return one to four entries, the same ones for the same numbers."""
    time_s = MORNING_S + 100.0 * at + number
    each = [reading(f"{at}-{number}-{part}", time_s + part / 10.0) for part in range(number % 4)]
    return [*each, note(f"{at}-{number}-last", time_s + 0.9)]


def took_s(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def test_entries_are_there_once_after_hundreds_of_kills(tmp_path: Path) -> None:
    chance = random.Random(20270309)
    with Logbook.open(tmp_path) as book:
        book.add([note("first")])  # and the day's backup is made
    acknowledged: list[str] = []
    unsure: list[Entry] = []  # sent, and killed before an answer came
    for at in range(KILLS):
        again = list(unsure)

        def work(tell: Tell, at: int = at, again: list[Entry] = again) -> None:
            with Logbook.open(tmp_path) as book:
                if again:  # as a phone does that had no answer
                    book.add(again)
                    tell("again")
                for number in range(1000):
                    book.add(batch(at, number))
                    tell(str(number))

        told = killed(work, chance.uniform(0.0, LONGEST_S), lines=at % 3)
        if again and told[:1] == ["again"]:
            acknowledged += [each.key for each in again]
            unsure = []
        numbers = [int(line) for line in told if line != "again"]
        for number in numbers:
            acknowledged += [each.key for each in batch(at, number)]
        if told or not again:
            unsure = batch(at, len(numbers))

    keys = stored_keys(tmp_path)
    assert len(acknowledged) > KILLS  # the kills did not all come before the first entry
    assert len(keys) == len(set(keys))
    assert set(acknowledged) <= set(keys)
    with Logbook.open(tmp_path) as book:
        stored = {each.key: each for each in book.entries()}
    for at in range(KILLS):
        for number in range(1000):
            sent = batch(at, number)
            there = [each for each in sent if each.key in stored]
            if not there:
                break
            assert there == sent  # all of what came together, or nothing of it
            assert [stored[each.key] for each in sent] == sent
    assert check_logbook(tmp_path).problems == ()


def test_an_import_of_many_is_whole_or_not_there(tmp_path: Path) -> None:
    chance = random.Random(1)
    many = [reading(f"row {at}", MORNING_S + at) for at in range(500)]

    def work(tell: Tell) -> None:
        with Logbook.open(tmp_path) as book:
            book.add(many)
            tell("kept")

    (tmp_path / "first").mkdir()
    with Logbook.open(tmp_path / "first") as book:
        whole_s = took_s(lambda: book.add(many))
    seen = set()
    for _ in range(20):
        for path in tmp_path.glob(f"{LOGBOOK_FILE}*"):
            path.unlink()
        Logbook.open(tmp_path).close()
        told = killed(work, chance.uniform(0.1, 1.5) * whole_s)
        count = len(stored_keys(tmp_path))
        assert count in (0, len(many))
        assert count == len(many) or not told
        assert check_logbook(tmp_path).problems == ()
        seen.add(count)
    assert 0 in seen  # some kills came before the end


def test_a_backup_that_has_its_name_is_whole(tmp_path: Path) -> None:
    chance = random.Random(2)
    with Logbook.open(tmp_path) as book:
        book.add([reading(f"row {at}", MORNING_S + at) for at in range(1500)])
        once_s = took_s(book.back_up)

    def work(tell: Tell) -> None:
        with Logbook.open(tmp_path) as book:
            book.back_up()
            tell("made")

    killings = 0
    while killings < 40 or (len(list_backups(tmp_path)) < 3 and killings < 400):
        patience = 1 + killings // 40  # a machine that has become busy is given longer
        killed(work, chance.uniform(0.0, 1.5) * once_s * patience)
        killings += 1
    found = list_backups(tmp_path)
    assert len(found) > 2
    for each in found:
        raw = sqlite3.connect(each.path)
        assert list(damage(raw)) == []
        assert raw.execute("SELECT count(*) FROM entries").fetchone() == (1500,)
        raw.close()
    assert check_logbook(tmp_path).problems == ()


def test_a_change_of_the_form_is_whole_or_not_there(tmp_path: Path) -> None:
    chance = random.Random(3)
    old = tmp_path / "old.db"
    raw = sqlite3.connect(old)
    raw.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    raw.close()
    schema.migrate(old, to="0001")
    raw = sqlite3.connect(old)
    for at in range(500):
        raw.execute(
            "INSERT INTO entries (key, family, kind, at_s, made_s, place, to_place, words, flags, "
            "who, source, typed) VALUES (?, ?, 'note', ?, 0, '', '', '{}', '[]', '', 'person', '')",
            (f"{at}", f"{at}", float(at)),
        )
    raw.commit()
    raw.close()

    def work(tell: Tell) -> None:
        Logbook.open(tmp_path).close()
        tell("changed")

    path = tmp_path / LOGBOOK_FILE
    shutil.copyfile(old, path)
    whole_s = took_s(lambda: Logbook.open(tmp_path).close())
    seen = set()
    for _ in range(40):
        for each in tmp_path.glob(f"{LOGBOOK_FILE}*"):
            each.unlink()
        shutil.copyfile(old, path)
        told = killed(work, chance.uniform(0.0, 1.3) * whole_s)
        raw = sqlite3.connect(path)
        version = raw.execute("SELECT version_num FROM alembic_version").fetchone()[0]
        tables = {name for (name,) in raw.execute("SELECT name FROM sqlite_master")}
        raw.close()
        assert version in ("0001", VERSION)
        assert ("forecasts" in tables, "readings" in tables) == (version == VERSION,) * 2
        assert version == VERSION or not told
        seen.add(version)
        with Logbook.open(tmp_path) as book:
            assert len(book.entries()) == 500
    assert "0001" in seen
