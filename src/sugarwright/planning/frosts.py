"""Which nights may freeze what is outside, how likely, and when: over the plan's weathers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sugarwright.planning.yard import Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import FROST_C
from sugarwright.plant.tank_kernel import Floats

THAW_S = 6 * 3600.0  # a frost that follows the last one sooner finds the lines still drained
LIKELY_ENOUGH = 0.25  # one night in four is worth a walk to pump and line: judgement, no source
NOON_MIN = 720.0


@dataclass(frozen=True)
class FrostNight:
    """A night whose frost may find water in pump and line.

    Parameters
    ----------
    step : of the frost by the forecast; where that stays above it, the median of the weathers
    probability : share of the weathers in which it comes
    early_step : before which it comes in one of ten of those
    """

    step: int
    probability: float
    early_step: int


def may_freeze(plant: Plant) -> bool:
    """Tell whether the house has anything that must be drained: a pump, a membrane outdoors."""
    pumps = any(gathering.way == "pump" for gathering in plant.house.gathering)
    return pumps or bool(plant.p[at.MEMBRANE_OUTDOORS] > 0.0)


def frost_nights(
    plant: Plant, forecast: Yard | None, weathers: Yard | None
) -> tuple[FrostNight, ...]:
    """Find the nights before which to drain.

    Parameters
    ----------
    plant : the house
    forecast, weathers : what stands outside under the plan, by the forecast itself and in the
        weathers that the plan is checked in; None where nothing does

    Returns
    -------
    In order of time: those of the forecast, and those of a quarter of the weathers or more.
    """
    if forecast is None or weathers is None or not may_freeze(plant):
        return ()
    by_forecast = _onsets(forecast, 0, plant.step_s)
    by_weather = [_onsets(weathers, w, plant.step_s) for w in range(weathers.drive.scenarios)]
    found = (
        _night(begin, end, by_forecast, by_weather)
        for begin, end in _nights(forecast.drive.calendar)
    )
    return tuple(each for each in found if each is not None)


def _nights(calendar: Floats) -> Iterator[tuple[int, int]]:
    """Steps from noon to noon, local time."""
    nights = calendar[:, at.DAY] + (calendar[:, at.MINUTE] >= NOON_MIN)
    cuts = [0, *(np.flatnonzero(np.diff(nights)) + 1).tolist(), len(nights)]
    yield from pairwise(cuts)


def _onsets(yard: Yard, weather: int, step_s: float) -> Floats:
    """Steps at which a frost begins that finds water in what freezes.

    Water is there once a pump or a membrane outdoors has run, or sap has in the hours before: what
    ran before the plan began is not known.
    """
    drive = yard.drive
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    frosty = drive.air_c[weather, hours] < FROST_C
    sap = drive.sap_kg_s[weather].sum(axis=(1, 2))[hours] > 0.0
    wet, thaw = yard.wet[weather], int(THAW_S / step_s)
    found = []
    for step in (np.flatnonzero(frosty[1:] & ~frosty[:-1]) + 1).tolist():
        since = max(0, step - thaw)
        if not frosty[since:step].any() and (wet[step - 1] or sap[since:step].any()):
            found.append(step)
    return np.array(found, dtype=np.float64)


def _night(
    begin: int, end: int, by_forecast: Floats, by_weather: list[Floats]
) -> FrostNight | None:
    """Sum up the first frost of a night; None where it is hardly to be expected."""
    firsts = [each[(each >= begin) & (each < end)][:1] for each in by_weather]
    steps = np.concatenate(firsts)
    told = by_forecast[(by_forecast >= begin) & (by_forecast < end)][:1]
    probability = len(steps) / len(by_weather)
    if not len(told) and probability < LIKELY_ENOUGH:
        return None
    step = int(told[0]) if len(told) else int(np.median(steps))
    early = int(np.quantile(steps, 0.1)) if len(steps) else step
    return FrostNight(step, probability, min(step, early))
