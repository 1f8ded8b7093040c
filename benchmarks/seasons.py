"""How long a thousand generated springs take, beside the same springs in plain loops.

    python benchmarks/seasons.py

The peer is Python as one would first write it: one spring after the other, hour by hour, from the
same draws; its springs are the same to rounding, or the script stops. It makes 20, and its time is
scaled up.
"""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import numpy as np

from machine import Times, describe, measure
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.seasons import MonthlyNormals, generate, real_years
from sugarwright.weather.seasons import normals as by_months
from sugarwright.weather.seasons import process as law
from sugarwright.weather.seasons.places import PLACES
from sugarwright.weather.seasons.springs import source_of_chance

SPRINGS, PEERS, SEED = 1000, 20, 1
DAYS = date(2027, 1, 1), date(2027, 5, 31)
WHATELY = Path(__file__).parent.parent / "tests" / "data" / "whately-hourly-2015.csv"


def plain(place: MonthlyNormals, spring: int) -> list[float]:
    """One spring, hour by hour in Python's own numbers."""
    hours, spin = law.HOURS, law.SPIN_UP_H
    halves = 2 * law.SPRING_DAYS + 3
    draws = source_of_chance(SEED, 2, spring).standard_normal(1 + 2 * (spin + hours) + halves)
    season, *rest = draws.tolist()
    slow, ripple, swings = rest[: spin + hours], rest[spin + hours : -halves], rest[-halves:]
    memory, share = math.exp(-1 / law.MEMORY_H), 1 - math.exp(-1 / law.LAG_H)
    kept = 1 - share
    variance = share**2 * (1 + kept * memory) / ((1 - kept**2) * (1 - kept * memory))
    scale = 1 / (law.DAILY_SHARE * math.sqrt(variance))
    quick = math.exp(-1 / law.RIPPLE_MEMORY_H)
    air_mass, seen, passing = scale * slow[0], 0.0, law.RIPPLE_SD_K * ripple[0]
    for half in range(1, halves):
        renewed = math.sqrt(1 - law.SWING_MEMORY**2) * swings[half]
        swings[half] = law.SWING_MEMORY * swings[half - 1] + renewed
    heights = [(1 + law.SWING_SPREAD * z) ** 2 / (1 + law.SWING_SPREAD**2) for z in swings]
    mean_c, swing_k = by_months._aimed(place)
    wave, half_day = by_months._wave(place)
    course_c, course_k = by_months._course(mean_c), by_months._course(swing_k)
    first_sd, last_sd = law.DAILY_MEAN_SD_K
    made = []
    for hour in range(spin + hours):
        if hour:
            air_mass = memory * air_mass + scale * math.sqrt(1 - memory**2) * slow[hour]
            passing = quick * passing + law.RIPPLE_SD_K * math.sqrt(1 - quick**2) * ripple[hour]
        seen += share * (air_mass - seen)
        at = hour - spin
        if at >= 0:
            sd_k = first_sd + (last_sd - first_sd) * at / (hours - 1)
            swing = course_k[at] * wave[at] * heights[half_day[at]]
            air_c = course_c[at] + swing + sd_k * seen + passing + by_months.SEASON_SD_K * season
            made.append(float(air_c))
    return made


def main() -> None:
    """Print the times."""
    print(describe())
    found = next(each for each in PLACES if each.name == "Burlington VT")
    place = MonthlyNormals(
        found.high_c, found.low_c, found.latitude_deg, found.longitude_deg, -5, found.name
    )
    real = real_years([read_weather_csv(WHATELY)], -5)
    fast = generate(place, PEERS, SEED, *DAYS).temperature_c
    np.testing.assert_allclose(fast, [plain(place, each) for each in range(PEERS)], atol=1e-9)

    def report(words: str, times: Times) -> None:
        print(f"{words}: {times}")

    normals = measure(lambda: generate(place, SPRINGS, SEED, *DAYS), 5)
    report(f"{SPRINGS} springs of 151 days about monthly normals", normals)
    blocks = measure(lambda: generate(real, SPRINGS, SEED, *DAYS), 5)
    report(f"{SPRINGS} springs of blocks of a real year", blocks)
    peers = measure(lambda: [plain(place, each) for each in range(PEERS)], 3)
    report(f"{PEERS} springs about monthly normals in plain loops", peers)
    ratio = peers.least_s * SPRINGS / PEERS / normals.least_s
    print(f"plain loops take {ratio:.0f} times as long (least processor times)")


if __name__ == "__main__":
    main()
