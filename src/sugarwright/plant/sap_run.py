"""Sap per tap for many weathers at once, compiled.

The trees remember: wood lags by hours, a charge waits for a thaw, a tap hole ages from the day it
was drilled. A forecast alone is therefore not enough. Give the hours *before* it too, and cut the
result where the forecast begins:

- charge and store forget within about two weeks that hold one good frost;
- warmth since tapping doesn't: begin before ``tapped_s``, or go on from a kept
  :class:`SapRun` (``start=run.states``), or state ``warm_k_h`` in the states yourself.

Stopping and going on gives the same numbers as running straight through.

Nobody knows the trees' parameters exactly: each scenario may have its own, so that an ensemble of
weathers and trees is one call.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.tree import TreeParameters, TreeState, sap_brix, tree_hour
from sugarwright.plant.jit import compiled

Floats = NDArray[np.float64]
Records = np.recarray[Any, Any]

# Rows of parameters as records: the formulas ask for them by name, compiled or not.
_RECORD = np.dtype((np.record, [(name, np.float64) for name in TreeParameters._fields]))

_SECONDS_A_DAY = 86400.0


@dataclass(frozen=True)
class SapRun:
    """What the trees give, for each scenario (row) and hour (column).

    Parameters
    ----------
    sap_m3_per_tap : m3 in each hour, run factors included
    brix : mass percent of each hour's sap, without day-to-day scatter
    run : number of freezes begun up to that hour; equal numbers are one run
    states : (scenarios, 6), the TreeState of each scenario at the end, to go on from
    """

    sap_m3_per_tap: Floats
    brix: Floats
    run: NDArray[np.int64]
    states: Floats


def _march(
    temperature_c: Floats,
    days: float,
    vacuum_pa: Floats,
    parameters: Records,
    states: Floats,
    results: Floats,
) -> None:
    """Fill ``results`` (sap, Brix and run; scenarios; hours), and move ``states`` to the end.

    One row of temperatures or of parameters stands for all scenarios.
    """
    for member in range(states.shape[0]):
        air_c = temperature_c[member % temperature_c.shape[0]]
        trees = parameters[member % parameters.shape[0]]
        begin = states[member]
        state = TreeState(begin[0], begin[1], begin[2], begin[3], begin[4], begin[5])
        for hour in range(air_c.shape[0]):
            since_tapping = days + hour / 24.0
            state, sap_m3 = tree_hour(state, air_c[hour], vacuum_pa[hour], since_tapping, trees)
            results[0, member, hour] = sap_m3
            results[1, member, hour] = sap_brix(state, since_tapping, trees)
            results[2, member, hour] = state.runs
        for place in range(len(state)):
            begin[place] = state[place]


_march_compiled = compiled(_march)


def sap_run(
    temperature_c: ArrayLike,
    first_hour_s: float,
    tapped_s: float,
    vacuum_pa: ArrayLike = 0.0,
    parameters: TreeParameters | Sequence[TreeParameters] | Floats | None = None,
    run_factors: ArrayLike | None = None,
    start: ArrayLike | None = None,
) -> SapRun:
    """Run the trees through many weathers.

    Parameters
    ----------
    temperature_c : (scenarios, hours) of air, degC; one weather may be given as (hours,), and
        serves all scenarios
    first_hour_s : UTC s at which the first hour begins
    tapped_s : UTC s at which the taps were, or will be, set
    vacuum_pa : Pa of vacuum at the tap hole; one figure, or one for each hour
    parameters : TreeParameters of all scenarios, the prior medians if left out; or one for each:
        a sequence, or an array (scenarios, parameters) in the order of ``TreeParameters._fields``
    run_factors : (scenarios, runs), what each run is multiplied by, column 0 before the first
        freeze, and so on (see ``weather.ensemble.run_multipliers``); left out: 1
    start : ``states`` of an earlier SapRun; left out: no charge, wood as warm as the first hour

    Returns
    -------
    SapRun

    Raises
    ------
    InputError : if shapes don't fit together, or there are more runs than run factors
    RangeError : if a temperature or a vacuum is not within the model's range
    """
    air_c = _matrix("temperature_c", temperature_c)
    hours = air_c.shape[1]
    trees = _records(TreeParameters() if parameters is None else parameters)
    members = _scenarios(len(air_c), len(trees))
    vacuum = np.array(_broadcast("vacuum_pa", vacuum_pa, (hours,)))
    _within("temperature_c", air_c)
    _within("vacuum_pa", vacuum)
    if start is None:
        states = np.zeros((members, len(TreeState._fields)))
        states[:, 0] = air_c[:, 0] if hours else 0.0
    else:
        states = np.array(_broadcast("start", start, (members, len(TreeState._fields))))
    results = np.empty((3, members, hours))
    days = (first_hour_s - tapped_s) / _SECONDS_A_DAY
    _march_compiled(air_c, days, vacuum, trees, states, results)
    run = results[2].astype(np.int64)
    sap_m3 = results[0] if run_factors is None else results[0] * _factors(run_factors, run)
    return SapRun(sap_m3, results[1], run, states)


def _matrix(field: str, values: ArrayLike) -> Floats:
    array = np.atleast_2d(np.ascontiguousarray(values, dtype=np.float64))
    if array.ndim != 2:
        raise InputError(field, array.shape, "has the wrong shape", "(scenarios, hours)")
    return array


def _records(parameters: TreeParameters | Sequence[TreeParameters] | Floats) -> Records:
    """Return parameters as records, one or one for each scenario."""
    rows = np.atleast_2d(np.ascontiguousarray(parameters, dtype=np.float64))
    width = len(TreeParameters._fields)
    if rows.ndim != 2 or rows.shape[1] != width or not len(rows) or not np.isfinite(rows).all():
        allowed = f"(scenarios, {width}) finite numbers"
        raise InputError("parameters", rows.shape, "are no parameters of trees", allowed)
    return rows.view(_RECORD)[:, 0].view(np.recarray)


def _scenarios(weathers: int, trees: int) -> int:
    """Return how many scenarios some weathers and some trees make together."""
    if weathers != trees and 1 not in (weathers, trees):
        problem = f"does not fit {weathers} weathers"
        raise InputError("parameters", trees, problem, f"1 or {weathers} sets of parameters")
    return trees if weathers == 1 else weathers


def _broadcast(field: str, values: ArrayLike, shape: tuple[int, ...]) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    try:
        return np.broadcast_to(array, shape)
    except ValueError:
        raise InputError(field, array.shape, "has the wrong shape", f"{shape}") from None


def _within(field: str, values: Floats) -> None:
    """Check once, at the door, what ``tree_hour`` checks for callers in Python."""
    least, greatest = tree_hour.ranges[field]  # type: ignore[attr-defined]
    outside = ~((values >= least) & (values <= greatest))
    if outside.any():
        raise RangeError(
            field,
            float(values[outside][0]),
            "the tree model does not hold there",
            f"{least:g} to {greatest:g}",
        )


def _factors(run_factors: ArrayLike, run: NDArray[np.int64]) -> Floats:
    """Return the factor of each scenario's and hour's run."""
    factors = _matrix("run_factors", run_factors)
    if factors.shape[0] not in (1, run.shape[0]) or (run.size and run.max() >= factors.shape[1]):
        raise InputError(
            "run_factors",
            factors.shape,
            "has too few rows or columns",
            f"{run.shape[0]} scenarios (or 1), {int(run.max()) + 1} runs or more",
        )
    rows = np.arange(run.shape[0])[:, np.newaxis] % factors.shape[0]
    chosen: Floats = factors[rows, run]
    return chosen
