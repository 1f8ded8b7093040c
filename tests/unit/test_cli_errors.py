"""Whatever a person gives: one message (or one document), exit code 2, never a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from command_line import COMMANDS, frosty_days, make_house, refused, run
from laws.test_house_fuzz import NO_TOML, NONSENSE
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.errors import InputError
from sugarwright.plant.read_house import read_house
from sugarwright.plant.state import Contents, Levels

WEATHER_NONSENSE = (
    b"",
    b"\n\n",
    b"time_utc,temperature_c\n",
    b"hello\n",
    b"\x00\xff\xfe\x80" * 50,
    b"time_utc,temperature_c\n2027-03-01T00:00Z,warm\n",
    b"time_utc,temperature_c\n2027-03-01T00:00Z,1e999\n",
    b"time_utc,temperature_c\n2027-03-01T00:00Z,-300\n",
    b"time_utc,temperature_c\n2027-02-30T00:00Z,1\n",
    b"time_utc,temperature\n2027-03-01T00:00Z,1\n",
    b"time_utc,temperature_c\n2027-03-01T00:00Z,1\n2027-03-01T00:00Z,1\n",
    b"time_utc,temperature_c\n2027-03-01T00:00Z,1\n2027-03-01T09:00Z,1\n",
    b"time_utc,temperature_c\n" + b'"' * 3000,
    b"# issued: yesterday\ntime_utc,temperature_c\n2027-03-01T00:00Z,1\n",
)
KEYS = ("taps = ", "volume = ", "boil_rate = ", "tapped = ", "timezone = ")


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_house(tmp_path_factory.mktemp("house"))


@pytest.mark.parametrize("command", ["check", "plan", "simulate"])
def test_a_folder_that_is_none(command: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    (tmp_path / "empty").mkdir()
    assert "is not there" in refused(command, tmp_path / "missing")
    assert "is a file" in refused(command, tmp_path / "file")
    assert "has no sugarhouse.toml" in refused(command, tmp_path / "empty")
    assert "cannot be looked into" in refused(command, "a" * 5000)
    assert refused(command, "nul\0byte")


@pytest.mark.parametrize("command", ["check", "plan", "simulate"])
def test_the_folder_left_out_is_where_one_stands(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert 'folder = "."' in refused(command)


def test_every_problem_of_a_house_is_a_line(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    text = (folder / "sugarhouse.toml").read_text()
    text = text.replace('"420 gal"', '"420 galons"').replace('"21 gal/h"', '"fast"')
    (folder / "sugarhouse.toml").write_text(text)
    lines = refused("check", folder).splitlines()
    assert len(lines) == 2
    assert all(line.startswith("sugarhouse.toml line ") for line in lines)
    document = run("check", folder, "--json")
    assert document.code == 2
    assert document.err == ""
    assert document.document["error"]["field"] == "tank.sap.volume"
    assert [each["field"] for each in document.document["more"]] == ["pan.boil_rate"]
    assert document.document["error"]["place"] in lines[0]


@pytest.mark.parametrize("command", [*COMMANDS, None])
def test_words_that_mean_nothing(command: str | None) -> None:
    words = [command] if command else []
    assert "--nonsense" in refused(*words, "--nonsense")
    document = run(*words, "--nonsense", "--json")
    assert document.code == 2
    if command:
        assert document.document["error"]["field"] == "--nonsense"


def test_a_mistyped_command_gets_a_hint() -> None:
    assert "Did you mean `sugarwright check`" in refused("chek")
    assert "Did you mean `sugarwright finish boil`" in refused("finish", "boill")
    assert "demo, new, check" in refused("xyzzy")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["plan", "--hours", "6"], '--hours = "6": is out of range; allowed: 12 to 120'),
        (["plan", "--hours", "abc"], '--hours = "abc": is no whole number; allowed: 12 to 120'),
        (["plan", "--hours=1e3"], "is no whole number"),
        (["plan", "--seed", "-1"], "allowed: 0 or more"),
        (["simulate", "--seed", "x"], '--seed = "x": is no whole number.'),
        (["simulate", "--fill-gaps", "99"], "allowed: 0 to 48. As in --fill-gaps 0"),
        (["plan", "--jsn"], "--jsn: is no option here. Did you mean --json"),
        (["plan", "--zzz"], "`sugarwright plan --help` lists them all"),
        (["plan", "--sap"], "--sap: needs a value after it"),
        (["check", "--json=3"], "--json: takes no value. Write --json alone"),
        (["check", "here", "there"], "is more than `sugarwright check` takes"),
        (["plan", "--sap", "212", "gal", "."], 'in quotes: --sap "212 gal"'),
        (["new"], "FOLDER: is needed. For example: `sugarwright new my-sugarhouse`"),
    ],
)
def test_a_command_line_that_cannot_be_read(words: list[str], told: str) -> None:
    message = refused(*words)
    assert told in message
    assert "\n" not in message.strip()
    document = run(words[0], "--json", *words[1:])
    assert document.code == 2
    assert document.document["error"]["problem"] in message


def test_a_long_message_is_broken_but_never_in_a_path(tmp_path: Path) -> None:
    path = tmp_path / ("no such folder " * 5).strip()
    ran = run("check", path)
    assert len(ran.err.splitlines()) > 1
    assert str(path)[-30:] in ran.err  # the rest may be cut out of its middle
    assert str(path)[-30:] in run("check", path, "--json").document["error"]["value"]
    lines = run("simulate", make_house(tmp_path / "h"), "--sap", "14 in").err.splitlines()
    assert len(lines) > 1
    assert max(map(len, lines)) <= 80
    assert all(line.startswith("  ") for line in lines[1:])


def test_the_file_may_stand_for_its_folder(house: Path, tmp_path: Path) -> None:
    file = house / "sugarhouse.toml"
    assert run("check", file).out == run("check", house).out
    assert f"save it as {house / 'weather.csv'}" in refused("plan", file)
    assert run("finish", "ratio", file).out == run("finish", "ratio", house).out
    assert "has no sugarhouse.toml in it" in refused("check", tmp_path / "sugarhouse.toml")


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("nonsense", NONSENSE + NO_TOML)
def test_nonsense_in_a_house(key: str, nonsense: str, tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    path = folder / "sugarhouse.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    number = next(i for i, line in enumerate(lines) if line.startswith(key))
    lines[number] = key + nonsense
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    message = refused("check", folder)
    assert f"sugarhouse.toml line {number + 1}:" in message or "nested too deep" in message
    assert run("check", folder, "--json").document["error"]["problem"]


@pytest.mark.parametrize("content", WEATHER_NONSENSE)
@pytest.mark.parametrize("command", ["simulate", "plan"])
def test_nonsense_in_a_weather_file(
    command: str, content: bytes, house: Path, tmp_path: Path
) -> None:
    file = tmp_path / "weather.csv"
    file.write_bytes(content)
    assert "weather.csv" in refused(command, house, "--weather", file)


@pytest.mark.parametrize("command", ["simulate", "plan"])
def test_weather_that_is_not_there(command: str, house: Path, tmp_path: Path) -> None:
    assert "--weather" in refused(command, house)
    assert "missing.csv" in refused(command, house, "--weather", tmp_path / "missing.csv")
    assert refused(command, house, "--weather", tmp_path)
    assert "C, F or K" in refused(command, house, "--temperature-unit", "R")
    assert "--fill-gaps" in refused(command, house, "--fill-gaps", "-3")
    local = tmp_path / "local.csv"
    local.write_text("time,temperature_c\n2027-03-01 00:00,1\n")
    told = refused(command, house, "--weather", local, "--zone", "nowhere")
    assert told.startswith('--zone = "nowhere": is no time zone')


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--sap", "500 gal"], "0 to 420 gal"),
        (["--sap", "-1 gal"], "0 to 420 gal"),
        (["--sap", "400"], "needs a unit"),
        (["--sap", "14 in"], "only the volume of this tank is known"),
        (["--sap", "galons"], "--sap"),
        (["--sap", "nan gal"], "--sap"),
        (["--sap-brix", "101"], "0.5 Brix to 8.0 Brix"),
        (["--sap-brix", "2"], '--sap-brix = "2": is of an empty sap tank'),
        (["--sap-age", "2 h"], 'Tell it as well, as in --sap "100 gal"'),
        (["--stock-age", "2 h"], '--stock-age = "2 h": is of an empty stock tank'),
        (["--stock", "30 gal", "--stock-brix", "900"], "0.5 Brix to 40.0 Brix"),
        (["--sap-brix", "19"], '0.5 Brix to 8.0 Brix. Did you mean "1.9"?'),
        (["--sap-brix", "0.2"], 'Did you mean "2"?'),
        (["--sap-brix", "0"], "0.5 Brix to 8.0 Brix.\n"),
        (["--stock", "30 gal", "--stock-brix", "80"], 'Did you mean "8"?'),
        (["--stock", "170 gal", "--stock-brix", "8"], "0 to 160 gal"),
        (["--permeate", "311 gal"], "0 to 310 gal"),
        (["--gathered", "20 gal"], "no gathering of this house has a tank"),
        (["--sap-age", "-2 h"], "--sap-age"),
        (["--stock", "30 gal"], "--stock-brix"),
        (["--pan-brix", "80"], "0.0 Brix to 66.9 Brix"),
        (["--pan-brix", "900"], "0.0 Brix to 66.9 Brix"),
        (["--pan-brix", "0", "--fire-on"], '--pan-brix = "0": says that the pan is empty'),
        (["--fire-on"], "--pan-brix: is needed with --fire-on; allowed: above 0 to 66.9 Brix"),
        (["--wood", "-1 cord"], "--wood"),
        (["--wood", "1104 cord"], "0 cord to 100 cords"),
        (["--condition", "150 %"], "5.0 % to 100 %"),
        (["--run-since-wash", "soon"], "--run-since-wash"),
    ],
)
@pytest.mark.parametrize("command", ["simulate", "plan"])
def test_levels_that_cannot_be(command: str, words: list[str], told: str, house: Path) -> None:
    assert told in refused(command, house, *words)


def test_an_empty_stock_tank_needs_no_strength(house: Path) -> None:
    read = read_house(house / "sugarhouse.toml")
    assert read_levels(read, LevelTexts(stock="0 gal")).stock.volume_m3 == 0.0
    with pytest.raises(InputError, match="is needed with --stock"):
        read_levels(read, LevelTexts(stock="1 gal"))
    told = read_levels(read, LevelTexts(sap="0 gal", sap_brix="3"))  # told to be empty
    assert (told.sap.volume_m3, told.sap.brix) == (0.0, 3.0)
    known = replace(Levels(), sap=Contents(0.3, 2.0))  # by the log
    assert read_levels(read, LevelTexts(sap_brix="3"), known).sap == Contents(0.3, 3.0)


def test_levels_of_what_the_house_lacks(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house", membrane="no")
    assert "no membrane" in refused("simulate", folder, "--permeate", "10 gal")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("main=241 gal", '--gathered = "main=241 gal": "241 gal": is not what this tank can hold'),
        ("main=1 in", '--gathered = "main=1 in": "1 in": only the volume'),
        ("main=241 gal", "0 to 240 gal"),
        ("main=20 gal@19", 'Did you mean "1.9"?'),
        ("north=20 gal", "names no gathering tank: north; allowed: main"),
        ("main=", "--gathered"),
        ("=20 gal", "names no gathering tank"),
        ("20 gal@", "--gathered"),
    ],
)
def test_gathering_tanks_that_cannot_be(text: str, told: str, tmp_path: Path) -> None:
    folder = make_house(tmp_path / "h", gathering__way="pump", gathering__tank__volume="240 gal")
    assert told in refused("simulate", folder, "--gathered", text)
    twice = ["--gathered", "20 gal", "--gathered", "MAIN=20 gal"]
    assert "told twice" in refused("simulate", folder, *twice)


def test_days_that_cannot_be_run(house: Path, tmp_path: Path) -> None:
    file = tmp_path / "weather.csv"
    file.write_text(frosty_days(6))
    give = ["simulate", house, "--weather", file]
    assert "is no date" in refused(*give, "--from", "tomorrow")
    assert "is no season of ours" in refused(*give, "--from", "0001-01-01")
    assert "end before they begin" in refused(*give, "--from", "2027-03-04", "--to", "2027-03-03")
    assert "are not all in the weather" in refused(*give, "--from", "2027-03-20")
    assert "are not all in the weather" in refused(*give, "--to", "2027-04-20")
    file.write_text(frosty_days(6, "2027-01-01"))
    assert "ends before tapping" in refused(*give)


# --- as a program of its own


def program(*words: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    code = "from sugarwright.cli.main import run; run()"
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        capture_output=True,
        check=False,
        env={**os.environ, **more},
    )


def test_the_program_refuses_with_2_and_shows_help_with_0(tmp_path: Path) -> None:
    wrong = program("check", str(tmp_path))
    assert wrong.returncode == 2
    assert wrong.stdout == b""
    assert b"Traceback" not in wrong.stderr
    assert program("--help").returncode == 0
    assert program("--version").stdout.startswith(b"sugarwright ")


def test_names_that_the_terminal_cannot_show(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house", site__name="Érablière du Québec")
    done = program("check", str(folder), PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 0, done.stderr
    assert b"rabli" in done.stdout


def test_a_reader_that_goes_away(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    reader, writer = os.pipe()
    os.close(reader)
    code = "from sugarwright.cli.main import run; run()"
    done = subprocess.run(
        [sys.executable, "-c", code, "check", str(folder), "--json"],
        stdout=writer,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(writer)
    assert b"Traceback" not in done.stderr
    assert b"Exception" not in done.stderr


@pytest.mark.parametrize("colour", [{}, {"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_no_escape_codes_in_a_pipe(tmp_path: Path, colour: dict[str, str]) -> None:
    folder = make_house(tmp_path / "house")
    assert b"\x1b" not in program("check", str(folder), **colour).stdout


def test_help_check_and_new_load_no_numpy(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    for words in (["--help"], ["check", str(folder)], ["new", str(folder), "--yes"]):
        code = (
            "import sys\nfrom sugarwright.cli.main import app\n"
            f"try: app({words!r})\nexcept SystemExit: pass\n"
            "sys.exit(bool({'numpy', 'numba'} & set(sys.modules)))"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
        assert done.returncode == 0, done.stderr
