"""The feed of a burning fire: since when it is at or below what the fire's burn-down takes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at
from sugarwright.plant.fire_decisions import feed_tank
from sugarwright.plant.pan_kernel import reserve_now_m3
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.contents import volumes_m3
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground


def reserves_m3(ground: Ground, x: Floats) -> Floats:
    """Return the feed at which each member's fire must be let go, m³."""
    p = ground.plant.p
    return np.array([reserve_now_m3(p, each) for each in x])


def spares_m3(ground: Ground, x: Floats) -> Floats:
    """Return each member's feed above that, m³; what has none is not below it but dry."""
    return volumes_m3(ground.plant, x, feed_tank(ground.plant.p)) - reserves_m3(ground, x)


def note_short(ground: Ground, ensemble: Ensemble, begin_step: int, spare_m3: Floats) -> None:
    """Note since when the feed of each member's fire is short, after it was run on.

    A fire of which nobody says anything any more stays short until somebody says that it is out.

    Parameters
    ----------
    ground, ensemble : what it stands on, and where it stands now
    begin_step : step at which it stood before
    spare_m3 : (members,) what it had above the reserve then
    """
    if ensemble.fire_word_s is None and np.isnan(ensemble.short_s).all():
        return
    now_m3 = spares_m3(ground, ensemble.x)
    fallen_m3 = np.maximum(spare_m3 - now_m3, 1e-9)
    share = np.clip(np.maximum(spare_m3, 0.0) / fallen_m3, 0.0, 1.0)
    since_s = STEP_S * (begin_step + share * (ensemble.step - begin_step))
    burns = ensemble.x[:, at.FIRE_ON] > 0.0
    ensemble.short_s = np.where(burns & np.isnan(ensemble.short_s), since_s, ensemble.short_s)
    ensemble.short_s[now_m3 > 0.0] = np.nan


def first_short_s(
    ground: Ground, now: Ensemble, times_s: Floats, burns: NDArray[np.bool_]
) -> Floats:
    """Return when each member's feed was or will be down to its reserve, UTC s; nan where never.

    Parameters
    ----------
    ground, now : what it stands on, and where it stands
    times_s : UTC s from now on
    burns : (times, members) whether a fire burns that is let go then
    """
    gone = ~burns & burns[0]
    coming_s = np.where(gone.any(axis=0), times_s[gone.argmax(axis=0)], np.nan)
    is_short = burns[0] & (spares_m3(ground, now.x) <= 0.0)
    found_s = np.where(is_short, times_s[0], coming_s)
    return np.where(np.isnan(now.short_s), found_s, np.minimum(now.short_s, times_s[0]))
