"""Is it really Celsius? A spring's own temperatures tell when a column's unit was mixed up.

Sap runs where nights freeze in late winter and thaw by day. Fahrenheit read as Celsius makes March
nights of 25 degrees; Celsius read as Fahrenheit makes March afternoons of -12. Both fit in what air
can be, so that no range check finds them; no maple country has either for days on end.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.hours import HOUR_S

_LEAST_DAYS = 3
_WARM_NIGHT_C = 12.0
_COLD_DAY_C = -9.0
_MONTHS_WARM = (1, 4)  # January to April; northern half of the earth, as all of maple's is
_MONTHS_COLD = (3, 4)


def unit_doubts(
    time_s: NDArray[np.int64], temperature_c: NDArray[np.float64], unit: str
) -> list[str]:
    """Return a sentence when the temperatures speak against their unit; else nothing.

    Parameters
    ----------
    time_s : begin of each hour, UTC s
    temperature_c : of each hour [°C]
    unit : as the column's title or the person stated it
    """
    day = time_s // (24 * HOUR_S)
    month = time_s.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64) % 12 + 1
    starts_with = unit[:1].lower() if not unit.startswith("deg") else unit[3:4].lower()
    if starts_with == "c":
        night_c = _usual(day, temperature_c, month, _MONTHS_WARM, np.minimum)
        if night_c is not None and night_c > _WARM_NIGHT_C:
            return [
                f"late-winter nights of {night_c:.0f} degrees Celsius: is the column Fahrenheit?"
            ]
    if starts_with == "f":
        day_c = _usual(day, temperature_c, month, _MONTHS_COLD, np.maximum)
        if day_c is not None and day_c < _COLD_DAY_C:
            return [f"spring afternoons of {day_c:.0f} degrees Celsius: is the column Celsius?"]
    return []


def _usual(
    day: NDArray[np.int64],
    temperature_c: NDArray[np.float64],
    month: NDArray[np.int64],
    months: tuple[int, int],
    extreme: np.ufunc,
) -> float | None:
    """Return the median of the daily extremes within those months; None for too few days."""
    inside = (month >= months[0]) & (month <= months[1])
    days, first = np.unique(day[inside], return_index=True)
    if len(days) < _LEAST_DAYS:
        return None
    return float(np.median(extreme.reduceat(temperature_c[inside], first)))
