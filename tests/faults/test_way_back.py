"""Backups are made by themselves, and lead back from damage with all that can still be read."""

from __future__ import annotations

import contextlib
import os
import random
import sqlite3
import time
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from killing import killed
from logbook_cases import MORNING_S, note, reading
from sugarwright.errors import LogbookError
from sugarwright.logbook.backups import BACKUPS, back_up_daily, list_backups
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.checking import check_logbook
from sugarwright.logbook.connection import LOGBOOK_FILE, connect
from sugarwright.logbook.restore import SET_ASIDE, restore

OLDER = [reading(f"older {at}", MORNING_S + at) for at in range(400)]
NEWER = [
    reading(f"newer {at}", MORNING_S + 1000.0 + at, typed=f"typed newer {at}") for at in range(40)
]
PAGE = 4096


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A logbook whose newer entries are in no backup yet."""
    with Logbook.open(tmp_path) as book:
        book.add(OLDER)  # the day's backup holds these
        book.keep_house("name = 'Invented'", MORNING_S)
        book.add(NEWER)
        book.add_sensor("air", [(MORNING_S, -2.0)])
    return tmp_path


def page_of(path: Path, text: str) -> int:
    """Return the offset of the first page that holds a text."""
    return path.read_bytes().index(text.encode()) // PAGE * PAGE


def spoil(path: Path, offset: int, length: int = PAGE) -> None:
    with path.open("rb+") as file:
        file.seek(offset)
        file.write(b"\xa5" * length)


def keys(folder: Path) -> list[str]:
    with Logbook.open(folder) as book:
        return sorted(each.key for each in book.entries())


EVERY_KEY = sorted(each.key for each in [*OLDER, *NEWER])


class TestDamage:
    def test_is_found_and_told_with_the_way_back(self, folder: Path) -> None:
        assert check_logbook(folder).problems == ()
        spoil(folder / LOGBOOK_FILE, page_of(folder / LOGBOOK_FILE, "older 200"))
        assert check_logbook(folder).problems
        with Logbook.open(folder) as book, pytest.raises(LogbookError, match="log restore"):
            book.entries()

    @pytest.mark.parametrize("where", ["older 10", "older 200", "older 399"])
    def test_in_what_the_backup_holds_loses_nothing(self, folder: Path, where: str) -> None:
        path = folder / LOGBOOK_FILE
        spoil(path, page_of(path, where))
        spoilt = path.read_bytes()
        done = restore(folder)
        assert (done.salvaged, done.unread) == (len(NEWER), 0)
        assert keys(folder) == EVERY_KEY
        assert check_logbook(folder).problems == ()
        assert done.aside is not None
        assert (done.aside / LOGBOOK_FILE).read_bytes() == spoilt
        with Logbook.open(folder) as book:
            assert book.house_at(MORNING_S) == "name = 'Invented'"
            assert book.newest_sensor("air") == (MORNING_S, -2.0)

    def test_in_what_no_backup_holds_loses_only_that_and_counts_it(self, folder: Path) -> None:
        path = folder / LOGBOOK_FILE
        spoil(path, page_of(path, "typed newer 39"))
        done = restore(folder)
        assert done.unread is not None
        assert done.unread > 0
        assert done.salvaged + done.unread == len(NEWER)
        assert set(keys(folder)) >= {each.key for each in OLDER}
        assert len(keys(folder)) == len(OLDER) + done.salvaged

    @pytest.mark.parametrize("what", ["text", "empty", "cut", "beginning", "gone"])
    def test_of_the_whole_file_leads_back_to_the_backup(self, folder: Path, what: str) -> None:
        path = folder / LOGBOOK_FILE
        if what == "text":
            path.write_text("This is no database. " * 1000)
        elif what == "empty":
            path.write_bytes(b"")
        elif what == "cut":
            path.write_bytes(path.read_bytes()[: 5 * PAGE + 100])
        elif what == "beginning":
            spoil(path, 0, 100)
        else:
            path.unlink()
        if what in ("text", "empty", "beginning"):
            with pytest.raises(LogbookError, match="restore"):
                Logbook.open(folder)
        done = restore(folder)
        assert set(keys(folder)) >= {each.key for each in OLDER}
        assert done.unread in (None, 0) or what == "cut"
        assert check_logbook(folder).problems == ()
        assert (done.aside is None) == (what == "gone")

    def test_a_sound_logbook_loses_nothing_either(self, folder: Path) -> None:
        restore(folder)
        assert keys(folder) == EVERY_KEY

    def test_a_damaged_backup_is_passed_over_for_an_older_one(self, folder: Path) -> None:
        with Logbook.open(folder) as book:
            newest = book.back_up()
        spoil(newest, 8 * PAGE)
        assert restore(folder).backup != newest
        with pytest.raises(LogbookError, match="damaged"):
            restore(folder, newest)

    def test_without_a_sound_backup_all_stays_as_it_is(self, folder: Path) -> None:
        path = folder / LOGBOOK_FILE
        for each in list_backups(folder):
            each.path.write_text("spoilt")
        before = path.read_bytes()
        with pytest.raises(LogbookError, match="no backup that can be read"):
            restore(folder)
        assert path.read_bytes() == before
        assert list((folder / SET_ASIDE).iterdir())

    def test_a_book_that_was_open_meanwhile_writes_nothing_into_the_former_file(
        self, folder: Path
    ) -> None:
        with Logbook.open(folder) as book:
            restore(folder)
            with pytest.raises(LogbookError, match="restored meanwhile"):
                book.add([note("a")])

    def test_while_another_program_writes_it_is_refused(
        self, folder: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("sugarwright.logbook.connection.PATIENCE_S", 0.1)
        raw = sqlite3.connect(folder / LOGBOOK_FILE, isolation_level=None)
        raw.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="another program"):
            restore(folder)
        raw.close()
        assert keys(folder) == EVERY_KEY


class TestBackups:
    def test_one_a_day_and_few_are_kept(self, folder: Path) -> None:
        (first,) = list_backups(folder)
        first.path.unlink()
        day_s = 86400.0
        with contextlib.closing(connect(folder / LOGBOOK_FILE)) as connection:
            for day in (*range(30), 29):
                back_up_daily(folder, connection, MORNING_S + day * day_s)
        found = sorted(each.day for each in list_backups(folder))
        last = datetime.fromtimestamp(MORNING_S + 29 * day_s, UTC).date()
        assert last == date(2027, 4, 7)  # a Wednesday
        assert [(last - day).days for day in found] == [24, 17, 10, 6, 5, 4, 3, 2, 1, 0]
        assert {path.suffix for path in (folder / BACKUPS).iterdir()} == {".db"}

    def test_made_before_the_first_answer_of_a_day(self, tmp_path: Path) -> None:
        with Logbook.open(tmp_path) as book:
            book.add([note("a")])
            assert len(list_backups(tmp_path)) == 1
            book.add([note("b")])
        (only,) = list_backups(tmp_path)
        raw = sqlite3.connect(only.path)
        assert raw.execute("SELECT key FROM entries").fetchall() == [("a",)]
        raw.close()

    def test_that_cannot_be_made_is_told_and_the_entry_is_kept(self, tmp_path: Path) -> None:
        (tmp_path / BACKUPS).write_text("a file where the folder should be")
        with Logbook.open(tmp_path) as book:
            assert book.add([note("a")]).kept == ("a",)
            book.add([note("b")])
            (trouble,) = book.troubles
            assert "backup" in trouble
        assert keys(tmp_path) == ["a", "b"]

    def test_of_a_damaged_logbook_is_none(self, folder: Path) -> None:
        spoil(folder / LOGBOOK_FILE, page_of(folder / LOGBOOK_FILE, "older 200"))
        before = list_backups(folder)
        with (
            contextlib.closing(connect(folder / LOGBOOK_FILE)) as connection,
            pytest.raises(LogbookError, match="damaged"),
        ):
            back_up_daily(folder, connection, MORNING_S + 86400.0)
        assert list_backups(folder) == before

    def test_a_logbook_begun_anew_does_not_push_out_the_fuller_ones(self, folder: Path) -> None:
        (fuller,) = list_backups(folder)
        (folder / LOGBOOK_FILE).unlink()
        with Logbook.open(folder) as book:
            book.add([note("a")])
            for day in range(1, 12):
                with pytest.raises(LogbookError, match="fewer entries"):
                    back_up_daily(folder, book._file.connection, fuller.made_s + day * 86400.0)
        assert fuller in list_backups(folder)


def test_a_serial_that_was_spoilt_is_not_counted_up_to(folder: Path) -> None:
    with contextlib.closing(sqlite3.connect(folder / LOGBOOK_FILE)) as connection, connection:
        names = [name for _, name, *_ in connection.execute("PRAGMA table_info(entries)")]
        found = connection.execute("SELECT * FROM entries ORDER BY serial DESC").fetchone()
        row = dict(zip(names, found, strict=True)) | {"serial": 2**40, "key": "spoilt"}
        marks = ", ".join("?" * len(names))
        connection.execute(f"INSERT INTO entries VALUES ({marks})", [row[name] for name in names])
    restore(folder)
    assert set(EVERY_KEY) <= set(keys(folder))
    assert check_logbook(folder).problems == ()


@given(st.integers(0, 10**6), st.integers(1, 9000))
@settings(max_examples=15, deadline=None)
@example(106_218, 3000)  # SQLite's own words then quote what is no text any more
def test_whatever_is_spoilt_the_way_back_leads_to_all_that_was_backed_up(
    tmp_path_factory: pytest.TempPathFactory, begin: int, length: int
) -> None:
    folder = tmp_path_factory.mktemp("house")
    with Logbook.open(folder) as book:
        book.add(OLDER)
        book.add(NEWER)
    path = folder / LOGBOOK_FILE
    spoil(path, begin % path.stat().st_size, length)
    restore(folder)
    assert check_logbook(folder).problems == ()
    with Logbook.open(folder) as book:
        assert [each for each in book.entries() if each.key.startswith("older")] == OLDER


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")
def test_killed_on_the_way_back_nothing_is_lost(folder: Path) -> None:
    chance = random.Random(4)
    begin = time.perf_counter()
    restore(folder)
    whole_s = time.perf_counter() - begin
    for _ in range(20):
        killed(lambda _: restore(folder) and None, chance.uniform(0.0, 1.2) * whole_s)
        assert keys(folder) == EVERY_KEY
    assert check_logbook(folder).problems == ()


def lose(folder: Path) -> None:
    """Take the logbook away with its companions, as a slip with a mouse does."""
    for path in folder.glob(f"{LOGBOOK_FILE}*"):
        path.unlink()


def test_a_book_begun_beside_a_fuller_backup_is_told_and_led_back_to_it(folder: Path) -> None:
    lose(folder)
    with pytest.raises(LogbookError, match=r"holds 400 lines: `sugarwright log restore` brings"):
        Logbook.open(folder, create=False)
    (backup,) = list_backups(folder)
    backup.path.rename(backup.path.with_name("logbook-2026-03-01.db"))  # of an earlier day
    with Logbook.open(folder) as book:
        book.add([note("tonight", time.time())])  # the day's backup, the newest, holds this alone
        assert "has fewer entries than its backup" in book.troubles[0]
    done = restore(folder)
    assert done.backup.name == "logbook-2026-03-01.db"
    assert (done.salvaged, done.entries) == (1, 401)
    assert keys(folder) == sorted([*(each.key for each in OLDER), "tonight"])


def test_a_book_lost_on_the_day_of_its_backup_is_told_too(folder: Path) -> None:
    lose(folder)
    with Logbook.open(folder) as book:
        book.add([note("tonight", time.time())])
        assert "begun anew" in book.troubles[0]
        assert "log restore" in book.troubles[0]
    with Logbook.open(folder) as book:
        assert book.troubles == ()


def test_the_backup_of_the_day_is_renewed(folder: Path) -> None:
    with Logbook.open(folder) as book:
        book.renew_backup()
    lose(folder)
    assert restore(folder).entries == len(EVERY_KEY)


def test_a_fuller_backup_of_the_day_is_not_written_over(folder: Path) -> None:
    lose(folder)
    with Logbook.open(folder) as book:
        book.add([note("tonight", time.time())])
        book.renew_backup()
        assert "no backup was taken away" in book.troubles[-1]
    assert restore(folder).entries == len(OLDER) + 1
