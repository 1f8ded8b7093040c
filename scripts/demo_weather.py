"""Make the demo's invented weather: the half spring that was, and the week to come.

    python scripts/demo_weather.py > src/sugarwright/demo/weather.csv

Each day has a low at six and a high at three in the afternoon, local time; the hours between
follow half a cosine. No station measured them.
"""

from __future__ import annotations

import math
import sys
from bisect import bisect_right
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("America/New_York")
FIRST = datetime(2026, 2, 9, tzinfo=ZONE)  # a day more than is written, to start the first curve
LOW_HIGH_F = (
    *((2, 19), (5, 22), (-3, 17), (-8, 14), (1, 24), (12, 30), (18, 34), (20, 36), (10, 26)),
    *((3, 21), (-2, 18), (6, 25), (14, 31), (17, 33), (15, 30)),
    *((16, 34), (21, 41), (24, 44), (26, 46), (25, 39), (17, 30), (11, 26)),  # tapped on the 24th
    *((15, 31), (12, 27), (14, 30), (10, 33), (20, 41), (26, 45), (30, 47), (31, 40), (18, 28)),
    *((8, 26), (15, 35), (24, 43), (27, 44), (22, 33), (17, 29)),
    (19, 43),  # Wednesday the 18th: what stands in the tank ran then
    (24, 38),  # Thursday the 19th, the demo's today
    *((21, 48), (26, 51), (31, 45), (33, 41), (24, 34), (16, 31), (12, 30), (14, 33)),
)
HEAD = """\
# source: invented weather of an invented place
# issued: 2026-03-19T09:10Z
time_utc,temperature_c
"""


def turning_points() -> list[tuple[float, float]]:
    """Return (UTC s, deg F) of every low and high."""
    points = []
    for number, (low_f, high_f) in enumerate(LOW_HIGH_F):
        day = FIRST + timedelta(days=number)
        points.append((day.replace(hour=6).timestamp(), float(low_f)))
        points.append((day.replace(hour=15).timestamp(), float(high_f)))
    return points


def temperature_c(time_s: float, points: list[tuple[float, float]]) -> float:
    """Return the air at an instant between two turning points."""
    after = bisect_right(points, (time_s, math.inf))
    (begin_s, begin_f), (end_s, end_f) = points[after - 1], points[after]
    share = (1.0 - math.cos(math.pi * (time_s - begin_s) / (end_s - begin_s))) / 2.0
    return (begin_f + share * (end_f - begin_f) - 32.0) / 1.8


def main() -> None:
    """Write the table."""
    points = turning_points()
    sys.stdout.write(HEAD)
    begin_s = (FIRST + timedelta(days=1)).timestamp()
    end_s = (FIRST + timedelta(days=len(LOW_HIGH_F) - 1)).timestamp()
    for time_s in range(int(begin_s), int(end_s), 3600):
        value_c = temperature_c(time_s + 1800.0, points)  # the hour's middle
        moment = datetime.fromtimestamp(time_s, UTC)
        sys.stdout.write(f"{moment:%Y-%m-%dT%H:%MZ},{value_c:.1f}\n")


if __name__ == "__main__":
    main()
