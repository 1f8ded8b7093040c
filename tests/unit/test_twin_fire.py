"""A fire that was told burns until somebody says, and ages become cells as a run takes them."""

from __future__ import annotations

import numpy as np
import pytest

from sugarwright.plant import layout as at
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.twin.advance import advance
from sugarwright.twin.contents import age_s, cells_of_age
from sugarwright.twin.ensemble import begin_from, step_of
from sugarwright.twin.track import Track, follow
from twin_cases import BEGIN_S, HOUR_S, entry, ground, plant


def test_no_level_puts_out_a_fire_that_was_told() -> None:
    """Both tanks are dry: somebody pours in by hand, or the pan would not have been lit."""
    on = ground(20)
    track = Track(begin_from(on, BEGIN_S, Levels(wood_m3=7.0)))
    track = follow(on, track, [entry("fire_lit", 0.5, "pan")])
    advance(on, track.ensemble, step_of(BEGIN_S + 2.5 * HOUR_S))
    assert (track.ensemble.x[:, at.FIRE_ON] > 0.0).all()
    advance(on, track.ensemble, step_of(BEGIN_S + 2.5 * HOUR_S) + 1, reserve_m3=0.05)
    assert (track.ensemble.x[:, at.FIRE_ON] <= 0.0).all()  # a look ahead lets it go


@pytest.mark.parametrize("hours", [0.0, 7.0, 40.0, 2000.0])
def test_cells_of_an_age_are_those_that_a_run_starts_from(hours: float) -> None:
    aged_s = hours * HOUR_S
    state = start_state(plant(), Levels(sap=Contents(0.1, 2.0, aged_s)))
    (found,) = cells_of_age(plant(), np.array([aged_s]))
    assert found == pytest.approx(state[at.SAP + at.CELLS], rel=1e-9)
    if hours < 100.0:  # beyond, no more cells are reckoned with
        assert age_s(plant(), np.array([found]))[0] == pytest.approx(aged_s, abs=1.0)
