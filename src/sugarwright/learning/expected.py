"""What the tree model expects of each gathering: how much, of which runs, how sweet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.learning.gatherings import Gathering
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.weather.hours import HOUR_S, HourlyWeather, utc_text

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

WARM_UP_S = 21 * 24 * 3600  # the trees forget what was before in two weeks that hold a good frost
_NOTHING_M3 = 1e-12  # what differences of sums leave of nothing


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
class Slip:
    """How much earlier or later than modelled sap comes to hand: chances of some offsets.

    Parameters
    ----------
    offset_s : (offsets,), s; positive: what the model has after the emptying was already in it
    share : (offsets,), chances, summing to 1
    """

    offset_s: Floats
    share: Floats


def triangle(reach_h: int, step_h: int) -> Slip:
    """Return a slip that is likeliest nought, and never as much as so many hours."""
    steps = reach_h // step_h
    offset = np.arange(1 - steps, steps, dtype=np.float64)
    share: Floats = (steps - np.abs(offset)) / float(steps**2)
    return Slip(offset * step_h * HOUR_S, share)


PUNCTUAL = triangle(1, 1)

SLIP = triangle(24, 3)
"""Less than a day either way, deviation 9.7 h: of sap gathered daily at a steady run, a sixth
comes with each neighbouring day. By reasoning, no source: the hour of a gathering is seldom written
down (3 h); air at the trees is 1 or 2 K off the station's, worth 2 h of thaw; wood and store lag by
3 and 10 h, each by three tenths unsure (3 h); and now and then a night freezes sap in buckets and
lines, which then waits 12 to 24 h (one time in five: 7 h). Together 8 to 9 h."""


@dataclass(frozen=True)
class Emptied:
    """What would have run by each emptying, however it slips.

    Parameters
    ----------
    until_m3 : (trees, emptyings, offsets), since tapping, per tap
    share : (offsets,), chances
    begins, ends : (gatherings,), which emptying each gathering begins and ends with
    taps : (gatherings,)
    """

    until_m3: Floats
    share: Floats
    begins: Places
    ends: Places
    taps: Floats

    def part(self, which: slice) -> Emptied:
        """Return some of the gatherings alone."""
        return replace(
            self, begins=self.begins[which], ends=self.ends[which], taps=self.taps[which]
        )


@dataclass(frozen=True)
class Expected:
    """What some trees (first index) would give at each gathering (second index).

    Parameters
    ----------
    volume_m3 : (trees, gatherings), in the mean of the slips
    run_shares : (trees, gatherings, runs), which part of that each run brings; a gathering of
        nothing has no share of any
    brix : (trees, gatherings), weighted by volume; NaN for a gathering of nothing
    emptied : how the volumes come about
    """

    volume_m3: Floats
    run_shares: Floats
    brix: Floats
    emptied: Emptied

    def part(self, which: slice) -> Expected:
        """Return some of the gatherings alone."""
        return Expected(
            self.volume_m3[:, which],
            self.run_shares[:, which],
            self.brix[:, which],
            self.emptied.part(which),
        )


def expect(
    bush: Bush, trees: Floats, gatherings: Sequence[Gathering], slip: Slip = SLIP
) -> Expected:
    """Run trees through the weather and add up between emptyings, each as late as it may be.

    Parameters
    ----------
    bush : where and when
    trees : (trees, parameters), in the order of ``TreeParameters._fields``
    gatherings : in order of time; those of several points may overlap
    slip : of the emptyings; setting the taps has none

    Returns
    -------
    Expected

    Raises
    ------
    InputError : the weather does not reach over the gatherings
    """
    spans_s = np.array([[each.begin_s, each.end_s] for each in gatherings])
    emptied_s, places = np.unique(spans_s, return_inverse=True)
    begins, ends = places.reshape(spans_s.shape).T
    taps = np.array([each.taps for each in gatherings])
    first_s, temperature_c = _hours(bush, float(spans_s.min()), float(spans_s.max()), slip)
    run = sap_run(temperature_c, first_s, bush.tapped_s, bush.vacuum_pa, trees)
    runs = np.arange(run.run.max() + 1)
    offset_s = np.where(emptied_s[:, np.newaxis] > bush.tapped_s, slip.offset_s, 0.0)
    hours = np.maximum((emptied_s[:, np.newaxis] + offset_s - first_s) / HOUR_S, 0.0)
    amounts = np.empty((len(trees), len(gatherings), len(runs) + 1))
    until_m3 = np.empty((len(trees), *hours.shape))
    for place, sap_m3 in enumerate(run.sap_m3_per_tap):
        by_run_m3 = sap_m3[:, np.newaxis] * (run.run[place][:, np.newaxis] == runs)
        sugar = (sap_m3 * run.brix[place])[:, np.newaxis]
        until = _until(np.hstack([by_run_m3, sugar]), hours)
        mean = np.einsum("o,eoc->ec", slip.share, until)
        amounts[place] = (mean[ends] - mean[begins]) * taps[:, np.newaxis]
        until_m3[place] = until[:, :, :-1].sum(axis=2)
    amounts[amounts < _NOTHING_M3] = 0.0
    parts_m3, sugar = amounts[:, :, :-1], amounts[:, :, -1]
    volume_m3 = parts_m3.sum(axis=2)
    some = np.where(volume_m3 > 0.0, volume_m3, np.nan)
    shares = np.nan_to_num(parts_m3 / some[:, :, np.newaxis])
    emptied = Emptied(until_m3, slip.share, begins, ends, taps)
    return Expected(volume_m3, shares, sugar / some, emptied)


def _hours(bush: Bush, first_s: float, last_s: float, slip: Slip) -> tuple[int, Floats]:
    """Return begin and air temperature of the hours from the trees' warming up to the last slip.

    Weather that ends with the last gathering goes on like its last day.
    """
    weather = bush.weather
    if weather.first_s > first_s or weather.end_s < last_s:
        raise InputError(
            "weather",
            f"{utc_text(weather.first_s)} to {utc_text(weather.end_s)}",
            "does not reach over the gatherings",
            f"{utc_text(first_s)} to {utc_text(last_s)}, and three weeks before",
        )
    last_s += float(slip.offset_s[-1])
    hours = weather.between(min(first_s - HOUR_S + 1, bush.tapped_s) - WARM_UP_S, last_s)
    lacking = max(math.ceil((last_s - hours.end_s) / HOUR_S), 0)
    after_c = np.resize(hours.temperature_c[-24:], lacking)
    return hours.first_s, np.concatenate([hours.temperature_c, after_c])


def _until(each_hour: Floats, hours: Floats) -> Floats:
    """Add up columns (hours, columns) until some instants, counted in hours from the first."""
    summed = np.vstack([np.zeros(each_hour.shape[1]), np.cumsum(each_hour, axis=0)])
    at = np.minimum(hours.astype(np.int64), len(each_hour) - 1)
    part = np.minimum(hours - at, 1.0)[..., np.newaxis]
    until: Floats = summed[at] + part * each_hour[at]
    return until


def rows_of(parameters: TreeParameters, count: int = 1) -> Floats:
    """Return parameters as so many equal rows."""
    return np.tile(np.array(parameters, dtype=np.float64), (count, 1))
