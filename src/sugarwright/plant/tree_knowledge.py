"""What is known of a house's trees: learnt from gatherings, handed to planning as a plain value.

Every figure here has its spread beside it, and :func:`tree_members` turns both into trees for an
ensemble. :mod:`sugarwright.plant.tree_file` keeps it in the folder of the house.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters

Floats = NDArray[np.float64]

#: How far one spring stands from the next with the same trees, beyond what temperature tells
#: (standard deviation; of the logarithm, except Brix). From memory: yields of one bush scatter by
#: a quarter about their weather; its sugar by a few tenths of a percent.
BETWEEN_YEARS = {"yield_factor": 0.25, "sap_brix": 0.15, "shape": 0.15}

LEARNT_SHAPES = ("flow_lag_h", "ageing_half_k_h")
"""Parameters beside scale and Brix that gatherings can teach at all."""


@dataclass(frozen=True)
class Shape:
    """One more parameter of the tree model that was learnt.

    Parameters
    ----------
    name : of the parameter in ``TreeParameters``
    value : its median, in the parameter's own unit
    sd_log : standard deviation of its logarithm
    scale_correlation : of its logarithm with that of the yield factor
    """

    name: str
    value: float
    sd_log: float
    scale_correlation: float


@dataclass(frozen=True)
class TreeKnowledge:
    """What one fit knows of the trees.

    Parameters
    ----------
    season : year of the gatherings learnt from
    learnt_s : UTC s of the fit
    gatherings : how many gatherings taught it
    brix_readings : how many readings of sap Brix did
    independent_gatherings : how many gatherings, each of a run of its own, would teach as much
    yield_factor : sap per tap against an ordinary bush on the same weather; the median
    yield_sd_log : standard deviation of its logarithm
    sap_brix : Brix of early-season sap
    sap_brix_sd : its standard deviation
    shapes : other parameters learnt; none before the gatherings can carry them

    Raises
    ------
    RangeError : a value is none that trees can have
    """

    season: int
    learnt_s: int
    gatherings: int
    brix_readings: int
    independent_gatherings: float
    yield_factor: float
    yield_sd_log: float
    sap_brix: float
    sap_brix_sd: float
    shapes: tuple[Shape, ...] = ()

    def __post_init__(self) -> None:
        _within("season", self.season, 1850, 2200)
        _within("yield_factor", self.yield_factor, 1e-3, 1e3)
        _within("yield_sd_log", self.yield_sd_log, 0.0, 3.0)
        _within("sap_brix", self.sap_brix, 0.2, 12.0)
        _within("sap_brix_sd", self.sap_brix_sd, 0.0, 3.0)
        for count in ("gatherings", "brix_readings", "independent_gatherings"):
            _within(count, getattr(self, count), 0, 1e6)
        for shape in self.shapes:
            if shape.name not in LEARNT_SHAPES:
                allowed = ", ".join(LEARNT_SHAPES)
                raise InputError("shape", shape.name, "is no parameter that is learnt", allowed)
            _within(shape.name, shape.value, 1e-9, 1e9)
            _within(f"{shape.name} sd_log", shape.sd_log, 0.0, 3.0)
        shared = sum(shape.scale_correlation**2 for shape in self.shapes)
        _within("scale_correlation", math.sqrt(shared), 0.0, 1.0)


def _within(field: str, value: float, least: float, greatest: float) -> None:
    if not least <= value <= greatest:  # NaN is not, either
        problem = "is nothing that can be known of trees"
        raise RangeError(field, value, problem, f"{least:g} to {greatest:g}")


def nothing_learnt(season: int, yield_factor: float, sap_brix: float) -> TreeKnowledge:
    """Return the prior: what a house's description says, and how far houses stand from that."""
    return TreeKnowledge(
        season=season,
        learnt_s=0,
        gatherings=0,
        brix_readings=0,
        independent_gatherings=0.0,
        yield_factor=yield_factor,
        yield_sd_log=TREE_PRIOR_SPREAD["bush_scale"][1],
        sap_brix=sap_brix,
        sap_brix_sd=TREE_PRIOR_SPREAD["brix_start"][1],
    )


def carried_over(knowledge: TreeKnowledge, season: int) -> TreeKnowledge:
    """Return what last year's knowledge is worth in a later season: the same, less sure.

    Each year between adds its own spread (:data:`BETWEEN_YEARS`), up to that of a bush of which
    nothing is known.
    """
    years = season - knowledge.season
    if years <= 0:
        return knowledge
    wider = [
        replace(each, sd_log=_widened(each.sd_log, "shape", years, TREE_PRIOR_SPREAD[each.name][1]))
        for each in knowledge.shapes
    ]
    most = TREE_PRIOR_SPREAD["bush_scale"][1], TREE_PRIOR_SPREAD["brix_start"][1]
    return replace(
        knowledge,
        season=season,
        yield_sd_log=_widened(knowledge.yield_sd_log, "yield_factor", years, most[0]),
        sap_brix_sd=_widened(knowledge.sap_brix_sd, "sap_brix", years, most[1]),
        shapes=tuple(wider),
    )


def _widened(sd: float, what: str, years: int, most: float) -> float:
    return max(sd, min(math.hypot(sd, math.sqrt(years) * BETWEEN_YEARS[what]), most))


def knowledge_for(history: Sequence[TreeKnowledge], season: int) -> TreeKnowledge | None:
    """Return what a history of fits (oldest first) says for a season; None if it says nothing.

    The newest fit of that season counts; without one, that of the last season before, widened.
    """
    earlier = [fit for fit in history if fit.season <= season]
    if not earlier:
        return None
    last = max(fit.season for fit in earlier)
    return carried_over([fit for fit in earlier if fit.season == last][-1], season)


def tree_members(
    knowledge: TreeKnowledge, members: int, seed: int, base: TreeParameters | None = None
) -> Floats:
    """Draw trees for an ensemble: rows to hand to ``plant.sap_run`` as its ``parameters``.

    Stratified (each parameter has one member in each of the n equal slices of probability), and
    centred: the members' mean yield factor and mean Brix are those expected. So one member alone
    has the expected trees, and drawing more doesn't change the expected season.

    Parameters
    ----------
    knowledge : for the season in question (see :func:`knowledge_for`)
    members : rows wanted
    seed : same seed and knowledge, same trees
    base : what isn't known from gatherings; left out: the prior medians

    Returns
    -------
    (members, parameters), columns in the order of ``TreeParameters._fields``

    Raises
    ------
    RangeError : if fewer than one member is wanted
    """
    if members < 1:
        raise RangeError("members", members, "an ensemble needs one", "1 or more")
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), members, 23]))
    rows = np.tile(np.array(base or TreeParameters(), dtype=np.float64), (members, 1))
    place = TreeParameters._fields.index
    scale_z, left = np.zeros(members), 1.0
    own_z, brix_z = _stratified(source, members), _stratified(source, members)
    for shape in knowledge.shapes:
        z = _stratified(source, members)
        rows[:, place(shape.name)] = shape.value * np.exp(shape.sd_log * z)
        scale_z += shape.scale_correlation * z
        left -= shape.scale_correlation**2
    scale_z += math.sqrt(max(left, 0.0)) * own_z
    scales = np.exp(knowledge.yield_sd_log * scale_z)
    expected = knowledge.yield_factor * math.exp(0.5 * knowledge.yield_sd_log**2)
    rows[:, place("bush_scale")] = expected * scales / scales.mean()
    rows[:, place("brix_start")] = knowledge.sap_brix + knowledge.sap_brix_sd * brix_z
    return rows


def _stratified(source: np.random.Generator, members: int) -> Floats:
    """Draw unit normals, one from each slice of probability, their mean zero."""
    slices = (source.permutation(members) + source.random(members)) / members
    normal = NormalDist()
    z = np.array([normal.inv_cdf(min(max(float(p), 1e-12), 1.0 - 1e-12)) for p in slices])
    centred: Floats = z - z.mean()
    return centred
