"""Correct the ensemble by one reading.

Two steps, as J.L. Anderson put it ("A Local Least Squares Framework for Ensemble Filtering", Mon.
Wea. Rev. 131, 2003, 634): first the quantity that was read, then what hangs together with it.

1. *What was read.* The members' values give a prior density; Bayes' rule with the reading's error
   gives the posterior; each member moves to the posterior's quantile of its own prior rank
   (Anderson, "A Quantile-Conserving Ensemble Filter Framework. Part I", Mon. Wea. Rev. 150, 2022,
   1061, eq. 4). No normal prior is asked for, so that a tank that may be full to the rim in half of
   the members, and a lognormal run of sap, are taken as they are; and nothing can leave the tank.
   The density is a sum of normal kernels shrunk towards the mean, so that the variance stays (J.
   Liu and M. West, "Combined parameter and state estimation", 2001, sec. 10.3), with a wide, faint
   normal beneath it: a reading in the tail pulls, however narrow the ensemble has become.
2. *The rest* moves along its linear regression on the normal score of what was read (Anderson,
   Part II, Mon. Wea. Rev. 151, 2023, 2759: "regression in a probit and probability integral
   transformed space"): what depends on one lognormal factor is then on a line. Correlations that
   chance can give in an ensemble of this size are damped (Anderson, Mon. Wea. Rev. 140, 2012,
   2359).

Particle weights would need many more members: a stick is a hundred times as sharp as a forecast of
a day's sap, and hardly two of 200 particles would be left. A plain ensemble Kalman filter (G.
Evensen, J. Geophys. Res. 99, 1994, 10143) puts members below empty and above the rim.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.contents import brixes, fill, tanks_of, volumes_m3
from sugarwright.twin.ensemble import Ensemble, Ground
from sugarwright.twin.ranks import moved
from sugarwright.twin.spreads import READ_TRAITS
from sugarwright.twin.told import Reading
from sugarwright.twin.unknown import any_brix, any_cells

_LEAST_BRIX, _MOST_BRIX = 0.005, 60.0
_LEAST_GROWN, _MOST_CELLS = 1e-3, 1e6  # cells beyond those of fresh sap; cells
_LEAST_CONDITION = 0.02
_MOST_PAN_RATIO = 1.15  # the last compartment may stand a little above the finish
_HOLDS_M3 = 1e-3
_PRIOR_COUNT = 20.0  # members that "nothing is known of this tank" weighs as much as
_OF_A_TANK = ("volume", "brix", "cells", "temperature")  # as they are laid out
_LEAST_VARIANCE = 1e-18


def correct(
    ground: Ground,
    ensemble: Ensemble,
    name: tuple[str, str],
    prior: Floats,
    value: float,
    sd: float,
    allowed: tuple[float, float] | None,
    source: np.random.Generator,
) -> None:
    """Correct the whole ensemble, in place, by a reading of one name (place and quantity)."""
    low, high = allowed or (0.0, math.inf)
    high = high if math.isfinite(high) else 10.0 * max(prior.max(), value) + 10.0 * sd
    posterior, score, change = moved(prior, value, sd, low, high, source)
    before = _values(ground, ensemble, source)
    after = before + change[:, np.newaxis] * _slopes(score, before)
    _take_read(ground, ensemble, name, posterior, after)
    _put_back(ground, ensemble, after)


def correct_sensed(
    ground: Ground,
    ensemble: Ensemble,
    reading: Reading,
    held: Floats,
    off: Floats,
    sd: float,
    source: np.random.Generator,
) -> None:
    """Correct by a sensor, in place: what a member holds and the sensor's offset are read together.

    Parameters
    ----------
    ground, ensemble, reading : of the sensor
    held, off : (members,) what each member has there, and how far off it the sensor would tell
    sd : of what differs from one reading to the next
    """
    low, high = reading.allowed or (0.0, math.inf)
    prior = held + off
    most = high if math.isfinite(high) else 10.0 * max(prior.max(), reading.value) + 10.0 * sd
    within = (low + min(0.0, off.min()) - sd, most + max(0.0, off.max()) + sd)
    posterior, score, change = moved(prior, reading.value, sd, *within, source)
    before = _values(ground, ensemble, source)
    after = before + change[:, np.newaxis] * _slopes(score, before)
    column = ensemble.sensors.index(reading.sensor) - len(ensemble.sensors)
    per_sd = off / np.where(ensemble.offsets[:, column] == 0.0, 1.0, ensemble.offsets[:, column])
    moved_to = np.clip(posterior - per_sd * after[:, column], low, most)
    _take_read(ground, ensemble, reading.name, moved_to, after)
    _put_back(ground, ensemble, after)


def reset(
    ground: Ground, ensemble: Ensemble, name: tuple[str, str], value: float | Floats, sd: float,
    source: np.random.Generator,
) -> None:  # fmt: skip
    """Believe a reading that nothing foretold: it stands for itself, and teaches nothing else."""
    drawn = np.maximum(0.0, value + sd * source.standard_normal(ensemble.members))
    values = _values(ground, ensemble, source)
    _take_read(ground, ensemble, name, drawn, values)
    _put_back(ground, ensemble, values)


def _slopes(score: Floats, values: Floats) -> Floats:
    """Change of each value with the normal score, damped where chance could have made it."""
    members = len(score)
    u = score - score.mean()
    spread = values - values.mean(axis=0)
    variance = np.maximum((spread**2).mean(axis=0), 0.0)
    covariance = (u[:, np.newaxis] * spread).mean(axis=0)
    u_variance = float((u**2).mean())
    known = variance > _LEAST_VARIANCE
    r2 = np.where(known, covariance**2 / np.maximum(variance * u_variance, 1e-300), 0.0)
    damp = np.clip(((members - 1) * r2 - 1.0) / np.maximum((members - 2) * r2, 1e-12), 0.0, 1.0)
    slopes: Floats = np.where(known, damp * covariance / u_variance, 0.0)
    return slopes


def _logit(share: Floats) -> Floats:
    inside = np.clip(share, 1e-4, 1.0 - 1e-4)
    logit: Floats = np.log(inside / (1.0 - inside))
    return logit


def _values(ground: Ground, ensemble: Ensemble, source: np.random.Generator) -> Floats:
    """Lay out all that a reading may change, (members, values), where sums make sense."""
    x, plant, members = ensemble.x, ground.plant, ensemble.members
    columns: list[NDArray[np.float64]] = []
    for tank, _ in tanks_of(plant).values():
        held_m3 = volumes_m3(plant, x, tank)
        holds = held_m3 > _HOLDS_M3
        brix = _of_those(holds, brixes(x, tank), any_brix(plant, tank, source, members), source)
        cells = _of_those(holds, x[:, tank + at.CELLS], any_cells(plant, source, members), source)
        columns += [
            held_m3,
            np.log(np.maximum(brix, _LEAST_BRIX)),
            np.log(np.maximum(cells - 1.0, _LEAST_GROWN)),
            _middle_of_those(holds, x[:, tank + at.TEMPERATURE], 3.0),
        ]
    pan_kg = x[:, at.PAN_SUGAR : at.PAN_SUGAR + _count(ground)].sum(axis=1)
    columns += [
        np.log(_middle_of_those(pan_kg > 0.0, pan_kg, 1.0)),
        x[:, at.WOOD_M3],
        _logit(x[:, at.CONDITION]),
    ]
    taught = ensemble.traits[:, :READ_TRAITS]
    return np.column_stack([*columns, ensemble.come_m3, taught, ensemble.offsets])


def _of_those(
    holds: NDArray[np.bool_], values: Floats, found: Floats, source: np.random.Generator
) -> Floats:
    """Give each member that holds nothing what it would have, were its tank not empty after all.

    That is what one of the members that hold something has, or, the fewer those are the likelier,
    what may be found in a tank of which nothing is known.
    """
    count = int(holds.sum())
    if count in (0, len(holds)):
        return np.where(holds, values, found)
    another = source.choice(values[holds], len(holds))
    known = source.random(len(holds)) < count / (count + _PRIOR_COUNT)
    return np.where(holds, values, np.where(known, another, found))


def _middle_of_those(holds: NDArray[np.bool_], values: Floats, otherwise: float) -> Floats:
    """Give members that hold nothing the median of the others."""
    middle = float(np.median(values[holds])) if holds.any() else otherwise
    return np.where(holds, values, middle)


def _count(ground: Ground) -> int:
    return int(ground.plant.p[at.COMPARTMENTS])


def _put_back(ground: Ground, ensemble: Ensemble, values: Floats) -> None:
    """Take over the laid-out values; nothing below empty or above a rim."""
    x, plant = ensemble.x, ground.plant
    column = iter(values.T)
    for tank, rim_m3 in tanks_of(plant).values():
        volume_m3 = np.clip(next(column), 0.0, rim_m3)
        brix = np.clip(np.exp(next(column)), _LEAST_BRIX, _MOST_BRIX)
        fill(plant, x, tank, volume_m3, brix)
        x[:, tank + at.CELLS] = np.minimum(1.0 + np.exp(next(column)), _MOST_CELLS)
        x[:, tank + at.TEMPERATURE] = np.clip(next(column), 0.0, 30.0)
    _scale_pan(ground, x, np.exp(next(column)))
    x[:, at.WOOD_M3] = np.maximum(next(column), 0.0)
    moved_condition = 1.0 / (1.0 + np.exp(-next(column)))
    x[:, at.CONDITION] = np.where(
        x[:, at.CONDITION] < 1.0, np.clip(moved_condition, _LEAST_CONDITION, 1.0), 1.0
    )
    points = ensemble.come_m3.shape[1]
    for g in range(points):
        ensemble.come_m3[:, g] = np.maximum(next(column), 0.0)
    of_members = np.array(list(column)).T
    ensemble.traits[:, :READ_TRAITS] = of_members[:, :READ_TRAITS]
    ensemble.offsets[:] = of_members[:, READ_TRAITS:]


def _scale_pan(ground: Ground, x: Floats, sugar_kg: Floats) -> None:
    """Give each pan that holds anything so much sugar, its gradient kept, none past the finish."""
    count, p = _count(ground), ground.plant.p
    held = x[:, at.PAN_SUGAR : at.PAN_SUGAR + count]
    total_kg = held.sum(axis=1)
    ratio = np.where(total_kg > 0.0, sugar_kg / np.maximum(total_kg, 1e-9), 1.0)
    most = (
        _MOST_PAN_RATIO * p[at.FINISH_FRACTION] * p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    )
    x[:, at.PAN_SUGAR : at.PAN_SUGAR + count] = np.minimum(held * ratio[:, np.newaxis], most)


def _take_read(
    ground: Ground, ensemble: Ensemble, name: tuple[str, str], posterior: Floats, values: Floats
) -> None:
    """Set what was read itself, exactly, where it is among the laid-out values."""
    place, quantity = name
    tanks = list(tanks_of(ground.plant))
    if place in tanks and quantity in _OF_A_TANK:
        column = len(_OF_A_TANK) * tanks.index(place) + _OF_A_TANK.index(quantity)
        is_brix = quantity == "brix"
        values[:, column] = np.log(np.maximum(posterior, _LEAST_BRIX)) if is_brix else posterior
    elif name == ("pan", "brix"):
        _fill_pans(ground, ensemble.x)
        p = ground.plant.p
        mass_kg = p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + _count(ground)].sum()
        sugar_kg = np.maximum(posterior, _LEAST_BRIX) / 100.0 * mass_kg
        values[:, len(_OF_A_TANK) * len(tanks)] = np.log(sugar_kg)
    elif name == ("woodpile", "wood"):
        values[:, len(_OF_A_TANK) * len(tanks) + 1] = posterior


def _fill_pans(ground: Ground, x: Floats) -> None:
    """Fill the pans that were taken to be empty, evenly: somebody has read their strength."""
    count, p = _count(ground), ground.plant.p
    empty = x[:, at.PAN_FILLED] <= 0.0
    x[empty, at.PAN_FILLED] = 1.0
    sugar_kg = 0.05 * p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    x[empty, at.PAN_SUGAR : at.PAN_SUGAR + count] = sugar_kg
