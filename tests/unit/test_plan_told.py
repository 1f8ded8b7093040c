"""What a plan is told on the command line, beside what its log says: an invented house's."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

import web_folder
from command_line import run
from planning_cases import quick
from sugarwright.planning.weathers import OTHERS, SEARCHED

MORNING = ("--now", "2026-03-19 06:10", "--hours", "24", "--no-keep")
TURNED = ("--now", "2026-03-22 06:10", "--hours", "24", "--no-keep")


@pytest.fixture(scope="module", autouse=True)
def _small() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder whose log holds two days, the last reading of which cannot be believed."""
    made = tmp_path_factory.mktemp("told")
    web_folder.write_house(made)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(web_folder, "SAID", (*web_folder.SAID, ("2026-03-19 06:00", "sap 90 gal")))
        web_folder.write_log(made)
    return made


def _plan(folder: Path, *words: str) -> str:
    ran = run("plan", folder, *words)
    assert ran.code == 0, ran.err
    return " ".join(ran.out.split())


def test_a_reading_that_is_not_believed_is_named_with_what_to_do(folder: Path) -> None:
    told = _plan(folder, *MORNING)
    assert "the sap tank was last read 05:00 ! not believed: sap 90 gal at 06:00: by what" in told
    assert "it would be 2" in told
    assert "Read it again, log it, and plan again" in told
    document = run("plan", folder, *MORNING, "--json").document
    (found,) = document["standing"]["questioned"]
    assert (found["place"], found["quantity"], found["typed"]) == ("sap", "volume", "90 gal")
    assert "not believed" not in _plan(folder, *MORNING, "--sap", "90 gal")  # told again, it counts


def test_a_message_names_a_reading_that_is_not_believed(folder: Path) -> None:
    text = _plan(folder, *MORNING, "--text")
    assert text.startswith("Thursday: Not believed, read again: sap 90 gal at 06:00. ")
    assert "believed" not in _plan(folder, *MORNING, "--sap", "90 gal", "--text")


@pytest.mark.parametrize(
    ("module", "asked", "told"),
    [("plan_print", (), "planning: about a thousand plans"),
     ("plan_asked", ("--if", "no fire"), "planning 2 times, each time about a thousand plans")],
)  # fmt: skip
def test_whoever_waits_is_told_in_how_many_weathers(
    folder: Path, monkeypatch: pytest.MonkeyPatch, module: str, asked: tuple[str, ...], told: str
) -> None:
    terminal = SimpleNamespace(stderr=SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr(f"sugarwright.cli.{module}.sys", terminal)
    ran = run("plan", folder, *MORNING, *asked)
    assert ran.code == 0, ran.err
    weathers = f"each in up to {SEARCHED} weathers, the best ones in up to {SEARCHED + OTHERS}"
    assert f"{told}, {weathers}" in " ".join(ran.err.split())


def test_what_has_turned_says_by_whose_word(folder: Path) -> None:
    told = _plan(folder, *TURNED, "--stock", "60 gal", "--sap", "100 gal", "--sap-age", "20 d")
    assert "the sap in the tank has turned by what you tell of its age: it is dumped" in told
    assert re.search(r"the concentrate has turned, since by the log it is [56]\.\d days old", told)
    assert "plan again with --stock-age" in told
    assert "the concentrate" not in _plan(
        folder, *TURNED, "--stock", "60 gal", "--stock-age", "2 h"
    )


def test_what_is_told_to_run_is_said_back(folder: Path) -> None:
    idle = run("plan", folder, *MORNING).out
    assert "the membrane runs" not in idle
    told = _plan(folder, *MORNING, "--membrane-on", "--fire-on")  # the pan's strength is in the log
    assert "; the membrane runs; the fire burns" in told


@pytest.mark.parametrize(("gallons", "when"), [(135, "at once, at 14:00"), (130, r"about 14:\d\d")])
def test_a_membrane_that_is_told_to_run_has_no_stop_in_the_log(
    folder: Path, gallons: int, when: str
) -> None:
    """Its tank is full at once or soon, with nobody there; the log says nothing of a rinse."""
    full = ("--now", "2026-03-19 14:00", "--hours", "24", "--no-keep", "--stock", f"{gallons} gal")
    told = _plan(folder, *full, "--stock-brix", "5", "--membrane-on")
    assert re.search(f"it is expected to stop {when}, with nobody there to rinse it", told)
    assert "by the log it was not rinsed" not in told
