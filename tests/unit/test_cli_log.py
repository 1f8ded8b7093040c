"""The logbook from the command line: words in, what was understood out, and the way back."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from command_line import make_house, refused, run
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return make_house(tmp_path / "house")


def standing(house: Path) -> tuple[Entry, ...]:
    with Logbook.open(house) as book:
        return book.entries()


def log(house: Path, words: str, *options: str) -> str:
    ran = run("log", *words.split(), "--folder", house, *options)
    assert ran.code == 0, ran
    return ran.out


def test_words_need_no_quotes_and_are_said_back(house: Path) -> None:
    out = log(house, "sap 120 gal 1.9 at 0:00")
    assert "sap tank: 120 gal, 1.9 Brix" in out
    assert "log undo" in out
    (entry,) = standing(house)
    assert out.startswith(entry.key[:4])
    assert entry.value("brix") == 1.9


def test_another_year_and_the_day_of_each_end_are_said_back(house: Path) -> None:
    assert "3 March 2021 06:00  fire lit" in log(house, "lit 3 March 2021 6:00")
    out = log(house, "stoke from 2021-03-03 22:30 to 0:30")
    assert "3 March 22:30 to Thursday 4 March 2021 00:30  wood put on" in out


def test_a_negative_number_is_no_option(house: Path) -> None:
    log(house, "air -2C")
    assert standing(house)[0].value("temperature") == -2.0


@pytest.mark.parametrize("words", ["--sure sap 120 gal 19", "sap --sure 120 gal 19"])
def test_options_stand_anywhere(house: Path, words: str) -> None:
    assert "doubtful" in log(house, words)


def test_an_option_that_is_none_is_refused_but_a_note_may_hold_anything(house: Path) -> None:
    assert "--shure: is no option here" in refused("log", "lit", "--shure", "--folder", house)
    log(house, "lit note see --sure-thing")
    assert standing(house)[0].words == {"note": "see --sure-thing"}


def test_what_is_not_understood_keeps_nothing(house: Path) -> None:
    assert 'Did you mean "1.9"' in refused("log", "sap", "120", "gal", "19", "--folder", house)
    assert 'Did you mean "stoke" or "stock"' in refused("log", "stok", "3gal", "--folder", house)
    assert not (house / "logbook.db").exists()


def test_a_refusal_as_a_document(house: Path) -> None:
    ran = run("log", "sap", "19", "--folder", house, "--json")
    assert ran.code == 2
    assert ran.document["error"]["problem"] == "needs its unit"


def test_json_holds_what_was_understood(house: Path) -> None:
    ran = run("log", "--json", "draw", "1.5gal", "66.8", "--folder", house)
    (line,) = ran.document["entries"]
    assert line["kind"] == "draw"
    assert [each["quantity"] for each in line["measures"]] == ["volume", "brix"]
    assert line["measures"][1]["value"] == 66.8


def test_undo_takes_back_a_command_then_the_one_before(house: Path) -> None:
    log(house, "sap 120 gal")
    log(house, "stock 20 gal 5.8, lit")
    out = run("log", "undo", house).out
    assert "stock tank" in out
    assert "fire lit" in out
    assert [each.place for each in standing(house)] == ["sap"]
    run("log", "undo", house)
    assert standing(house) == ()
    assert "no entry left to take back" in refused("log", "undo", house)


def test_undoing_a_correction_brings_the_old_entry_back(house: Path) -> None:
    log(house, "sap 120 gal at 0:00")
    key = standing(house)[0].key
    run("log", "correct", key[:6], "sap", "130", "gal", "--folder", house)
    assert "stands again" in run("log", "undo", house).out
    (entry,) = standing(house)
    assert entry.measures[0].typed == "120 gal"
    run("log", "undo", house)
    assert standing(house) == ()


def test_a_correction_keeps_the_time_and_shows_what_was(house: Path) -> None:
    log(house, "sap 120 gal at 0:00 by Ann")
    (old,) = standing(house)
    out = run("log", "correct", old.key[:4], "sap", "130", "gal", "--folder", house).out
    assert "was: sap tank: 120 gal" in out
    (new,) = standing(house)
    assert (new.at_s, new.who, new.measures[0].typed) == (old.at_s, "Ann", "130 gal")
    shown = run("log", "show", house).out
    assert "130 gal (corrected, by Ann)" in shown
    assert "was: sap tank: 120 gal" in shown


def test_a_correction_of_the_time_alone(house: Path) -> None:
    log(house, "sap 120 gal 1.9 yesterday 6:00")
    (old,) = standing(house)
    run("log", "correct", old.key[:4], "yesterday", "6:40", "--folder", house)
    (new,) = standing(house)
    assert new.at_s == old.at_s + 40 * 60
    assert new.measures == old.measures


def test_a_correction_of_one_value_keeps_the_others_and_goes_on_from_what_stands(
    house: Path,
) -> None:
    log(house, "sap 120 gal 1.8 ice at 0:00")
    key = standing(house)[0].key
    for words in ("1.9", "130 gal", "38 F"):
        run("log", "correct", key, *words.split(), "--folder", house)
    (entry,) = standing(house)
    assert [each.typed for each in entry.measures] == ["130 gal", "1.9 Brix", "38 F"]
    assert entry.flags == ("ice",)
    run("log", "correct", key, "14", "in", "--folder", house)
    assert [each.quantity for each in standing(house)[0].measures] == [
        "brix", "temperature", "depth"
    ]  # fmt: skip
    assert "needs its unit" in refused("log", "correct", key, "15", "--folder", house)


def test_a_correction_of_the_time_says_which_it_was(house: Path) -> None:
    log(house, "lit at 0:00")
    ran = run("log", "correct", standing(house)[0].key, "yesterday", "23:10", "--folder", house)
    assert "was: 00:00  fire lit" in ran.out


def test_an_entry_is_taken_back_by_its_key(house: Path) -> None:
    log(house, "lit yesterday 6:00")
    log(house, "sap 120 gal")
    key = standing(house)[0].key
    run("log", "correct", key[:4], "nothing", "--folder", house)
    assert [each.kind for each in standing(house)] == ["reading"]
    assert "no longer stands" in run("log", "show", house, "--all").out
    assert "fire lit" not in run("log", "show", house).out


def test_a_key_that_is_none_or_several(house: Path) -> None:
    for _ in range(17):  # two of seventeen begin alike
        log(house, "stoke")
    assert "is the key of no entry" in refused("log", "correct", "zz", "lit", "--folder", house)
    first = [each.key[0] for each in standing(house)]
    twice = next(letter for letter in first if first.count(letter) > 1)
    assert "several entries" in refused("log", "correct", twice, "lit", "--folder", house)


def test_the_book_by_day_kind_and_place(house: Path) -> None:
    log(house, "sap 120 gal yesterday 6:00, stock 20 gal 5.8 yesterday 7:00")
    log(house, "lit at 0:00")
    lines = run("log", "show", house, "--from", "yesterday", "--to", "yesterday", "--json").document
    assert [line["place"] for line in lines["lines"]] == ["sap", "stock"]
    only = run("log", "show", house, "--kind", "lit", "--json").document
    assert [line["kind"] for line in only["lines"]] == ["fire_lit"]
    only = run("log", "show", house, "--place", "stock", "--json").document
    assert [line["place"] for line in only["lines"]] == ["stock"]
    assert "is no kind of entry" in refused("log", "show", house, "--kind", "boil")
    assert "is no time" in refused("log", "show", house, "--from", "soon")


def test_no_book_yet(house: Path) -> None:
    assert "is not there" in refused("log", "show", house)


def test_a_book_goes_out_and_comes_in(house: Path, tmp_path: Path) -> None:
    log(house, "sap 120 gal 1.9, lit at 0:00 note =1+1")
    file = tmp_path / "book.csv"
    assert "2 lines" in run("log", "export", file, "--folder", house).out
    assert "is there already" in refused("log", "export", file, "--folder", house)
    other = make_house(tmp_path / "other")
    assert "would be taken in: 2 new" in run("log", "import", file, other, "--dry-run").out
    assert not (other / "logbook.db").exists()
    assert run("log", "import", file, other, "--json").document["new"] == 2
    assert standing(other) == standing(house)
    assert (
        run("log", "export", "--folder", other).out == run("log", "export", "--folder", house).out
    )
    houses = tmp_path / "houses.csv"
    run("log", "export", houses, "--table", "houses", "--folder", house)
    assert run("log", "import", houses, other, "--json").document["table"] == "houses"


def test_a_season_on_paper_comes_in(house: Path, tmp_path: Path) -> None:
    file = tmp_path / "paper.csv"
    assert "Fill it in" in run("log", "paper", file, house).out
    text = file.read_text(encoding="utf-8-sig").splitlines()
    day = text[1].partition(",")[0]
    rows = [text[0], f"{day},40,2.1" + "," * (text[0].count(",") - 2)]
    file.write_text("\n".join(rows), encoding="utf-8")
    ran = run("log", "import", file, house)
    if "2027" in day and ran.code == 2:  # the invented house is tapped in a spring to come
        assert "is still to come" in ran.err
        file.write_text("\n".join(rows).replace(day, "2026-03-01"), encoding="utf-8")
        ran = run("log", "import", file, house)
    assert "1 new" in ran.out
    assert standing(house)[0].kind == "gather"


def test_problems_of_a_table_as_text_and_as_a_document(house: Path, tmp_path: Path) -> None:
    file = tmp_path / "bad.csv"
    file.write_text("time,kind\nsoon,lit\n2026-03-01 6:00,lid\n", encoding="utf-8")
    told = refused("log", "import", file, house)
    assert "bad.csv line 2, column A" in told
    assert "bad.csv line 3, column B" in told
    document = run("log", "import", file, house, "--json").document
    assert [document["error"]["place"], document["more"][0]["place"]] == [
        "bad.csv line 2, column A",
        "bad.csv line 3, column B",
    ]


def test_a_sound_book_and_a_backup(house: Path) -> None:
    log(house, "lit")
    assert "is sound: 1 lines" in run("log", "check", house).out
    file = Path(run("log", "backup", house, "--json").document["file"])
    assert file.exists()


def test_a_damaged_book_is_told_and_put_right(house: Path) -> None:
    log(house, "lit at 0:00")
    run("log", "backup", house)
    file = house / "logbook.db"
    file.write_bytes(b"no logbook" * 2000)
    for beside in ("logbook.db-wal", "logbook.db-shm"):
        (house / beside).unlink(missing_ok=True)
    assert "log restore" in refused("log", "show", house)
    document = run("log", "restore", house, "--json").document
    assert Path(document["aside"]).exists()
    assert document["entries"] == 1
    assert [each.kind for each in standing(house)] == ["fire_lit"]
    file.write_bytes(b"no logbook" * 2000)
    out = " ".join(run("log", "restore", house).out.split())
    assert "How many more it held cannot be read" in out
    assert "The logbook holds 1 lines now" in out


def test_logging_loads_no_arrays_and_no_toolkit(house: Path) -> None:
    """Start-up is what a person waits for; these take longer than all else together."""
    run("log", "lit", "--folder", house)  # so that the file is there
    code = (
        "import sys; from sugarwright.cli.main import app\n"
        "try: app(['log', 'sap', '120gal', '1.9', '--folder', sys.argv[1]], prog_name='x')\n"
        "except SystemExit as end: assert not end.code\n"
        "heavy = {'numpy', 'numba', 'scipy', 'sqlalchemy', 'alembic', 'httpx', 'rich'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(house)], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"
