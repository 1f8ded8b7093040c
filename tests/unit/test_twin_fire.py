"""A fire that was told burns until somebody says, and ages become cells as a run takes them."""

from __future__ import annotations

import numpy as np
import pytest

from plant_houses import GALLON_M3
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant import layout as at
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.twin.advance import advance
from sugarwright.twin.contents import age_s, cells_of_age
from sugarwright.twin.ensemble import begin_from, step_of
from sugarwright.twin.outlook import look_ahead
from sugarwright.twin.track import Track, follow
from twin_cases import BEGIN_S, HOUR_S, entry, gallons, ground, plant


def test_no_level_puts_out_a_fire_that_was_told() -> None:
    """Both tanks are dry: somebody pours in by hand, or the pan would not have been lit."""
    on = ground(20)
    track = Track(begin_from(on, BEGIN_S, Levels(wood_m3=7.0)))
    track = follow(on, track, [entry("fire_lit", 0.5, "pan")])
    advance(on, track.ensemble, step_of(BEGIN_S + 2.5 * HOUR_S))
    assert (track.ensemble.x[:, at.FIRE_ON] > 0.0).all()
    advance(on, track.ensemble, step_of(BEGIN_S + 2.5 * HOUR_S) + 1, reserve_m3=0.05)
    assert (track.ensemble.x[:, at.FIRE_ON] <= 0.0).all()  # a look ahead lets it go


def _lit_on(stock_gal: float, *more: Entry) -> Track:
    """A fire lit half an hour in, on so much stock; and what was logged later."""
    levels = Levels(stock=Contents(stock_gal * GALLON_M3, 10.0), wood_m3=7.0)
    begun = Track(begin_from(ground(20), BEGIN_S, levels))
    return follow(ground(20), begun, [entry("fire_lit", 0.5, "pan"), *more])


def test_a_fire_burns_by_the_log_when_its_feed_is_down() -> None:
    """What a look ahead lets go, nobody has put out: it is not told as out then."""
    found = look_ahead(ground(20), _lit_on(100.0).ensemble)
    reserve = found.whens["fire.reserve"]
    assert BEGIN_S + HOUR_S < reserve.middle_s < BEGIN_S + 4 * HOUR_S
    assert found.chance("fire.on", reserve.middle_s + 600.0) > 0.9
    silent_s = BEGIN_S + 0.5 * HOUR_S + 5 * HOUR_S
    assert 0.2 < found.chance("fire.on", silent_s) < 0.8
    assert found.chance("fire.on", silent_s + 18 * HOUR_S) < 0.02


def test_since_when_its_feed_is_down_is_remembered() -> None:
    on, track = ground(20), _lit_on(100.0)
    coming = look_ahead(on, track.ensemble).whens["fire.reserve"]
    step = track.ensemble.step
    assert coming.middle_s > track.ensemble.time_s + HOUR_S
    for later in range(6, 75, 6):
        advance(on, track.ensemble, step + later)
    gone = look_ahead(on, track.ensemble).whens["fire.reserve"]
    assert gone.middle_s < track.ensemble.time_s - HOUR_S
    assert gone.middle_s == pytest.approx(coming.middle_s, abs=900.0)


def test_a_reading_that_finds_more_feed_ends_it_and_so_does_fire_out() -> None:
    dry = _lit_on(3.0, entry("stoke", 1.0, "pan"))
    assert np.isfinite(dry.ensemble.short_s).all()
    assert (dry.ensemble.short_s <= BEGIN_S + HOUR_S).all()
    fed = _lit_on(3.0, gallons("stock", 1.0, 140.0), gallons("stock", 1.1, 140.0))
    advance(ground(20), fed.ensemble, fed.ensemble.step + 1)
    assert np.isnan(fed.ensemble.short_s).all()
    out = _lit_on(3.0, entry("stoke", 1.0, "pan"), entry("fire_out", 1.2, "pan"))
    assert np.isnan(out.ensemble.short_s).all()


def test_a_reading_of_the_pan_is_word_of_the_fire_and_one_of_the_tank_is_not() -> None:
    brix = Measure("brix", 12.0, typed="12 Brix")
    read = _lit_on(80.0, entry("reading", 3.0, "pan", brix))
    assert read.ensemble.fire_word_s == BEGIN_S + 3 * HOUR_S
    assert _lit_on(80.0, gallons("stock", 3.0, 40.0)).ensemble.fire_word_s == BEGIN_S + 1800.0


@pytest.mark.parametrize("hours", [0.0, 7.0, 40.0, 2000.0])
def test_cells_of_an_age_are_those_that_a_run_starts_from(hours: float) -> None:
    aged_s = hours * HOUR_S
    state = start_state(plant(), Levels(sap=Contents(0.1, 2.0, aged_s)))
    (found,) = cells_of_age(plant(), np.array([aged_s]))
    assert found == pytest.approx(state[at.SAP + at.CELLS], rel=1e-9)
    if hours < 100.0:  # beyond, no more cells are reckoned with
        assert age_s(plant(), np.array([found]))[0] == pytest.approx(aged_s, abs=1.0)
