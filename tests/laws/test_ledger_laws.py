"""Laws of reconciliation, on random networks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.ledger.bilinear import Stream, close
from sugarwright.ledger.reconcile import Balances, Floats, Reconciled, reconcile
from sugarwright.ledger.suspicion import eliminate, global_test, likelihood_tests

FEW = settings(max_examples=40, deadline=None)


def network(seed: int) -> tuple[Floats, Floats, Floats]:
    """A random connected network: incidence, flows that balance, uncertainties."""
    draw = np.random.default_rng(seed)
    nodes, streams = int(draw.integers(1, 6)), int(draw.integers(8, 14))
    ends = draw.integers(-1, nodes, size=(streams, 2))
    incidence = np.zeros((nodes, streams))
    for stream, (source, target) in enumerate(ends):
        if source >= 0:
            incidence[source, stream] -= 1.0
        if target >= 0:
            incidence[target, stream] += 1.0
    _, sizes, right = np.linalg.svd(incidence)
    rank = int((sizes > 1e-9).sum())
    free = right[rank:]
    flows = 10.0 * free.T @ draw.standard_normal(len(free))
    return incidence, flows, draw.uniform(0.2, 2.0, streams)


def closed(incidence: Floats, read: Floats, sd: Floats) -> Reconciled:
    balances = Balances(incidence, np.zeros((len(incidence), 0)), np.zeros(len(incidence)))
    return reconcile(balances, read, np.diag(sd**2))


@FEW
@given(st.integers(0, 2**32 - 1))
def test_what_is_reconciled_balances_and_is_never_less_sure(seed: int) -> None:
    incidence, flows, sd = network(seed)
    read = flows + sd * np.random.default_rng(seed + 1).standard_normal(len(sd))
    found = closed(incidence, read, sd)
    assert np.abs(incidence @ found.values).max(initial=0.0) < 1e-8
    assert np.all(np.diagonal(found.covariance) <= sd**2 * (1.0 + 1e-9))
    again = closed(incidence, found.values, sd)
    assert again.values == pytest.approx(found.values, abs=1e-8)
    assert global_test(again.mismatch.values).statistic < 1e-12


@FEW
@given(st.integers(0, 2**32 - 1))
def test_flows_that_balance_are_left_as_they_are(seed: int) -> None:
    incidence, flows, sd = network(seed)
    assert closed(incidence, flows, sd).values == pytest.approx(flows, abs=1e-8)


@FEW
@given(st.integers(0, 2**32 - 1))
def test_one_exact_error_is_found_whole_whatever_its_size(seed: int) -> None:
    incidence, flows, sd = network(seed)
    place = seed % len(sd)
    read = flows.copy()
    read[place] += 40.0 * sd[place]
    found = closed(incidence, read, sd)
    seen = float(np.linalg.norm(found.mismatch.of_reading[:, place] * sd[place]))
    if seen < 0.3:
        assert not found.redundant[place] or seen < 0.3
        return
    errors = eliminate(found.mismatch.values, found.mismatch.of_reading * sd)
    assert place in errors[0].either
    assert abs(errors[0].size) == pytest.approx(40.0, rel=1e-6) or errors[0].best != place
    assert len(errors) == 1  # and nothing else is left to be explained


def test_tests_of_clean_readings_follow_their_laws() -> None:
    """1000 draws: means of chi-square and of z² within four of their own deviations."""
    incidence, flows, sd = network(11)
    draw = np.random.default_rng(3)
    statistics, z_squared = [], []
    for _ in range(1000):
        mismatch = closed(incidence, flows + sd * draw.standard_normal(len(sd)), sd).mismatch
        statistics.append(global_test(mismatch.values).statistic)
        z_squared.append(likelihood_tests(mismatch.values, mismatch.of_reading * sd) ** 2)
    degrees = mismatch.degrees
    assert np.mean(statistics) == pytest.approx(degrees, abs=4 * (2 * degrees / 1000) ** 0.5)
    tested = np.mean(z_squared, axis=0)
    assert tested[tested > 0.0] == pytest.approx(1.0, abs=4 * (2 / 1000) ** 0.5)


@FEW
@given(st.floats(0.05, 20.0), st.floats(1.0, 4.0), st.floats(60.0, 70.0), st.floats(-2.0, 2.0))
def test_sap_and_syrup_close_in_water_and_sugar(
    sap_m3: float, sap_brix: float, syrup_brix: float, off: float
) -> None:
    syrup_m3 = sap_m3 * sap_brix / syrup_brix / 1.32 * (1.0 + 0.02 * off)
    found = close(
        np.array([[1.0, -1.0, -1.0]]),
        (
            Stream(sap_m3, 0.03 * sap_m3, sap_brix, 0.1),
            Stream(syrup_m3, 0.01 * syrup_m3, syrup_brix, 0.3),
            Stream(sap_m3 - syrup_m3, None, 0.0, 0.0),
        ),
    )
    from sugarwright.physics.solution import mass_kg

    sap, syrup, water = (
        mass_kg(float(volume), float(brix), 20.0)
        for volume, brix in zip(found.volume_m3, found.brix, strict=True)
    )
    assert sap == pytest.approx(syrup + water, rel=1e-7)
    assert sap * found.brix[0] == pytest.approx(syrup * found.brix[1], rel=1e-7)
    assert np.all(found.volume_sd_m3[:2] <= np.array([0.03 * sap_m3, 0.01 * syrup_m3]) * 1.000001)
