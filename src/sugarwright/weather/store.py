"""What is kept of the weather: forecasts as they were issued, and the hours that came.

Everything that asks for kept weather asks :class:`WeatherStore`; today files in the sugarhouse
folder answer (:class:`FolderStore`), and a logbook can take over without anyone noticing.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Protocol

from sugarwright.errors import WeatherFileError
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_json import forecast_of, json_of
from sugarwright.weather.hours import HourlyWeather, utc_text
from sugarwright.weather.keeping import alone, create_whole
from sugarwright.weather.observed import merged, read_observed, write_observed

FORECASTS = "forecasts"
OBSERVED = "observed.csv"
_MOST_TWINS = 100


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


class FolderStore:
    """Weather kept in ``forecasts/`` and ``observed.csv`` of a sugarhouse folder.

    One JSON file a forecast, named after its issue and source, so that the names alone tell which
    to open. A damaged file is named by :meth:`damaged`, and passed over.
    """

    def __init__(self, folder: str | Path) -> None:
        self._folder = Path(folder)
        self._forecasts = self._folder / FORECASTS
        self._read: dict[Path, Forecast | None] = {}
        self._problems: dict[Path, tuple[str, ...]] = {}

    def keep(self, forecast: Forecast) -> bool:
        """Keep a forecast; tell whether it was new.

        Raises
        ------
        WeatherFileError : if it cannot be written
        """
        text = json_of(forecast)
        as_kept = forecast_of(text, forecast.source)
        for path in self._twins(forecast):
            if path.exists() and self._readable(path) == as_kept:
                return False
            if create_whole(path, text):
                return True
        problem = f"{_MOST_TWINS} different ones of the same issue are kept already"
        raise WeatherFileError("forecast", utc_text(forecast.issued_s), problem)

    def newest(self, now_s: float) -> Forecast | None:
        """Return the forecast issued last, of those issued by ``now_s``."""
        issued = [path for path in self._files() if path.name[:16] <= _stamp(now_s)]
        readable = (self._readable(path) for path in reversed(issued))
        return next((each for each in readable if each and each.issued_s <= now_s), None)

    def between(self, begin_s: float, end_s: float) -> list[Forecast]:
        """Return the forecasts issued from ``begin_s`` to before ``end_s``, oldest first."""
        first, last = _stamp(begin_s), _stamp(end_s)
        inside = [path for path in self._files() if first <= path.name[:16] <= last]
        readable = [each for path in inside if (each := self._readable(path)) is not None]
        kept = [each for each in readable if begin_s <= each.issued_s < end_s]
        return sorted(kept, key=lambda each: (each.issued_s, each.fetched_s))

    def keep_observed(self, hours: Sequence[HourlyWeather]) -> int:
        """Keep hours that were measured; return how many are new. Those kept before stand.

        Raises
        ------
        WeatherFileError : if the file kept so far cannot be read whole, or written
        """
        path = self._folder / OBSERVED
        with alone(path):
            kept = read_observed(path).rows_or_raise() if path.exists() else {}
            rows = merged(kept, hours)
            if len(rows) > len(kept):
                write_observed(path, rows)
        return len(rows) - len(kept)

    def observed(self) -> tuple[HourlyWeather, ...]:
        """Return the measured hours: unbroken pieces, oldest first."""
        path = self._folder / OBSERVED
        if not path.exists():
            return ()
        found = read_observed(path)
        self._problems[path] = found.problems
        return found.pieces()

    def damaged(self) -> tuple[str, ...]:
        """Return what was come across so far and cannot be read, a sentence each."""
        return tuple(problem for found in self._problems.values() for problem in found)

    def _files(self) -> list[Path]:
        """Return the forecasts' files, in the order of issue."""
        try:
            names = os.listdir(self._forecasts)  # noqa: PTH208  glob hides what cannot be listed
        except FileNotFoundError:
            return []
        except OSError as problem:
            raise WeatherFileError(
                "forecasts", str(self._forecasts), f"cannot be looked into ({problem.strerror})"
            ) from None
        return [self._forecasts / name for name in sorted(names) if name.endswith(".json")]

    def _readable(self, path: Path) -> Forecast | None:
        """Return the forecast in a file; None, and the problem noted, when it is damaged."""
        if path not in self._read:
            name = f"{path.parent.name}/{path.name}"
            self._read[path] = None
            try:
                self._read[path] = forecast_of(path.read_bytes(), name)
            except OSError as problem:
                self._problems[path] = (f"{name}: cannot be read ({problem.strerror}).",)
            except WeatherFileError as problem:
                self._problems[path] = (str(problem),)
        return self._read[path]

    def _twins(self, forecast: Forecast) -> Iterator[Path]:
        """Yield the names that a forecast may have: the plain one, then numbered ones."""
        words = "".join(each if each.isalnum() else " " for each in forecast.source.lower())
        slug = "-".join(words.encode("ascii", "ignore").decode().split())[:40] or "forecast"
        name = f"{_stamp(forecast.issued_s)}-{slug}"
        yield self._forecasts / f"{name}.json"
        for number in range(2, _MOST_TWINS + 1):
            yield self._forecasts / f"{name}-{number}.json"


def _stamp(time_s: float) -> str:
    """Return an instant as the names of files hold it: ``2027-03-09T0510Z``."""
    return utc_text(time_s).replace(" ", "T").replace(":", "")
