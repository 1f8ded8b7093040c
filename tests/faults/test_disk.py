"""A full disk, a shut folder, another program: clear words, and nothing lost."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from killing import Tell, killed
from logbook_cases import MORNING_S, note, reading
from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.checking import check_logbook
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.store import open_store

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
NOBODY = 65534
MANY = [reading(f"row {at}", MORNING_S + at) for at in range(2000)]


def in_a_child(work: object) -> list[str]:
    """Let a child do it, to its end."""
    return killed(work, 0.0, lines=100)  # type: ignore[arg-type]


@pytest.fixture
def shut() -> Iterator[Path]:
    """A folder with a logbook in which the child of :func:`as_nobody` may write nothing."""
    folder = Path(tempfile.mkdtemp())
    with Logbook.open(folder) as book:
        book.add([note("a")])
    (folder / LOGBOOK_FILE).chmod(0o444)
    folder.chmod(0o555)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def as_nobody() -> None:
    """Give up what lets the superuser write anywhere."""
    if os.geteuid() == 0:
        os.seteuid(NOBODY)


class TestFullDisk:
    def test_is_told_and_nothing_kept_is_lost(self, tmp_path: Path) -> None:
        with Logbook.open(tmp_path) as book:
            book.add([note("a")])
            pages = book._file.connection.execute("PRAGMA page_count").fetchone()[0]
            book._file.connection.execute(f"PRAGMA max_page_count = {pages + 5}")
            with pytest.raises(LogbookError, match="disk is full") as refusal:
                book.add(MANY)
            assert "nothing kept before is lost" in str(refusal.value)
            assert book.entries() == (note("a"),)
            book._file.connection.execute("PRAGMA max_page_count = 1000000")
            assert len(book.add(MANY).kept) == len(MANY)
        assert check_logbook(tmp_path).problems == ()

    def test_met_by_the_system_itself(self, tmp_path: Path) -> None:
        """A limit on the size of files fails the write call, as a failing disk does."""
        with Logbook.open(tmp_path) as book:
            book.add([note("a")])

        def work(tell: Tell) -> None:
            with Logbook.open(tmp_path) as book:
                resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
                try:
                    book.add(MANY)
                except LogbookError as problem:
                    tell(str(problem))
                tell(str(len(book.entries())))

        problem, count = in_a_child(work)
        assert "the disk" in problem
        assert "Nothing of this was kept, and nothing kept before is lost" in problem
        assert count == "1"
        with Logbook.open(tmp_path) as book:
            assert book.entries() == (note("a"),)
        assert check_logbook(tmp_path).problems == ()

    def test_a_new_logbook_is_whole_or_not_there(self, tmp_path: Path) -> None:
        def work(tell: Tell) -> None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
            try:
                Logbook.open(tmp_path)
            except LogbookError as problem:
                tell(str(problem))

        (problem,) = in_a_child(work)
        assert "the disk" in problem
        assert not list(tmp_path.iterdir())


class TestShutFolder:
    def test_is_read_and_refuses_to_be_written(self, shut: Path) -> None:
        def work(tell: Tell) -> None:
            as_nobody()
            with open_store(shut) as book:
                tell(",".join(each.key for each in book.entries()))
                try:
                    book.add([note("b")])
                except LogbookError as problem:
                    tell(str(problem))

        keys, problem = in_a_child(work)
        assert keys == "a"
        assert "cannot be opened for writing" in problem
        assert "nothing kept before is lost" in problem

    def test_without_a_logbook_gives_what_it_holds_in_files(self, shut: Path) -> None:
        shut.chmod(0o755)
        (shut / LOGBOOK_FILE).unlink()
        shutil.rmtree(shut / "backups")
        (shut / "sugarhouse.toml").write_text("name = 'Invented'")
        shut.chmod(0o555)

        def work(tell: Tell) -> None:
            as_nobody()
            with open_store(shut) as book:
                tell(book.house_at(MORNING_S) or "")
                try:
                    book.add([note("b")])
                except LogbookError as problem:
                    tell(str(problem))

        house, problem = in_a_child(work)
        assert house == "name = 'Invented'"
        assert "cannot be opened for writing" in problem

    def test_that_is_not_there_is_named(self, tmp_path: Path) -> None:
        with pytest.raises(LogbookError, match="cannot be made"):
            Logbook.open(tmp_path / "nowhere")


class TestOthers:
    def test_a_lock_that_is_not_given_up_is_told(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("sugarwright.logbook.connection.PATIENCE_S", 0.1)
        with Logbook.open(tmp_path) as book:
            book.add([note("a")])
            raw = sqlite3.connect(tmp_path / LOGBOOK_FILE, isolation_level=None)
            raw.execute("BEGIN IMMEDIATE")
            with pytest.raises(LogbookError, match="by another program"):
                book.add([note("b")])
            assert book.entries() == (note("a"),)  # reading goes on
            raw.execute("ROLLBACK")
            assert book.add([note("b")]).kept == ("b",)
            raw.close()

    def test_many_writers_at_once_all_succeed(self, tmp_path: Path) -> None:
        """Four processes, each of which also opens, and makes, the same new logbook."""
        children = []
        for writer in range(4):
            child = os.fork()
            if child == 0:
                code = 1
                try:
                    with Logbook.open(tmp_path) as book:
                        for at in range(25):
                            book.add([reading(f"{writer}-{at}", MORNING_S + at)])
                    code = 0
                finally:
                    os._exit(code)
            children.append(child)
        assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
        with Logbook.open(tmp_path) as book:
            assert len(book.entries()) == 100
        assert check_logbook(tmp_path).problems == ()
