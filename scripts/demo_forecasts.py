"""Make the demo's invented forecasts: what was foretold each morning of the half spring.

    python scripts/demo_forecasts.py > src/sugarwright/demo/forecasts.csv

Each is the invented weather that came, with errors that grow with the lead and are too cold by a
degree, as of a station up the hill. The table is what `sugarwright log export --table forecasts`
writes of them.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy as np

from demo_truth import FOLDER, ZONE
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.tables_csv import write_table
from sugarwright.plant.read_house import read_house
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather

FIRST, LAST = datetime(2026, 2, 25, 5, tzinfo=ZONE), datetime(2026, 3, 18, 5, tzinfo=ZONE)
REACH_H = 72
BIAS_K = -1.0
SD_K, GROWTH_K_DAY = 0.8, 0.6
MEMORY_PER_HOUR = 0.93
SOURCE = "invented forecast of an invented service"
SEED = 3


def forecasts() -> Iterator[Forecast]:
    """Yield the forecasts, one each morning."""
    site = read_house(FOLDER / "sugarhouse.toml").site
    came = read_weather_csv(FOLDER / "weather.csv")
    moment = FIRST
    while moment <= LAST:
        issued_s = int(moment.timestamp())
        hours = came.between(issued_s, issued_s + REACH_H * HOUR_S)
        draw = np.random.default_rng([SEED, moment.month, moment.day])
        error = np.zeros(REACH_H)
        for lead in range(1, REACH_H):
            fresh = float(draw.standard_normal()) * (1.0 - MEMORY_PER_HOUR**2) ** 0.5
            error[lead] = MEMORY_PER_HOUR * error[lead - 1] + fresh
        sd_k = SD_K + GROWTH_K_DAY * np.arange(REACH_H) / 24.0
        foretold_c = np.round(hours.temperature_c + BIAS_K + sd_k * error, 1)
        foretold = HourlyWeather(hours.time_s, foretold_c, source=SOURCE, issued_s=issued_s)
        yield Forecast(
            issued_s, issued_s + 60, SOURCE, "invented", site.latitude_deg, site.longitude_deg,
            site.elevation_m, foretold,
        )  # fmt: skip
        moment += timedelta(days=1)


def main() -> None:
    """Write the table."""
    sys.stdout.buffer.write(table().encode())


def table() -> str:
    """Return the table as the logbook writes it."""
    out = io.StringIO(newline="")
    with tempfile.TemporaryDirectory() as folder:
        with Logbook.open(folder) as book:
            for forecast in forecasts():
                book.weather.keep(forecast)
        write_table(folder, "forecasts", out)
    return out.getvalue()


if __name__ == "__main__":
    main()
