"""What the boils of a log teach of the pan: how much it boils off, how it comes up and dies down.

The balance is that of the simulator (``plant.pan_kernel``) in closed form: the heat of the fire up
to each reading, less what brought the pan to the boil, makes steam of feed that comes in cold. Four
numbers are learnt together: the boil-off at full fire, the two time constants of the fire, and how
much one day's firing differs from the next.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.as_learnt import LEARNABLE
from sugarwright.learning.boils import Boil, boils_of
from sugarwright.learning.fires import heat_s
from sugarwright.learning.grid import Foretold, Gridded, LogPrior, learn_on_grid, one_by_one
from sugarwright.learning.kept import Figure, Kept
from sugarwright.learning.remarks import Doubt, Remark
from sugarwright.learning.robust import doubts, likelihoods, summed
from sugarwright.logbook.entry import Entry
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.water import latent_heat_j_kg, water_density_kg_m3
from sugarwright.plant.assemble import COLD_C, PAN_REST_S
from sugarwright.plant.house import House

Floats = NDArray[np.float64]

RATE, LIGHT_UP, BURN_DOWN = "pan.boil_rate_m3_s", "pan.light_up_s", "pan.burn_down_s"
DAY_SD_LOG = LogPrior(0.06, 0.5, 7)
"""How much the heat of one day's firing differs from another's: judgement (wood, hands)."""

BETWEEN_YEARS_SD_LOG = 0.08  # flues, niter, wood: judgement
LEAST_NARROWING = 0.8  # a time constant is kept once its spread has shrunk to this part
SHED_C = 5.0  # of a pan that has stood: judgement


@dataclass(frozen=True)
class PanYear:
    """The pan in one year.

    Parameters
    ----------
    year : calendar year
    boils : that taught it
    boil_rate_m3_s, sd_log : median, and standard deviation of its logarithm
    """

    year: int
    boils: int
    boil_rate_m3_s: float
    sd_log: float


@dataclass(frozen=True)
class PanLesson:
    """What the log taught of the pan.

    Parameters
    ----------
    kept : figures to keep; None when no boil could teach any
    described_m3_s, described_sd_log : boil-off by the description, and how unsure such figures are
    day_sd_log : how much one day's firing differs from another's
    years : each year, oldest first; the last stands
    boiled : the last year's boils, foretold one by one
    doubts : readings that don't fit
    remarks : fires that taught nothing, and why
    """

    kept: Kept | None
    described_m3_s: float
    described_sd_log: float
    day_sd_log: float
    years: tuple[PanYear, ...]
    boiled: tuple[Foretold, ...]
    doubts: tuple[Doubt, ...]
    remarks: tuple[Remark, ...]


def learn_pan(house: House, entries: Sequence[Entry], learnt_s: int) -> PanLesson:
    """Learn from the boils of a log, year by year.

    Parameters
    ----------
    house : as described
    entries : that stand, in any order
    learnt_s : UTC s now

    Returns
    -------
    PanLesson
    """
    ordered = sorted(entries, key=lambda each: (each.at_s, each.key))
    boils, remarks = boils_of(house, ordered)
    priors = _priors(house)
    prior_sd = priors[0].sd_log
    years: list[PanYear] = []
    boiled: tuple[Foretold, ...] = ()
    found: tuple[Doubt, ...] = ()
    gridded: Gridded | None = None
    by_year = _by_year(boils)
    for year, here in by_year.items():
        if gridded is not None:
            priors = _next_year(priors, gridded, prior_sd)
        boiled = _one_by_one(house, here, priors)
        gridded, found = fit_boils(house, here, priors)
        rate, sd_log = math.exp(gridded.mean_log[0]), float(gridded.sd_log[0])
        years.append(PanYear(year, len(here), rate, sd_log))
    kept = None
    if gridded is not None:
        until_s = max(each.times_s[-1] for each in boils)
        figures = _figures(house, gridded)
        kept = Kept("pan", learnt_s, float(until_s), len(boils), figures)
    day_sd_log = DAY_SD_LOG.median if gridded is None else math.exp(gridded.mean_log[3])
    return PanLesson(
        kept, house.pan.boil_rate_m3_s, prior_sd, day_sd_log, tuple(years), boiled,
        found, tuple(remarks),
    )  # fmt: skip


def _priors(house: House) -> tuple[LogPrior, ...]:
    of = LEARNABLE["pan"]
    return (
        LogPrior(house.pan.boil_rate_m3_s, of[RATE].sd, 31),
        LogPrior(house.pan.light_up_s, of[LIGHT_UP].sd, 7),
        LogPrior(house.pan.burn_down_s, of[BURN_DOWN].sd, 7),
        DAY_SD_LOG,
    )


def _next_year(priors: tuple[LogPrior, ...], gridded: Gridded, most: float) -> tuple[LogPrior, ...]:
    """Return what a year's fit is worth in the next: the same, less sure."""
    found = []
    for at, prior in enumerate(priors):
        spread = math.hypot(float(gridded.sd_log[at]), BETWEEN_YEARS_SD_LOG)
        widest = most if at == 0 else prior.sd_log
        median = math.exp(gridded.mean_log[at])
        found.append(LogPrior(median, min(spread, widest), prior.points))
    return tuple(found)


def _by_year(boils: Sequence[Boil]) -> dict[int, list[Boil]]:
    years: dict[int, list[Boil]] = {}
    for each in boils:
        year = datetime.fromtimestamp(each.chain.at_s, UTC).year
        years.setdefault(year, []).append(each)
    return years


def fit_boils(
    house: House, boils: Sequence[Boil], priors: tuple[LogPrior, ...]
) -> tuple[Gridded, tuple[Doubt, ...]]:
    """Return what boils say of boil-off, light-up, burn-down and the day's factor."""

    def rows(values: Floats) -> list[Floats]:
        return [
            likelihoods(each.chain, steam_m3(house, each, values), values[:, 3]) for each in boils
        ]

    def total(values: Floats) -> Floats:
        each = [summed(row) for row in rows(values)]
        return np.sum(each, axis=0) if each else np.zeros(len(values))

    found = learn_on_grid(priors, total)
    said = doubts([each.chain for each in boils], rows(found.values), found.weights)
    return found, said


def steam_m3(house: House, boil: Boil, values: Floats) -> Floats:
    """Return the feed that each window of a boil makes steam of.

    Parameters
    ----------
    house : its pan's liquid and elevation
    boil : its fires, readings, feed
    values : (points, numbers): boil-off, light-up, burn-down, and what else there is

    Returns
    -------
    (points, windows) [m3]
    """
    rate_m3_s, up_s, down_s = values[:, 0], values[:, 1], values[:, 2]
    boiling_c = boiling_point_c(0.0, standard_pressure_pa(house.site.elevation_m))
    latent = latent_heat_j_kg(boiling_c)
    over_k = boiling_c - COLD_C
    heat_w = rate_m3_s * water_density_kg_m3(20.0)
    heat_w = heat_w * (latent + heat_capacity_j_kg_k(2.0, COLD_C) * over_k)
    warming_j_kg = heat_capacity_j_kg_k(boil.fed_brix, COLD_C) * over_k
    given_j = np.zeros((len(values), len(boil.times_s)))
    before_s: float | None = None
    for fire in boil.fires:
        given_s = heat_s(fire, boil.times_s, up_s, down_s)
        warm_s = _to_boil_j(house, boiling_c, before_s, fire.lit_s) / heat_w
        given_j += heat_w[:, np.newaxis] * np.maximum(given_s - warm_s[:, np.newaxis], 0.0)
        before_s = fire.out_s
    used_j = np.diff(given_j, axis=1)
    # Draws, too, are made up for with cold feed: their share of the heat goes by the steam.
    total_j = np.maximum(used_j.sum(axis=1, keepdims=True), 1.0)
    used_j = used_j * np.maximum(1.0 - boil.syrup_kg * warming_j_kg / total_j, 0.1)
    steam: Floats = used_j / ((latent + warming_j_kg) * density_kg_m3(boil.fed_brix, COLD_C))
    return steam


def _to_boil_j(house: House, boiling_c: float, before_s: float | None, lit_s: float) -> float:
    """Return the heat that brings a pan to the boil: cold, or still warm from the fire before."""
    capacity = heat_capacity_j_kg_k(10.0, 50.0) * density_kg_m3(10.0, 50.0)
    lacking_k = boiling_c - SHED_C
    if before_s is not None:
        lacking_k *= -math.expm1(-(lit_s - before_s) / PAN_REST_S)
    return sum(house.pan.compartments_m3) * capacity * lacking_k


def _one_by_one(
    house: House, boils: Sequence[Boil], priors: tuple[LogPrior, ...]
) -> tuple[Foretold, ...]:
    chains = [each.chain for each in boils]
    return one_by_one(chains, priors, lambda at, values: steam_m3(house, boils[at], values), 3)


def _figures(house: House, gridded: Gridded) -> tuple[Figure, ...]:
    """Return boil-off, and of the time constants those of which the log tells something."""
    found = []
    for at, key in enumerate((RATE, LIGHT_UP, BURN_DOWN)):
        sd_log = float(gridded.sd_log[at])
        if at == 0 or sd_log < LEAST_NARROWING * LEARNABLE["pan"][key].sd:
            described = getattr(house.pan, key.removeprefix("pan."))
            value = math.exp(gridded.mean_log[at])
            found.append(Figure(key, value, sd_log, True, described))
    return tuple(found)
