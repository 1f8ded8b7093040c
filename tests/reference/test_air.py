"""Air pressure against the U.S. Standard Atmosphere 1976 and the hydrostatic equation."""

import math

import pytest
from fluids.atmosphere import ATMOSPHERE_1976

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.air import standard_pressure_pa, station_pressure_pa


@sources.ATMOSPHERE
@pytest.mark.parametrize("elevation_m", [-400.0, 0.0, 100.0, 300.0, 500.0, 800.0, 1000.0, 1500.0])
def test_standard_pressure(elevation_m):
    # the library's heights are geometric, the formula's geopotential: 4 Pa apart at 1500 m
    expected = ATMOSPHERE_1976(elevation_m).P
    assert standard_pressure_pa(elevation_m) == pytest.approx(expected, abs=5.0)


@pytest.mark.parametrize("elevation_m", [50.0, 150.0, 300.0, 600.0, 750.0])
def test_the_standard_atmosphere_comes_back_from_its_own_sea_level(elevation_m):
    # WMO's constant is 0.06 % off g/(R ln 10), so 6 Pa at 750 m
    outdoors_c = 15.0 - 0.0065 * elevation_m
    found = station_pressure_pa(101325.0, elevation_m, outdoors_c)
    assert found == pytest.approx(standard_pressure_pa(elevation_m), abs=8.0)


@sources.HYDROSTATIC
@pytest.mark.parametrize("temperature_c", [-20.0, 0.0, 15.0])
def test_station_pressure_is_the_hydrostatic_one(temperature_c):
    # dry column with a lapse of 6.5 K/km, integrated exactly: p = p0 (T / T0)^(g / (R lapse))
    elevation_m, kelvin = 400.0, temperature_c + 273.15
    exponent = 9.80665 / (287.05287 * 0.0065)
    exact = 102500.0 * (kelvin / (kelvin + 0.0065 * elevation_m)) ** exponent
    assert station_pressure_pa(102500.0, elevation_m, temperature_c) == pytest.approx(
        exact, abs=8.0
    )


def test_a_cold_day_has_the_heavier_column():
    assert station_pressure_pa(101e3, 500.0, -10.0) < station_pressure_pa(101e3, 500.0, 10.0)


def test_at_sea_level_nothing_is_undone():
    assert station_pressure_pa(100.7e3, 0.0, -3.0) == 100.7e3


def test_a_pressure_in_hectopascal_is_refused_by_name():
    with pytest.raises(RangeError, match="sea_level_pressure_pa"):
        station_pressure_pa(1013.25, 300.0, 4.0)
    assert math.isfinite(station_pressure_pa(101325.0, 300.0, 4.0))
