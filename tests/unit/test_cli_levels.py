"""Readings of the command line become the levels that a run starts from."""

from __future__ import annotations

import pytest

from house_files import PUMPED, SMALL
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.errors import InputError
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.state import Levels
from sugarwright.plant.write_house import house_toml

GAL_M3 = 231 * 0.0254**3  # the US gallon is 231 cubic inches: NIST Handbook 44, appendix C
TWO_TANKS = """
[[gathering]]
name = "home"
taps = 20

[[gathering]]
name = "North side"
taps = 90
way = "trips"
[gathering.tank]
volume = "100 gal"
[gathering.trips]
"""


def test_a_gathering_tank_is_known_by_its_name() -> None:
    house = parse_house(house_toml(PUMPED) + TWO_TANKS, "invented")
    levels = read_levels(house, LevelTexts(gathered=["north side = 55 gal @ 2.3"]))
    assert [each.volume_m3 for each in levels.gathered] == [0.0, 0.0, pytest.approx(55 * GAL_M3)]
    assert levels.gathered[2].brix == 2.3
    both = read_levels(house, LevelTexts(gathered=["North side=55 gal", "main=10 gal"]))
    assert [each.volume_m3 / GAL_M3 for each in both.gathered] == pytest.approx([10.0, 0.0, 55.0])


def test_the_only_gathering_tank_needs_no_name() -> None:
    house = parse_house(house_toml(PUMPED), "invented")
    (found,) = read_levels(house, LevelTexts(gathered=["12 gal@1.5"])).gathered
    assert (found.volume_m3, found.brix) == (pytest.approx(12 * GAL_M3), 1.5)


def test_a_fire_takes_the_pan_s_strength_from_the_log_or_asks_for_it() -> None:
    house = parse_house(house_toml(SMALL), "invented")
    assert read_levels(house, LevelTexts(fire_on=True), Levels(pan_brix=7.0)).pan_brix == 7.0
    assert read_levels(house, LevelTexts(fire_on=True, pan_brix="9")).pan_brix == 9.0
    for known in (None, Levels(pan_brix=0.0)):
        with pytest.raises(InputError, match="--pan-brix: is needed with --fire-on"):
            read_levels(house, LevelTexts(fire_on=True), known)


def test_nothing_said_is_nothing_there() -> None:
    levels = read_levels(parse_house(house_toml(SMALL), "invented"), LevelTexts())
    assert levels.gathered == ()
    assert (levels.sap.volume_m3, levels.sap.brix) == (0.0, 2.0)
