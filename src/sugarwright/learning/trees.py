"""What a season's gatherings teach about the trees, how surely, and what to measure next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sugarwright.errors import InputError
from sugarwright.learning.evidence import evidence_of, usual_m3_per_tap
from sugarwright.learning.expected import Bush, expect, rows_of
from sugarwright.learning.gatherings import Gathering, ready_to_learn
from sugarwright.learning.noise import ONE_VARIANCE
from sugarwright.learning.scale import scale_posterior
from sugarwright.learning.shapes import (
    FEWEST_INDEPENDENT,
    LEAST_RATIO,
    fit_shapes,
    shape_grid,
    shapes_of,
)
from sugarwright.learning.sweetness import INSTRUMENT_SD, learn_brix
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.tree_knowledge import Shape, TreeKnowledge
from sugarwright.weather.ensemble import BRIX_SD

NEXT_GATHERING = "the volume of a gathering from a new run, everything emptied"
NEXT_BRIX = "the Brix of the next gathering's sap"


@dataclass(frozen=True)
class TreeLesson:
    """What one season's gatherings taught.

    Parameters
    ----------
    before : what was known before that season
    after : what is known now
    shape_evidence_ratio : how many times likelier the gatherings are with the shapes free; null
        while the log is too short to ask
    shapes_learnt : whether the shapes were learnt too
    next_reading : which reading would now teach most of the sugar to come
    next_gain_fraction : by which part that reading would narrow the spread of expected sugar
    notes : what was done with gatherings that could not be taken as they are
    """

    before: TreeKnowledge
    after: TreeKnowledge
    shape_evidence_ratio: float | None
    shapes_learnt: bool
    next_reading: str
    next_gain_fraction: float
    notes: tuple[str, ...]


def learn_season(
    gatherings: Sequence[Gathering], bush: Bush, before: TreeKnowledge, learnt_s: int
) -> TreeLesson:
    """Learn from the gatherings of one season.

    Parameters
    ----------
    gatherings : of the season, with their flags
    bush : weather over them, tapping, vacuum
    before : what was known when the season began (see ``plant.tree_knowledge.carried_over``)
    learnt_s : UTC s now

    Returns
    -------
    TreeLesson

    Raises
    ------
    InputError : no gathering is left to learn from, or the weather does not reach over them
    """
    ready, notes = ready_to_learn(gatherings)
    if not ready:
        problem = "none is left to learn from: all have ice or were not emptied"
        raise InputError("gatherings", len(gatherings), problem)
    kept = _base_trees(before.shapes)
    expected = expect(bush, rows_of(kept), ready)
    prior_log = np.array([math.log(before.yield_factor)])
    evidence = evidence_of(ready, usual_m3_per_tap(ready, expected) * before.yield_factor)
    posterior = scale_posterior(evidence, expected, prior_log, before.yield_sd_log)
    mean, sd = posterior.moments()
    independent = independent_gatherings(before.yield_sd_log, sd)
    shapes, ratio = before.shapes, None
    if independent >= FEWEST_INDEPENDENT:
        grid = shape_grid(before)
        free, weights, evidence_log = fit_shapes(evidence, expect(bush, grid.trees, ready), grid)
        ratio = math.exp(min(evidence_log - float(posterior.evidence_log[0]), 700.0))
        if ratio >= LEAST_RATIO:
            mean, sd = free.moments(weights)
            shapes = shapes_of(before, grid, free, weights)
            expected = expect(bush, rows_of(_base_trees(shapes)), ready)
    brix, brix_sd, readings = learn_brix(ready, expected, before.sap_brix, before.sap_brix_sd)
    after = replace(
        before,
        learnt_s=learnt_s,
        gatherings=len(ready),
        brix_readings=readings,
        independent_gatherings=independent,
        yield_factor=math.exp(mean),
        yield_sd_log=sd,
        sap_brix=brix,
        sap_brix_sd=brix_sd,
        shapes=shapes,
    )
    learnt = ratio is not None and ratio >= LEAST_RATIO
    return TreeLesson(before, after, ratio, learnt, *next_reading(after), tuple(notes))


def independent_gatherings(before_sd_log: float, after_sd_log: float) -> float:
    """Return how many gatherings, each of a run of its own, narrow one spread to the other."""
    gained = 1.0 / after_sd_log**2 - 1.0 / before_sd_log**2
    return max(gained * ONE_VARIANCE, 0.0)


def next_reading(known: TreeKnowledge) -> tuple[str, float]:
    """Return which reading narrows the expected sugar most, and by which part of its spread.

    Sugar is volume times Brix, so the variances of their logarithms add.
    """
    volume = known.yield_sd_log**2
    brix = (known.sap_brix_sd / known.sap_brix) ** 2
    one_brix = (BRIX_SD**2 + INSTRUMENT_SD**2) / known.sap_brix**2
    all_of_it = volume + brix
    if all_of_it == 0.0:
        return NEXT_GATHERING, 0.0
    after_volume = volume * ONE_VARIANCE / (volume + ONE_VARIANCE) + brix
    after_brix = volume + brix * one_brix / (brix + one_brix)
    name = NEXT_GATHERING if after_volume <= after_brix else NEXT_BRIX
    return name, 1.0 - math.sqrt(min(after_volume, after_brix) / all_of_it)


def _base_trees(shapes: tuple[Shape, ...]) -> TreeParameters:
    return TreeParameters()._replace(**{shape.name: shape.value for shape in shapes})
