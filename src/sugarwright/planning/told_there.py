"""Who tells of a fire or a membrane that runs is there with it, whatever the usual hours say."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.special_hours import SOMEBODY, Presence, SpecialHours
from sugarwright.plant.state import Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S

LATE_S = 2 * 3600.0  # of boiling on beyond the usual hours, at most: judgement


def with_whoever_tells(plant: Plant, levels: Levels, now_s: int) -> tuple[Plant, int | None]:
    """Count a person at what is told to run, where nobody is there long enough to end it well.

    With a fire that is until it has died: what feed there is may be boiled first, for two hours at
    most. With one that was let go, until it has died. With a membrane that may not run alone, until
    it has been stopped and rinsed. In those hours nothing new is begun: no fire, no membrane, no
    wash.

    Parameters
    ----------
    plant : the house
    levels : what is told
    now_s : UTC s

    Returns
    -------
    The house with that presence, and until when it holds, UTC s; None where nobody need be counted.
    """
    begin_s = now_s - now_s % HOUR_S
    rows = make_calendar(
        plant.house, begin_s, int(HOUR_S / plant.step_s), plant.step_s, plant.special
    )
    now_row = rows[int((now_s - begin_s) // plant.step_s)]
    needed_s = _needed_s(plant, levels)
    if needed_s <= 0.0 or now_row[at.STAY_S] >= needed_s:
        return plant, None
    until_s = now_s + int(np.ceil((needed_s + _boiling_s(plant, levels)) / 60.0)) * 60
    told = Presence(SOMEBODY, begin_s, until_s, there=True, for_what_runs=True)
    return replace(plant, special=plant.special + SpecialHours(presence=(told,))), until_s


def _needed_s(plant: Plant, levels: Levels) -> float:
    """How long somebody must stay, at the least, to end well what runs."""
    p: Floats = plant.p
    needed_s = 0.0
    if levels.fire_on:
        needed_s = float(p[at.CLEAR_S] + 2.0 * p[at.STEP_S])
    elif levels.heat_fraction > SAFE_HEAT_FRACTION:
        dying_s = p[at.BURN_DOWN_S] * math.log(levels.heat_fraction / SAFE_HEAT_FRACTION)
        needed_s = float(dying_s + 2.0 * p[at.STEP_S])
    if levels.membrane_on and p[at.UNATTENDED] <= 0.0:
        stopping_s = float(p[at.RINSE_S] + p[at.STOP_HANDS_S] + 2.0 * p[at.STEP_S])
        needed_s = max(needed_s, stopping_s)
    return needed_s


def _boiling_s(plant: Plant, levels: Levels) -> float:
    """How long the feed lasts that waits above the reserve, as far as somebody stays for it."""
    if not levels.fire_on:
        return 0.0
    feed = levels.stock if plant.p[at.HAS_MEMBRANE] > 0.0 else levels.sap
    above_m3 = max(0.0, feed.volume_m3 - float(plant.p[at.RESERVE_M3]))
    return min(LATE_S, above_m3 / plant.house.pan.boil_rate_m3_s)
