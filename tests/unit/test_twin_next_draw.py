"""When the next draw comes, by the twin: as the members themselves go on to draw."""

from __future__ import annotations

import numpy as np
import pytest

from sugarwright.logbook.entry import Measure
from sugarwright.twin.advance import advance
from sugarwright.twin.ensemble import STEP_S
from sugarwright.twin.observe import drawn_m3
from sugarwright.twin.outlook import look_ahead
from twin_cases import BEGIN_S, HOUR_S, entry, followed, gallons, ground

RICH = (
    gallons("stock", 0.0, 150.0),
    entry("reading", 0.1, "stock", Measure("brix", 12.0, typed="12 Brix")),
    entry("reading", 0.2, "pan", Measure("brix", 14.0, typed="14 Brix")),
)


def test_the_next_draw_comes_when_members_draw() -> None:
    on, track = ground(), followed(*RICH, entry("fire_lit", 0.3, "pan"))
    told = look_ahead(on, track.ensemble).whens["pan.draw"]
    ahead = track.ensemble.copy()
    first_s = np.full(ahead.members, np.nan)
    for _ in range(8 * HOUR_S // STEP_S):
        advance(on, ahead, ahead.step + 1)
        first_s[np.isnan(first_s) & (drawn_m3(on, ahead) > 0.0)] = ahead.time_s
    assert told.probability == pytest.approx(np.isfinite(first_s).mean(), abs=0.02)
    # Beyond an hour the outlook looks each quarter of an hour.
    assert told.middle_s == pytest.approx(np.nanmedian(first_s), abs=900.0)
    assert told.early_s < told.middle_s < told.late_s
    assert told.middle_s > BEGIN_S + HOUR_S


def test_without_a_fire_no_draw_is_told() -> None:
    found = look_ahead(ground(), followed(*RICH).ensemble)
    assert "pan.draw" not in found.whens
