"""The ledger's mathematics against worked examples, SciPy, and solvers of another kind."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import optimize, stats

from ledger_networks import EXCHANGER, EXCHANGER_READ, STEAM_FLOWS, steam_network
from sources import CHI_SQUARE, EXCHANGER_EXAMPLE, KKT, STEAM_PLANT
from sugarwright.ledger.bilinear import Stream, close
from sugarwright.ledger.chance import chi_square_above, chi_square_limit, power, shared_limit
from sugarwright.ledger.reconcile import Balances, Floats, Reconciled, reconcile
from sugarwright.ledger.suspicion import (
    eliminate,
    global_test,
    likelihood_tests,
    measurement_tests,
)


def all_read(incidence: Floats) -> Balances:
    return Balances(incidence, np.zeros((len(incidence), 0)), np.zeros(len(incidence)))


def exchanger(second: float) -> Reconciled:
    read = EXCHANGER_READ.copy()
    read[1] = second
    return reconcile(all_read(EXCHANGER), read, np.eye(6))


# The values are printed to two or three decimals: half of the last one is the tolerance.
@EXCHANGER_EXAMPLE
@pytest.mark.parametrize(
    ("stream", "flow"), [(0, 100.22), (1, 64.50), (2, 35.72), (3, 64.50), (4, 35.72), (5, 100.22)]
)
def test_exchanger_reconciled(stream: int, flow: float) -> None:
    assert exchanger(64.45).values[stream] == pytest.approx(flow, abs=0.0051)


@EXCHANGER_EXAMPLE
@pytest.mark.parametrize(
    ("stream", "flow", "z"),
    [
        (0, 100.887, 1.2533),
        (1, 65.833, 3.2047),
        (2, 35.053, 0.4940),
        (3, 65.833, 2.0004),
        (4, 35.053, 1.6983),
        (5, 100.887, 2.4577),
    ],
)
def test_exchanger_with_the_second_read_too_high(stream: int, flow: float, z: float) -> None:
    found = exchanger(68.45)
    tests = measurement_tests(found.mismatch.values, found.mismatch.of_reading, np.eye(6))
    assert found.values[stream] == pytest.approx(flow, abs=6e-4)
    assert tests[stream] == pytest.approx(z, abs=6e-5)


@EXCHANGER_EXAMPLE
@pytest.mark.parametrize(("second", "statistic"), [(64.45, 6.4075), (68.45, 16.674)])
def test_exchanger_global_statistic(second: float, statistic: float) -> None:
    test = global_test(exchanger(second).mismatch.values)
    assert test.degrees == 4
    assert test.statistic == pytest.approx(statistic, abs=6e-4)
    assert test.limit == pytest.approx(9.49, abs=0.005)
    assert test.passed == (second < 65.0)


def test_exchanger_names_the_second_stream() -> None:
    mismatch = exchanger(68.45).mismatch
    first = eliminate(mismatch.values, mismatch.of_reading)[0]
    assert (first.best, first.either) == (1, (1,))
    assert first.size == pytest.approx(4.0, abs=1.25)  # planted; its own deviation is 1.25


@CHI_SQUARE
@pytest.mark.parametrize("degrees", [1, 2, 3, 7, 30, 120, 700])
@pytest.mark.parametrize("level", [0.5, 0.1, 0.05, 0.01, 1e-4])
def test_chi_square_limits(degrees: int, level: float) -> None:
    limit = chi_square_limit(degrees, level)
    assert limit == pytest.approx(stats.chi2.isf(level, degrees), rel=1e-9)
    assert chi_square_above(degrees, limit) == pytest.approx(level, rel=1e-9)


@CHI_SQUARE
@pytest.mark.parametrize("shift", [0.0, 1.0, 3.5, -6.0])
def test_power_of_a_normal_test(shift: float) -> None:
    limit = shared_limit(12, 0.05)
    assert 2.0 * stats.norm.sf(limit) == pytest.approx(1.0 - 0.95 ** (1.0 / 12.0), rel=1e-9)
    expected = stats.ncx2.sf(limit**2, 1, shift**2) if shift else stats.chi2.sf(limit**2, 1)
    assert power(shift, limit) == pytest.approx(expected, rel=1e-6)


def by_multipliers(balances: Balances, read: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Solve the same problem by its Lagrange multipliers, unmeasured streams and all."""
    rows, measured = balances.measured.shape
    unknowns = balances.unmeasured.shape[1]
    system = np.zeros((measured + unknowns + rows,) * 2)
    system[:measured, :measured] = np.linalg.inv(covariance)
    system[measured + unknowns :, :measured] = balances.measured
    system[measured + unknowns :, measured : measured + unknowns] = balances.unmeasured
    system[: measured + unknowns, measured + unknowns :] = system[
        measured + unknowns :, : measured + unknowns
    ].T
    right = np.concatenate(
        [np.linalg.inv(covariance) @ read, np.zeros(unknowns), balances.constant]
    )
    answer = np.linalg.lstsq(system, right, rcond=None)[0]
    return answer[:measured], answer[measured : measured + unknowns]


@KKT
@pytest.mark.parametrize("seed", range(6))
def test_steam_plant_with_unmeasured_streams_by_multipliers(seed: int) -> None:
    draw = np.random.default_rng(seed)
    incidence = steam_network()
    unmeasured = np.sort(draw.choice(28, size=seed * 2, replace=False))
    measured = np.setdiff1d(np.arange(28), unmeasured)
    mixing = 0.2 * draw.standard_normal((len(measured),) * 2) + np.eye(len(measured))
    covariance = mixing @ mixing.T
    read = (STEAM_FLOWS[measured] + 1e-9) + mixing @ draw.standard_normal(len(measured))
    balances = Balances(incidence[:, measured], incidence[:, unmeasured], np.zeros(11))
    found = reconcile(balances, read, covariance)
    expected, free = by_multipliers(balances, read, covariance)
    assert found.values == pytest.approx(expected, abs=1e-7)
    assert found.unmeasured[found.observable] == pytest.approx(free[found.observable], abs=1e-7)
    missed = read - expected
    statistic = global_test(found.mismatch.values).statistic
    assert statistic == pytest.approx(missed @ np.linalg.inv(covariance) @ missed, rel=1e-7)


@STEAM_PLANT
def test_steam_plant_balances_as_published() -> None:
    assert np.abs(steam_network() @ STEAM_FLOWS).max() < 1e-9


STEAM_SD = 0.025 * STEAM_FLOWS


def well_seen() -> list[int]:
    """Streams that the balances test well; tiny ones beside large ones they hardly see."""
    found = reconcile(all_read(steam_network()), STEAM_FLOWS, np.diag(STEAM_SD**2))
    kept = np.diagonal(found.covariance) / STEAM_SD**2
    return [int(stream) for stream in np.flatnonzero(kept < 0.9)]


@STEAM_PLANT
@pytest.mark.parametrize("stream", well_seen())
def test_steam_plant_names_a_biased_meter(stream: int) -> None:
    """Meters of 2.5 %, one 20 standard deviations off: it is named, alone or with its equals."""
    draw = np.random.default_rng(stream)
    read = STEAM_FLOWS + STEAM_SD * draw.standard_normal(28)
    read[stream] += 20.0 * STEAM_SD[stream]
    found = reconcile(all_read(steam_network()), read, np.diag(STEAM_SD**2))
    errors = eliminate(found.mismatch.values, found.mismatch.of_reading * STEAM_SD)
    assert stream in errors[0].either
    assert len(errors[0].either) <= 2


def test_a_leak_is_told_from_biased_meters() -> None:
    """Unit 6 loses 12: streams 28, 8 and 6 bring it there, and nothing leaves."""
    read = STEAM_FLOWS.copy()
    read[[27, 7, 5]] += 12.0
    mismatch = reconcile(all_read(steam_network()), read, np.diag(STEAM_SD**2)).mismatch
    directions = np.hstack([mismatch.of_reading * STEAM_SD, mismatch.of_balance])
    first = eliminate(mismatch.values, directions)[0]
    assert first.either == (28 + 5,)
    assert first.size == pytest.approx(12.0, rel=1e-6)  # what leaves it unseen
    assert mismatch.degrees == 11


def test_errors_that_no_reading_tells_apart_are_named_together() -> None:
    """Two meters in one pipe: which of them is off, nobody can say."""
    line = np.array([[1.0, -1.0]])
    found = reconcile(all_read(line), np.array([10.0, 14.0]), np.eye(2))
    first = eliminate(found.mismatch.values, found.mismatch.of_reading)[0]
    assert sorted(first.either) == [0, 1]


def test_observable_and_redundant_by_hand() -> None:
    """Streams 1 -> node -> 2, 3; 3 -> node -> 4, 5. Read: 1, 2. 3 follows; 4 and 5 don't."""
    incidence = np.array([[1.0, -1.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, -1.0, -1.0]])
    balances = Balances(incidence[:, :2], incidence[:, 2:], np.zeros(2))
    found = reconcile(balances, np.array([10.0, 4.0]), np.eye(2))
    assert found.observable.tolist() == [True, False, False]
    assert found.redundant.tolist() == [False, False]
    assert found.unmeasured[0] == pytest.approx(6.0)
    assert found.unmeasured_covariance[0, 0] == pytest.approx(2.0)
    assert found.mismatch.degrees == 0


@KKT
def test_bilinear_network_by_a_general_solver() -> None:
    """Sap through a membrane into a pan: SciPy's constrained minimiser finds the same."""
    incidence = np.array([[1.0, -1.0, -1.0, 0.0, 0.0], [0.0, 1.0, 0.0, -1.0, -1.0]])
    streams = (
        Stream(1.60, 0.05, 2.1, 0.1),  # sap
        Stream(0.55, 0.02, 6.4, 0.15),  # concentrate
        Stream(1.0, None, 0.0, 0.0),  # permeate
        Stream(0.036, 0.0004, 66.9, 0.2),  # syrup
        Stream(0.5, None, 0.0, 0.0),  # steam
    )
    found = close(incidence, streams)
    read = [(0, 0.05), (1, 0.02), (3, 0.0004)]

    def density(brix: float) -> float:
        from sugarwright.physics.solution import density_kg_m3

        return density_kg_m3(min(max(brix, 0.0), 84.0), 20.0)

    def cost(x: Floats) -> float:
        volumes = sum(((x[i] - streams[i].volume_m3) / sd) ** 2 for i, sd in read)
        strengths = sum(
            ((x[5 + i] - streams[place].brix) / sd) ** 2
            for i, (place, sd) in enumerate([(0, 0.1), (1, 0.15), (3, 0.2)])
        )
        return float(volumes + strengths)

    def lacks(x: Floats) -> Floats:
        brix = np.array([x[5], x[6], 0.0, x[7], 0.0])
        mass = np.array([x[i] * density(brix[i]) for i in range(5)])
        return np.concatenate([incidence @ mass, incidence @ (mass * brix)]) / 100.0

    start = np.array([1.6, 0.55, 1.05, 0.036, 0.514, 2.1, 6.4, 66.9])
    best = optimize.minimize(
        cost, start, constraints={"type": "eq", "fun": lacks}, method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )  # fmt: skip
    assert best.success
    assert found.volume_m3 == pytest.approx(best.x[:5], rel=2e-4)
    assert found.brix[[0, 1, 3]] == pytest.approx(best.x[5:], rel=2e-4)
    assert global_test(found.linear.mismatch.values).degrees == 2
    assert cost(best.x) == pytest.approx(
        global_test(found.linear.mismatch.values).statistic, rel=5e-3
    )


def test_likelihood_tests_are_the_measurement_tests_when_errors_are_independent() -> None:
    mismatch = exchanger(68.45).mismatch
    z = likelihood_tests(mismatch.values, mismatch.of_reading)
    tests = measurement_tests(mismatch.values, mismatch.of_reading, np.eye(6))
    assert np.abs(z) == pytest.approx(tests, rel=1e-9)
