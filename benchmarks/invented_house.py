"""An invented sugarhouse and the real hours of one spring, shared by the benchmarks.

Its habit is to start early and often, so that little waits until it spoils. (Where much does, a
single tank that is dumped or just saved turns the season, and no two programs agree closely.)

The house, its people and its figures are invented. The weather is that of a field station in
Massachusetts, 2015 (``tests/data/README.md``).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from sugarwright.planning.choices import habit_rows
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.files import read_weather_csv

WEATHER = Path(__file__).parent.parent / "tests" / "data" / "whately-hourly-2015.csv"
FIRST_DAY = datetime(2015, 3, 1, 5, tzinfo=UTC)  # midnight, Eastern Standard Time
SEASON_DAYS = 60

TOML = """\
[site]
name = "Invented house"
latitude = 42.6
longitude = -72.9
elevation = "1150 ft"
timezone = "America/New_York"
[[gathering]]
taps = 310
[tank.sap]
volume = "420 gal"
[tank.stock]
volume = "160 gal"
[tank.permeate]
volume = "310 gal"
[membrane]
[pan]
boil_rate = "21 gal/h"
draw_volume = "0.15 gal"
[fire]
wood_on_hand = "5 cord"
[[people]]
weekdays = ["06:00-08:00", "16:00-22:30"]
weekends = ["06:30-22:30"]
[trees]
tapped = 2015-03-03
[habit]
membrane_start = "06:00"
membrane_sap = "30 gal"
membrane_stop = "20:30"
wash_at = "21:00"
fire_start = "16:00"
fire_stock = "40 gal"
fire_stop = "21:30"
"""


@dataclass(frozen=True)
class Spring:
    """A house, its weather and the days wanted.

    Parameters
    ----------
    house : as described
    air_c : hourly air temperature from ``first_hour_s`` on, to the last of the days at least
    first_hour_s, begin_s, end_s : UTC s
    """

    house: House
    air_c: Floats
    first_hour_s: int
    begin_s: int
    end_s: int


def spring(days: int = SEASON_DAYS, first_day: datetime = FIRST_DAY) -> Spring:
    """Return some days of the invented house's spring."""
    weather = read_weather_csv(WEATHER)
    end = first_day + timedelta(days=days)
    return Spring(
        parse_house(TOML),
        weather.temperature_c,
        weather.first_s,
        int(first_day.timestamp()),
        int(end.timestamp()),
    )


@dataclass(frozen=True)
class Ready:
    """The same days, as the compiled kernel wants them."""

    plant: Plant
    drive: Drive
    plan: Floats
    state: Floats

    def run(self) -> Trace:
        """Run the days once."""
        return simulate(self.plant, self.drive, self.plan, self.state)


def ready(days: Spring) -> Ready:
    """Assemble plant, drive and habit; not part of what is timed."""
    plant = assemble(days.house)
    air_c = np.atleast_2d(days.air_c)
    drive = make_drive(plant, days.first_hour_s, air_c, days.begin_s, days.end_s)
    local_days = (days.end_s - days.begin_s) // 86400 + 2
    return Ready(plant, drive, habit_rows(plant, local_days), start_state(plant, Levels()))
