"""What is kept of the weather: forecasts as they were issued, and the hours that came.

Everything that asks for kept weather asks :class:`WeatherStore`; the logbook answers
(``logbook/forecasts.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HourlyWeather


class WeatherStore(Protocol):
    """Kept weather."""

    def keep(self, forecast: Forecast) -> bool:
        """Keep a forecast; tell whether it was new. Nothing kept is ever altered."""

    def newest(self, now_s: float) -> Forecast | None:
        """Return the forecast issued last, of those issued by ``now_s``."""

    def between(self, begin_s: float, end_s: float) -> list[Forecast]:
        """Return the forecasts issued from ``begin_s`` to before ``end_s``, oldest first."""

    def keep_observed(self, hours: Sequence[HourlyWeather]) -> int:
        """Keep hours that were measured; return how many are new. Those kept before stand."""

    def observed(self) -> tuple[HourlyWeather, ...]:
        """Return the measured hours: unbroken pieces, oldest first."""

    def damaged(self) -> tuple[str, ...]:
        """Return what was come across so far and cannot be read, a sentence each."""
