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
from sugarwright.twin.ensemble import Ensemble, Ground, brixes, fill, tanks_of, volumes_m3
from sugarwright.weather.ensemble import normal_quantiles

_FAINT = 0.02  # share of the wide normal beneath the kernels
_WIDER = 3.0
_SHARPER = 20.0  # an ensemble so much sharper than a reading is left where it is
_GRID, _NEAR = 400, 240  # points over the whole range, and near the reading
_REACH = 6.0  # standard deviations about the reading that are looked at closely
_LEAST_BRIX, _MOST_BRIX = 0.005, 60.0
_LEAST_CELLS, _MOST_CELLS = 1.0, 1e6
_LEAST_CONDITION = 0.02
_MOST_PAN_RATIO = 1.15  # the last compartment may stand a little above the finish
_HOLDS_M3 = 1e-3
_LEAST_VARIANCE = 1e-18


def moved(
    prior: Floats, value: float, sd: float, low: float, high: float, source: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Move each member's value by a reading.

    Parameters
    ----------
    prior : (members,) what was read, as each member has it
    value, sd : the reading and its standard uncertainty
    low, high : what is possible
    source : breaks ties between members that agree

    Returns
    -------
    Posterior values; normal scores before; and how far each score moves.
    """
    members = len(prior)
    order = np.lexsort((source.random(members), prior))
    rank = np.empty(members)
    rank[order] = np.arange(members)
    q = (rank + 0.5) / members
    grid = _grid(prior, value, sd, low, high)
    density = _density(prior, sd, grid)
    before = _cumulative(density, grid)
    log_likelihood = -0.5 * ((grid - value) / sd) ** 2
    with np.errstate(divide="ignore"):
        log_posterior = np.log(density) + log_likelihood
    after = _cumulative(np.exp(log_posterior - log_posterior.max()), grid)
    posterior = np.interp(q, after, grid)
    score = normal_quantiles(q)
    new_score = normal_quantiles(np.clip(np.interp(posterior, grid, before), 1e-6, 1.0 - 1e-6))
    return np.clip(posterior, low, high), score, new_score - score


def _grid(prior: Floats, value: float, sd: float, low: float, high: float) -> Floats:
    reach = _WIDER * (3.0 * prior.std() + 3.0 * sd)
    least = max(low, min(prior.min(), value) - reach)
    most = min(high, max(prior.max(), value) + reach)
    near = value + sd * np.linspace(-_REACH, _REACH, _NEAR)
    grid = np.concatenate([np.linspace(least, most, _GRID), near[(near > least) & (near < most)]])
    return np.unique(grid)


def _density(prior: Floats, sd: float, grid: Floats) -> Floats:
    """Prior density on a grid, not normalised: kernels, and a wide normal beneath."""
    least = min(0.02 * sd, 1e-3 * float(grid[-1] - grid[0]))  # of members that all agree
    mean, spread = float(prior.mean()), max(float(prior.std()), least)
    low, high = np.quantile(prior, [0.25, 0.75])
    robust = min(spread, (high - low) / 1.349) or spread
    width = max(0.9 * robust * len(prior) ** -0.2, min(0.05 * sd, 0.1 * spread))
    shrink = math.sqrt(max(0.0, 1.0 - (width / spread) ** 2))
    centres = mean + shrink * (prior - mean)
    kernels = np.exp(-0.5 * ((grid[:, np.newaxis] - centres) / width) ** 2).mean(axis=1) / width
    wide = _WIDER * (spread + min(sd, _SHARPER * spread))
    beneath = np.exp(-0.5 * ((grid - mean) / wide) ** 2) / wide
    density: Floats = (1.0 - _FAINT) * kernels + _FAINT * beneath
    return density


def _cumulative(density: Floats, grid: Floats) -> Floats:
    """Integral up to each point, 0 to 1, strictly growing so that it can be turned round."""
    parts = 0.5 * (density[1:] + density[:-1]) * np.diff(grid)
    total = np.concatenate([[0.0], np.cumsum(parts)])
    share: Floats = total / total[-1] + np.linspace(0.0, 1e-12, len(grid))
    return share


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
    before = _values(ground, ensemble)
    after = before + change[:, np.newaxis] * _slopes(score, before)
    _put_back(ground, ensemble, after)
    _put_read(ground, ensemble, name, posterior)


def reset(
    ground: Ground, ensemble: Ensemble, name: tuple[str, str], value: float, sd: float,
    source: np.random.Generator,
) -> None:  # fmt: skip
    """Believe a reading that nothing foretold: it stands for itself, and teaches nothing else."""
    drawn = value + sd * source.standard_normal(ensemble.members)
    tanks = tanks_of(ground.plant)
    high = tanks[name[0]][1] if name[1] == "volume" and name[0] in tanks else math.inf
    _put_read(ground, ensemble, name, np.clip(drawn, 0.0, high))


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


def _values(ground: Ground, ensemble: Ensemble) -> Floats:
    """Lay out all that a reading may change, (members, values), where sums make sense."""
    x, plant = ensemble.x, ground.plant
    columns: list[NDArray[np.float64]] = []
    for tank, _ in tanks_of(plant).values():
        held_m3 = volumes_m3(plant, x, tank)
        holds = held_m3 > _HOLDS_M3
        brix = _of_those(holds, brixes(x, tank), _usual(ground, tank))
        columns += [
            held_m3,
            np.log(np.maximum(brix, _LEAST_BRIX)),
            np.log(np.maximum(_of_those(holds, x[:, tank + at.CELLS], 1.0), _LEAST_CELLS)),
            _of_those(holds, x[:, tank + at.TEMPERATURE], 3.0),
        ]
    pan_kg = x[:, at.PAN_SUGAR : at.PAN_SUGAR + _count(ground)].sum(axis=1)
    columns += [
        np.log(_of_those(pan_kg > 0.0, pan_kg, 1.0)),
        x[:, at.WOOD_M3],
        _logit(x[:, at.CONDITION]),
    ]
    return np.column_stack([*columns, ensemble.come_m3, ensemble.traits])


def _of_those(holds: NDArray[np.bool_], values: Floats, otherwise: float) -> Floats:
    """Give members that hold nothing the median of the others: emptiness has no strength."""
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
        x[:, tank + at.CELLS] = np.clip(np.exp(next(column)), _LEAST_CELLS, _MOST_CELLS)
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
    ensemble.traits[:] = np.array(list(column)).T


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


def _put_read(ground: Ground, ensemble: Ensemble, name: tuple[str, str], posterior: Floats) -> None:
    """Set what was read itself, exactly, where it is a value of the state."""
    place, quantity = name
    x, plant, tanks = ensemble.x, ground.plant, tanks_of(ground.plant)
    if place in tanks and quantity in ("volume", "brix", "temperature"):
        tank = tanks[place][0]
        if quantity == "volume":
            brix = np.maximum(brixes(x, tank), _LEAST_BRIX)
            fill(
                plant, x, tank, posterior, np.where(brix > _LEAST_BRIX, brix, _usual(ground, tank))
            )
        elif quantity == "brix":
            fill(plant, x, tank, volumes_m3(plant, x, tank), np.clip(posterior, 0.0, _MOST_BRIX))
        else:
            x[:, tank + at.TEMPERATURE] = np.clip(posterior, 0.0, 30.0)
    elif name == ("pan", "brix"):
        mass_kg = plant.p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + _count(ground)].sum()
        _fill_pans(ground, x)
        _scale_pan(ground, x, posterior / 100.0 * mass_kg)
    elif name == ("woodpile", "wood"):
        x[:, at.WOOD_M3] = posterior


def _fill_pans(ground: Ground, x: Floats) -> None:
    """Fill the pans that were taken to be empty, evenly: somebody has read their strength."""
    count, p = _count(ground), ground.plant.p
    empty = x[:, at.PAN_FILLED] <= 0.0
    x[empty, at.PAN_FILLED] = 1.0
    sugar_kg = 0.05 * p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    x[empty, at.PAN_SUGAR : at.PAN_SUGAR + count] = sugar_kg


def _usual(ground: Ground, tank: int) -> float:
    """Strength of what turns up in a tank that a member took to be empty."""
    if tank == at.PERMEATE:
        return 0.02
    return 8.0 if tank == at.STOCK else ground.plant.house.trees.sap_brix
