"""Do what is learnt of pan and wood, and how sure it is, hold against truths that are known?

Simulation-based calibration: truths from the priors, logs by the simulator (``pan_worlds``), each
learnt from its first fires. A band that claims to hold nine of ten should.

    python benchmarks/pan_learning.py --worlds 200
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np

from pan_worlds import World, made_world
from sugarwright.learning.as_learnt import described_value
from sugarwright.learning.grid import BAND_SDS
from sugarwright.learning.kept import Kept
from sugarwright.learning.pan import RATE, learn_pan
from sugarwright.learning.wood import EFFICIENCY, learn_wood
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import Levels, start_state
from sugarwright.weather.files import read_weather_csv

DAYS = 40
WEATHER = Path(__file__).parents[1] / "tests" / "data" / "whately-hourly-2015.csv"
GALLON_M3 = 231 * 0.0254**3
HOUSE = """\
[site]
name = "Invented house"
latitude = 44.1
longitude = -71.9
timezone = "America/New_York"
[[gathering]]
taps = 300
[tank.sap]
volume = "420 gal"
[tank.stock]
volume = "160 gal"
[tank.permeate]
volume = "300 gal"
[membrane]
least_flow = "9 gal/h"
most_flow = "50 gal/h"
[pan]
boil_rate = "22 gal/h"
[[people]]
weekdays = ["06:00-22:30"]
weekends = ["06:00-22:30"]
[trees]
yield_factor = 1.6
tapped = 2015-03-01
[habit]
membrane_start = "06:30"
fire_start = "14:30"
fire_stop = "20:00"
"""


@cache
def setting() -> tuple[House, Drive]:
    """Return an invented house and its spring."""
    house = parse_house(HOUSE)
    weather = read_weather_csv(WEATHER)
    begin_s = int(datetime(2015, 3, 6, 17, tzinfo=UTC).timestamp())
    air_c = weather.temperature_c[np.newaxis]
    first_s, end_s = int(weather.time_s[0]), begin_s + DAYS * 86400
    return house, make_drive(assemble(house), first_s, air_c, begin_s, end_s)


@cache
def world(seed: int, truth: House | None = None) -> World:
    """Return one made log."""
    house, drive = setting()
    plant = assemble(house)
    row = np.zeros(at.PLAN_WIDTH)
    habit = house.habit
    row[at.MEMBRANE_START], row[at.MEMBRANE_STOP] = habit.membrane_start, 23 * 60.0
    row[at.MEMBRANE_SAP_M3] = 30 * GALLON_M3
    row[at.MEMBRANE_FLOW_M3_S] = habit.concentrate_flow_m3_s
    row[at.WASH_AT] = -1.0
    row[at.FIRE_START], row[at.FIRE_STOP] = habit.fire_start, habit.fire_stop
    row[at.FIRE_STOCK_M3] = 45 * GALLON_M3
    plan = np.tile(row, (DAYS + 2, 1))
    state = start_state(plant, Levels())
    return made_world(house, drive, plan, state, seed, truth=truth, draws=seed % 2 == 0)


def first_fires(entries: tuple[Entry, ...], fires: int) -> tuple[Entry, ...]:
    """Return the log up to the reading after so many fires."""
    lit = [each.at_s for each in entries if each.kind == "fire_lit"]
    until_s = lit[fires] if fires < len(lit) else math.inf
    return tuple(each for each in entries if each.at_s < until_s)


def with_slip(entries: tuple[Entry, ...], which: int) -> tuple[Entry, ...]:
    """Return the log with one tank reading 40 gal off, as a wrong mark would be."""
    reads = [place for place, each in enumerate(entries) if each.place == "stock"]
    place = reads[min(which, len(reads) - 1)]
    entry = entries[place]
    volume = entry.measure("volume")
    assert volume is not None
    wrong = Measure("volume", volume.value + 40 * GALLON_M3, instrument=volume.instrument)
    kept = tuple(each for each in entry.measures if each.quantity != "volume")
    return (*entries[:place], replace(entry, measures=(wrong, *kept)), *entries[place + 1 :])


def place_of_truth(kept: Kept | None, key: str, truth: House) -> tuple[float, float] | None:
    """Return how far the truth lies above what was learnt, in stated deviations; and those."""
    figure = None if kept is None else kept.figure(key)
    true = described_value(truth, key)
    if figure is None or true is None:
        return None
    return math.log(true / figure.value) / figure.sd, figure.sd


def judged(seed: int, fires: int, slip: int | None) -> Iterator[tuple[str, float, float]]:
    """Yield (key, how far the truth lies off, stated deviation) for one world."""
    made = world(seed)
    entries = first_fires(made.entries, fires)
    if slip is not None:
        entries = with_slip(entries, slip)
    pan = learn_pan(made.described, entries, 0).kept
    wood = learn_wood(made.described, entries, 0, pan).kept
    for kept, key in ((pan, RATE), (wood, EFFICIENCY)):
        found = place_of_truth(kept, key, made.truth)
        if found is not None:
            yield key, *found


def main() -> None:
    """Print the table of docs/learn.md."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=200)
    worlds = parser.parse_args().worlds
    print("| log | figure | worlds | stated sd | truth: mean, sd | in 90 % band, % |")
    print("|---|---|---|---|---|---|")
    for fires, slip in ((1, None), (3, None), (8, None), (8, 3)):
        found: dict[str, list[tuple[float, float]]] = {}
        for seed in range(worlds):
            for key, off, sd in judged(seed, fires, slip):
                found.setdefault(key, []).append((off, sd))
        for key, rows in found.items():
            off, sd = np.array(rows).T
            inside = 100.0 * float(np.mean(np.abs(off) <= BAND_SDS))
            named = f"{fires} fires" + ("" if slip is None else ", one reading 40 gal wrong")
            print(
                f"| {named} | {key} | {len(rows)} | {sd.mean():.3f} | {off.mean():+.2f}, "
                f"{off.std():.2f} | {inside:.0f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
