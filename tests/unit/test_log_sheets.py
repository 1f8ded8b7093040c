"""Tables in and out: exactly, whatever a spreadsheet did to them, or refused cell by cell."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from house_files import PUMPED
from sugarwright.errors import InputError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.exporting import write_book, write_template
from sugarwright.logbook.restore import restore
from sugarwright.logbook.sheet_times import Dates, day_first, time_cell
from sugarwright.logbook.sheets import SheetProblemsError, read_sheet
from sugarwright.logbook.tables_csv import table_of_titles, take_in_table
from sugarwright.logbook.taking import TakenIn, take_in
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.write_house import house_toml

HOUSE: House = parse_house(house_toml({**PUMPED, "gathering.name": "north"}))
ZONE = ZoneInfo("America/New_York")
NOW_S = datetime(2027, 4, 30, 20, 15, tzinfo=UTC).timestamp() + 0.1234567
GALLON_M3 = 0.003785411784  # 231 cubic inches, NIST SP 811


def taken(folder: Path, text: str, *, sure: bool = False, dry_run: bool = False) -> TakenIn:
    """Take a table of some text in to the folder's logbook."""
    file = folder / "table.csv"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    with Logbook.open(folder) as book:
        return take_in(file, HOUSE, NOW_S, book, sure=sure, dry_run=dry_run)


def problems(folder: Path, text: str) -> list[str]:
    """All that is refused in a table; and that nothing of it was taken in."""
    with pytest.raises(SheetProblemsError) as caught:
        taken(folder, text)
    assert entries(folder) == ()
    return [str(each) for each in caught.value.problems]


def entries(folder: Path) -> tuple[Entry, ...]:
    with Logbook.open(folder) as book:
        return book.entries()


def exported(folder: Path, table: str = "entries") -> str:
    with Logbook.open(folder) as book:
        text = io.StringIO(newline="")
        write_book(book, HOUSE, table, text)
    return text.getvalue()


def a_book(folder: Path) -> None:
    """A logbook with words, a span, a correction, something taken back, and nasty letters."""
    texts = [
        "stock 31 gal ±0.5 gal meter 5.8 hot by Ann",
        "wash from 6:00 to 6:40 60 gal cleaner x",
        '17 March 14:20 lit, draw 1.5 gal 66.8 note =HYPERLINK("http://x")',
        "air -2 C note 'quoted', with\r\na second line; \"so\" é",
        "gather north 20 gal ice",
    ]
    with Logbook.open(folder) as book:
        for text in texts:
            book.add(understand(text, HOUSE, NOW_S).entries)
        first = book.newest(99)[-1]
        book.add([replace(first, key="@corrected", replaces=first.key, who="+1")])
        gone = book.newest(2)[1].key
        book.add([Entry("gone", "withdrawn", NOW_S, NOW_S + 0.1, replaces=gone)])
        strange = {"": "", "=k": "' "}
        odd = Measure("brix", 1.9000000000000001e-7, 0.1, "-cmd", "=own")
        book.add([Entry("odd", "note", 1e9 + 1 / 3, NOW_S, words=strange, measures=(odd,))])


def test_all_versions_of_all_entries_come_back_exactly(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    a_book(tmp_path / "a")
    text = exported(tmp_path / "a")
    done = taken(tmp_path / "b", "\ufeff" + text)
    with Logbook.open(tmp_path / "a") as one, Logbook.open(tmp_path / "b") as other:
        assert one.newest(99) == other.newest(99)
        assert done.new == len(one.newest(99))
    assert exported(tmp_path / "b") == text
    again = taken(tmp_path / "b", text)
    assert (again.new, again.repeated) == (0, done.new)


def test_no_cell_starts_a_formula(tmp_path: Path) -> None:
    a_book(tmp_path)
    rows = list(csv.reader(io.StringIO(exported(tmp_path), newline="")))
    for row in rows[1:]:
        for cell in row:
            is_number = cell.lstrip("-").replace(".", "").replace("e-", "").isdigit()
            assert is_number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell


def test_which_versions_stand_is_marked(tmp_path: Path) -> None:
    a_book(tmp_path)
    rows = list(csv.DictReader(io.StringIO(exported(tmp_path), newline="")))
    marks = [row["stands"] for row in rows]
    assert set(marks) == {"yes", "replaced", "taken back", "no"}
    with Logbook.open(tmp_path) as book:
        standing = {each.key for each in book.entries()}
    assert {row["key"].removeprefix("'") for row in rows if row["stands"] == "yes"} == standing


@pytest.mark.parametrize(
    "table", ["houses", "knowledge", "forecasts", "plans", "observed", "readings"]
)
def test_the_other_tables_come_back_exactly(tmp_path: Path, table: str) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
    with Logbook.open(tmp_path / "a") as book:
        book.keep_house("# =house\n[site]\n", 5.0)
        book.keep_house('name = "é"\r\n', 6.25)
        book.keep_knowledge("trees", {"a": [1.5, "=x"]}, 7.0)
        book.keep_knowledge("trees", {"a": None}, 8.0)
        book.undo_knowledge("trees", 9.0)
        book.add_sensor("=tank", [(1.0, 0.1 + 0.2), (700.5, -3.0)], resolution=0.0)
        connection = book._file.connection
        connection.execute("INSERT INTO plans (begin_s, content) VALUES (1.5, '{\"x\": 1}')")
        connection.execute(
            "INSERT INTO forecasts (issued_s, fetched_s, source, content) VALUES (1, 2, 's', '{}')"
        )
        connection.execute("INSERT INTO observed VALUES (3600, -1.25, NULL, 0.5, NULL, 'own')")
    text = exported(tmp_path / "a", table)
    file = tmp_path / "table.csv"
    file.write_bytes(text.encode("utf-8-sig"))
    with Logbook.open(tmp_path / "b"):
        pass
    assert table_of_titles(tmp_path / "b", file) == table
    dry = take_in_table(tmp_path / "b", file, table, dry_run=True)
    assert exported(tmp_path / "b", table).count("\n") == 1
    done = take_in_table(tmp_path / "b", file, table)
    assert done.new == dry.new > 0
    assert exported(tmp_path / "b", table) == text
    assert take_in_table(tmp_path / "b", file, table).new == 0


def test_a_table_of_a_spreadsheet_in_its_own_words(tmp_path: Path) -> None:
    text = (
        "\ufeffDate;Clock;Kind;Where;Volume (gal);Brix;Temp (F);By;Notes\r\n"
        "17.03.2027;6:30;sap;;120,5;1,9;;Ann;\r\n"
        "17.03.2027;18:00;gather;North;45 L;;;;\"half; ice\"\r\n"
        ";;;;;;;;\r\n"
        "18.03.2027;7:15 PM;draw;;1 1/2;66,8;212;;\r\n"
        ";;;;;;;;\r\n"
    )  # fmt: skip
    assert taken(tmp_path, text).new == 3
    sap, gather, draw = entries(tmp_path)
    assert (sap.kind, sap.place, sap.who, sap.source) == ("reading", "sap", "Ann", "import")
    assert sap.at_s == datetime(2027, 3, 17, 10, 30, tzinfo=UTC).timestamp()
    assert sap.value("volume") == pytest.approx(120.5 * GALLON_M3)
    assert sap.value("brix") == 1.9
    assert gather.place == "gathering:north"
    assert gather.value("volume") == pytest.approx(0.045)
    assert gather.words == {"note": "half; ice"}
    assert draw.at_s == datetime(2027, 3, 18, 23, 15, tzinfo=UTC).timestamp()
    assert draw.value("temperature") == pytest.approx(100.0)


def test_a_table_of_sentences(tmp_path: Path) -> None:
    text = 'time,what\n3/17/2027 6:30,"sap 31 gal 1.9, stock 20 gal 5.8"\n3/17/2027 7:00,lit\n'
    assert taken(tmp_path, text).new == 3
    assert [each.kind for each in entries(tmp_path)] == ["reading", "reading", "fire_lit"]
    assert taken(tmp_path, text).new == 0


def test_all_that_is_wrong_is_told_at_once_by_line_and_column(tmp_path: Path) -> None:
    text = (
        "date,time,kind,place,volume (gal),brix\n"
        "2027-03-17,6:30,sap,,120,1.9\n"
        "2027-03-17,25:00,sap,,120,1.9\n"
        "2027-03-14,2:30,saap,,12 psi,19\n"
        "2027-06-17,6:30,sap,,120,1.9\n"
        "2027-03-17,6:30,sap,,9000,19\n"
    )
    found = problems(tmp_path, text)
    wanted = [
        "table.csv line 3, column B",
        "table.csv line 4, column B",
        "table.csv line 4, column C",
        "table.csv line 4, column E",
        "table.csv line 5",
        "table.csv line 6, column E",
    ]
    assert len(found) == len(wanted)
    for place, told in zip(wanted, found, strict=True):
        assert told.startswith(place)
    assert "does not exist on 2027-03-14" in found[1]
    assert "is still to come" in found[4]


def test_words_may_have_a_key_a_time_of_entry_and_what_they_correct_beside_them(
    tmp_path: Path,
) -> None:
    text = (
        "key,entered,time,what,replaces\n"
        "first,2027-03-17 6:35,2027-03-17 6:30,sap 13 gal 1.9,\n"
        "second,2027-03-18 7:00,2027-03-17 6:30,sap 31 gal 1.9,first\n"
    )
    assert taken(tmp_path, text).new == 2
    (stands,) = entries(tmp_path)
    assert (stands.key, stands.replaces) == ("second", "first")
    assert stands.made_s - stands.at_s == 24.5 * 3600.0
    assert stands.value("volume") == pytest.approx(31 * GALLON_M3)
    assert taken(tmp_path, text).repeated == 2


def test_a_key_is_of_one_thing(tmp_path: Path) -> None:
    text = 'key,time,what\nk1,2027-03-17 6:30,"sap 31 gal 1.9, stock 20 gal 5.8"\n'
    (told,) = problems(tmp_path, text)
    assert "says 2 things" in told


def test_what_cannot_be_is_kept_when_the_person_is_sure(tmp_path: Path) -> None:
    text = "time,kind,volume (gal)\n2027-03-17 6:30,sap,9000\n"
    assert "more than the tank holds" in problems(tmp_path, text)[0]
    assert taken(tmp_path, text, sure=True).new == 1
    assert entries(tmp_path)[0].flags == ("doubtful",)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is empty"),
        ("kind,time,Kind\nsap,1,2\n", "stands over two columns"),
        ("kind,time,volume (gal),volume gal\n", "means the same"),
        ("kind,time,colours\n", "means nothing here"),
        ("time,volume (gal)\n", "name no column of what happened"),
        ('kind,time\n"sap,2027\n', "quotation mark"),
    ],
)
def test_titles_that_cannot_be_used(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        taken(tmp_path, text)


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("3/5/2027 6:30", "month first or day first. Write 2027-03-05 or 2027-05-03"),
        ("2027-02-30 6:30", "is no day of the calendar"),
        ("yesterday", "is no date that can be read"),
        ("2027-03-17", "needs a date and a clock time"),
    ],
)
def test_times_that_cannot_be_read(tmp_path: Path, cells: str, told: str) -> None:
    assert told in problems(tmp_path, f"time,kind\n{cells},lit\n")[0]


def test_one_row_settles_which_part_of_a_date_is_the_day(tmp_path: Path) -> None:
    assert day_first(["3/5/2027", "13/5/2027"]) is True
    assert day_first(["3/5/2027", "3/25/2027"]) is False
    assert day_first(["3/5/2027"]) is None
    taken(tmp_path, "time,kind\n3/4/2027 6:30,lit\n25/3/2027 6:30,lit\n")
    assert [datetime.fromtimestamp(each.at_s, ZONE).month for each in entries(tmp_path)] == [3, 4]


def test_a_thousand_in_a_table_with_decimal_commas_is_asked_about(tmp_path: Path) -> None:
    (told,) = problems(tmp_path, "time;kind;volume (L)\n2027-03-17 6:30;sap;1,200\n")
    assert "Write 1.200 or 1200" in told


def test_a_key_with_other_content_is_refused(tmp_path: Path) -> None:
    a_book(tmp_path)
    before = entries(tmp_path)
    text = exported(tmp_path).replace("31 gal", "32 gal")
    with pytest.raises(SheetProblemsError, match="says something else"):
        taken(tmp_path, text)
    assert entries(tmp_path) == before


def test_rows_that_say_the_same_are_all_kept_once(tmp_path: Path) -> None:
    text = "time,kind\n2027-03-17 6:30,stoke\n2027-03-17 6:30,stoke\n"
    assert taken(tmp_path, text).new == 2
    assert taken(tmp_path, text).new == 0


def test_a_dry_run_writes_nothing(tmp_path: Path) -> None:
    assert taken(tmp_path, "time,kind\n2027-03-17 6:30,lit\n", dry_run=True).new == 1
    assert entries(tmp_path) == ()


def test_a_season_on_paper(tmp_path: Path) -> None:
    text = (
        "date,sap gathered north (gal),sap Brix,syrup made (gal),wood burnt (cord),"
        "hours of fire (h),by,notes\n"
        "2027-03-17,40,2.1,1.1,0.2,5:30,Ann,warm\n"
        "2027-03-18,,,,,,,\n"
        "2027-03-19,0,,,,,,\n"
    )
    assert taken(tmp_path, text).new == 5
    gather, syrup, stoke, note, nothing = entries(tmp_path)
    midnight = datetime(2027, 3, 17, 4, 0, tzinfo=UTC).timestamp()  # of New York in summer time
    assert (gather.kind, gather.place) == ("gather", "gathering:north")
    assert (gather.begin_s, gather.at_s) == (midnight, midnight + 86340.0)
    assert gather.value("volume") == pytest.approx(40 * GALLON_M3)
    assert gather.value("brix") == 2.1
    assert syrup.value("volume") == pytest.approx(1.1 * GALLON_M3)
    assert stoke.value("duration") == 5.5 * 3600
    assert stoke.value("wood") == pytest.approx(0.2 * 3.624556363776)  # 128 ft3
    assert note.words == {"note": "warm"}
    assert nothing.value("volume") == 0.0
    assert {each.who for each in (gather, syrup, stoke, note)} == {"Ann"}
    assert taken(tmp_path, text).new == 0


def test_a_paper_mended_and_taken_in_again_counts_no_day_twice(tmp_path: Path) -> None:
    text = (
        "date,sap gathered north (gal),sap Brix,syrup made (gal)\n2027-03-17,40,2.1,1.1\n"
        "2027-03-18,30,2.0,1\n"
    )
    taken(tmp_path, text)
    mended = text.replace("40", "140")
    done = taken(tmp_path, mended)
    assert (done.new, done.corrected, done.repeated) == (1, 1, 3)
    gathered = [each.value("volume") for each in entries(tmp_path) if each.kind == "gather"]
    assert gathered == pytest.approx([140 * GALLON_M3, 30 * GALLON_M3])
    assert taken(tmp_path, mended).new == 0
    done = taken(tmp_path, text)  # the older paper again: the correction stays, and that is told
    assert (done.new, done.overruled) == (0, 1)
    gather = next(each for each in entries(tmp_path) if each.kind == "gather")
    assert gather.measures[1].typed == "2.1 Brix"


def test_a_table_taken_in_is_in_the_backup(tmp_path: Path) -> None:
    taken(tmp_path, "time,what\n2027-03-17 6:30,lit\n")
    taken(tmp_path, "time,what\n2027-03-17 9:30,stoke\n2027-03-17 11:30,fire out\n")
    for path in tmp_path.glob("logbook.db*"):
        path.unlink()
    assert restore(tmp_path).entries == 3


def test_the_empty_template_is_understood_and_says_nothing(tmp_path: Path) -> None:
    text = io.StringIO(newline="")
    write_template(HOUSE, text)
    assert "sap gathered north (gal)" in text.getvalue()
    done = taken(tmp_path, text.getvalue())
    assert (done.table, done.new) == ("paper", 0)


@pytest.mark.parametrize("time_s", [0.0, 1e9 + 1 / 3, 1793509200.5, 1793512800.0, 1.7e9 + 1e-7])
def test_an_instant_comes_back_from_its_cell(time_s: float) -> None:
    assert Dates(ZONE, None).instant_s(time_cell(time_s, ZONE)) == time_s


def test_letters_of_other_systems_are_read(tmp_path: Path) -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        file = tmp_path / f"{encoding}.csv"
        file.write_bytes("time,kind,note\r\n2027-03-17 6:30,lit,Érable\r\n".encode(encoding))
        assert read_sheet(file).rows[0].cells[2] == "Érable"


def test_what_is_no_table_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "picture.csv"
    file.write_bytes(b"\x89PNG\0\0")
    with pytest.raises(InputError, match="is no text"):
        read_sheet(file)
    file.write_bytes(b"a" * 2000)
    with pytest.raises(InputError, match="too large"):
        read_sheet(file, most_bytes=1000)
