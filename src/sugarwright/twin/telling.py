"""Which reading would tell most now."""

from __future__ import annotations

import numpy as np

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import INSTRUMENTS, usual_sd
from sugarwright.logbook.meaning import tank_at
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tanks import full_depth_m
from sugarwright.twin.contents import brixes, tanks_of, volumes_m3
from sugarwright.twin.ensemble import Ensemble, Ground
from sugarwright.twin.observe import membrane_now, pan_brixes
from sugarwright.twin.report import Telling

_LEAST_SHARE = 0.05
_MOST = 3


def what_tells(ground: Ground, now: Ensemble, come_m3: Floats) -> tuple[Telling, ...]:
    """Weigh the readings that could be taken now.

    A reading of variance s² of a quantity h takes r² var(h) / (var(h) + s²) of the variance of
    whatever is correlated with it by r (least squares). What counts is sugar: in each tank, in the
    pan, and in the sap of the next day, in kilograms, so that all can be added up.

    Parameters
    ----------
    ground, now : what the twin stands on, and the members as they stand
    come_m3 : (members,) sap of the next 24 hours
    """
    targets = _sugars(ground, now, come_m3)
    total = sum(float(each.var()) for each in targets)
    if total <= 0.0:
        return ()
    found = []
    for place, quantity, values, sd in _candidates(ground, now):
        share = sum(_explained(values, sd, each) for each in targets) / total
        if share >= _LEAST_SHARE:
            found.append(Telling(place, quantity, float(share)))
    return tuple(sorted(found, key=lambda each: -each.share)[:_MOST])


def _sugars(ground: Ground, now: Ensemble, come_m3: Floats) -> list[Floats]:
    x = now.x
    count = int(ground.plant.p[at.COMPARTMENTS])
    tanks = [x[:, tank + at.SUGAR] for tank, _ in tanks_of(ground.plant).values()]
    pan = x[:, at.PAN_SUGAR : at.PAN_SUGAR + count].sum(axis=1)
    return [*tanks, pan, come_m3 * 10.0 * ground.plant.house.trees.sap_brix]


def _explained(values: Floats, sd: float, target: Floats) -> float:
    """Return the variance of a target that a reading would take."""
    variance = float(values.var())
    if variance <= 0.0 or target.var() <= 0.0:
        return 0.0
    covariance = float(np.mean((values - values.mean()) * (target - target.mean())))
    chance = float(target.var()) / len(values)  # what so few members show by chance alone
    return max(0.0, covariance**2 / (variance + sd**2) - chance)


def _candidates(ground: Ground, now: Ensemble) -> list[tuple[str, str, Floats, float]]:
    plant, x = ground.plant, now.x
    found = []
    hydrometer = INSTRUMENTS["hydrometer"].sd
    for place, (tank, rim_m3) in tanks_of(plant).items():
        level = volumes_m3(plant, x, tank)
        found.append((place, "volume", level, _level_sd_m3(ground, place, level, rim_m3)))
        if place != "permeate" and np.median(level) > 0.02 * rim_m3:
            found.append((place, "brix", brixes(x, tank), hydrometer))
    if (x[:, at.PAN_FILLED] > 0.0).all():
        found.append(("pan", "brix", pan_brixes(ground, x), 2.0 * hydrometer))
    if plant.p[at.HAS_MEMBRANE] > 0.0 and (x[:, at.MEMBRANE_ON] > 0.0).mean() > 0.5:
        flow_m3_s, _ = membrane_now(ground, now)
        if np.isfinite(flow_m3_s).any():
            known = np.where(np.isfinite(flow_m3_s), flow_m3_s, np.nanmedian(flow_m3_s))
            sd = usual_sd("permeate_flow", float(np.median(known))) or 0.0
            found.append(("membrane", "permeate_flow", known, sd))
    return found


def _level_sd_m3(ground: Ground, place: str, level: Floats, rim_m3: float) -> float:
    """Uncertainty of the stick where the tank has a shape, else of a mark on its side."""
    tank = tank_at(ground.plant.house, place)
    if tank is not None:
        try:
            return INSTRUMENTS["stick"].sd * rim_m3 / full_depth_m(tank)
        except InputError:
            pass
    return usual_sd("volume", float(np.median(level))) or 0.03 * rim_m3
