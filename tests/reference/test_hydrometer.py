"""Hydrometer correction against published state tables for syrup."""

import pytest

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.hydrometer import brix_from_hydrometer, hydrometer_reading_brix

CALIBRATED_C = (60.0 - 32.0) / 1.8

# "36 Bé, modulus 145 = 66.9 Brix at 60 °F": state chart as reproduced on public pages, °F: Brix.
# A straight line in steps of a quarter Baumé, so a smooth law bulges 0.33 above it at 100-130 °F.
STATE_66_9 = {
    209: 59.0, 202: 59.6, 193: 60.0, 185: 60.4, 176: 60.9, 167: 61.4, 158: 61.8, 149: 62.3,
    140: 62.8, 130: 63.3, 120: 63.8, 110: 64.3, 100: 64.8, 90: 65.4, 80: 65.9, 70: 66.4, 60: 66.9,
    50: 67.4,
}  # fmt: skip

# The like for 66.0 Brix
CHART_66_0 = {209: 58.0, 202: 58.5, 193: 59.0, 185: 59.5, 180: 59.7, 176: 60.0, 167: 60.5,
              158: 61.0, 149: 61.5}  # fmt: skip


# Brix hydrometers of 20 °C, to add to the reading, at 5, 10, 20, 30 and 40 (from memory)
NBS_STRENGTHS = (5.0, 10.0, 20.0, 30.0, 40.0)
NBS_CORRECTION = {
    10: (-0.38, -0.43, -0.52, -0.60, -0.67),
    15: (-0.22, -0.24, -0.28, -0.32, -0.34),
    25: (0.27, 0.29, 0.32, 0.35, 0.38),
}


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


@sources.STATE_66_9
@pytest.mark.parametrize(("fahrenheit", "reading"), STATE_66_9.items())
def test_reading_in_syrup_of_66_9(fahrenheit, reading):
    found = hydrometer_reading_brix(66.9, celsius(fahrenheit), CALIBRATED_C)
    assert found == pytest.approx(reading, abs=0.35)


@sources.CHART_66_0
@pytest.mark.parametrize(("fahrenheit", "reading"), CHART_66_0.items())
def test_reading_in_syrup_of_66_0(fahrenheit, reading):
    found = hydrometer_reading_brix(66.0, celsius(fahrenheit), CALIBRATED_C)
    assert found == pytest.approx(reading, abs=0.35)


@sources.NBS_HYDROMETER
@pytest.mark.parametrize("temperature_c", NBS_CORRECTION)
@pytest.mark.parametrize("column", range(len(NBS_STRENGTHS)), ids=map(str, NBS_STRENGTHS))
def test_correction_of_the_bureau_of_standards(temperature_c, column):
    # two decimals, of measurements of 1900 and a glass of its own: 0.03 is a tenth of a scale mark
    reading = NBS_STRENGTHS[column]
    found = brix_from_hydrometer(reading, float(temperature_c), 20.0) - reading
    assert found == pytest.approx(NBS_CORRECTION[temperature_c][column], abs=0.03)


@sources.HOT_CUP
def test_hot_test_mark():
    # State-calibrated cups: 59.1 Brix (32.1 Bé) at 211 °F for 66.9. Without the swelling of the
    # glass the law would say 58.55, outside this tolerance.
    assert hydrometer_reading_brix(66.9, celsius(211.0), CALIBRATED_C) == pytest.approx(
        59.1, abs=0.15
    )


@sources.SAP_HYDROMETER
@pytest.mark.parametrize(
    ("fahrenheit", "calibrated_f", "reading"),
    [(38.0, 68.0, 2.39), (38.0, 60.0, 2.20), (80.0, 68.0, 1.62), (80.0, 60.0, 1.43)],
)
def test_sap_hydrometer(fahrenheit, calibrated_f, reading):
    # true 2.0 Brix, computed independently with the same density; two decimals
    found = hydrometer_reading_brix(2.0, celsius(fahrenheit), celsius(calibrated_f))
    assert found == pytest.approx(reading, abs=0.01)


@pytest.mark.parametrize("fahrenheit", [40.0, 60.0, 120.0, 211.0])
def test_correction_undoes_the_reading(fahrenheit):
    reading = hydrometer_reading_brix(66.9, celsius(fahrenheit), CALIBRATED_C)
    found = brix_from_hydrometer(reading, celsius(fahrenheit), CALIBRATED_C)
    assert found == pytest.approx(66.9, abs=1e-9)


def test_a_reading_off_the_scale_is_refused():
    with pytest.raises(RangeError, match="no answer"):
        hydrometer_reading_brix(0.1, 60.0, 20.0)
    with pytest.raises(RangeError, match="no answer"):
        brix_from_hydrometer(0.0, 4.0, 20.0)
