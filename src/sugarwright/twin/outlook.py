"""Run the ensemble on from its last entry: how it stands now and may stand in two days.

Everything that the answer needs is put into curves over time, as plain numbers. So an answer some
minutes or hours later, with nothing new logged, is read off the curves and runs no plant at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import CLOSE_M3, Floats
from sugarwright.twin.advance import advance, forgotten, own_parameters
from sugarwright.twin.contents import age_s, brixes, tanks_of, volumes_m3
from sugarwright.twin.curves import Outlook
from sugarwright.twin.ensemble import Ensemble, Ground
from sugarwright.twin.feed import first_short_s, reserves_m3
from sugarwright.twin.observe import drawn_m3, membrane_now, pan_brixes
from sugarwright.twin.report import When
from sugarwright.twin.spreads import BOIL_LOG, PERMEABILITY_LOG, RUN_LOG, SCALE_LOG
from sugarwright.twin.telling import what_tells

FIRE_STEPS, FIRE_LEGS = 1, 15  # five minutes, for an hour and a quarter, while a fire may burn:
# the next draw is then told to some minutes
NEAR_STEPS, NEAR_LEGS = 3, 24  # a quarter of an hour, for six hours
FAR_STEPS, FAR_LEGS = 12, 66  # then hours, to the end of the third day
_BANDS = [0.05, 0.5, 0.95]
_EMPTY_FRACTION = 0.02
_DAY_S = 86400.0


def look_ahead(ground: Ground, ensemble: Ensemble) -> Outlook:
    """Run the members on, from where they stand, with what runs running on.

    Parameters
    ----------
    ground : what the twin stands on
    ensemble : as it stands now; it stays so
    """
    now = ensemble.copy()
    ahead = ensemble.copy()
    ahead.come_m3[:] = 0.0
    ahead.fire_word_s = None  # a fire that burns is taken to go on until its feed is down
    ahead.short_s[:] = np.nan
    moments = [_moment(ground, ahead)]
    times_s = [float(ahead.time_s)]
    first = [FIRE_STEPS] * FIRE_LEGS if (now.x[:, at.FIRE_ON] > 0.0).any() else []
    for steps in first + [NEAR_STEPS] * NEAR_LEGS + [FAR_STEPS] * FAR_LEGS:
        advance(ground, ahead, ahead.step + steps, reserve_m3=float(ground.plant.p[at.RESERVE_M3]))
        moments.append(_moment(ground, ahead))
        times_s.append(float(ahead.time_s))
    over = {name: np.array([each[name] for each in moments]) for name in moments[0]}
    times = np.array(times_s)
    curves = {name: _curve(name, values) for name, values in over.items()}
    curves |= _standing(ground, now, len(times))
    curves["fire.on"] = _burns(ground, now, times)
    day = int(np.searchsorted(times, times[0] + _DAY_S))
    return Outlook(
        times, curves, _whens(ground, now, times, over), what_tells(ground, now, over["come"][day])
    )


def _curve(name: str, values: Floats) -> Floats:
    """Bands over time; of what is yes or no its share."""
    if name.endswith((".on", ".filled")):
        shares: Floats = values.mean(axis=1)
        return shares
    bands: Floats = np.nanquantile(values, _BANDS, axis=1).T
    return bands


def _burns(ground: Ground, now: Ensemble, times: Floats) -> Floats:
    """Return the chance that a fire burns: what lets it go in a look ahead is nobody's word."""
    burns = now.x[:, at.FIRE_ON] > 0.0
    return np.array([(burns & ~forgotten(ground, now, each)).mean() for each in times])


def _moment(ground: Ground, ensemble: Ensemble) -> dict[str, Floats]:
    """Return what is asked of every member at one time."""
    plant, x = ground.plant, ensemble.x
    found: dict[str, Floats] = {
        "come": ensemble.come_m3.sum(axis=1),
        "wood": x[:, at.WOOD_M3].copy(),
        "run": np.exp(ensemble.traits[:, SCALE_LOG] + ensemble.traits[:, RUN_LOG]),
    }
    for place, (tank, _) in tanks_of(plant).items():
        found[f"{place}.volume_m3"] = volumes_m3(plant, x, tank)
        found[f"{place}.brix"] = _where_held(plant, x, tank, brixes(x, tank))
        found[f"{place}.temperature_c"] = _where_held(plant, x, tank, x[:, tank + at.TEMPERATURE])
        raw = (
            np.maximum(brixes(x, tank) / plant.house.trees.sap_brix, 1.0)
            if tank == at.STOCK
            else 1.0
        )
        found[f"{place}.age_s"] = _where_held(
            plant, x, tank, age_s(plant, x[:, tank + at.CELLS], raw)
        )
        logs = np.log10(np.maximum(x[:, tank + at.CELLS], 1.0)) / plant.p[at.SPOILED_LOG]
        found[f"{place}.life"] = _where_held(plant, x, tank, logs)
    found["membrane.on"] = (x[:, at.MEMBRANE_ON] > 0.0).astype(float)
    lasting = plant.p[at.CONDITION_LASTING] * np.exp(ensemble.traits[:, PERMEABILITY_LOG])
    found["membrane.condition"] = x[:, at.CONDITION] * lasting
    found["membrane.run_s"] = x[:, at.RUN_SINCE_WASH_S].copy()
    found["fire.on"] = (x[:, at.FIRE_ON] > 0.0).astype(float)
    found["fire.heat"] = x[:, at.HEAT_W] / own_parameters(ground, ensemble)[:, at.FULL_HEAT_W]
    found["pan.filled"] = (x[:, at.PAN_FILLED] > 0.0).astype(float)
    filled = x[:, at.PAN_FILLED] > 0.0
    found["pan.brix"] = _of_some(filled, pan_brixes(ground, x))
    found["pan.drawn_m3"] = drawn_m3(ground, ensemble)
    return found


def _where_held(plant: Plant, x: Floats, tank: int, values: Floats) -> Floats:
    return _of_some(volumes_m3(plant, x, tank) > 0.002, values)


def _of_some(holds: np.ndarray[Any, np.dtype[np.bool_]], values: Floats) -> Floats:
    """Return the values of those that hold something; of none, all the values."""
    return np.where(holds, values, np.nan) if holds.any() else values


def _standing(ground: Ground, now: Ensemble, times: int) -> dict[str, Floats]:
    """Return what is reckoned now and taken to stay."""
    p, house = ground.plant.p, ground.plant.house
    boil = house.pan.boil_rate_m3_s * np.exp(now.traits[:, BOIL_LOG])
    stays = {"scale": np.exp(now.traits[:, SCALE_LOG]), "boil_m3_s": boil}
    stays["fire.reserve_m3"] = reserves_m3(ground, now.x)
    if p[at.HAS_MEMBRANE] > 0.0:
        permeate_m3_s, concentrate_brix = membrane_now(ground, now)
        if np.isfinite(permeate_m3_s).any():
            stays |= {"permeate_m3_s": permeate_m3_s, "concentrate_brix": concentrate_brix}
    return {
        name: np.tile(np.nanquantile(values, _BANDS), (times, 1)) for name, values in stays.items()
    }


# --- times ---------------------------------------------------------------------------------------


def _whens(
    ground: Ground, now: Ensemble, times: Floats, over: Mapping[str, Floats]
) -> dict[str, When]:
    found: dict[str, When | None] = {}
    plant = ground.plant
    for place, (_, rim_m3) in tanks_of(plant).items():
        level = over[f"{place}.volume_m3"]
        found[f"{place}.full"] = _first(times, level >= rim_m3 - 1e3 * CLOSE_M3)
        found[f"{place}.empty"] = _crossing(times, level, _least_m3(plant, place, rim_m3))
        found[f"{place}.spoiled"] = _first(
            times, (over[f"{place}.life"] >= 1.0) & (level > 0.05 * rim_m3)
        )
    on = over["membrane.on"] > 0.0
    found["membrane.stops"] = _first(times, ~on & on[0])
    fire = over["fire.on"] > 0.0
    short_s = first_short_s(ground, now, times, fire)
    found["fire.reserve"] = _when(short_s[~np.isnan(short_s)], np.isfinite(short_s).mean())
    found["pan.draw"] = _next_draw(times, over["pan.drawn_m3"], fire[0])
    return {name: when for name, when in found.items() if when is not None}


def _least_m3(plant: Plant, place: str, rim_m3: float) -> float:
    """Return the level at which nothing useful can be drawn any more."""
    p = plant.p
    least = {
        "sap": max(p[at.SAP_DEAD_M3], p[at.LEAST_SAP_M3]),
        "stock": p[at.STOCK_DEAD_M3],
        "permeate": p[at.PERMEATE_DEAD_M3],
    }
    return max(float(least.get(place, 0.0)), _EMPTY_FRACTION * rim_m3)


def _next_draw(
    times: Floats, drawn_m3: Floats, burns: np.ndarray[Any, np.dtype[np.bool_]]
) -> When | None:
    """Return when the next draw comes, over the members whose fire burns.

    It comes within a leg; the middle of that leg is taken.
    """
    if not burns.any():
        return None
    drawn = drawn_m3[:, burns]
    more = drawn > drawn[0] + CLOSE_M3
    comes = more.any(axis=0)
    k = more.argmax(axis=0)[comes]
    return _when(0.5 * (times[k] + times[k - 1]), comes.mean())


def _first(times: Floats, is_so: np.ndarray[Any, np.dtype[np.bool_]]) -> When | None:
    """Return when something is first so, over the members in which it comes."""
    comes = is_so.any(axis=0)
    return _when(times[is_so.argmax(axis=0)][comes], comes.mean())


def _crossing(times: Floats, level: Floats, least: float) -> When | None:
    """Return when a level falls to a mark, drawn straight between the points."""
    below = level <= least * (1.0 + 1e-3)
    comes = below.any(axis=0)
    k = below.argmax(axis=0)
    before = np.maximum(k - 1, 0)
    members = np.arange(level.shape[1])
    drop = level[before, members] - level[k, members]
    share = np.where(drop > 0.0, (level[before, members] - least) / np.maximum(drop, 1e-12), 1.0)
    at_s = times[before] + np.clip(share, 0.0, 1.0) * (times[k] - times[before])
    return _when(at_s[comes], comes.mean())


def _when(at_s: Floats, probability: float) -> When | None:
    if not len(at_s):
        return None
    return When(float(probability), *(float(v) for v in np.quantile(at_s, _BANDS)))
