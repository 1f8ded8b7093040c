"""What the log teaches of the wood: how much an hour of fire takes, and each light-up beside it.

The wood of a fire is its time by the rate at full fire, and what lighting costs. Of the rate and
the pan's boil-off follows which part of the wood's heat ends in the sap; the wood's own heat cannot
be told apart from that, and stays as described.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.as_learnt import LEARNABLE
from sugarwright.learning.fires import Fire, fires_of
from sugarwright.learning.grid import Foretold, Gridded, LogPrior, learn_on_grid, one_by_one
from sugarwright.learning.kept import Figure, Kept
from sugarwright.learning.pan import RATE
from sugarwright.learning.remarks import Doubt, Remark
from sugarwright.learning.robust import Chain, Slip, doubts, likelihoods, summed
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.meaning import sd_of
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.water import latent_heat_j_kg, water_density_kg_m3
from sugarwright.plant.assemble import COLD_C
from sugarwright.plant.house import House

Floats = NDArray[np.float64]

EFFICIENCY, LIGHT_UP_WOOD = "fire.efficiency_fraction", "fire.light_up_wood_m3"
DAY_SD_LOG = LogPrior(0.1, 0.5, 5)
"""How much the wood for the same fire differs from day to day: judgement."""

_PUT_ON = ("fire_lit", "stoke", "fire_out")


@dataclass(frozen=True)
class Burnt:
    """Fires whose wood was measured together.

    Parameters
    ----------
    fires : in order
    chain : of one window, wood burnt [m3 stacked]
    """

    fires: tuple[Fire, ...]
    chain: Chain


@dataclass(frozen=True)
class WoodLesson:
    """What the log taught of the wood.

    Parameters
    ----------
    kept : figures to keep; None when no fire could teach any
    wood_m3_h, sd_log : stacked wood an hour at full fire: median, spread of its logarithm
    described_m3_h : the same by the description
    fires : whose wood was measured
    burnt : each of them beside what those before it let expect
    doubts : readings that don't fit
    remarks : what taught nothing, and why
    """

    kept: Kept | None
    wood_m3_h: float
    sd_log: float
    described_m3_h: float
    fires: int
    burnt: tuple[Foretold, ...]
    doubts: tuple[Doubt, ...]
    remarks: tuple[Remark, ...]


def learn_wood(
    house: House, entries: Sequence[Entry], learnt_s: int, pan: Kept | None
) -> WoodLesson:
    """Learn from wood that was put on, or from the pile before and after.

    Parameters
    ----------
    house : as described
    entries : that stand, in any order
    learnt_s : UTC s now
    pan : what was learnt of the pan from the same log; None: nothing

    Returns
    -------
    WoodLesson
    """
    ordered = sorted(entries, key=lambda each: (each.at_s, each.key))
    seen, remarks = burnt_of(ordered)
    rate = None if pan is None else pan.figure(RATE)
    rate_m3_s = house.pan.boil_rate_m3_s if rate is None else rate.value
    rate_sd = LEARNABLE["pan"][RATE].sd if rate is None else rate.sd
    described_m3_s = full_heat_w(house, house.pan.boil_rate_m3_s) / _heat_j_m3(house)
    prior_m3_s = full_heat_w(house, rate_m3_s) / _heat_j_m3(house)
    efficiency_sd = LEARNABLE["wood"][EFFICIENCY].sd
    slow_s = max(0.0, house.pan.burn_down_s - house.pan.light_up_s)
    light_up_m3 = max(house.fire.light_up_wood_m3, prior_m3_s * slow_s, 1e-4)
    priors = (
        LogPrior(prior_m3_s, math.hypot(rate_sd, efficiency_sd), 31),
        LogPrior(light_up_m3, LEARNABLE["wood"][LIGHT_UP_WOOD].sd, 9),
        DAY_SD_LOG,
    )
    found, said = fit_burnt(seen, priors)
    chains = [each.chain for each in seen]
    foretold = one_by_one(chains, priors, lambda at, values: _modelled(seen[at], values), 2)
    kept = None
    if seen:
        figures = _figures(house, found, priors, efficiency_sd)
        until_s = max(each.fires[-1].out_s for each in seen)
        kept = Kept("wood", learnt_s, until_s, len(seen), figures)
    return WoodLesson(
        kept, 3600.0 * math.exp(found.mean_log[0]), float(found.sd_log[0]),
        3600.0 * described_m3_s, sum(len(each.fires) for each in seen),
        foretold, said, tuple(remarks),
    )  # fmt: skip


def full_heat_w(house: House, boil_rate_m3_s: float) -> float:
    """Return the heat that a boil-off takes from sap that comes in cold, as the plant reckons."""
    boiling_c = boiling_point_c(0.0, standard_pressure_pa(house.site.elevation_m))
    warming_j_kg = heat_capacity_j_kg_k(2.0, COLD_C) * (boiling_c - COLD_C)
    each_kg_j = latent_heat_j_kg(boiling_c) + warming_j_kg
    return boil_rate_m3_s * water_density_kg_m3(20.0) * each_kg_j


def _heat_j_m3(house: House) -> float:
    return house.fire.heat_j_m3 * house.fire.efficiency_fraction


def fit_burnt(
    seen: Sequence[Burnt], priors: tuple[LogPrior, ...]
) -> tuple[Gridded, tuple[Doubt, ...]]:
    """Return what fires say of the rate, of lighting, and of the day's factor."""

    def rows(values: Floats) -> list[Floats]:
        return [likelihoods(each.chain, _modelled(each, values), values[:, 2]) for each in seen]

    def total(values: Floats) -> Floats:
        each = [summed(row) for row in rows(values)]
        return np.sum(each, axis=0) if each else np.zeros(len(values))

    found = learn_on_grid(priors, total)
    return found, doubts([each.chain for each in seen], rows(found.values), found.weights)


def _modelled(burnt: Burnt, values: Floats) -> Floats:
    lasted_s = sum(each.duration_s for each in burnt.fires)
    wood: Floats = values[:, 0] * lasted_s + values[:, 1] * len(burnt.fires)
    return wood[:, np.newaxis]


def _figures(
    house: House, found: Gridded, priors: tuple[LogPrior, ...], efficiency_sd: float
) -> tuple[Figure, ...]:
    """Return efficiency and light-up: of what the rate says, each gets the part it is unsure of.

    The rate is the boil-off's heat by the efficiency; both logarithms are normal beforehand, so
    the efficiency moves with the rate as a normal does with a sum that it is part of.
    """
    share = efficiency_sd**2 / priors[0].sd_log ** 2
    moved = float(found.mean_log[0]) - math.log(priors[0].median)
    lost = priors[0].sd_log ** 2 - min(float(found.sd_log[0]), priors[0].sd_log) ** 2
    sd_log = math.sqrt(efficiency_sd**2 - share**2 * lost)
    efficiency = house.fire.efficiency_fraction * math.exp(-share * moved)
    light_up_m3 = math.exp(float(found.mean_log[1]))
    return (
        Figure(EFFICIENCY, efficiency, sd_log, True, house.fire.efficiency_fraction),
        Figure(
            LIGHT_UP_WOOD, light_up_m3, float(found.sd_log[1]), True, house.fire.light_up_wood_m3
        ),
    )


def burnt_of(entries: Sequence[Entry]) -> tuple[list[Burnt], list[Remark]]:
    """Return fires with the wood that was put on; without that, with what left the pile."""
    fires, remarks = fires_of(entries)
    found, without = [], []
    for fire in fires:
        burnt = _put_on(entries, fire)
        if burnt is None:
            without.append(fire)
        elif isinstance(burnt, Remark):
            remarks.append(burnt)
            without.append(fire)
        else:
            found.append(burnt)
    found += _from_pile(entries, fires, without)
    return sorted(found, key=lambda each: each.chain.at_s), remarks


def _put_on(entries: Sequence[Entry], fire: Fire) -> Burnt | Remark | None:
    here = [
        each for each in entries if each.kind in _PUT_ON and fire.lit_s <= each.at_s <= fire.out_s
    ]
    woods = [(each, wood) for each in here if (wood := each.measure("wood")) is not None]
    if not woods:
        return None
    if any(each.kind == "stoke" and each.measure("wood") is None for each in here):
        return Remark(fire.lit_s, "wood was put on that nobody measured")
    total_m3 = sum(wood.value for _, wood in woods)
    variance = sum(sd_of(wood) ** 2 for _, wood in woods)
    slips = _slips([(entry.at_s, "the wood put on", wood.value) for entry, wood in woods])
    return Burnt((fire,), _chain(fire.lit_s, total_m3, variance, slips))


def _from_pile(
    entries: Sequence[Entry], fires: Sequence[Fire], without: Sequence[Fire]
) -> list[Burnt]:
    """Return what left the pile between readings, where no fire between them is counted already."""
    piles = [
        (each.at_s, wood)
        for each in entries
        if each.kind == "reading"
        and each.place == "woodpile"
        and (wood := each.measure("wood")) is not None
    ]
    found = []
    for (begin_s, before), (end_s, after) in pairwise(piles):
        between = tuple(each for each in fires if begin_s <= each.lit_s and each.out_s <= end_s)
        if not between or any(each not in without for each in between):
            continue
        brought = [
            wood
            for each in entries
            if each.kind == "wood_in"
            and begin_s < each.at_s <= end_s
            and (wood := each.measure("wood")) is not None
        ]
        total_m3 = before.value - after.value + sum(each.value for each in brought)
        variance = sum(sd_of(each) ** 2 for each in (before, after, *brought))
        slips = _slips([(begin_s, "the woodpile", before.value), (end_s, "the woodpile", -1.0)])
        found.append(Burnt(between, _chain(between[0].lit_s, total_m3, variance, slips)))
    return found


def _slips(parts: Sequence[tuple[float, str, float]]) -> tuple[Slip, ...]:
    return tuple(
        Slip(at_s, what, np.array([math.copysign(1.0, value)]), max(abs(value), 0.1))
        for at_s, what, value in parts
    )


def _chain(at_s: float, total_m3: float, variance: float, slips: tuple[Slip, ...]) -> Chain:
    what = "the wood of this fire: its hours, or wood that was not logged"
    covariance = np.array([[variance]])
    return Chain(at_s, what, np.array([total_m3]), covariance, slips)
