"""When a tank is said to be full: by its middle, as its level is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plant_houses import GALLON_M3
from sugarwright.saying.standing import coming_texts, machine_texts
from sugarwright.twin.report import Band, MembraneNow, NowReport, PanNow, TankNow, When
from sugarwright.web.pages.standing_view import vessels_of

NOW_S = 1773975600.0
NOTHING = Band(0.0, 0.0, 0.0)
PAN = PanNow(0.0, 0.0, NOTHING, NOTHING, None, None, None, None, None, ())


def standing(middle_gal: float, full: When | None) -> NowReport:
    """An invented permeate tank of 275 gal, 255 gal of it sure."""
    volume = Band(255.0 * GALLON_M3, middle_gal * GALLON_M3, 275.0 * GALLON_M3)
    tank = TankNow(
        *("permeate", 275.0 * GALLON_M3, volume, NOTHING, NOTHING, NOTHING, NOTHING),
        *(full, None, None, ()),
    )
    return NowReport(
        *("Invented house", "America/New_York", "us", NOW_S, NOW_S + 172800.0, 1, NOW_S, NOW_S),
        *((tank,), None, PAN, NOTHING, NOTHING, NOTHING, NOTHING, "", None, (), (), ()),
    )


@pytest.mark.parametrize(("middle_gal", "chance", "told"), [
    (255.0, 0.3, "perhaps full already"),  # three in ten stand at the rim, and no more will
    (255.0, 0.7, "perhaps full already"),
    (275.0, 1.0, "full now"),
    (255.0, 0.05, ""),
])  # fmt: skip
def test_full_is_told_as_the_level_is(middle_gal: float, chance: float, told: str) -> None:
    report = standing(middle_gal, When(chance, NOW_S, NOW_S, NOW_S + 3600.0))
    (vessel,) = vessels_of(report, {})
    assert vessel.comes == ((told,) if told else ())
    assert coming_texts(report)[1:] == ([f"Permeate tank {told}."] if told else [])


def test_one_that_fills_later_is_told_with_its_hour() -> None:
    report = standing(255.0, When(0.7, NOW_S, NOW_S + 3600.0, NOW_S + 7200.0))
    (vessel,) = vessels_of(report, {})
    assert vessel.comes == ()
    assert vessel.left == "if nothing is done: full about Fri 00:00 (70% likely)"
    assert coming_texts(report)[1:] == [
        "If nothing is done, and what runs runs on:",
        "Permeate tank full Fri 00:00 (23:00 to Fri 01:00), 70 % likely.",
    ]


def test_what_is_so_now_waits_for_nobody_and_stands_before_what_comes() -> None:
    soon = When(1.0, NOW_S, NOW_S + 3600.0, NOW_S + 7200.0)
    full = standing(275.0, When(1.0, NOW_S, NOW_S, NOW_S))
    report = replace(full, tanks=(replace(full.tanks[0], empty=soon, spoiled=soon),))
    (vessel,) = vessels_of(report, {})
    assert vessel.comes == ("full now",)
    assert vessel.left == "if nothing is done: empty about Fri 00:00; spoiled about Fri 00:00"
    assert coming_texts(report)[1:3] == [
        "Permeate tank full now.",
        "If nothing is done, and what runs runs on:",
    ]


@pytest.mark.parametrize("stops_itself", [False, True])
def test_a_run_that_no_cutout_ends_is_to_be_stopped_by_hand(stops_itself: bool) -> None:
    stops = When(1.0, NOW_S + 1800.0, NOW_S + 3600.0, NOW_S + 7200.0)
    membrane = MembraneNow(
        *(1.0, 1e-5, None, None, Band(0.9, 0.9, 0.9), NOTHING, stops, None, None, None, ()),
        stops_itself=stops_itself,
    )
    told = machine_texts(replace(standing(255.0, None), membrane=membrane))
    by_hand = "Membrane to be stopped by hand Fri 00:00"
    assert any(each.startswith("Membrane stops") for each in told) == stops_itself
    assert any(each.startswith(by_hand) for each in told) != stops_itself
    assert any("does not stop itself" in each for each in told) != stops_itself
