"""The array form says what the scalar form says."""

import inspect
import subprocess
import sys

import numpy as np
import pytest

from sugarwright.errors import RangeError
from sugarwright.physics.arrays import array_form
from sugarwright.physics.boiling import brix_from_boiling_point
from sugarwright.physics.keeping import growth_rate_per_s
from sugarwright.physics.solution import density_kg_m3


def test_each_element_is_the_scalar_answer():
    brix, temperature_c = np.linspace(0.0, 85.0, 7)[:, None], np.linspace(-5.0, 110.0, 5)
    table = array_form(density_kg_m3)(brix, temperature_c)
    assert table.shape == (7, 5)
    for (row, column), value in np.ndenumerate(table):
        assert value == density_kg_m3(brix[row, 0], temperature_c[column])


def test_a_first_answer_that_is_whole_does_not_make_them_all_whole():
    # NumPy would take the type from the first element
    rates = array_form(growth_rate_per_s)([-10, 4], 0.03, -6)
    assert rates.dtype == np.float64
    assert rates[1] == growth_rate_per_s(4, 0.03, -6) > 0.0


def test_keywords_empties_and_single_numbers():
    form = array_form(density_kg_m3)
    assert form(temperature_c=[20.0], brix=2.0) == [density_kg_m3(2.0, 20.0)]
    assert form([], 20.0).shape == (0,)
    assert form(2.0, 20.0).shape == ()


@pytest.mark.parametrize("bad", [90.0, float("nan")])
def test_one_bad_element_is_the_named_error(bad):
    with pytest.raises(RangeError, match="brix"):
        array_form(density_kg_m3)([2.0, bad], 20.0)
    with pytest.raises(RangeError, match="no answer"):
        array_form(brix_from_boiling_point)([104.0, 99.0], 101325.0)


def test_it_keeps_name_and_signature_but_is_no_formula_itself():
    form = array_form(density_kg_m3)
    assert form.__name__ == "density_kg_m3"
    assert list(inspect.signature(form).parameters) == ["brix", "temperature_c"]
    assert not hasattr(form, "core")


def test_formulas_need_no_numpy():
    code = "import sys, sugarwright.physics.boiling as b; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
