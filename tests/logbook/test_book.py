"""The logbook keeps each entry once, as it was typed, and alters nothing."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook_cases import MORNING_S, note, reading
from sugarwright.errors import InputError, KeyTakenError, LogbookError, RangeError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.catalogue import FLAGS, KINDS, QUANTITIES
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.tables import APPEND_ONLY

NUMBERS = st.floats(-1e6, 1e6)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
INSTANTS = st.floats(0.0, 4e9)
MEASURES = st.builds(
    Measure,
    st.sampled_from(sorted(QUANTITIES)),
    NUMBERS,
    st.none() | st.floats(1e-9, 1e3),
    TEXTS,
    TEXTS,
)
ENTRIES = st.builds(
    Entry,
    key=st.uuids().map(str),
    kind=st.sampled_from(sorted(set(KINDS) - {"withdrawn"})),
    at_s=INSTANTS,
    made_s=INSTANTS,
    place=st.sampled_from(["", "sap", "gathering:north"]),
    measures=st.lists(MEASURES, max_size=4, unique_by=lambda each: each.quantity).map(tuple),
    words=st.dictionaries(TEXTS, TEXTS, max_size=3),
    flags=st.lists(st.sampled_from(sorted(FLAGS)), max_size=2).map(tuple),
    who=TEXTS,
    source=st.sampled_from(["person", "import", "sensor"]),
    typed=TEXTS,
)


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    return Logbook.open(tmp_path)


class TestKeeping:
    @given(entries=st.lists(ENTRIES, max_size=8, unique_by=lambda each: each.key))
    @settings(max_examples=12, deadline=None)
    def test_all_comes_back_as_it_was_in_the_order_of_time(
        self, tmp_path_factory: pytest.TempPathFactory, entries: list[Entry]
    ) -> None:
        folder = tmp_path_factory.mktemp("house")
        with Logbook.open(folder) as book:
            assert book.add(entries).kept == tuple(each.key for each in entries)
        with Logbook.open(folder, create=False) as again:
            assert list(again.entries()) == sorted(entries, key=lambda each: each.at_s)

    def test_sent_twice_kept_once(self, book: Logbook) -> None:
        book.add([reading("a")])
        added = book.add([reading("a"), note("b"), note("b")])
        assert (added.kept, added.repeated) == (("b",), ("a", "b"))
        assert len(book.entries()) == 2

    @pytest.mark.parametrize(
        "change",
        [
            {"at_s": MORNING_S + 1.0},
            {"measures": (Measure("depth", 0.3556, 0.004, "14 inches", "stick"),)},
            {"who": "somebody else"},
        ],
    )
    def test_a_key_with_another_content_is_told_and_nothing_is_kept(
        self, book: Logbook, change: dict[str, object]
    ) -> None:
        book.add([reading("a")])
        with pytest.raises(KeyTakenError, match="says something else"):
            book.add([note("b"), replace(reading("a"), **change)])  # type: ignore[arg-type]
        assert book.entries() == (reading("a"),)

    def test_a_time_that_is_no_number_and_a_broken_letter_are_refused(self, book: Logbook) -> None:
        with pytest.raises(RangeError, match="made_s"):
            book.add([note("a", made_s=float("nan"))])
        with pytest.raises(InputError, match="no letter"):
            book.add([note("a", words={"note": "\udc80"})])
        assert book.entries() == ()

    def test_there_is_none_and_none_is_wanted(self, tmp_path: Path) -> None:
        with pytest.raises(LogbookError, match="is not there"):
            Logbook.open(tmp_path, create=False)
        assert not list(tmp_path.iterdir())

    def test_no_passing_file_stays(self, tmp_path: Path) -> None:
        with Logbook.open(tmp_path) as book:
            book.add([note("a")])
        assert {path.name for path in tmp_path.iterdir() if path.is_file()} == {LOGBOOK_FILE}


class TestAsking:
    def test_by_time_kind_and_place(self, book: Logbook) -> None:
        later = note("c", MORNING_S + 60.0)
        moved = Entry("d", "transfer", MORNING_S + 90.0, MORNING_S, place="sap", to_place="stock")
        book.add([later, reading("a"), note("b"), moved])
        keys = [each.key for each in book.entries()]
        assert keys == ["a", "b", "c", "d"]  # b was entered after a, for the same instant
        assert book.entries(MORNING_S + 60.0, MORNING_S + 90.0) == (later,)
        assert [each.key for each in book.entries(kinds=["note"])] == ["b", "c"]
        assert [each.key for each in book.entries(places=["stock"])] == ["d"]
        assert book.entries(kinds=[]) == ()

    def test_the_last_entered(self, book: Logbook) -> None:
        book.add([note("late", MORNING_S + 9.0)])
        book.add([note("early", MORNING_S)])
        assert [each.key for each in book.newest(5)] == ["early", "late"]
        assert [each.key for each in book.newest(1)] == ["early"]


class TestCorrections:
    def test_a_correction_stands_and_the_older_one_stays_to_be_seen(self, book: Logbook) -> None:
        first = reading("a")
        second = reading("b", replaces="a", measures=(Measure("depth", 0.41, typed="16 in"),))
        third = reading("c", MORNING_S - 60.0, replaces="b")
        for each in (first, second, third):
            book.add([each])
            assert book.entries() == (each,)
        for key in "abc":
            assert book.history(key) == (first, second, third)

    def test_withdrawn_nothing_stands(self, book: Logbook) -> None:
        gone = Entry("b", "withdrawn", MORNING_S, MORNING_S, replaces="a")
        book.add([reading("a"), gone])
        assert book.entries() == ()
        assert book.history("a") == (reading("a"), gone)

    def test_of_two_corrections_of_one_entry_the_last_stands(self, book: Logbook) -> None:
        book.add([reading("a"), note("one phone", replaces="a")])
        book.add([note("another phone", replaces="a")])
        assert [each.key for each in book.entries()] == ["another phone"]
        assert len(book.history("a")) == 3

    def test_a_correction_of_nothing_is_refused_with_all_that_came_with_it(
        self, book: Logbook
    ) -> None:
        with pytest.raises(InputError, match="no entry"):
            book.add([note("x"), note("y", replaces="never written")])
        assert book.newest(9) == ()


class TestNothingIsAltered:
    @pytest.mark.parametrize("table", APPEND_ONLY)
    @pytest.mark.parametrize("text", ["DELETE FROM {}", "UPDATE {} SET {} = {}"])
    def test_by_the_database_itself(self, tmp_path: Path, table: str, text: str) -> None:
        with Logbook.open(tmp_path) as book:
            book.add([reading("a")])
            book.keep_house("name = 'Invented'", MORNING_S)
            book.keep_knowledge("trees", {"a": 1}, MORNING_S)
            book.plans.keep(MORNING_S, {"rows": []})
        raw = sqlite3.connect(tmp_path / LOGBOOK_FILE)
        raw.execute("INSERT INTO forecasts VALUES (1, 0, 0, 'a service', '{}')")
        raw.execute("INSERT INTO observed VALUES (0, 1.5, NULL, NULL, NULL, '')")
        column = raw.execute(f"SELECT name FROM pragma_table_info('{table}')").fetchone()[0]
        before = raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
        assert before > 0
        with pytest.raises(sqlite3.IntegrityError, match="ever altered"):
            raw.execute(text.format(table, column, column))
        assert raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0] == before


class TestBeside:
    def test_the_house_as_it_was(self, book: Logbook) -> None:
        assert book.house_at(MORNING_S) is None
        kept = [book.keep_house(text, MORNING_S + at) for at, text in enumerate("aab")]
        assert kept == [True, False, True]
        found = [book.house_at(MORNING_S + at) for at in (-9, 0, 1, 2, 99)]
        assert found == ["a", "a", "a", "b", "b"]

    def test_knowledge_is_added_and_taken_back_never_deleted(self, book: Logbook) -> None:
        assert book.knowledge("trees") is None
        for at in range(3):
            book.keep_knowledge("trees", {"at": at}, MORNING_S + at)
        book.keep_knowledge("pan", {"at": 9}, MORNING_S)
        book.undo_knowledge("trees", MORNING_S + 10.0)
        book.undo_knowledge("trees", MORNING_S + 11.0)
        assert book.knowledge("trees") == {"at": 0}
        book.keep_knowledge("trees", {"at": 4}, MORNING_S + 12.0)
        assert book.knowledge("trees") == {"at": 4}
        found = [
            (each.document["at"], each.taken_back_s) for each in book.knowledge_versions("trees")
        ]
        assert found == [(0, None), (1, MORNING_S + 11.0), (2, MORNING_S + 10.0), (4, None)]
        assert book.knowledge("pan") == {"at": 9}

    def test_nothing_to_take_back(self, book: Logbook) -> None:
        book.keep_knowledge("trees", {}, MORNING_S)
        book.undo_knowledge("trees", MORNING_S)
        with pytest.raises(InputError, match="taken back"):
            book.undo_knowledge("trees", MORNING_S)

    def test_what_is_no_document_is_refused(self, book: Logbook) -> None:
        with pytest.raises(InputError, match="cannot be kept"):
            book.keep_knowledge("trees", {"a": float("nan")}, MORNING_S)

    def test_states(self, book: Logbook) -> None:
        assert book.state("twin") is None
        for at in range(130):
            book.keep_state("twin", float(at), bytes([at]), MORNING_S)
        book.keep_state("twin", 129.0, b"anew", MORNING_S)
        assert book.state("twin") == (129.0, b"anew")
        assert book.state("twin", before_s=129.0) == (128.0, bytes([128]))
        assert book.state("twin", before_s=30.0) is None  # of many the oldest go
        assert book.state("other") is None

    def test_a_state_does_not_wait_for_somebody_elses_writing(self, book: Logbook) -> None:
        said: list[str] = []
        book._file.connection.set_trace_callback(said.append)
        other = sqlite3.connect(book.path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="another program"):
            book.keep_state("twin", 1.0, b"", MORNING_S)
        other.execute("ROLLBACK")
        other.close()
        assert said.index("PRAGMA busy_timeout = 0") < said.index("BEGIN IMMEDIATE")
        assert said[-1] == "PRAGMA busy_timeout = 10000"  # entries go on waiting
