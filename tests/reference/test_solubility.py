"""Solubility of sucrose against a printed table."""

import pytest

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.solubility import crystals_below_c, solubility_brix

# Mohos (2010), table A2.3, after Sokolovsky (1958): °C: mass %
SOKOLOVSKY = {0: 64.18, 10: 65.58, 20: 67.09, 30: 68.7, 40: 70.42, 50: 72.25, 60: 74.18, 70: 76.22,
              80: 78.36, 90: 80.84, 100: 82.97}  # fmt: skip


@sources.MOHOS_SOLUBILITY
@pytest.mark.parametrize(("temperature_c", "brix"), SOKOLOVSKY.items())
def test_solubility(temperature_c, brix):
    # two evaluations of the same old measurements; they part by up to 0.4, and the table's own
    # steps at 90 °C show its scatter (2.48 then 2.13)
    assert solubility_brix(float(temperature_c)) == pytest.approx(brix, abs=0.45)


@pytest.mark.parametrize("temperature_c", [0.5, 4.0, 20.0, 60.0, 99.0])
def test_crystals_begin_where_it_is_saturated(temperature_c):
    found = crystals_below_c(solubility_brix(temperature_c))
    assert found == pytest.approx(temperature_c, abs=1e-6)


def test_thin_syrup_never_crystallises():
    with pytest.raises(RangeError, match="brix"):
        crystals_below_c(60.0)
