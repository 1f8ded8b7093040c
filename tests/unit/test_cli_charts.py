"""``--chart`` on the command line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from command_line import frosty_days, make_house, refused, run

DAYS = ["--from", "2027-03-12", "--to", "2027-03-13"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = make_house(tmp_path_factory.mktemp("house"))
    (folder / "weather.csv").write_text(frosty_days(20))
    return folder


def test_simulate_draws_a_picture_and_says_so(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "days.svg"
    ran = run("simulate", folder, *DAYS, "--chart", file, "--json")
    assert ran.code == 0, ran
    assert ran.document["house"] == "Invented house"
    assert str(file) in ran.err.replace("\n", "")
    assert "as you work today, from 12 March 2027" in file.read_text(encoding="utf-8")


def test_simulate_draws_with_letters(folder: Path) -> None:
    out = run("simulate", folder, *DAYS, "--chart", "-").out
    assert max(map(len, out.splitlines())) <= 80
    for title in ("air, °F", "sap tank, gal", "stock tank, gal", "sap from the trees, by day, gal"):
        assert title in out
    drawn = out[out.index("sap from the trees") :]
    table = [line.split() for line in out.splitlines() if re.match(r"(Fri|Sat) \d\d Mar", line)]
    for name, row in zip(("Fri 12", "Sat 13"), table, strict=True):
        line = next(each for each in drawn.splitlines() if name in each)
        assert line.split()[-1] == row[6].replace("-", "0")


def test_what_cannot_be_drawn_is_refused_at_once(folder: Path) -> None:
    assert ".png or .svg" in refused("simulate", folder, *DAYS, "--chart", "week.gif")
    assert "beside --json" in run("simulate", folder, *DAYS, "--chart", "-", "--json").out
