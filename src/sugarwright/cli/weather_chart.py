"""The chart of the coming days: the air's temperature, with its band."""

from __future__ import annotations

from sugarwright.cli.charts_data import ChartData, Curve, Mark, weather_text
from sugarwright.units import TEMPERATURE, to_unit
from sugarwright.weather.outlook import WeatherOutlook


def outlook_chart(found: WeatherOutlook) -> ChartData:
    """Return the chart of an outlook."""
    unit = "°C" if found.units == "metric" else "°F"

    def shown(values: tuple[float, ...]) -> list[float]:
        return [to_unit(value, TEMPERATURE, unit) for value in values]

    air = Curve(
        title="air",
        unit=unit,
        time_s=found.time_s,
        values=shown(found.temperature_c),
        low=shown(found.p10_temperature_c),
        high=shown(found.p90_temperature_c),
        band="four of five outcomes",
        level=Mark(to_unit(0.0, TEMPERATURE, unit), "freezing"),
    )
    standing = found.standing
    caption = weather_text(standing.source, standing.issued_s, found.timezone)
    if standing.attribution:
        caption += f" {standing.attribution}."
    return ChartData(f"{found.house}: the coming days", found.timezone, (air,), caption)
