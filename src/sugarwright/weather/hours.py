"""Weather as the rest of the program knows it: unbroken hours, in UTC and SI."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError, RangeError

HOUR_S = 3600

#: What can be believed of the open air, in each field's own unit.
PLAUSIBLE = {
    "temperature_c": (-60.0, 60.0),
    "pressure_pa": (50e3, 110e3),
    "humidity_fraction": (0.0, 1.1),
    "wind_m_s": (0.0, 120.0),
}

_SAID = "said_c"  # the one series in which hours may be missing
_SERIES = {**PLAUSIBLE, _SAID: PLAUSIBLE["temperature_c"]}

#: What is welcome but may be missing.
EXTRAS = ("pressure_pa", "humidity_fraction", "wind_m_s")


def utc_text(time_s: float) -> str:
    """Return an instant as people can read it: ``2015-03-10 16:00Z``."""
    return datetime.fromtimestamp(time_s, UTC).strftime("%Y-%m-%d %H:%MZ")


def local_text(time_s: float, zone: str | None) -> str:
    """Return an instant as clocks show it, ``2015-03-10 12:00 EDT``; without a zone in UTC."""
    if zone is None:
        return utc_text(time_s)
    return datetime.fromtimestamp(time_s, ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M %Z")


def clock_text(time_s: float, zone: str | None) -> str:
    """Return an instant with the clock on the wall beside it: ``2015-03-10 16:00Z (12:00 EDT)``."""
    if zone is None:
        return utc_text(time_s)
    local = datetime.fromtimestamp(time_s, ZoneInfo(zone))
    day = "" if local.date() == datetime.fromtimestamp(time_s, UTC).date() else f"{local:%m-%d} "
    return f"{utc_text(time_s)} ({day}{local:%H:%M %Z})"


@dataclass(frozen=True, eq=False)
class HourlyWeather:
    """Hours of weather without a gap.

    Parameters
    ----------
    time_s : UTC s at which each hour begins (int64); whole hours, one after the other
    temperature_c : air temperature of each hour [°C]
    pressure_pa : pressure of the place itself, not reduced to sea level [Pa]; may be missing
    humidity_fraction : relative humidity, 0 to 1; a sensor may report a little above
    wind_m_s : wind speed [m/s]
    source : where the hours come from, in words
    issued_s : UTC s at which a forecast was issued; None for observed hours
    said_c : what the forecast had said of hours that have come since its issue [°C]; NaN at all
        others; may be missing
    notes : what was done to the data on the way in, in sentences

    Raises
    ------
    InputError : if the hours are not unbroken, or a series has not their length
    RangeError : if a value is not a number, or nothing that air can be
    """

    time_s: NDArray[np.int64]
    temperature_c: NDArray[np.float64]
    pressure_pa: NDArray[np.float64] | None = None
    humidity_fraction: NDArray[np.float64] | None = None
    wind_m_s: NDArray[np.float64] | None = None
    source: str = ""
    issued_s: int | None = None
    said_c: NDArray[np.float64] | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        time_s = np.array(self.time_s, dtype=np.int64)
        _check_hours(time_s)
        object.__setattr__(self, "time_s", _read_only(time_s))
        for name in _SERIES:
            values = getattr(self, name)
            if values is not None:
                series = np.array(values, dtype=np.float64)
                _check_series(name, series, time_s)
                object.__setattr__(self, name, _read_only(series))

    def __len__(self) -> int:
        return len(self.time_s)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, HourlyWeather):
            return NotImplemented
        return all(
            _same(getattr(self, each.name), getattr(other, each.name)) for each in fields(self)
        )

    __hash__ = None  # type: ignore[assignment]  # arrays have no hash

    @property
    def first_s(self) -> int:
        """Instant at which the first hour begins."""
        return int(self.time_s[0])

    @property
    def end_s(self) -> int:
        """Instant at which the last hour ends."""
        return int(self.time_s[-1]) + HOUR_S

    def between(self, begin_s: float, end_s: float) -> HourlyWeather:
        """Return the hours that begin at ``begin_s`` or later and before ``end_s``.

        Raises
        ------
        InputError : if no hour does
        """
        kept = (self.time_s >= begin_s) & (self.time_s < end_s)
        if not kept.any():
            raise InputError(
                "weather",
                f"{utc_text(begin_s)} to {utc_text(end_s)}",
                "no hour of the weather lies there",
                f"{utc_text(self.first_s)} to {utc_text(self.end_s)}",
            )
        series: dict[str, Any] = {name: _cut(getattr(self, name), kept) for name in _SERIES}
        return replace(self, time_s=self.time_s[kept], **series)

    def then(self, forecast: HourlyWeather) -> HourlyWeather:
        """Return these (observed) hours, followed by what of the forecast comes after them.

        Where both have an hour, the observed one stands. A series that one of them lacks is
        left out, since it would have a gap.

        Raises
        ------
        InputError : if the forecast begins later than these hours end, or ends before
        """
        if forecast.first_s > self.end_s:
            raise InputError(
                "weather",
                f"{utc_text(self.end_s)} to {utc_text(forecast.first_s)}",
                "these hours are missing between the observed ones and the forecast",
                fix="Add them to either of the two",
            )
        later = forecast.between(self.end_s, forecast.end_s)
        series: dict[str, Any] = {
            name: _joined(getattr(self, name), getattr(later, name)) for name in PLAUSIBLE
        }
        return HourlyWeather(
            np.concatenate([self.time_s, later.time_s]),
            **series,
            source="; then ".join(filter(None, (self.source, later.source))),
            issued_s=later.issued_s,
            said_c=_said_c(self.time_s, forecast, len(later)),
            notes=self.notes + later.notes,
        )


def _check_hours(time_s: NDArray[np.int64]) -> None:
    if time_s.ndim != 1 or len(time_s) == 0:
        raise InputError("time_s", time_s.shape, "there is no hour in it", "one hour or more")
    if time_s[0] % HOUR_S:
        raise InputError("time_s", int(time_s[0]), "is not the begin of a UTC hour")
    steps = np.diff(time_s)
    if (steps != HOUR_S).any():
        at = int(np.argmax(steps != HOUR_S))
        raise InputError(
            "time_s",
            utc_text(time_s[at + 1]),
            f"follows {utc_text(time_s[at])}",
            "hours one after the other",
        )


def _said_c(
    came_s: NDArray[np.int64], forecast: HourlyWeather, later: int
) -> NDArray[np.float64] | None:
    """What a forecast had said of hours that came since its issue, and of so many later none."""
    if forecast.issued_s is None:
        return None
    since = (forecast.time_s >= forecast.issued_s) & (forecast.time_s <= came_s[-1])
    said_c = np.full(len(came_s) + later, np.nan)
    at = (forecast.time_s[since] - came_s[0]) // HOUR_S
    said_c[at[at >= 0]] = forecast.temperature_c[since][at >= 0]
    return said_c if np.isfinite(said_c).any() else None


def _same(one: object, other: object) -> bool:
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return np.array_equal(one, other, equal_nan=True)
    return type(one) is type(other) and one == other


def _check_series(name: str, series: NDArray[np.float64], time_s: NDArray[np.int64]) -> None:
    if series.shape != time_s.shape:
        raise InputError(name, series.shape, f"does not fit {len(time_s)} hours")
    least, greatest = _SERIES[name]
    outside = ~((series >= least) & (series <= greatest))
    if name == _SAID:
        outside &= ~np.isnan(series)
    if outside.any():
        at = int(np.argmax(outside))
        problem = f"is nothing that open air can be (hour {utc_text(time_s[at])})"
        raise RangeError(name, float(series[at]), problem, f"{least:g} to {greatest:g}")


def _read_only(array: NDArray[np.generic]) -> NDArray[np.generic]:
    array.setflags(write=False)
    return array


def _cut(series: NDArray[np.float64] | None, kept: NDArray[np.bool_]) -> NDArray[np.float64] | None:
    return None if series is None else series[kept]


def _joined(
    first: NDArray[np.float64] | None, second: NDArray[np.float64] | None
) -> NDArray[np.float64] | None:
    return None if first is None or second is None else np.concatenate([first, second])
