"""The arithmetic of the season's fit."""

from __future__ import annotations

import numpy as np
import pytest

from sugarwright.ledger.fit import covariance_of


@pytest.mark.parametrize("weight", [1.0, 1e3, 1e6, 1e8])
def test_what_is_known_only_as_a_sum_keeps_half_of_its_belief_each(weight: float) -> None:
    # Two unknowns believed to within 1 each, and a reading of their sum of standard deviation
    # 1 / weight. By hand: variance of each = 1 - 1 / (2 + weight**-2).
    slopes = np.array([[weight, weight], [1.0, 0.0], [0.0, 1.0]])
    by_hand = 1.0 - 1.0 / (2.0 + weight**-2)
    # Triangularising loses digits with the condition (weight), not with its square.
    assert np.diagonal(covariance_of(slopes)) == pytest.approx([by_hand] * 2, rel=1e-15 * weight)
