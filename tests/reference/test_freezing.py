"""Ice in a tank: mass balances by hand, and the properties of ice by IAPWS."""

import pytest
from iapws import IAPWS95
from iapws._iapws import _Ice

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.activity import freezing_point_c
from sugarwright.physics.freezing import (
    FUSION_J_KG,
    ICE_DENSITY_KG_M3,
    brix_in_ice_water,
    ice_fraction,
    ice_from_heat_kg,
    ice_thickness_m,
    pumpable_volume_m3,
    unfrozen_brix,
)
from sugarwright.physics.solution import density_kg_m3

# CRC Handbook, 102nd ed., aqueous sucrose: freezing point [°C]: mass %
CRC_FROZEN = {-0.29: 5.0, -0.63: 10.0, -1.01: 15.0, -1.47: 20.0, -2.64: 30.0, -4.45: 40.0}


@sources.CRC_SUCROSE
@pytest.mark.parametrize(("temperature_c", "brix"), CRC_FROZEN.items())
def test_liquid_beside_ice(temperature_c, brix):
    # the table's two decimals are 0.09 Brix in the dilute, the law's own 0.045 K are 0.33 at 30
    assert brix_in_ice_water(temperature_c) == pytest.approx(brix, abs=0.35)


@sources.ICE_BALANCE
@pytest.mark.parametrize(
    ("brix", "ice", "ice_brix", "left"),
    [(2.0, 0.20, 0.3, 2.425), (2.0, 0.20, 0.0, 2.5), (2.0, 0.5, 0.0, 4.0), (3.0, 0.25, 0.6, 3.8)],
)
def test_what_is_left_is_stronger(brix, ice, ice_brix, left):
    # (b - f i) / (1 - f); the first: 100 gal of 2.0 with a fifth of it ice of 0.3
    assert unfrozen_brix(brix, ice, ice_brix) == pytest.approx(left, rel=1e-12)


@sources.ICE_BALANCE
def test_ice_thrown_away_takes_little_sugar():
    # 0.2 x 0.3 of 2.0: 3.0 % of the sugar
    kept = unfrozen_brix(2.0, 0.20, 0.3) * 0.80 / 2.0
    assert 1.0 - kept == pytest.approx(0.030, rel=1e-12)


def test_sugar_and_water_balance():
    # of 1 m³: liquid and ice together have the mass and the sugar of before
    brix, ice, ice_brix = 2.4, 0.35, 0.2
    whole_kg = density_kg_m3(brix, 0.0)
    liquid_brix = unfrozen_brix(brix, ice, ice_brix)
    liquid_kg = pumpable_volume_m3(1.0, brix, ice, ice_brix) * density_kg_m3(liquid_brix, 0.0)
    assert liquid_kg == pytest.approx(whole_kg * (1.0 - ice), rel=1e-12)
    sugar_kg = liquid_kg * liquid_brix + whole_kg * ice * ice_brix
    assert sugar_kg == pytest.approx(whole_kg * brix, rel=1e-12)


@pytest.mark.parametrize("ice", [0.05, 0.2, 0.5, 0.8])
def test_temperature_tells_how_much_is_ice(ice):
    # pure ice: what is left freezes where its strength says
    temperature_c = freezing_point_c(unfrozen_brix(2.0, ice, 0.0))
    assert ice_fraction(2.0, temperature_c) == pytest.approx(ice, abs=1e-6)


def test_no_ice_above_the_freezing_point():
    assert ice_fraction(2.0, -0.05) == 0.0
    assert ice_fraction(0.0, -0.05) == pytest.approx(1.0)
    assert brix_in_ice_water(0.0) == pytest.approx(0.0, abs=1e-9)


@sources.ICE_RELEASE
@pytest.mark.parametrize("quantity", ["density", "fusion"])
def test_ice_of_the_release(quantity):
    ice = _Ice(273.1525, 0.101325)
    if quantity == "density":
        assert pytest.approx(ice["rho"], abs=0.05) == ICE_DENSITY_KG_M3
    else:
        water = IAPWS95(T=273.1525, P=0.101325)
        assert pytest.approx((water.h - ice["h"]) * 1e3, rel=2e-4) == FUSION_J_KG


def test_a_night_of_frost():
    # a kilowatt for ten hours: 36 MJ, 108 kg; on 1.2 m² a sheet of 98 mm
    ice_kg = ice_from_heat_kg(36e6)
    assert ice_kg == pytest.approx(36e6 / 333.4e3)
    assert ice_thickness_m(ice_kg, 1.2) == pytest.approx(0.098, abs=5e-4)


def test_more_sugar_in_the_ice_than_there_is_is_refused():
    with pytest.raises(RangeError, match="no answer"):
        unfrozen_brix(1.0, 0.5, 3.0)
    with pytest.raises(RangeError, match="no answer"):
        pumpable_volume_m3(1.0, 1.0, 0.5, 3.0)
