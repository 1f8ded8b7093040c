"""Gatherings: read from a maker's table and from two published layouts, cleaned, learnt from.

All rows are invented. The layouts are those of Harvard Forest HF285 (J. Rapp, E. Crone and others,
EDI, doi 10.6073/pasta/7c2ddd7b75680980d84478011c5fbba9) and of the ACERnet release
(doi 10.5066/P9H65YCC): column names as published.
"""

from __future__ import annotations

import importlib
import re
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from command_line import frosty_days, make_house, refused, run
from sugarwright.errors import InputError
from sugarwright.learning.expected import Emptied, Expected
from sugarwright.learning.gathering_file import read_gatherings, with_begins
from sugarwright.learning.gatherings import Gathering, ready_to_learn
from sugarwright.learning.sweetness import learn_brix
from sugarwright.logbook.store import open_store
from sugarwright.logbook.trees import TREES, trees_of

ZONE = "America/New_York"
GALLON_M3 = 3.785411784e-3  # NIST Handbook 44
ROOT = Path(__file__).resolve().parents[2]


def local_s(*date: int) -> float:
    return datetime(*date, tzinfo=ZoneInfo(ZONE)).timestamp()  # type: ignore[misc]


def written(folder: Path, text: str) -> Path:
    path = folder / "gatherings.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_own_layout(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        "# invented\n"
        "date,volume_gal,taps,flags,brix\n"
        "2027-03-02,100,300,,2.1\n"
        "2027-03-03,,,,\n"
        "2027-03-04 07:30,50 L,290,ice; not emptied,\n",
    )
    first, second = read_gatherings(path, ZONE)
    assert first.end_s == local_s(2027, 3, 2, 16)
    assert first.volume_m3 == pytest.approx(100 * GALLON_M3)
    assert (first.taps, first.brix) == (300.0, 2.1)
    assert second.end_s == local_s(2027, 3, 4, 7, 30)
    assert second.volume_m3 == pytest.approx(0.05)
    assert second.flags == {"ice", "not_emptied"}


def test_harvard_forest_layout(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        "date,time,tree,tap,species,sugar,sap.wt\n"
        "2012-03-01,15:00,HF1,A,ACSA,2.0,4.0\n"
        "2012-03-01,15:30,HF1,B,ACSA,3.0,2.0\n"
        "2012-03-01,15:30,HF2,A,ACRU,NA,NA\n"
        "2012-03-03,,HF1,A,ACSA,2.5,1.0\n",
    )
    first, second = read_gatherings(path, ZONE)
    # A kilogram of sap is a litre less some 0.8 % of sugar (within 1 %, and less than water's).
    assert first.volume_m3 == pytest.approx(0.006, rel=0.01)
    assert first.volume_m3 < 0.006
    assert (first.taps, first.brix) == (2.0, pytest.approx((4 * 2.0 + 2 * 3.0) / 6))
    assert first.end_s == local_s(2012, 3, 1, 15, 30)
    assert second.end_s == local_s(2012, 3, 3, 16)


def test_acernet_layout(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        "Site,Site.ID,Date,Year,Tree,Tap,Species,Sugar,Sap.Wt\n"
        "North,N,2014-03-20,2014,1,A,ACSA,2.2,3.0\n"
        "South,S,2014-03-21,2014,1,A,ACSA,1.8,5.0\n",
    )
    (only,) = read_gatherings(path, ZONE, site="South")
    assert only.volume_m3 == pytest.approx(0.005, rel=0.01)
    assert only.brix == pytest.approx(1.8)
    with pytest.raises(InputError, match="several sites"):
        read_gatherings(path, ZONE)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no row"),
        ("date,depth\n2027-03-02,4\n", 'no column "volume"'),
        ("date,volume\n2027-03-02,4\n", "line 2, column 2"),
        ("date,volume_gal\n2027-03-02,lots\n", "line 2, column 2"),
        ("date,volume_gal\nsoon,4\n", "line 2, column 1"),
        ("date,volume_gal\n2027-03-03,4\n2027-03-02,4\n", "line 3, column 1"),
        ("date,volume_gal,flags\n2027-03-03,4,spilt\n", "line 2, column 3"),
        ("date,volume_gal,brix\n2027-03-03,4,66\n", "line 2, column 3"),
        ("date,volume_gal,taps\n2027-03-03,4,none of them\n", "line 2, column 3"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as refusal:
        read_gatherings(written(tmp_path, text), ZONE)
    assert said in str(refusal.value)


def test_begins_follow_from_the_gathering_before(tmp_path: Path) -> None:
    path = written(tmp_path, "date,volume_gal\n2027-03-02,9\n2027-03-03,8\n")
    came = read_gatherings(path, ZONE)
    tapped_s = local_s(2027, 2, 20, 12)
    known = with_begins(came, tapped_s, 310.0)
    assert [each.begin_s for each in known] == [tapped_s, came[0].end_s]
    (second,) = with_begins(came, None, 310.0)
    assert second.volume_m3 == pytest.approx(8 * GALLON_M3)


def test_flags_decide_what_is_learnt_from() -> None:
    def one(day: int, volume_m3: float, **flags: bool) -> Gathering:
        return Gathering((day - 1) * 86400.0, day * 86400.0, volume_m3, 100.0, **flags)

    ready, notes = ready_to_learn(
        [
            one(1, 0.1),
            one(2, 0.2, not_emptied=True),
            one(3, 0.3, overflow=True),
            one(4, 0.4, ice=True),
            one(5, 0.5, not_emptied=True),
        ]
    )
    assert [each.volume_m3 for each in ready] == [0.1, pytest.approx(0.5)]
    assert ready[1].begin_s == 86400.0
    assert ready[1].overflow
    assert len(notes) == 4


def test_brix_of_one_reading_is_the_textbook_mean() -> None:
    # Two normals: the mean weighted by precisions (any textbook of statistics).
    gathering = Gathering(0.0, 86400.0, 1.0, 100.0, brix=2.6)
    places = np.zeros(1, dtype=np.int64)
    emptied = Emptied(np.ones((1, 2, 1)), np.ones(1), places, places + 1, np.array([100.0]))
    brix = np.array([[2.1]])  # 0.1 below start
    expected = Expected(np.ones((1, 1)), np.ones((1, 1, 1)), brix, emptied)
    mean, sd, count = learn_brix([gathering], expected, 2.0, 0.25)
    reading, noise = 2.7, 0.12**2 + 0.1**2
    assert mean == pytest.approx((2.0 / 0.0625 + reading / noise) / (1 / 0.0625 + 1 / noise))
    assert sd == pytest.approx((1 / 0.0625 + 1 / noise) ** -0.5)
    assert count == 1


# --- the command


@pytest.fixture
def house(tmp_path: Path) -> Path:
    folder = make_house(tmp_path / "house", trees__tapped="2027-03-05")
    (folder / "weather.csv").write_text(frosty_days(28), encoding="utf-8")
    rows = [f"2027-03-{day:02d},900,2.4" for day in range(7, 27, 2)]
    text = "\n".join(["date,volume_gal,brix", *rows]) + "\n"
    (folder / "gatherings.csv").write_text(text, encoding="utf-8")
    return folder


def test_learning_is_kept_and_taken_back(house: Path) -> None:
    file = house / "gatherings.csv"
    dry = run("learn", "trees", house, "--gatherings", file, "--dry-run", "--json").document
    assert open_store(house, make=False).knowledge(TREES) is None
    assert not dry["written"]
    done = run("learn", "trees", house, "--gatherings", file)
    assert done.code == 0
    assert "Season 2027: 10 gatherings" in done.out
    assert "8 chances in 10" in done.out
    assert "What would teach most now" in done.out
    assert "slowly on purpose" in done.out
    (fit,) = trees_of(open_store(house).knowledge(TREES))
    assert fit.yield_factor == pytest.approx(dry["lessons"][0]["after"]["yield_factor"])
    assert fit.yield_sd_log < 0.35
    assert fit.sap_brix > 2.0
    again = run("learn", "trees", house, "--gatherings", file, "--json").document
    # Learning the same season again starts from the seasons before: nothing counts twice.
    assert again["lessons"][0]["after"]["yield_sd_log"] == pytest.approx(fit.yield_sd_log)
    assert again["fits"] == 2
    assert run("learn", "trees", house, "--undo").code == 0


def test_refusals_leave_what_was_learnt_alone(house: Path) -> None:
    assert "no gathering of the logbook" in refused("learn", "trees", house)
    assert "no fit" in refused("learn", "trees", house, "--undo")
    late = written(house, "date,volume_gal\n2029-03-03,4\n2029-03-04,4\n")
    assert "does not reach" in refused("learn", "trees", house, "--gatherings", late)
    assert open_store(house, make=False).knowledge(TREES) is None


# --- the page of scores


def test_page_shows_the_scores_that_the_program_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    scoring = importlib.import_module("score_gatherings")
    text = scoring.PAGE.read_text(encoding="utf-8")
    number = r"[-+]?\d+\.\d"
    for begin, end, lines in scoring.TABLES:
        shown = text.split(begin)[1].split(end)[0].strip()
        made = "\n".join(lines())
        assert re.sub(number, "#", shown) == re.sub(number, "#", made)
        # One in the last digit: sums of floats differ a little between machines.
        np.testing.assert_allclose(
            [float(x) for x in re.findall(number, shown)],
            [float(x) for x in re.findall(number, made)],
            atol=0.101,
        )
