"""The house description: what is read, what is refused and how, what is written."""

from __future__ import annotations

import dataclasses
import datetime
import tomllib
from pathlib import Path

import pytest

from house_files import ANSWERS, FETCHED, MINIMAL, PUMPED, SMALL, spelled_out, with_line
from sugarwright.errors import HouseFileError, InputError
from sugarwright.plant.fields import Nested, keys_of
from sugarwright.plant.house import House
from sugarwright.plant.house_notes import describe, shared_current_a, warnings, wood_lasts_s
from sugarwright.plant.house_reference import reference_page
from sugarwright.plant.questions import in_use, is_asked, questions, read_answers
from sugarwright.plant.read_house import HouseProblemsError, parse_house, read_house
from sugarwright.plant.toml_lines import line_of_each_key
from sugarwright.plant.write_house import house_toml

GALLON_M3 = 231 * 0.0254**3
FULL = house_toml(ANSWERS)


def problem_of(text: str) -> str:
    with pytest.raises(HouseFileError) as caught:
        parse_house(text)
    return str(caught.value)


def test_minimal_house_in_si() -> None:
    """1 US gallon is 231 cubic inches; $15/h and 60 % by definition."""
    house = parse_house(MINIMAL)
    assert house.site.longitude_deg == -71.9
    assert house.sap_tank.volume_m3 == pytest.approx(420 * GALLON_M3)
    assert house.pan.boil_rate_m3_s == pytest.approx(21 * GALLON_M3 / 3600)
    assert house.people[0].hour_money_s == pytest.approx(15 / 3600)
    assert house.people[0].weekdays == ((360, 480), (1020, 1290))
    assert house.trees.tapped == datetime.date(2027, 2, 20)
    assert house.keeping.tired_worth_fraction == pytest.approx(0.6)
    assert house.habit.fire_start == 17 * 60
    assert (house.membrane, house.stock_tank, house.permeate_tank) == (None, None, None)
    assert house.gathering[0].tank is None
    assert sum(house.pan.heat_share) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ("volume", 'volume = "500 galons"', 9, 'Did you mean "gal"?'),
        ("volume", 'volume = "0.5 gal"', 9, "1 gal to 50000 gal"),
        ("volume", "volume = 500", 9, "needs a unit"),
        ("volume", 'volume = "500 psi"', 9, "unit of pressure"),
        ("volume", 'volume = "500 gal"\nplase = "indoors"', 10, 'Did you mean "place"?'),
        ("volume", 'volume = "500 gal"\nplace = "indoor"', 10, 'Did you mean "indoors"?'),
        ("volume", 'shape = "box"', 8, "length"),
        ("volume", 'volume = "500 gal"\ndiameter = "60 in"', 10, "Check its shape"),
        ("volume", 'volume = "50 gal"\ndead_volume = "50 gal"', 10, "as much as the tank holds"),
        ("taps", "taps = 310.5", 7, "whole number"),
        ("taps", 'taps = "310"', 7, "without quotes"),
        ("taps", "taps = true", 7, "whole number"),
        ("taps", "taps = 0", 7, "1 to 20000"),
        ("taps", 'taps = 310\nway = "pump"', 6, "[gathering.pump]"),
        ("taps", "taps = 310\n[gathering.pump]", 8, "not used when way"),
        ("timezone", 'timezone = "America/New York"', 5, 'mean "America/New_York"'),
        ("latitude", "latitude = 91", 3, "too large"),
        ("name", "name = ''", 2, "1 to 60 characters"),
        ("name", "title = 'x'", 1, "site.name: is missing"),
        ("[[people]]", '[[people]]\nweekdays = ["22:00-02:00"]', 13, "midnight"),
        ("[[people]]", '[[people]]\nweekdays = ["6:00-9:00", "8:00-9:30"]', 13, "begins before"),
        ("[[people]]", '[[people]]\nweekdays = "6:00-9:00"', 13, "list"),
        ("[[people]]", '[[people]]\nname="a"\n[[people]]\nname="A"', 15, "another one too"),
        ("[[people]]", "[people]", 12, "[[people]]"),
        ("tapped", 'tapped = "2027-02-20"', 14, "no quotes"),
        ("tapped", "tapped = 1066-10-14", 14, "1990-01-01"),
        ("tapped", "tapped = 2027-02-20T07:00:00", 14, "no date"),
        ("tapped", "tapped = 2027-02-30", 14, "TOML"),
        ("boil_rate", 'boil_rate = "21 gal/h"\nheat_share = ["50 %", "40 %"]', 12, "5 compart"),
        ("boil_rate", 'boil_rate = "21 gal/h"\ndraw_volume = "2 gal"', 12, "last compartment"),
        ("boil_rate", 'boil_rate = "21 gal/h"\nreserve = "420 gal"', 12, "feeds the pan"),
        ("boil_rate", 'boil_rate = "21 gal/h"\nboil_rate = "21 gal/h"', 12, "overwrite"),
        ("boil_rate", "boil_rate = 21 gal/h", 11, 'in quotes: "21 gal/h"'),
        ("[pan]", "[pam]", 10, 'Did you mean "pan"?'),
        ("[pan]", "pan = 3\n[pam]", 10, "is no"),
        ("[trees]", "[keeping]\nwarn_log = 4.0\n[trees]", 14, "more than spoiled_log"),
        ("[trees]", '[tank.stock]\nvolume="9 gal"\n[trees]', 13, "without a [membrane]"),
        ("[trees]", '[[chore]]\nname="x"\nwhen="each boil"\nduration="3 min"\nper="1 gal"\n[trees]',
         17, "correct when"),
        ("[trees]", '[[chore]]\nname="x"\nwhen="each boil"\nduration="3 min"\npeople=2\n[trees]',
         17, "1 [[people]]"),
        ("[trees]", '[habit]\nfire_stock = "421 gal"\n[trees]', 14, "feeds the pan holds"),
        ("tapped", 'tapped = "2027', 14, "TOML"),
    ],
)  # fmt: skip
def test_each_mistake_is_told_with_its_line(old: str, new: str, line: int, told: str) -> None:
    message = problem_of(with_line(MINIMAL, old, new))
    assert f"sugarhouse.toml line {line}: " in message
    assert told in message


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("least_flow", 'least_flow = "3 gal/min"', "membrane.least_flow"),
        ("wash_volume", 'wash_volume = "311 gal"', "more than the permeate tank can give"),
        ("least_sap", 'least_sap = "420 gal"', "as much as the sap tank holds"),
        ("concentrate_flow", 'concentrate_flow = "2 gal/min"', "outside least_flow to most_flow"),
        ("membrane_sap", 'membrane_sap = "421 gal"', "more than the sap tank holds"),
        ("[tank.stock]", "[tank.stok]", "tank.stok: is no key known here"),
        ("compartments", 'compartments = ["5 gal", "2 gal"]', "5 shares for 2 compartments"),
        ("compartments", 'compartments = ["5 gal"]', "a list of 2 to 6"),
    ],
)
def test_contradictions_of_a_membrane_house(old: str, new: str, told: str) -> None:
    assert told in problem_of(with_line(FULL, old, new))


def test_heat_shares_must_be_the_whole() -> None:
    text = with_line(
        MINIMAL,
        "boil_rate",
        'boil_rate = "21 gal/h"\nheat_share = ["36 %", "30 %", "12 %", "12 %", "9 %"]',
    )
    assert "together 99 %, not 100 %" in problem_of(text)


def test_a_depth_table_must_rise() -> None:
    table = 'shape = "table"\ndepth_table = [["10 in", "90 gal"], ["9 in", "95 gal"]]'
    assert "row 2 is not deeper" in problem_of(with_line(MINIMAL, "volume", table))


def test_gathering_pump_must_start_below_the_rim() -> None:
    text = with_line(house_toml(PUMPED), "start_volume", 'start_volume = "241 gal"')
    assert "gathering.pump.start_volume" in problem_of(text)


def test_every_problem_is_told_in_one_go_in_the_order_of_the_file() -> None:
    text = MINIMAL.replace("310", "-3").replace("420 gal", "420 gil").replace("44.1", '"north"')
    with pytest.raises(HouseProblemsError) as caught:
        parse_house(text, "my.toml")
    places = [problem.place for problem in caught.value.problems]
    assert places == ["my.toml line 3", "my.toml line 7", "my.toml line 9"]
    assert len(str(caught.value).splitlines()) == 3


def test_at_most_twenty_problems_are_printed() -> None:
    text = MINIMAL + "".join(f"wrong_{i} = {i}\n" for i in range(30))
    lines = problem_of(text).splitlines()
    assert len(lines) == 21
    assert lines[-1] == "... and 10 more."


def test_a_fault_that_lies_in_a_default_shows_the_default() -> None:
    message = problem_of(MINIMAL.replace("420 gal", "50 gal"))
    assert 'habit.fire_stock = "60 gal" (the default)' in message


def test_ranges_are_told_in_the_units_of_the_house() -> None:
    metric = with_line(MINIMAL, "name", 'name = "x"\nunits = "metric"').replace("420 gal", "1 L")
    assert "3.8 L to 189,271 L" in problem_of(metric)


@pytest.mark.parametrize("missing", ["[pan]", "[[people]]", "[[gathering]]", "[trees]", "[site]"])
def test_a_missing_section_is_named(missing: str) -> None:
    lines = MINIMAL.splitlines()
    start = lines.index(missing)
    end = next((i for i in range(start + 1, len(lines)) if lines[i][0] == "["), len(lines))
    message = problem_of("\n".join(lines[:start] + lines[end:]))
    assert missing.strip("[]") in message


def test_files_that_are_none(tmp_path: Path) -> None:
    path = tmp_path / "sugarhouse.toml"
    for make, told in [
        (lambda: None, "is not there"),
        (lambda: path.write_bytes(b"[site]\nname = 'caf\xe9'\n"), "line 2: text: byte 0xe9"),
        (lambda: path.write_bytes(b"#" * 100_001), "too large"),
        (lambda: path.write_bytes(b""), "is missing"),
        (lambda: (path.unlink(), path.mkdir()), "is a folder"),
    ]:
        make()
        with pytest.raises(HouseFileError, match=told):
            read_house(path)


def test_a_file_saved_by_a_windows_editor_is_read(tmp_path: Path) -> None:
    """Byte order mark and CRLF; lines are counted the same."""
    path = tmp_path / "sugarhouse.toml"
    path.write_bytes(b"\xef\xbb\xbf" + MINIMAL.replace("\n", "\r\n").encode())
    assert read_house(path) == parse_house(MINIMAL)
    path.write_bytes(MINIMAL.replace("310", "-1").replace("\n", "\r\n").encode())
    with pytest.raises(HouseFileError, match="line 7"):
        read_house(path)


def test_display_units_change_no_value() -> None:
    us = parse_house(FULL)
    metric = parse_house(with_line(FULL, "units", 'units = "metric"'))
    assert dataclasses.replace(metric, site=us.site) == us


@pytest.mark.parametrize("answers", [ANSWERS, PUMPED, FETCHED, SMALL])
def test_defaults_said_aloud_change_nothing(answers: dict[str, str]) -> None:
    """Every commented-out default of the file is what counts when it is not said."""
    assert parse_house(spelled_out(answers)) == parse_house(house_toml(answers))


@pytest.mark.parametrize("answers", [ANSWERS, PUMPED, FETCHED, SMALL])
def test_metric_file_says_the_same_within_two_digits(answers: dict[str, str]) -> None:
    """Defaults are shown with two significant digits: at most 5 % apart."""
    us = tomllib.loads(spelled_out(answers))
    metric = tomllib.loads(spelled_out({**answers, "site.units": "metric"}))
    assert us.keys() == metric.keys()
    one, other = (parse_house(spelled_out({**answers, "site.units": u})) for u in ("us", "metric"))
    assert other.fire.heat_j_m3 == pytest.approx(one.fire.heat_j_m3, rel=0.05)
    assert other.pan.compartments_m3 == pytest.approx(one.pan.compartments_m3, rel=0.05)


def test_answers_are_read_back() -> None:
    house = parse_house(house_toml({**ANSWERS, "people.hour": "$22/h", "fire.efficiency": "45%"}))
    assert house.people[0].hour_money_s == pytest.approx(22 / 3600)
    assert house.fire.efficiency_fraction == pytest.approx(0.45)
    assert house.stock_tank is not None
    assert house.stock_tank.volume_m3 == pytest.approx(160 * GALLON_M3)


def test_the_file_teaches_every_key_and_every_caution() -> None:
    text = house_toml(PUMPED)
    for section in (key.spec for key in keys_of(House)):
        assert isinstance(section, Nested)
        for key in keys_of(section.section):
            assert f"{key.path[0]} = " in text or isinstance(key.spec, Nested)
    for caution in ("Never leave a lit pan", "cleaner's label", "Ground-fault", "carbon monoxide"):
        assert caution in text.replace("\n# ! ", " ")
    assert "placeholder" in text


def test_questions_are_few_and_fit_the_house() -> None:
    answers = read_answers(SMALL)
    asked = [question.path for question in questions() if is_asked(question, answers)]
    assert 10 <= len(asked) <= 16
    assert "membrane.in_parallel" not in asked
    assert not in_use("tank.stock", answers)
    order = [question.path for question in questions()]
    assert order.index("membrane") < order.index("tank.stock.volume")
    assert order.index("gathering.way") < order.index("gathering.tank.volume")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"pan.boil_rate": "fast"}, "pan.boil_rate"),
        ({"pan.boil": "3 gal/h"}, 'Did you mean "pan.boil_rate"?'),
        ({"membrane": "perhaps"}, "membrane"),
        ({"gathering.way": "pump"}, "gathering.tank.volume"),
        ({"membrane.wash_volume": "500 gal"}, "permeate tank"),
    ],
)
def test_bad_answers_are_refused_before_a_file_is_written(
    change: dict[str, str], told: str
) -> None:
    with pytest.raises(InputError) as caught:
        house_toml({**ANSWERS, **change})
    assert told in str(caught.value)


def test_a_scaled_house_keeps_the_proportions() -> None:
    """A pan half as fast holds half as much in each compartment, to two digits."""
    slow, fast = (
        parse_house(house_toml({**ANSWERS, "pan.boil_rate": rate})).pan
        for rate in ("12.5 gal/h", "25 gal/h")
    )
    doubled = [2 * volume for volume in slow.compartments_m3]
    assert doubled == pytest.approx(list(fast.compartments_m3), rel=0.05)


def test_the_plant_as_understood() -> None:
    house = parse_house(FULL)
    text = "\n".join(describe(house))
    assert "310 taps" in text
    assert "420 gal" in text
    assert "21 gal/h" in text
    # 5 * (2 + 4.5) + 2 * 14.5 hours
    assert "62 h a week" in text
    assert warnings(house) == ()


def test_wood_hours_by_hand() -> None:
    """3 cords of 20 million BTU at 40 % against 9,515 BTU a gallon of 40 F sap to steam
    (IAPWS-95 latent heat, computed with CoolProp 8): 24e6 / 9515 / 21 = 120 h."""  # noqa: D209
    assert wood_lasts_s(parse_house(FULL)) / 3600 == pytest.approx(120.1, rel=0.01)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("motor_current", 'motor_current = "21 A"', "cannot all run at once"),
        ("in_parallel", "in_parallel = 1\nunattended = true", "low_flow_cutout"),
        ("floor_area", 'floor_area = "40 ft2"', "check boil_rate and floor_area"),
        ("wash_volume", 'wash_volume = "300 gal"', "a rinse and a wash"),
        ("weekdays", "weekdays = []", ""),
        ("reserve", 'reserve = "150 gal"', "less than an hour of boiling"),
    ],
)
def test_what_looks_odd_is_warned_of(old: str, new: str, told: str) -> None:
    found = "\n".join(warnings(parse_house(with_line(FULL, old, new))))
    assert told in found
    assert bool(found) == bool(told)


def test_a_house_without_hours_is_warned_of() -> None:
    text = with_line(MINIMAL, "[[people]]", "[[people]]\nweekdays = []\nweekends = []")
    assert "nobody gives any hours" in warnings(parse_house(text))[0]


def test_the_shared_circuit_counts_membrane_and_pump() -> None:
    house = parse_house(house_toml(PUMPED))
    assert shared_current_a(house) == pytest.approx(10 + 8)


def test_the_reference_page_is_current() -> None:
    page = Path(__file__).parents[2] / "docs" / "sugarhouse.md"
    assert page.read_text(encoding="utf-8") == reference_page(), (
        "run python -m sugarwright.plant.house_reference > docs/sugarhouse.md"
    )


TRICKY = '''\
# [not.a.table]
"a b".c = 1
text = """
[fake]
key = 1 # "
\\""" still
""""
list = [ # [x]
  "]", [1, 2],
  \'\'\'y = 2
\'\'\' ]
inline = { a = 1, b = { c = "}" } }
[ t . 'u=v' ]
k = 'is # not'
[[w]]
[w.x]
y = 1
[[w]]
y.z = 2
'''


def test_lines_are_found_through_strings_lists_and_quoted_keys() -> None:
    """Line numbers counted by hand."""
    tomllib.loads(TRICKY)
    lines = line_of_each_key(TRICKY)
    assert lines[("a b", "c")] == 2
    assert lines[("text",)] == 3
    assert lines[("list",)] == 8
    assert lines[("inline",)] == 12
    assert lines[("t", "u=v")] == 13
    assert lines[("t", "u=v", "k")] == 14
    assert lines[("w", 0, "x", "y")] == 17
    assert lines[("w", 1, "y", "z")] == 19
    assert ("fake",) not in lines
    assert ("y",) not in lines
