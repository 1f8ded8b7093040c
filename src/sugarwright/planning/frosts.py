"""Which nights may freeze what is outside, how likely, and when: over the plan's weathers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from sugarwright.planning.drained import frost_chores, without_membrane
from sugarwright.planning.yard import Flags, Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import FROST_C
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

HOUR_S = 3600
THAW_S = 6 * 3600.0  # a frost that follows the last one sooner finds the lines still drained
STILL_DRAINS_S = 3 * 3600.0  # what froze longer is drained or ice by now: judgement, no source
THAWED_C = 0.0  # air in which sap may have run, before the plan began
LIKELY_ENOUGH = 0.25  # one night in four is worth a walk to pump and line: judgement, no source
NOON_MIN = 720.0


@dataclass(frozen=True)
class FrostNight:
    """A night whose frost may find water in pump and line.

    Parameters
    ----------
    step : of the frost by the forecast; where that stays above it, the median of the weathers; 0
        where it has begun already, a few hours ago at the most
    probability : share of the weathers in which it comes, or has begun
    early_step : before which it comes in one of ten of those
    refilled : it froze already then: the step is that at which a membrane outdoors holds what it
        was rinsed or washed with
    """

    step: int
    probability: float
    early_step: int
    refilled: bool = False


def what_drains(plant: Plant) -> tuple[str, ...]:
    """Return what must be drained before a frost: "pump", "line", "membrane" (outdoors).

    Of a house with none of these, what it calls its own chores before a frost; empty without any.
    A chore may name a membrane that stands indoors: its maker knows how cold it gets there. It may
    not name one that the house hasn't got.
    """
    pumps = any(gathering.way == "pump" for gathering in plant.house.gathering)
    outdoors = plant.p[at.MEMBRANE_OUTDOORS] > 0.0
    found = (("pump", "line") if pumps else ()) + (("membrane",) if outdoors else ())
    names = tuple(each.name for each in frost_chores(plant.house))
    return found or (names if plant.house.membrane is not None else without_membrane(names))


def frost_nights(
    plant: Plant,
    forecast: Drive,
    weathers: Drive,
    yard: Yard | None = None,
    checked_yard: Yard | None = None,
    before_c: Floats | None = None,
) -> tuple[FrostNight, ...]:
    """Find the nights before which to drain.

    Parameters
    ----------
    plant : the house
    forecast, weathers : the forecast itself, and the weathers that the plan is checked in
    yard, checked_yard : what stands outside under the plan in these; None where nothing does
    before_c : air of the hours before the first of these, °C; None where it is not known

    Returns
    -------
    In order of time: those of the forecast, and those of a quarter of the weathers or more.
    """
    if not what_drains(plant):
        return ()
    known_c = np.zeros(0) if before_c is None else before_c[-24:]
    step_s, calendar = plant.step_s, forecast.calendar
    by_forecast = _all_onsets(forecast, yard, step_s, known_c)
    by_weather = _all_onsets(weathers, checked_yard, step_s, known_c)
    begin = [
        _night(*night, by_forecast[0], by_weather, LIKELY_ENOUGH) for night in _nights(calendar)
    ]
    refilled = _refilled_nights(forecast, weathers, yard, checked_yard)
    found = [each for each in (*begin, *refilled) if each is not None]
    return tuple(sorted(found, key=lambda each: each.step))


def _refilled_nights(
    forecast: Drive, weathers: Drive, yard: Yard | None, checked_yard: Yard | None
) -> Iterator[FrostNight | None]:
    """Yield the nights in whose frost the forecast has a membrane outdoors rinsed or washed."""
    if yard is None or checked_yard is None or not yard.flushed.any():
        return
    by_weather = [_refills(weathers, w, checked_yard) for w in range(weathers.scenarios)]
    for night in _nights(forecast.calendar):
        found = _night(*night, _refills(forecast, 0, yard), by_weather, np.inf)
        yield None if found is None else replace(found, refilled=True)


def _nights(calendar: Floats) -> Iterator[tuple[int, int]]:
    """Steps from noon to noon, local time."""
    nights = calendar[:, at.DAY] + (calendar[:, at.MINUTE] >= NOON_MIN)
    cuts = [0, *(np.flatnonzero(np.diff(nights)) + 1).tolist(), len(nights)]
    yield from pairwise(cuts)


def _all_onsets(drive: Drive, yard: Yard | None, step_s: float, before_c: Floats) -> list[Floats]:
    """Steps at which a frost begins that finds water, in each weather."""
    return [
        _onsets(drive, w, None if yard is None else yard.wet[w], step_s, before_c)
        for w in range(drive.scenarios)
    ]


def _onsets(
    drive: Drive, weather: int, wet: Flags | None, step_s: float, before_c: Floats
) -> Floats:
    """Steps at which a frost begins that finds water in what freezes; 0 where it has begun.

    Water is there once a pump or a membrane outdoors has run since the last frost, or sap has in
    the hours before. Of what ran before the plan began only the air is known: it may have, once it
    had thawed. A membrane that runs as the plan begins is full however long it has frozen.
    """
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    air_c = _before(drive, weather, step_s, before_c)
    past = len(air_c)
    frosty = np.concatenate([air_c, drive.air_c[weather, hours]]) < FROST_C
    sap = drive.sap_kg_s[weather].sum(axis=(1, 2))[hours] > 0.0
    ran = np.concatenate([air_c > THAWED_C, sap])
    full = np.zeros(len(frosty), dtype=np.bool_)
    full[past:] = False if wet is None else wet
    thaw, oldest = int(THAW_S / step_s), past - int(STILL_DRAINS_S / step_s)
    found = set()
    for step in (np.flatnonzero(frosty[1:] & ~frosty[:-1]) + 1).tolist():
        since = max(0, step - thaw)
        lasts = step >= past or (step >= oldest and frosty[step : past + 1].all())
        sap_in_line = not frosty[since:step].any() and ran[since:step].any()
        if lasts and (full[step - 1] or sap_in_line):
            found.add(max(0, step - past))
    if frosty[past] and full[past]:
        found.add(0)
    return np.array(sorted(found), dtype=np.float64)


def _refills(drive: Drive, weather: int, yard: Yard) -> Floats:
    """Steps at which a membrane outdoors stands full that was rinsed or washed while it froze.

    One that is rinsed as it stops was full before that frost.
    """
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    frosty, flushed = drive.air_c[weather, hours] < FROST_C, yard.flushed[weather]
    begins = np.flatnonzero(flushed[1:] & ~flushed[:-1] & frosty[1:]) + 1
    found = [flushed_until(flushed, int(step)) for step in begins]
    return np.array([each for each in found if each < drive.steps], dtype=np.float64)


def flushed_until(flushed: Flags, step: int) -> int:
    """First step in which no water goes any more through what it does in one."""
    over = np.flatnonzero(~flushed[step:])
    # what ends within a step is flagged at the end of the one before it
    return step + int(over[0]) + 1 if len(over) else len(flushed)


def _before(drive: Drive, weather: int, step_s: float, before_c: Floats) -> Floats:
    """Air of each step before the first one, as far as it is known."""
    earlier: Floats = np.repeat(before_c, round(HOUR_S / step_s))
    this_hour = int(drive.begin_s % HOUR_S / step_s)
    return np.append(earlier, np.full(this_hour, drive.air_c[weather, 0]))


def _night(
    begin: int, end: int, by_forecast: Floats, by_weather: list[Floats], likely_enough: float
) -> FrostNight | None:
    """Sum up the first frost of a night; None where it is hardly to be expected.

    One that the forecast itself has is told; another where it is as likely as said.
    """
    firsts = [each[(each >= begin) & (each < end)][:1] for each in by_weather]
    steps = np.concatenate(firsts)
    told = by_forecast[(by_forecast >= begin) & (by_forecast < end)][:1]
    probability = len(steps) / len(by_weather)
    if not len(told) and probability < likely_enough:
        return None
    step = int(told[0]) if len(told) else int(np.median(steps))
    early = int(np.quantile(steps, 0.1)) if len(steps) else step
    return FrostNight(step, probability, min(step, early))
