"""Simulation-based calibration: do the stated intervals hold at the stated rate?

S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, "Validating Bayesian inference
algorithms with simulation-based calibration" (2018): draw the truth from the prior, simulate a log
with it, learn from the log; the rank of the truth in what was learnt is then uniform.

The simulated logs come from the trees themselves, each run multiplied as a whole, which the learner
only approximates. Seeds are fixed; with other seeds each chi-square test would fail once in a
thousand times (99.9 % quantiles, from memory of the usual tables: 27.88 for 9 degrees of freedom).
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from sugarwright.learning.expected import Bush, expect, rows_of
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.scale import OWN_SD, RUN_SD, Evidence, evidence_of, scale_posterior
from sugarwright.learning.shapes import fit_shapes, prior_shapes, shape_grid, shapes_of
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.tree_knowledge import nothing_learnt
from sugarwright.weather.hours import HourlyWeather

DAY_S = 86400
TAPS = 300.0
CAPACITY_M3_PER_TAP = 0.009  # some gatherings of a good spell run over
PRIOR = nothing_learnt(2027, 1.0, 2.0)
BINS, CHI_SQUARE_999 = 10, 27.88
NORMAL = NormalDist()


@pytest.fixture(scope="module")
def bush() -> Bush:
    """Return forty invented days: frosty nights, now and then a warm or a cold spell."""
    source = np.random.default_rng(7)
    hour = np.arange(60 * 24)
    spells = np.repeat(source.normal(0.0, 3.0, 60), 24)
    air_c = 1.0 + hour / 480.0 + 6.0 * np.cos(2.0 * np.pi * (hour - 15) / 24.0) + spells
    return Bush(HourlyWeather(hour * 3600, air_c), tapped_s=20.0 * DAY_S)


def schedule(every_days: int) -> list[Gathering]:
    days = range(20, 60 - every_days, every_days)
    return [Gathering(d * DAY_S, (d + every_days) * DAY_S, 1.0, TAPS) for d in days]


def simulated(
    bush: Bush, trees: TreeParameters, plan: list[Gathering], source: np.random.Generator
) -> Evidence:
    """Gather from trees whose runs differ as a whole, and whose gatherings have errors too."""
    factors = np.exp(RUN_SD * source.standard_normal((1, 200)))
    sap_m3 = sap_run(
        bush.weather.temperature_c, 0.0, bush.tapped_s, 0.0, trees, factors
    ).sap_m3_per_tap[0]
    gathered = []
    for each in plan:
        hours = slice(int(each.begin_s // 3600), int(each.end_s // 3600))
        floor_m3 = 0.02 * 0.006 * TAPS
        own = math.exp(OWN_SD * source.standard_normal())
        volume_m3 = max((TAPS * sap_m3[hours].sum() + floor_m3) * own - floor_m3, 0.0)
        full_m3 = CAPACITY_M3_PER_TAP * TAPS  # the vessel: what runs over is lost
        kept_m3, over = min(volume_m3, full_m3), volume_m3 > full_m3
        gathered.append(Gathering(each.begin_s, each.end_s, kept_m3, TAPS, overflow=over))
    return evidence_of(gathered)


def check_uniform(levels: list[float]) -> None:
    """Test the rank histogram, and the coverage of the central 80 % interval."""
    counts = np.histogram(levels, BINS, (0.0, 1.0))[0]
    expected = len(levels) / BINS
    assert ((counts - expected) ** 2 / expected).sum() < CHI_SQUARE_999, counts
    inside = sum(0.1 < level < 0.9 for level in levels)
    # Three standard deviations of a binomial count.
    spread = 3.0 * math.sqrt(len(levels) * 0.8 * 0.2)
    assert abs(inside - 0.8 * len(levels)) < spread, inside


@pytest.fixture(scope="module")
def scales(bush: Bush) -> list[tuple[float, float]]:
    """Return, for 250 logs, how far off the truth lay, and the stated deviation."""
    source = np.random.default_rng(2018)
    plan = schedule(3)
    expected = expect(bush, rows_of(TreeParameters()), plan)
    found = []
    for _ in range(250):
        truth = PRIOR.yield_sd_log * source.standard_normal()
        trees = TreeParameters(bush_scale=math.exp(truth))
        evidence = simulated(bush, trees, plan, source)
        posterior = scale_posterior(evidence, expected, np.zeros(1), PRIOR.yield_sd_log)
        mean, sd = posterior.moments()
        found.append((truth - mean, sd))
    return found


def test_scale_is_learnt_with_the_stated_certainty(scales: list[tuple[float, float]]) -> None:
    check_uniform([NORMAL.cdf(apart / sd) for apart, sd in scales])


@pytest.mark.parametrize(("shift", "stretch"), [(0.0, 0.5), (0.0, 2.0), (0.5, 1.0)])
def test_the_check_sees_what_is_wrong(
    scales: list[tuple[float, float]], shift: float, stretch: float
) -> None:
    with pytest.raises(AssertionError):
        check_uniform([NORMAL.cdf(apart / (sd * stretch) + shift) for apart, sd in scales])


@pytest.fixture(scope="module")
def shape_levels(bush: Bush) -> dict[str, list[float]]:
    """Learn scale and shapes from sixty logs with a gathering every other day."""
    source = np.random.default_rng(1961)
    plan, grid, shapes = schedule(2), shape_grid(PRIOR), prior_shapes(PRIOR)
    expected = expect(bush, grid.trees, plan)
    levels: dict[str, list[float]] = {
        name: [] for name in ("bush_scale", *(s.name for s in shapes))
    }
    for _ in range(60):
        z = source.standard_normal(3)
        truth = {
            shape.name: shape.value * math.exp(shape.sd_log * each)
            for shape, each in zip(shapes, z[1:], strict=True)
        }
        scale_log = PRIOR.yield_sd_log * z[0]
        trees = TreeParameters(bush_scale=math.exp(scale_log))._replace(**truth)
        evidence = simulated(bush, trees, plan, source)
        posterior, weights, _ = fit_shapes(evidence, expected, grid)
        mean, sd = posterior.moments(weights)
        levels["bush_scale"].append(NORMAL.cdf((scale_log - mean) / sd))
        for shape in shapes_of(PRIOR, grid, posterior, weights):
            apart = math.log(truth[shape.name] / shape.value)
            levels[shape.name].append(NORMAL.cdf(apart / shape.sd_log))
    return levels


@pytest.mark.parametrize("name", ["bush_scale", "flow_lag_h", "ageing_half_k_h"])
def test_shapes_are_learnt_with_the_stated_certainty(
    shape_levels: dict[str, list[float]], name: str
) -> None:
    check_uniform(shape_levels[name])


def test_more_gatherings_teach_more(bush: Bush) -> None:
    source = np.random.default_rng(3)
    sds = []
    for every in (10, 4, 2):
        plan = schedule(every)
        expected = expect(bush, rows_of(TreeParameters()), plan)
        evidence = simulated(bush, TreeParameters(), plan, source)
        sds.append(scale_posterior(evidence, expected, np.zeros(1), 0.35).moments()[1])
    assert 0.35 > sds[0] > sds[1] > sds[2]
