"""The operating map against the full model, which is the only truth it can have."""

import math

import numpy as np
import pytest

from sugarwright.errors import RangeError
from sugarwright.physics.membrane import operating_point
from sugarwright.plant.jit import compiled
from sugarwright.plant.least_squares import least_squares
from sugarwright.plant.membrane_machine import Machine, full_point
from sugarwright.plant.membrane_map import (
    ERROR_LIMIT_FRACTION,
    build_map,
    inside,
    map_point,
)

GAL_H = 3.785411784e-3 / 3600.0
LITRE_M2_H = 1e-3 / 3600.0


def machine(bar, recirculation_gal_h, series, area_m2, **others):
    usual = Machine(
        exit_pressure_pa=bar * 1e5,
        recirculation_flow_m3_s=recirculation_gal_h * GAL_H,
        elements_in_series=series,
        trains_in_parallel=1.0,
        element_area_m2=area_m2,
        element_length_m=0.9,
        spacer_height_m=0.71e-3,
        spacer_porosity=0.89,
        permeability_25_m_s_pa=5.0 * LITRE_M2_H / 1e5,
        sugar_permeability_m_s=0.02 * LITRE_M2_H,
        film_factor=1.0,
        friction_factor_multiplier=1.0,
        cells_per_element=4.0,
    )
    return usual._replace(**others)


# Invented machines, from a small one run straight through to four elements at high pressure.
MACHINES = {
    "two small, no loop": (machine(8.3, 0.0, 2.0, 2.6), (10.0 * GAL_H, 60.0 * GAL_H)),
    "one large, loop": (machine(13.8, 240.0, 1.0, 7.6), (8.0 * GAL_H, 60.0 * GAL_H)),
    "four, strong": (machine(25.0, 120.0, 4.0, 2.6), (10.0 * GAL_H, 60.0 * GAL_H)),
    "loose": (
        machine(8.0, 240.0, 1.0, 7.6, sugar_permeability_m_s=5.0 * LITRE_M2_H),
        (8.0 * GAL_H, 60.0 * GAL_H),
    ),
    "weak pump": (machine(1.4, 0.0, 1.0, 2.6), (5.0 * GAL_H, 60.0 * GAL_H)),
}


@pytest.fixture(scope="module", params=MACHINES)
def built(request):
    return build_map(*MACHINES[request.param])


@pytest.fixture(scope="module")
def usual():
    return build_map(*MACHINES["one large, loop"])


def middle_of(found):
    sides = (found.flow_m3_s, found.brix, found.temperature_c, found.condition_fraction)
    return tuple(0.5 * (low + high) for low, high in sides)


def test_within_its_stated_error_at_random_points(built):
    """0.2 % of permeate, 2 % of the little sugar that passes: what the simulator is promised."""
    assert built.usable
    assert built.error_fraction <= ERROR_LIMIT_FRACTION
    sides = (built.flow_m3_s, built.brix, built.temperature_c, built.condition_fraction)
    low, high = np.array(sides).T
    chance = np.random.default_rng(20260319)
    for point in (low + (high - low) * chance.random((150, 4))).tolist():
        assert inside(built.coefficients, *point)
        permeate, passed = map_point(built.coefficients, *point)
        full = full_point(built.machine, *point)
        assert permeate == pytest.approx(full.permeate_kg_s, rel=ERROR_LIMIT_FRACTION)
        assert passed == pytest.approx(full.permeate_sugar_kg_s, rel=0.02)


def test_it_holds_at_its_corners(usual):
    """The worst places for a polynomial; twice the limit is what is asked of 16 single points."""
    ends = (usual.flow_m3_s, usual.brix, usual.temperature_c, usual.condition_fraction)
    for corner in np.array(np.meshgrid(*ends)).reshape(4, -1).T.tolist():
        permeate, _ = map_point(usual.coefficients, *corner)
        exact = full_point(usual.machine, *corner).permeate_kg_s
        assert permeate == pytest.approx(exact, rel=2.0 * ERROR_LIMIT_FRACTION)


def test_same_machine_same_map(usual):
    again = build_map(*MACHINES["one large, loop"])
    assert np.array_equal(again.coefficients, usual.coefficients)


def test_compiled_reading_is_the_plain_one(usual):
    where = middle_of(usual)
    quick = compiled(map_point)(usual.coefficients, *where)
    # The processor may fuse a multiplication with an addition: rounding, over some 200 terms.
    assert quick == pytest.approx(map_point(usual.coefficients, *where), rel=1e-10)
    assert compiled(inside)(usual.coefficients, *where)


def test_full_point_is_the_physics(usual):
    flow, brix, temperature_c, condition = middle_of(usual)
    pressure, recirculation, series, trains, *leaf, film, friction, cells = usual.machine
    plain = operating_point(
        brix,
        temperature_c,
        pressure,
        flow,
        recirculation,
        int(series),
        int(trains),
        *leaf,
        condition,
        film,
        friction,
        int(cells),
    )
    asked = full_point(usual.machine, flow, brix, temperature_c, condition)
    # Both search to 1e-10; rounding may end one of them a step apart.
    assert tuple(asked) == pytest.approx(tuple(plain), rel=1e-8)


@pytest.mark.parametrize("axis", range(4))
def test_nothing_beyond_its_sides_is_inside(usual, axis):
    sides = (usual.flow_m3_s, usual.brix, usual.temperature_c, usual.condition_fraction)
    for end, outwards in ((0, -1.0), (1, 1.0)):
        point = list(middle_of(usual))
        point[axis] = sides[axis][end]
        assert inside(usual.coefficients, *point)
        point[axis] += outwards * 1e-3 * (sides[axis][1] - sides[axis][0])
        assert not inside(usual.coefficients, *point)


def test_outside_the_full_model_answers(usual):
    """Sap of 12 Brix is stronger than any the map spans."""
    flow, _, temperature_c, condition = middle_of(usual)
    assert not inside(usual.coefficients, flow, 12.0, temperature_c, condition)
    permeate, passed = usual.point(flow, 12.0, temperature_c, condition)
    full = full_point(usual.machine, flow, 12.0, temperature_c, condition)
    assert (permeate, passed) == (full.permeate_kg_s, full.permeate_sugar_kg_s)


def test_inside_the_map_answers(usual):
    where = middle_of(usual)
    assert usual.point(*where) == map_point(usual.coefficients, *where)


def test_a_weak_pump_spans_weak_sap_only():
    """Osmotic pressure is 0.72 bar a Brix at 25 °C: three quarters of 1.4 bar is 1.4 Brix."""
    weak = build_map(*MACHINES["weak pump"])
    assert weak.brix[1] == pytest.approx(0.75 * 1.4 / 0.73, abs=0.1)


def test_a_perfect_membrane_passes_no_sugar():
    perfect = machine(13.8, 240.0, 1.0, 7.6, sugar_permeability_m_s=0.0)
    found = build_map(perfect, (8.0 * GAL_H, 60.0 * GAL_H))
    _, passed = map_point(found.coefficients, *middle_of(found))
    assert passed < 1e-200
    assert found.passed_error_fraction == 0.0


def test_a_machine_that_no_map_fits_gets_one_that_holds_nothing():
    """Far too much membrane for the flow: the full model answers everywhere."""
    huge = machine(20.0, 0.0, 1.0, 36.0, trains_in_parallel=12.0, cells_per_element=2.0)
    found = build_map(huge, (20.0 * GAL_H, 1000.0 * GAL_H))
    assert not found.usable
    where = middle_of(found)
    assert not inside(found.coefficients, *where)
    permeate, _ = found.point(*where)
    assert permeate == full_point(huge, *where).permeate_kg_s
    assert math.isfinite(permeate)


def test_least_squares_is_that_of_numpy():
    """Against ``numpy.linalg.lstsq``; the condition number is some 1e3, squared on the way."""
    chance = np.random.default_rng(7)
    matrix = np.vander(chance.uniform(-1.0, 1.0, 60), 8)
    target = chance.standard_normal(60)
    theirs = np.linalg.lstsq(matrix, target, rcond=None)[0]
    assert least_squares(matrix, target) == pytest.approx(theirs, rel=1e-9)
    assert compiled(least_squares)(matrix, target) == pytest.approx(theirs, rel=1e-9)


def test_flows_must_be_a_range():
    with pytest.raises(RangeError, match="flow_range_m3_s"):
        build_map(machine(8.0, 0.0, 1.0, 2.6), (2e-5, 1e-5))


def test_a_pump_that_lifts_nothing_is_named():
    with pytest.raises(RangeError, match="exit_pressure_pa"):
        build_map(machine(0.3, 0.0, 1.0, 2.6), (1e-5, 2e-5))
