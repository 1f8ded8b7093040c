"""Simulation-based calibration: do the stated intervals hold at the stated rate?

S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, "Validating Bayesian inference
algorithms with simulation-based calibration" (2018): draw the truth from the prior, simulate a log
with it, learn from the log; the rank of the truth in what was learnt is then uniform.

The logs come from the trees themselves (``benchmarks/gathering_worlds.py``), each run multiplied as
a whole, each emptying late or early, which the learner only approximates. Seeds are fixed; with
other seeds the chi-square test would fail once in a thousand times (99.9 % quantile, from memory
of the usual tables: 27.88 for 9 degrees of freedom). ``benchmarks/gathering_calibration.py`` does
it at length.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
from numpy.typing import NDArray

from gathering_calibration import chi_square, inside, levels_of, scale_errors, shape_errors
from gathering_worlds import (
    AS_ASSUMED,
    PURE_FACTORS,
    WILD_FIGURES,
    gather,
    invented_bush,
    schedule,
)
from sugarwright.learning.evidence import evidence_of, usual_m3_per_tap
from sugarwright.learning.expected import PUNCTUAL, SLIP, Bush, expect, rows_of
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.noise import OWN_SCALE, TAIL, own_errors, shared_part, tails_beyond
from sugarwright.learning.scale import scale_posterior
from sugarwright.learning.trees import learn_season
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.tree_knowledge import nothing_learnt

CHI_SQUARE_999 = 27.88
LOGS = 200


@pytest.fixture(scope="module")
def bush() -> Bush:
    return invented_bush()


@pytest.fixture(scope="module")
def scales(bush: Bush) -> NDArray[np.float64]:
    """Learn the scale from logs of a world that errs as assumed."""
    return scale_errors(AS_ASSUMED, bush, 3, LOGS, seed=2018)


def spread(logs: int) -> float:
    """Three standard deviations of the count that 80 % intervals hold."""
    return 3.0 * math.sqrt(logs * 0.8 * 0.2)


def check_uniform(levels: list[float]) -> None:
    """Test the rank histogram, and the coverage of the central 80 % interval."""
    assert chi_square(levels) < CHI_SQUARE_999
    assert abs(inside(levels) - 0.8 * len(levels)) < spread(len(levels))


def test_scale_is_learnt_with_the_stated_certainty(scales: NDArray[np.float64]) -> None:
    check_uniform(levels_of(scales))


@pytest.mark.parametrize(("shift", "stretch"), [(0.0, 0.5), (0.0, 2.0), (0.8, 1.0)])
def test_the_check_sees_what_is_wrong(
    scales: NDArray[np.float64], shift: float, stretch: float
) -> None:
    wrong = scales * (1.0, stretch) + (shift * scales[:, 1:] * (1.0, 0.0))
    with pytest.raises(AssertionError):
        check_uniform(levels_of(wrong))


def test_factors_alone_leave_the_intervals_too_wide_not_too_narrow(bush: Bush) -> None:
    errors = scale_errors(PURE_FACTORS, bush, 3, LOGS, seed=2019)
    assert inside(levels_of(errors)) > 0.8 * LOGS
    # What is assumed of hours that nobody missed may shift the scale by half a deviation, no more.
    assert abs((errors[:, 0] / errors[:, 1]).mean()) < 0.5


def test_one_wild_figure_in_ten_is_borne(bush: Bush) -> None:
    errors = scale_errors(WILD_FIGURES, bush, 3, LOGS, seed=2020)
    assert inside(levels_of(errors)) > 0.8 * LOGS - 2.0 * spread(LOGS)


def test_shapes_are_learnt_with_the_stated_certainty(bush: Bush) -> None:
    errors = shape_errors(AS_ASSUMED, bush, 4, logs=12, seed=1961)
    for place in range(errors.shape[1]):
        assert abs(inside(levels_of(errors[:, place])) - 9.6) < spread(12)


def test_more_gatherings_teach_more(bush: Bush) -> None:
    source = np.random.default_rng(3)
    sds = []
    for every in (10, 4, 2):
        plan = schedule(every)
        expected = expect(bush, rows_of(TreeParameters()), plan)
        log = gather(AS_ASSUMED, bush, TreeParameters(), plan, source)
        evidence = evidence_of(log, usual_m3_per_tap(plan, expected))
        sds.append(scale_posterior(evidence, expected, np.zeros(1), 0.35).moments()[1])
    assert 0.35 > sds[0] > sds[1] > sds[2]


# --- shapes, from the log to what is kept


@pytest.mark.parametrize(("ageing_half_k_h", "learnt"), [(2600.0, True), (1300.0, False)])
def test_a_rich_log_moves_the_shapes_only_where_they_are_others(
    ageing_half_k_h: float, learnt: bool
) -> None:
    before = nothing_learnt(2027, 1.0, 2.0)
    assert TreeParameters().ageing_half_k_h == 1300.0
    bush = invented_bush(days=90, swing_k=9.0)
    trees = TreeParameters(bush_scale=1.2, ageing_half_k_h=ageing_half_k_h)
    log = gather(AS_ASSUMED, bush, trees, schedule(3, days=90), np.random.default_rng(1))
    lesson = learn_season(log, bush, before, learnt_s=0)
    after = lesson.after
    assert lesson.shapes_learnt is learnt
    assert after.independent_gatherings >= 8.0
    assert abs(math.log(after.yield_factor / 1.2)) < 3.0 * after.yield_sd_log
    if not learnt:
        assert after.shapes == ()
        return
    shapes = {shape.name: shape for shape in after.shapes}
    ageing = shapes["ageing_half_k_h"]
    assert abs(math.log(ageing.value / ageing_half_k_h)) < 3.0 * ageing.sd_log
    assert ageing.sd_log < 0.15  # from 0.30
    assert shapes["flow_lag_h"].sd_log > 0.2  # of which a gathering in three days says little


# --- the parts of the errors


def test_tails_are_those_of_student() -> None:
    z = np.linspace(-20.0, 20.0, 41)
    four, six = tails_beyond(z)
    np.testing.assert_allclose(four, scipy.stats.t.sf(z, 4), rtol=1e-8)
    np.testing.assert_allclose(six, scipy.stats.t.sf(z * math.sqrt(1.5), 6), rtol=1e-6)


@pytest.mark.parametrize("sign", [0.0, 1.0, -1.0])
def test_own_errors_are_those_of_student_with_their_slopes(sign: float) -> None:
    left = np.linspace(-1.5, 1.5, 31)[:, np.newaxis]
    density_log, slope, weight, curvature = own_errors(left, np.array([sign]))
    student = scipy.stats.t(TAIL, scale=OWN_SCALE)
    published = {0.0: student.logpdf, 1.0: student.logsf, -1.0: student.logcdf}[sign]
    np.testing.assert_allclose(density_log, published(left), atol=1e-9)
    step = 1e-5  # central differences: errors of the order of its square
    by_steps = (published(left - step) - published(left + step)) / (2.0 * step)
    np.testing.assert_allclose(slope, by_steps, atol=1e-5)
    assert (weight > 0.0).all()
    assert (curvature >= 0.0).all()


def test_slips_move_sap_between_neighbours_and_lose_none(bush: Bush) -> None:
    plan = schedule(1)
    on_time, slipped = (
        expect(bush, rows_of(TreeParameters()), plan, slip) for slip in (PUNCTUAL, SLIP)
    )
    # What slips past the last emptying is the only loss: less than a day's sap.
    lost_m3 = on_time.volume_m3.sum() - slipped.volume_m3.sum()
    assert abs(lost_m3) < on_time.volume_m3[0, -3:].max()
    assert slipped.volume_m3.std() < on_time.volume_m3.std()
    floor_m3 = np.full(len(plan), 0.06)
    covariance = shared_part(floor_m3, slipped, np.zeros(1)).covariance[0]
    assert np.linalg.eigvalsh(covariance).min() > -1e-12
    apart = shared_part(floor_m3, on_time, np.zeros(1)).covariance[0]
    neighbours = np.arange(len(plan) - 1)
    given_to_next = covariance[neighbours, neighbours + 1] - apart[neighbours, neighbours + 1]
    assert given_to_next.mean() < 0.0


def test_weather_that_ends_with_the_last_gathering_goes_on_like_its_last_day(bush: Bush) -> None:
    plan = [Gathering(20 * 86400.0, 40 * 86400.0, 1.0, 300.0)]
    cut = Bush(bush.weather.between(0, 40 * 86400), bush.tapped_s)
    day = bush.weather.temperature_c[39 * 24 : 40 * 24]
    long_c = np.concatenate([bush.weather.temperature_c[: 40 * 24], day])
    hours = type(bush.weather)(bush.weather.time_s[: 41 * 24], long_c)
    trees = rows_of(TreeParameters())
    np.testing.assert_allclose(
        expect(cut, trees, plan).volume_m3,
        expect(Bush(hours, bush.tapped_s), trees, plan).volume_m3,
        rtol=1e-12,
    )
