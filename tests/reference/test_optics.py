"""Refractive index and refractometer correction against OIV, ISO and CRC tables."""

import pytest

import sources
from sugarwright.physics.optics import refractive_index, refractometer_correction_brix
from sugarwright.physics.solution import density_kg_m3

# OIV table II at 20 °C and 589 nm, as annex IV of a French decree of 2012 prints it
OIV_INDEX = {
    10.0: 1.34782, 10.5: 1.34860, 11: 1.34937, 12: 1.35093, 13: 1.35250, 14: 1.35408, 15: 1.35568,
    25: 1.37233, 26: 1.37407, 28: 1.37758, 29: 1.37936, 30: 1.38115,
}  # fmt: skip

# ICUMSA 1974 (from memory)
ICUMSA_INDEX = {
    5: 1.34026, 20: 1.36384, 35: 1.39032, 40: 1.39986, 45: 1.40978, 50: 1.42009,
    55: 1.43080, 60: 1.44193, 65: 1.45348, 70: 1.46546, 75: 1.47787, 80: 1.49071, 85: 1.50398,
}  # fmt: skip

# CRC Handbook, 102nd ed., four decimals
CRC_INDEX = {
    0.5: 1.3337, 1: 1.3344, 2: 1.3359, 3: 1.3373, 4: 1.3388, 5: 1.3403, 8: 1.3448, 12: 1.3509,
    18: 1.3606, 24: 1.3706, 36: 1.3922, 50: 1.4201, 60: 1.4419, 70: 1.4654, 80: 1.4906,
}  # fmt: skip

# OIV table I, to add to the reading: °C, then at 10, 15, 20, 25, 30, 40, 50, 60, 65, 70 %
OIV_STRENGTHS = (10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 65.0, 70.0)
OIV_CORRECTION = {
    10: (-0.59, -0.62, -0.65, -0.67, -0.69, -0.72, -0.74, -0.75, -0.75, -0.75),
    12: (-0.49, -0.51, -0.53, -0.55, -0.56, -0.58, -0.60, -0.61, -0.61, -0.60),
    14: (-0.38, -0.39, -0.40, -0.42, -0.43, -0.44, -0.45, -0.46, -0.46, -0.46),
    15: (-0.32, -0.33, -0.34, -0.35, -0.36, -0.37, -0.38, -0.38, -0.38, -0.38),
    16: (-0.26, -0.27, -0.28, -0.28, -0.29, -0.30, -0.31, -0.31, -0.31, -0.31),
}


@sources.OIV_INDEX
@pytest.mark.parametrize(("brix", "index"), OIV_INDEX.items())
def test_index_of_the_oiv_table(brix, index):
    # five decimals; 1e-5 is 0.004 Brix at syrup strength
    assert refractive_index(brix) == pytest.approx(index, abs=1.1e-5)


@sources.ICUMSA_INDEX
@pytest.mark.parametrize(("brix", "index"), ICUMSA_INDEX.items())
def test_index_on_the_icumsa_scale(brix, index):
    assert refractive_index(brix) == pytest.approx(index, abs=1.1e-5)


@sources.ISO_1743
def test_index_of_water():
    # 1.33299 at 20 °C, as the Russian edition of ISO 1743 prints it
    assert refractive_index(0.0) == pytest.approx(1.33299, abs=1e-5)


@sources.CRC_SUCROSE
@pytest.mark.parametrize(("brix", "index"), CRC_INDEX.items())
def test_index_of_the_crc_handbook(brix, index):
    # rounding 5e-5; at 80 % the handbook parts from ICUMSA by 1.1e-4
    assert refractive_index(brix) == pytest.approx(index, abs=1.5e-4)


@sources.OIV_CORRECTION
@pytest.mark.parametrize("temperature_c", OIV_CORRECTION)
@pytest.mark.parametrize("column", range(len(OIV_STRENGTHS)), ids=map(str, OIV_STRENGTHS))
def test_correction_of_the_oiv_table(temperature_c, column):
    # two decimals printed
    found = refractometer_correction_brix(OIV_STRENGTHS[column], float(temperature_c))
    assert found == pytest.approx(OIV_CORRECTION[temperature_c][column], abs=0.012)


@sources.OIV_CORRECTION
@pytest.mark.parametrize(
    ("brix", "correction"), [(10, -0.82), (15, -0.87), (20, -0.92), (30, -0.99)]
)
def test_correction_at_5_c(brix, correction):
    # OIV table I, its coldest row, outside the rows that were fitted
    assert refractometer_correction_brix(brix, 5.0) == pytest.approx(correction, abs=0.05)


@sources.ICUMSA_WARM
@pytest.mark.parametrize(
    ("temperature_c", "brix", "correction"),
    [(25.0, 10.0, 0.36), (25.0, 66.9, 0.40), (30.0, 10.0, 0.77), (30.0, 66.9, 0.81)],
)
def test_correction_above_20_c(temperature_c, brix, correction):
    # international table (from memory): the fitted rows are all below 20 °C
    found = refractometer_correction_brix(brix, temperature_c)
    assert found == pytest.approx(correction, abs=0.03)


def test_nothing_to_correct_at_20_c():
    assert refractometer_correction_brix(66.9, 20.0) == 0.0


@pytest.mark.parametrize(("brix", "temperature_c"), [(15.0, 10.0), (50.0, 10.0), (66.9, 28.0)])
def test_correction_from_density_alone(brix, temperature_c):
    # Lorentz-Lorenz: the specific refraction of a solution keeps, so a warm drop bends light as its
    # density says; the index is then read on the 20 °C scale. A sanity check, good to 0.15 Brix.
    index = refractive_index(brix)
    refraction = (index**2 - 1.0) / (index**2 + 2.0) / density_kg_m3(brix, 20.0)
    scaled = refraction * density_kg_m3(brix, temperature_c)
    warm_index = ((1.0 + 2.0 * scaled) / (1.0 - scaled)) ** 0.5
    slope = refractive_index(brix + 0.5) - refractive_index(brix - 0.5)
    reading = brix + (warm_index - index) / slope
    found = refractometer_correction_brix(reading, temperature_c)
    assert reading + found == pytest.approx(brix, abs=0.15)
