"""What each gathering point brought against what was to be expected of it: which line to walk.

All points have the same weather, so what a run brings beyond the model they share; what remains of
a point is its own. Points differ anyway (trees, sun, slope), by a spread that is known roughly; a
leak is less than that allows, from some gathering on. Every point, every gathering from which it
could have begun and some sizes of it are weighed against "no leak anywhere", with one chance for
all of them together: so a house of many points raises no more false alarms than one of few (J.G.
Scott and J.O. Berger, Ann. Stat. 38, 2010). Errors are those of ``learning.noise``: one wild
figure is not a leak.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence, evidence_of, usual_m3_per_tap
from sugarwright.learning.expected import Bush, expect, rows_of
from sugarwright.learning.gatherings import Gathering, ready_to_learn
from sugarwright.learning.log_gatherings import PointGatherings
from sugarwright.learning.noise import fit_shared, shared_part
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.house import House
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.tree_knowledge import TreeKnowledge

Floats = NDArray[np.float64]

POINT_SD_LOG = 0.2
"""How far points of one house stand apart in the same weather: judgement (trees, sun, slope)."""

LEAK_CHANCE = 0.3
"""That some line of a house leaks enough to be seen in a given season: judgement (squirrels, fallen
branches, popped spouts are every season's business)."""

LEFT = (0.8, 0.65, 0.5, 0.35, 0.2)  # of the sap, with leaks of several sizes
FEWEST, FEWEST_AFTER = 4, 2  # gatherings of a point, and those of them after a leak begins
MOST = 16  # of a point: the last ones tell of leaks that can still be mended
SURE, LIKELY = 0.9, 0.5


@dataclass(frozen=True)
class PointLesson:
    """One gathering point.

    Parameters
    ----------
    point : its name
    gatherings : that could be compared
    came_m3, expected_m3 : gathered in them; expected of it with the house's own scale
    against_others_ratio : what it brings against the other points on the same days
    against_others_sd_log : standard deviation of its logarithm
    leak_chance_fraction : how likely it is that it brings less since some gathering
    lost_fraction : of its sap, should it leak; None where that is unlikely
    since_s : UTC s of the last gathering before that; None where unlikely, or all along
    """

    point: str
    gatherings: int
    came_m3: float
    expected_m3: float
    against_others_ratio: float
    against_others_sd_log: float
    leak_chance_fraction: float
    lost_fraction: float | None
    since_s: float | None


def compare_points(
    house: House, points: Sequence[PointGatherings], bush: Bush, known: TreeKnowledge
) -> tuple[PointLesson, ...]:
    """Compare the points of a house in one season.

    Parameters
    ----------
    house : its points
    points : their gatherings in the season
    bush : weather, tapping and vacuum, as the season was learnt with
    known : of the trees after that season

    Returns
    -------
    One lesson for each point with gatherings enough; none with fewer than two such points
    """
    kept: list[tuple[str, list[Gathering]]] = []
    for each in points:
        ready = ready_to_learn(each.gatherings)[0][-MOST:]
        if each.point and len(ready) >= FEWEST:
            kept.append((each.point, ready))
    if len(kept) < 2:
        return ()
    pairs = [(name, one) for name, ready in kept for one in ready]
    pairs.sort(key=lambda pair: (pair[1].end_s, pair[0]))
    names = [name for name, _ in pairs]
    gatherings = [one for _, one in pairs]
    seen = _seen(house, names, gatherings, bush, known)
    leaks = _leaks(seen)
    return tuple(_lesson(seen, name, leaks.get(name)) for name, _ in kept)


@dataclass(frozen=True)
class _Leak:
    """A leak that is possible, with the log factor it puts on each gathering."""

    point: str
    chance: float
    left: float
    since_s: float | None
    shift: Floats


@dataclass(frozen=True)
class _Seen:
    """Gatherings of all points as numbers: errors of logarithms, and how they hang together."""

    names: NDArray[np.str_]
    ends_s: Floats
    evidence: Evidence
    expected_m3: Floats
    errors: Floats
    covariance: Floats


def _seen(
    house: House,
    names: Sequence[str],
    gatherings: Sequence[Gathering],
    bush: Bush,
    known: TreeKnowledge,
) -> _Seen:
    shapes = {shape.name: shape.value for shape in known.shapes}
    tree = TreeParameters()._replace(**shapes)
    factors = _vacuum_factors(house, bush, tree)
    scaled = [
        replace(each, taps=max(each.taps * factors.get(name, 1.0), 1.0))
        for name, each in zip(names, gatherings, strict=True)
    ]
    expected = expect(bush, rows_of(tree), scaled)
    usual_m3 = usual_m3_per_tap(scaled, expected) * known.yield_factor
    evidence = evidence_of(scaled, usual_m3)
    scale_log = np.array([math.log(known.yield_factor)])
    shared = shared_part(evidence.floor_m3, expected, scale_log)
    expected_m3 = known.yield_factor * expected.volume_m3[0]
    errors = np.log(evidence.volume_m3 + evidence.floor_m3)
    errors = errors - np.log(expected_m3 + evidence.floor_m3) - shared.mean_log[0]
    named = np.array(names)
    same = named[:, np.newaxis] == named
    covariance = shared.covariance[0] + known.yield_sd_log**2 + POINT_SD_LOG**2 * same
    ends_s = np.array([each.end_s for each in gatherings])
    return _Seen(named, ends_s, evidence, expected_m3, errors, covariance)


def _vacuum_factors(house: House, bush: Bush, tree: TreeParameters) -> dict[str, float]:
    """Return what each point's own vacuum brings against the house's mean one."""
    vacuums_pa = [bush.vacuum_pa, *(each.vacuum_pa for each in house.gathering)]
    if len(set(vacuums_pa)) == 1:
        return {}
    given = [float(_sap_m3(bush, tree, vacuum_pa)) for vacuum_pa in vacuums_pa]
    names = [each.name for each in house.gathering]
    return {name: one / max(given[0], 1e-9) for name, one in zip(names, given[1:], strict=True)}


def _sap_m3(bush: Bush, tree: TreeParameters, vacuum_pa: float) -> float:
    hours = bush.weather
    run = sap_run(
        hours.temperature_c[np.newaxis], hours.first_s, bush.tapped_s, vacuum_pa, rows_of(tree)
    )
    return float(run.sap_m3_per_tap.sum())


def _shift(seen: _Seen, name: str, first: int, left: float) -> Floats:
    """Return what a leak does to the logarithms, from a gathering of the point on."""
    floor_m3 = seen.evidence.floor_m3
    whole = np.log(seen.expected_m3 + floor_m3)
    leaking = np.flatnonzero(seen.names == name)[first:]
    shift = np.zeros(len(whole))
    shift[leaking] = np.log(left * seen.expected_m3[leaking] + floor_m3[leaking]) - whole[leaking]
    return shift


def _leaks(seen: _Seen) -> dict[str, _Leak]:
    """Return the likeliest leak of each point; what is sure is taken as given for the rest."""
    found: dict[str, _Leak] = {}
    given = np.zeros(len(seen.errors))
    left_over = sorted(set(seen.names.tolist()))
    while left_over:
        leaks = _weighed(seen, left_over, given)
        best = max(leaks, key=lambda each: each.chance)
        found.update({each.point: each for each in leaks})
        if best.chance < SURE:
            break
        given = given + best.shift
        left_over.remove(best.point)
    return found


def _weighed(seen: _Seen, names: Sequence[str], given: Floats) -> list[_Leak]:
    """Weigh every leak of some points against none, beside those given."""
    tried: list[tuple[str, int, float]] = []
    shifts = [np.zeros(len(given))]
    for name in names:
        count = int((seen.names == name).sum())
        for first in range(count - FEWEST_AFTER + 1):
            for left in LEFT:
                tried.append((name, first, left))
                shifts.append(_shift(seen, name, first, left))
    errors = seen.errors - given - np.array(shifts)
    fitted = fit_shared(seen.evidence, errors[np.newaxis], seen.covariance[np.newaxis])
    prior_log = np.array(
        [math.log(1.0 - LEAK_CHANCE)]
        + [math.log(LEAK_CHANCE / len(names) / _hypotheses(tried, name)) for name, _, _ in tried]
    )
    weights_log = fitted.likelihood_log[0] + prior_log
    weights = np.exp(weights_log - weights_log.max())
    weights /= weights.sum()
    return [_likeliest(seen, name, tried, weights[1:], shifts[1:]) for name in names]


def _hypotheses(tried: Sequence[tuple[str, int, float]], name: str) -> int:
    return sum(each[0] == name for each in tried)


def _likeliest(
    seen: _Seen,
    name: str,
    tried: Sequence[tuple[str, int, float]],
    weights: Floats,
    shifts: Sequence[Floats],
) -> _Leak:
    here = [place for place, each in enumerate(tried) if each[0] == name]
    chance = float(sum(weights[place] for place in here))
    left = sum(weights[place] * tried[place][2] for place in here) / max(chance, 1e-300)
    by_first: dict[int, float] = {}
    for place in here:
        by_first[tried[place][1]] = by_first.get(tried[place][1], 0.0) + float(weights[place])
    first = max(by_first, key=lambda each: by_first[each])
    ends_s = seen.ends_s[seen.names == name]
    since_s = float(ends_s[first - 1]) if first > 0 else None
    best = max(here, key=lambda place: weights[place])
    return _Leak(name, chance, float(left), since_s, shifts[best])


def _lesson(seen: _Seen, name: str, leak: _Leak | None) -> PointLesson:
    here = seen.names == name
    ratio_log, sd_log = _against_others(seen, here)
    chance = 0.0 if leak is None else leak.chance
    told = leak if leak is not None and chance >= LIKELY else None
    return PointLesson(
        point=name,
        gatherings=int(here.sum()),
        came_m3=float(seen.evidence.volume_m3[here].sum()),
        expected_m3=float(seen.expected_m3[here].sum()),
        against_others_ratio=math.exp(ratio_log),
        against_others_sd_log=sd_log,
        leak_chance_fraction=chance,
        lost_fraction=None if told is None else 1.0 - told.left,
        since_s=None if told is None else told.since_s,
    )


def _against_others(seen: _Seen, here: NDArray[np.bool_]) -> tuple[float, float]:
    """Return a point's own factor, partly pooled with the others: logarithm and its spread.

    The point's own part of the errors, given all of them (normal, with each gathering's own
    variance weighed down where it is wild), less the mean of the others' parts.
    """
    fitted = fit_shared(
        seen.evidence, seen.errors[np.newaxis, np.newaxis], seen.covariance[np.newaxis]
    )
    pull, root, matrix = fitted.pull[0, 0], fitted.root[0, 0], fitted.matrix[0, 0]
    names = sorted(set(seen.names.tolist()))
    others = [each for each in names if not here[seen.names == each].all()]
    # Covariance of (own part - mean of the others' parts) with each gathering's logarithm.
    column = POINT_SD_LOG**2 * here.astype(float)
    for each in others:
        column -= POINT_SD_LOG**2 * (seen.names == each) / len(others)
    variance = POINT_SD_LOG**2 * (1.0 + 1.0 / len(others))
    weighed = column * root
    lost = float(weighed @ np.linalg.solve(matrix, weighed))
    return float(column @ pull), math.sqrt(max(variance - lost, 1e-9))
