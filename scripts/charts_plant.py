"""Charts of the pages on what a sugarhouse does: keeping, ice, lines, trees."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from functools import partial
from pathlib import Path

from charts_solution import CELSIUS, Table, curve
from sugarwright.physics.freezing import unfrozen_brix
from sugarwright.physics.gravity import gravity_flow_m3_s
from sugarwright.physics.hydraulics import friction_factor
from sugarwright.physics.keeping import LEAST_TEMPERATURE_C, ROOT_SLOPE, keeping_time_s
from sugarwright.physics.lateral import lateral_vacuum_pa
from sugarwright.physics.tree import run_tree
from sugarwright.weather.files import read_weather_csv
from svg_plot import Axis, Point, Series, draw

DATA = Path(__file__).resolve().parent.parent / "tests" / "data"
INCH_M = 0.0254
GALLON_PER_HOUR, INCH_HG_PA = 3.785411784e-3 / 3600.0, 3386.389
SAP = (1007.0, 1.60e-3)


def keeping(table: Table) -> str:
    """Draw how long sap keeps over its temperature."""

    def hours(growth: float, slope: float, least_c: float) -> list[Point]:
        return curve(lambda t: keeping_time_s(growth, t, slope, least_c) / 3600.0, 0.0, 16.0)

    advice = [(10.0, 24.0), (4.0, 48.0), (1.5, 168.0)]
    series = [
        Series("hundredfold growth", hours(2.0, ROOT_SLOPE, LEAST_TEMPERATURE_C), "line", 0),
        Series("thousandfold growth", hours(3.0, ROOT_SLOPE, LEAST_TEMPERATURE_C), "line", 1),
        Series("edges of the prior, hundred- and thousandfold", hours(2.0, 0.036, -8.0), "dash", 4),
        Series("", hours(3.0, 0.025, -4.0), "dash", 4),
        Series("advice: 24 h, 48 h cold, a week refrigerated", advice, "open", 2),
    ]
    y = Axis("hours", 5, 1000, logarithmic=True)
    return draw("How long sap keeps", Axis(CELSIUS, 0, 16), y, series, "ne")


def ice(table: Table) -> str:
    """Draw what is left in a tank under its ice."""
    series = []
    for colour, ice_brix in enumerate((0.0, 0.3)):
        left = curve(partial(unfrozen_brix, 2.0, ice_brix=ice_brix), 0, 0.7)
        series.append(Series(f"ice of {ice_brix} Brix", left, "line", colour))
    series.append(Series("by hand: a fifth of it ice of 0.3", [(0.2, 2.425)], "point", 1))
    y = Axis("liquid left, Brix", 0, 7)
    title = "Sap of 2 Brix under ice: stronger, and less of it"
    return draw(title, Axis("ice by mass of the whole", 0, 0.7), y, series)


def friction(table: Table) -> str:
    """Draw the friction factor of smooth and rough pipe."""
    exponents = [2.0 + 0.02 * i for i in range(301)]
    series = []
    for colour, rough in enumerate((0.0, 1e-4, 1e-3)):
        line = [(10**e, friction_factor(10**e, rough)) for e in exponents]
        series.append(Series(f"model, roughness {rough:g} of the bore", line, "line", colour))
    checks = [(1e5, 0.0185139), (1e6, 0.0199435), (4e3, 0.0399070)]
    series.append(Series("fluids library, exact Colebrook", checks, "open", 3))
    x = Axis("Reynolds number", 100, 1e8, logarithmic=True)
    y = Axis("Darcy friction factor", 0.005, 1, logarithmic=True)
    return draw("Friction in a round pipe", x, y, series, "ne")


def gravity_lines(table: Table) -> str:
    """Draw what full lines carry down a slope."""
    computed = {3: [3.71, 7.41, 11.5], 4: [11.7, 15.4, 22.8], 5: [19.2, 28.1, 42.2]}
    series = []
    for colour, (sixteenths, values) in enumerate(computed.items()):
        flow = partial(
            gravity_flow_m3_s,
            diameter_m=sixteenths / 16 * INCH_M,
            roughness_m=0.0,
            density_kg_m3=SAP[0],
            viscosity_pa_s=SAP[1],
        )
        line = curve(flow, 0, 0.3, GALLON_PER_HOUR)
        series.append(Series(f"model, {sixteenths}/16 in bore", line, "line", colour))
        points = list(zip((0.05, 0.10, 0.20), values, strict=True))
        label = "computed apart with fluids" if sixteenths == 3 else ""
        series.append(Series(label, points, "point", colour))
    y = Axis("US gal/h", 0, 55)
    return draw("What a full line carries", Axis("slope, drop by length", 0, 0.3), y, series)


def lateral(table: Table) -> str:
    """Draw the vacuum along a lateral of 25 taps."""

    def pulls(bore_in: float, gallons_h: float) -> list[Point]:
        line = (25, 5.0, 10.0, 0.10, gallons_h * GALLON_PER_HOUR, bore_in * INCH_M)
        weather = (1.0, 2.0, 4.0, 101325.0)
        return [(tap, lateral_vacuum_pa(tap, *line, *weather) / INCH_HG_PA) for tap in range(1, 26)]

    column = [(tap, 0.883 * 0.10 * (10.0 + (tap - 1) * 5.0) / 0.3048) for tap in (1, 5, 10, 15)]
    series = [
        Series("3/16 in, sap at rest", pulls(3 / 16, 0.0), "line", 4),
        Series("3/16 in, 0.2 gal/h a tap", pulls(3 / 16, 0.2), "line", 0),
        Series("3/16 in, 0.3 gal/h a tap", pulls(3 / 16, 0.3), "line", 1),
        Series("1/4 in, 0.3 gal/h a tap (if it stayed full)", pulls(1 / 4, 0.3), "dash", 2),
        Series("trade: 0.88 inHg to the foot of drop", column, "open", 4),
    ]
    y = Axis("vacuum at the tap, inHg", 0, 45)
    title = "25 taps, 5 m apart on 10 %: vacuum from the lowest to the topmost"
    return draw(title, Axis("tap, counted from below", 1, 25), y, series)


def gatherings(table: Table) -> str:
    """Draw twelve gatherings of a real sugarbush against the model on its own weather."""
    est = timezone(timedelta(hours=-5))
    weather = read_weather_csv(DATA / "whately-hourly-2015.csv")
    tapped_h = int((datetime(2015, 3, 10, tzinfo=est).timestamp() - weather.first_s) // 3600)
    hours = [float(t) for t in weather.temperature_c[: tapped_h + 24 * 45]]
    flow_m3, _, _ = run_tree(hours, float(tapped_h))
    with (DATA / "maple-sap-collections-2013-2017.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["date"].startswith("2015")]
    sums, total, model, run = [], 0.0, [(0.0, 0.0)], 0.0
    for row in rows:
        if row["sap_us_gal"]:
            at = datetime.fromisoformat(f"{row['date']} 16:00").replace(tzinfo=est).timestamp()
            total += float(row["sap_us_gal"])
            sums.append(((at - weather.first_s) / 86400.0 - tapped_h / 24.0, total))
    last_h = tapped_h + int(sums[-1][0] * 24)
    scale = total / sum(flow_m3[tapped_h:last_h])
    for hour in range(tapped_h, last_h):
        run += flow_m3[hour] * scale
        model.append(((hour + 1 - tapped_h) / 24.0, run))
    series = [
        Series("model on the place's own weather, scaled to the total", model, "line", 0),
        Series("gathered at Whately, 2015 (macleish data)", sums, "point", 1),
    ]
    x, y = Axis("days since 10 March", 0, 25), Axis("sap so far, US gal", 0, 450)
    return draw("Twelve gatherings of one spring", x, y, series)


CHARTS: dict[str, Callable[[Table], str]] = {
    "keeping": keeping,
    "ice": ice,
    "friction": friction,
    "gravity-lines": gravity_lines,
    "lateral": lateral,
    "gatherings": gatherings,
}
