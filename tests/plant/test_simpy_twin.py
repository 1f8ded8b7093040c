"""The compiled kernel against the same sugarhouse written independently in SimPy.

The twin (``benchmarks/simpy_twin.py``) lets things flow by its own short ticks and cuts hardly
anything at events: it is up to a tick late at a gauge, and each draw is a little past the finish.
That is worth less than 1 % of each figure at a tick of a minute, and less than half of it at 20 s.
How often something was begun must agree to the count.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from invented_house import FIRST_DAY, ready, spring
from simpy_twin import Sugarhouse
from twin_results import differences, season_of

COUNTS = {"membrane_starts", "rinses", "washes", "light_ups"}


@pytest.mark.parametrize(
    ("first_day", "days", "tick_s", "agree_within"),
    [(FIRST_DAY, 60, 60, 0.01), (datetime(2015, 3, 14, 4, tzinfo=UTC), 14, 20, 0.005)],
    ids=["a season by the minute", "two weeks by 20 s"],
)
def test_season_agrees(first_day: datetime, days: int, tick_s: int, agree_within: float) -> None:
    wanted = spring(days, first_day)
    twin = Sugarhouse(wanted, tick_s).run()
    assert twin.light_ups >= 4  # else there would be little to compare
    assert twin.washes >= 1
    found = differences(twin, season_of(ready(wanted).run()))
    allowed = {name: 0.0 if name in COUNTS else agree_within for name in found}
    assert {n: d for n, d in found.items() if abs(d) > allowed[n]} == {}


def test_another_plant_would_not_agree() -> None:
    """The tolerance is narrow enough to see a membrane that lets 5 % more water through."""
    wanted = spring(20)
    membrane = wanted.house.membrane
    assert membrane is not None
    loose = replace(membrane, permeability_m_s_pa=1.05 * membrane.permeability_m_s_pa)
    other = replace(wanted, house=replace(wanted.house, membrane=loose))
    found = differences(Sugarhouse(wanted).run(), season_of(ready(other).run()))
    assert abs(found["membrane_s"]) > 0.01
