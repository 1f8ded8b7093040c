"""``sugarwright sensor`` as people meet it."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from command_line import refused, run
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensor_register import sensors_in
from twin_cases import HOUSE

DEPTH = ("--place", "sap", "--measures", "depth", "--unit", "mm", "--sd", "10 mm")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    return tmp_path


def test_added_listed_shown_given_a_token_and_removed(folder: Path) -> None:
    at = ("--folder", str(folder))
    first = run("sensor", "add", "sap-level", *DEPTH, *at, "--json").document["token"]
    with Logbook.open(folder) as book:
        assert sensors_in(book)["sap-level"].admits(first)
        book.add_sensor("sap-level", [(time.time() - 120.0, 0.305)])
    assert "305 mm" in run("sensor", "list", *at).out
    assert (
        run("sensor", "show", "sap-level", *at, "--json").document["readings"][0]["value"] == 0.305
    )
    second = run("sensor", "token", "sap-level", *at, "--json").document["token"]
    with Logbook.open(folder) as book:
        found = sensors_in(book)["sap-level"]
    assert found.admits(second)
    assert not found.admits(first)
    run("sensor", "remove", "sap-level", *at)
    assert "No sensors" in run("sensor", "list", *at).out


def test_what_does_not_fit_the_house_is_refused(folder: Path) -> None:
    at = ("--folder", str(folder))
    stock = ("--place", "stock", *DEPTH[2:])
    assert "no known shape" in refused("sensor", "add", "s", *stock, *at)
    bad = ("--place", "sap", "--measures", "depth", "--unit", "gal", "--sd", "1 gal")
    assert refused("sensor", "add", "s", *bad, *at)
    run("sensor", "add", "s", *DEPTH, *at)
    assert "there already" in refused("sensor", "add", "s", *DEPTH, *at)
    assert "is no sensor" in refused("sensor", "show", "other", *at)


def test_degrees_of_uncertainty_are_a_difference(folder: Path) -> None:
    at = ("--folder", str(folder))
    warm = ("--place", "sap", "--measures", "temperature", "--unit", "F", "--sd", "1.8 F")
    run("sensor", "add", "sap-warm", *warm, *at)
    with Logbook.open(folder) as book:
        assert sensors_in(book)["sap-warm"].sd == pytest.approx(1.0)
