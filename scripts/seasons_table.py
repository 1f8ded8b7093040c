"""Hold generated springs against real ones, and write the tables into docs/seasons.md.

    python scripts/seasons_table.py [--illinois il-tempF.csv.gz] [--burlington FILE.csv]

Two real springs lie in tests/data. The others are read if their files are named: the hourly sample
of an Illinois station in the eemeter 4.1.1 package (samples/il-tempF.csv.gz), and Burlington 2021
in the source archive of pvlib 0.16.1 (tests/data, "Time Series 2021 ... TMY3 format"), whose
licence keeps it out of this repository.
"""

from __future__ import annotations

import argparse
import csv
import gzip
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant.sap_run import sap_run
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.seasons import (
    MonthlyNormals,
    RealYears,
    Springs,
    generate,
    guess_normals,
    real_years,
)
from sugarwright.weather.seasons.measures import measure
from sugarwright.weather.seasons.normals import HOURLY_MISSES_K, MONTH_DAYS
from sugarwright.weather.seasons.places import PLACES
from sugarwright.weather.seasons.springs import Source, midnight_s

ROOT = Path(__file__).resolve().parent.parent
PAGE, DATA = ROOT / "docs" / "seasons.md", ROOT / "tests" / "data"
BEGIN, END = "<!-- tables: scripts/seasons_table.py -->\n", "<!-- end of tables -->\n"
COUNT, SEED = 1000, 1
FIRST, LAST, TAPPED = date(2027, 2, 1), date(2027, 4, 30), date(2027, 2, 10)
Floats = NDArray[np.float64]
WORDS = {
    "frost_thaw_days": ("frost-thaw days", 0),
    "spells": ("spells of them", 0),
    "mean_spell_days": ("mean spell, days", 1),
    "longest_spell_days": ("longest spell, days", 0),
    "near_freezing_h": ("hours within -2 to 5 °C", 0),
    "daily_memory": ("lag-1 correlation of daily means", 2),
    "greatest_step_k": ("greatest step, K in an hour", 1),
    "sap": ("sap, L a tap (tapped 10 February)", 1),
}


@dataclass(frozen=True)
class Case:
    """One real spring, and one way to make springs that never saw it."""

    title: str
    real: Floats
    source: Source


def figures(temperature_c: Floats, utc_offset_h: int) -> dict[str, Floats]:
    """Every measure of springs (springs, hours) from 1 February to 30 April."""
    found = measure(temperature_c)
    taken = {each.name: getattr(found, each.name) for each in fields(found)}
    begin_s = midnight_s(FIRST, utc_offset_h)
    tapped_s = midnight_s(TAPPED, utc_offset_h) + 12 * HOUR_S
    sap_m3 = sap_run(temperature_c, begin_s, tapped_s).sap_m3_per_tap
    return {**taken, "sap": 1000.0 * sap_m3.sum(axis=1)}


def table(case: Case) -> str:
    """One table: real value, the made springs' band, and where the real one lies among them."""
    springs: Springs = generate(case.source, COUNT, SEED, FIRST, LAST)
    real = figures(case.real.reshape(1, -1), case.source.utc_offset_h)
    made = figures(springs.temperature_c, case.source.utc_offset_h)
    lines = [f"**{case.title}**", "", "| | real | 1 % | 10 % | middle | 90 % | 99 % | rank |"]
    lines += ["|---|---|---|---|---|---|---|---|"]
    for name, (words, digits) in WORDS.items():
        value, values = float(real[name][0]), made[name]
        band = np.quantile(values, [0.01, 0.1, 0.5, 0.9, 0.99])
        rank = 100.0 * float(np.mean(values < value) + np.mean(values == value) / 2.0)
        shown = f"{rank:.1f} %" if 1.0 <= rank <= 99.0 else f"**{rank:.1f} %**"
        cells = [f"{each:.{digits}f}" for each in (value, *band)]
        lines.append(f"| {words} | {' | '.join(cells)} | {shown} |")
    return "\n".join([*lines, ""])


def spring_of(real: RealYears, row: int = 0) -> Floats:
    """Days of February to April of one year."""
    return real.temperature_c[row, 31 - real.first : 120 - real.first]


def months_of(real: RealYears, latitude_deg: float, longitude_deg: float) -> MonthlyNormals:
    """What a thermometer's ten monthly means of one real spring would be."""
    days = real.temperature_c[0]
    cuts = [max(0, cut) for cut in np.cumsum([0, *MONTH_DAYS]) - real.first]
    high = [float(days[a:b].max(axis=1).mean()) + HOURLY_MISSES_K for a, b in pairwise(cuts)]
    low = [float(days[a:b].min(axis=1).mean()) - HOURLY_MISSES_K for a, b in pairwise(cuts)]
    return MonthlyNormals(tuple(high), tuple(low), latitude_deg, longitude_deg, real.utc_offset_h)


def station(name: str, utc_offset_h: int) -> MonthlyNormals:
    """Published normals of a station."""
    of = next(each for each in PLACES if each.name == name)
    return MonthlyNormals(of.high_c, of.low_c, of.latitude_deg, of.longitude_deg, utc_offset_h)


def cases(illinois: str | None, burlington: str | None) -> list[Case]:
    """Every comparison whose data are there."""
    whately = real_years([read_weather_csv(DATA / "whately-hourly-2015.csv")], -5)
    hours = read_weather_csv(
        DATA / "newark-hourly-2013.csv", temperature_unit="F", station="EWR", fill_gaps_h=5
    )
    newark = real_years([hours], -5)
    found = [
        Case(
            "Whately 2015, guessed normals",
            spring_of(whately),
            guess_normals(42.448, -72.681, 251.0, -5),
        ),
        Case(
            "Whately 2015, its own ten monthly means",
            spring_of(whately),
            months_of(whately, 42.448, -72.681),
        ),
        Case("Newark 2013, normals", spring_of(newark), station("Newark NJ", -5)),
        Case(
            "Newark 2013, its own ten monthly means",
            spring_of(newark),
            months_of(newark, 40.68, -74.17),
        ),
    ]
    if burlington:
        real = real_years([burlington_hours(burlington)], -5)
        found.append(
            Case("Burlington 2021, normals", spring_of(real), station("Burlington VT", -5))
        )
        own = months_of(real, 44.465, -73.205)
        found.append(Case("Burlington 2021, its own ten monthly means", spring_of(real), own))
    if illinois:
        hours = illinois_hours(illinois)
        both = real_years([hours], -6)
        for kept, other in ((0, 1), (1, 0)):
            one = RealYears(
                (both.years[other],), both.temperature_c[[other]], both.first, both.utc_offset_h
            )
            title = f"Illinois {both.years[kept]}, blocks of {both.years[other]} alone"
            found.append(Case(title, spring_of(both, kept), one))
    return found


def illinois_hours(path: str) -> HourlyWeather:
    """Read the sample of an Illinois station (columns dt, tempF)."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        rows = [(each["dt"], float(each["tempF"])) for each in csv.DictReader(file)]
    time_s = [round(datetime.fromisoformat(stamp).timestamp()) for stamp, _ in rows]
    air_c = [(value - 32.0) / 1.8 for _, value in rows]
    return HourlyWeather(np.array(time_s), np.array(air_c), source="an Illinois station")


def burlington_hours(path: str) -> HourlyWeather:
    """Read a year in TMY3 form; its stamps close the hour, in Eastern Standard Time."""
    with Path(path).open(encoding="latin-1", newline="") as file:
        rows = list(csv.reader(file))
    column = rows[1].index("Dry-bulb (C)")
    air_c = np.array([float(row[column]) for row in rows[2:]])
    first_s = round(datetime(2021, 1, 1, 5, tzinfo=UTC).timestamp())
    time_s = first_s + HOUR_S * np.arange(len(air_c), dtype=np.int64)
    return HourlyWeather(time_s, air_c, source="Burlington 2021")


def main() -> None:
    """Write the tables into the page, between their marks."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--illinois")
    words.add_argument("--burlington")
    given = words.parse_args()
    tables = "\n".join(table(case) for case in cases(given.illinois, given.burlington))
    page = PAGE.read_text(encoding="utf-8")
    before, _, rest = page.partition(BEGIN)
    after = rest.partition(END)[2]
    PAGE.write_text(f"{before}{BEGIN}\n{tables}\n{END}{after}", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
