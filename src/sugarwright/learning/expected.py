"""What the tree model expects of each gathering: how much, of which runs, how sweet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.learning.gatherings import Gathering
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.weather.hours import HOUR_S, HourlyWeather, utc_text

Floats = NDArray[np.float64]

WARM_UP_S = 21 * 24 * 3600  # the trees forget what was before in two weeks that hold a good frost


@dataclass(frozen=True)
class Bush:
    """What is known of a bush besides its trees.

    Parameters
    ----------
    weather : hours over the gatherings, and three weeks before tapping if there are any
    tapped_s : UTC s at which the taps were set
    vacuum_pa : at the tap holes
    """

    weather: HourlyWeather
    tapped_s: float
    vacuum_pa: float = 0.0


@dataclass(frozen=True)
class Expected:
    """What some trees (first index) would give at each gathering (second index).

    Parameters
    ----------
    volume_m3 : (trees, gatherings)
    run_shares : (trees, gatherings, runs), which part of that each run brings; a gathering of
        nothing has no share of any
    brix : (trees, gatherings), weighted by volume; NaN for a gathering of nothing
    """

    volume_m3: Floats
    run_shares: Floats
    brix: Floats


def expect(bush: Bush, trees: Floats, gatherings: Sequence[Gathering]) -> Expected:
    """Run trees through the weather and add up between gatherings.

    Parameters
    ----------
    bush : where and when
    trees : (trees, parameters), in the order of ``TreeParameters._fields``
    gatherings : in order of time

    Returns
    -------
    Expected

    Raises
    ------
    InputError : the weather does not reach over the gatherings
    """
    first_s, last_s = gatherings[0].begin_s, gatherings[-1].end_s
    weather = bush.weather
    if weather.first_s > first_s or weather.end_s < last_s:
        raise InputError(
            "weather",
            f"{utc_text(weather.first_s)} to {utc_text(weather.end_s)}",
            "does not reach over the gatherings",
            f"{utc_text(first_s)} to {utc_text(last_s)}, and three weeks before",
        )
    hours = weather.between(min(first_s - HOUR_S + 1, bush.tapped_s) - WARM_UP_S, last_s)
    run = sap_run(hours.temperature_c, hours.first_s, bush.tapped_s, bush.vacuum_pa, trees)
    weights = _overlap(hours.time_s, gatherings)
    runs = np.arange(run.run.max() + 1)
    volume_m3 = np.empty((len(trees), len(gatherings)))
    shares = np.empty((len(trees), len(gatherings), len(runs)))
    brix = np.full_like(volume_m3, np.nan)
    for place, sap_m3 in enumerate(run.sap_m3_per_tap):
        parts_m3 = (weights * sap_m3) @ (run.run[place][:, np.newaxis] == runs).astype(float)
        total_m3 = parts_m3.sum(axis=1)
        some = total_m3 > 0.0
        volume_m3[place] = total_m3
        shares[place] = parts_m3 / np.where(some, total_m3, 1.0)[:, np.newaxis]
        sugar = weights @ (sap_m3 * run.brix[place])
        brix[place, some] = sugar[some] / total_m3[some]
    return Expected(volume_m3, shares, brix)


def _overlap(time_s: NDArray[np.int64], gatherings: Sequence[Gathering]) -> Floats:
    """Return (gatherings, hours): taps times the part of each hour that lies in each gathering."""
    begin_s = np.array([each.begin_s for each in gatherings])[:, np.newaxis]
    end_s = np.array([each.end_s for each in gatherings])[:, np.newaxis]
    taps = np.array([each.taps for each in gatherings])[:, np.newaxis]
    inside_s = np.minimum(end_s, time_s + HOUR_S) - np.maximum(begin_s, time_s)
    weights: Floats = taps * np.clip(inside_s, 0.0, HOUR_S) / HOUR_S
    return weights


def rows_of(parameters: TreeParameters, count: int = 1) -> Floats:
    """Return parameters as so many equal rows."""
    return np.tile(np.array(parameters, dtype=np.float64), (count, 1))
