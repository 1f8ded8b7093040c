"""Remake the tables of docs/forecast-skill.md: temperature and sap in a perfect-model world.

python benchmarks/forecast_skill.py
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from forecast_worlds import AS_BELIEVED, World, forecasts_about, issues
from sugarwright.planning.sap_skill import sap_skill
from sugarwright.plant.house import House
from sugarwright.plant.read_house import read_house
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.skill import as_used, temperature_skill
from sugarwright.weather.verified import measured

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "forecast-skill.md"
DATA = ROOT / "tests" / "data"
ISSUES, HOURS = 60, 168
TAPPED = {"Whately 2015": date(2015, 3, 5), "Newark 2013": date(2013, 2, 3)}  # first thaws
WORLDS = {
    "errors as the program believes them": AS_BELIEVED,
    "half again as large, 1.5 K too warm, swings 1 K too wide": World(1.8, 0.0315, 1.5, 1.0),
}
BEGIN, END = "<!-- made by benchmarks/forecast_skill.py -->", "<!-- end -->"


def springs() -> dict[str, HourlyWeather]:
    """Return the two real springs."""
    return {
        "Whately 2015": read_weather_csv(DATA / "whately-hourly-2015.csv"),
        "Newark 2013": read_weather_csv(
            DATA / "newark-hourly-2013.csv", temperature_unit="F", station="EWR", fill_gaps_h=5
        ),
    }


def house(tapped: date) -> House:
    """Return the invented house of the demo, tapped on a day, its lines by gravity alone."""
    shown = read_house(ROOT / "src" / "sugarwright" / "demo" / "sugarhouse.toml")
    lines = tuple(replace(each, vacuum_pa=0.0) for each in shown.gathering)
    return replace(shown, gathering=lines, trees=replace(shown.trees, tapped=tapped))


def tables() -> str:
    """Return the tables of both springs and worlds."""
    parts = []
    for place, weather in springs().items():
        for words, world in WORLDS.items():
            parts.append(f"### {place}: {words}\n\n{table(weather, TAPPED[place], world)}")
    return "\n\n".join(parts)


def table(weather: HourlyWeather, tapped: date, world: World) -> str:
    """Return the scores by day of lead, for air [K] and sap [L per tap and day]."""
    first = datetime.fromtimestamp(weather.first_s, UTC).date()
    begin_s = weather.first_s - weather.first_s % 86400 + (tapped - first).days * 86400
    made = forecasts_about(
        weather, issues(begin_s + 10 * HOUR_S, ISSUES), HOURS, tapped.year, world
    )
    came = measured([weather])
    judged = list(as_used(made, came, -5.0))
    air = temperature_skill(judged, came)
    sap = sap_skill(house(tapped), judged, [weather])
    lines = [
        "| lead day | air: MAE | CRPS | usual | yesterday | in band | sap: MAE | CRPS | usual "
        "| yesterday | in band |",
        "|---" * 11 + "|",
    ]
    for one, two in zip(air, sap, strict=True):
        air_cells = (one.error_k, one.crps_k, one.climatology_crps_k, one.persistence_crps_k)
        sap_cells = (two.error_m3, two.crps_m3, two.climatology_crps_m3, two.persistence_crps_m3)
        cells = [
            str(one.lead_day),
            *("-" if each is None else f"{each:.2f}" for each in air_cells),
            f"{one.coverage_fraction:.2f}",
            *("-" if each is None else f"{1e3 * each:.2f}" for each in sap_cells),
            f"{two.coverage_fraction:.2f}",
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> None:
    """Put the tables into the page."""
    head, rest = PAGE.read_text(encoding="utf-8").split(BEGIN)
    tail = rest.split(END)[1]
    PAGE.write_text(f"{head}{BEGIN}\n\n{tables()}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    main()
