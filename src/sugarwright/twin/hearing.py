"""Take what a sensor says into the ensemble: most of its error is one and the same all the time.

A sensor that stands a little high does so in every reading: a hundred of them tell no more of the
level than its calibration is worth. So each member has an offset of its own for each sensor, in the
sensor's standard deviations, and what is foretold is what the member holds *and* its offset. A
reading then corrects their sum sharply, and shares the correction out by how unsure each is; what a
person reads beside it corrects the offset. The level never comes to be surer than the sensor's
lasting error, but by what others tell.

A sensor that goes mad is doubted once. It says the same again and again, so it is no witness of its
own: only another sensor or a person makes it believed. Until it has said for an hour what is
foretold, it is left out.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.correct import correct_sensed, reset
from sugarwright.twin.doubt import OPEN, REFUTED, impossible, is_far
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground
from sugarwright.twin.told import Reading, dice
from sugarwright.twin.way import Seen, Track

LASTING = 0.95  # of a sensor's standard deviation, always the same: our judgement
CHANCE = 0.3  # and what differs from one reading to the next, with what thinning leaves out
TRUSTED_AGAIN = 4  # readings as foretold, one after the other
CLOCK_S = STEP_S / math.sqrt(12.0)  # readings are taken at the nearest step


def offset_of(ground: Ground, ensemble: Ensemble, series: str) -> Floats:
    """Return each member's offset of a sensor [its standard deviations]; a new one is drawn."""
    if series not in ensemble.sensors:
        drawn = dice(ground.seed, "offset", series).standard_normal(ensemble.members)
        ensemble.offsets = np.column_stack([ensemble.offsets, drawn])
        ensemble.sensors = (*ensemble.sensors, series)
    column: Floats = ensemble.offsets[:, ensemble.sensors.index(series)]
    return column


def hear(
    ground: Ground, track: Track, reading: Reading, held: Floats, rate_m3_s: float
) -> bool | None:
    """Correct by what a sensor said.

    Parameters
    ----------
    ground, track : what the twin stands on, and the way so far; changed in place
    reading : of the sensor
    held : (members,) what each member has there
    rate_m3_s : how fast that changes, where it is a volume; else 0

    Returns
    -------
    True where it was used; False where it is far from what was foretold, None where it is left out
    until the sensor is trusted again.
    """
    ensemble, series = track.ensemble, reading.sensor
    offsets = LASTING * reading.sd * offset_of(ground, ensemble, series)
    source = dice(ground.seed, reading.key, reading.quantity)
    sd = math.hypot(CHANCE * reading.sd, rate_m3_s * CLOCK_S)
    if reading.key in track.believed:
        reset(ground, ensemble, reading.name, reading.value - offsets, sd, source)
        track.astray.pop(series, None)
    elif impossible(reading) or is_far(replace(reading, sd=sd), held + offsets):
        track.astray[series] = 0
        return False
    elif series in track.astray:
        _trust_again(track, series)
        return None
    else:
        correct_sensed(ground, ensemble, reading, held, offsets, sd, source)
    track.seen[reading.name] = Seen(reading.at_s, reading.value, "sensor", "")
    return True


def _trust_again(track: Track, series: str) -> None:
    """Count a reading as foretold; after enough of them the sensor counts again."""
    track.astray[series] += 1
    if track.astray[series] < TRUSTED_AGAIN:
        return
    del track.astray[series]
    for doubt in track.doubts:
        if doubt.sensor == series and doubt.state == OPEN:
            track.settle(doubt.key, REFUTED)
