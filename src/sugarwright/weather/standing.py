"""What a plan stands on: measured hours and the best forecast kept, joined to unbroken hours.

Of the forecasts kept, the one counts that is expected to err least over the hours asked for: errors
grow with lead, a typed curve has one of its shape besides, and where a forecast ends there is the
season's own spread. So a fresh one beats an old one, a service's beats a typed one of the same
hour, and a typed one beats a service's of last week.

For past hours a measured value stands before a service's own past weather, and that before what
was forecast. Short holes are drawn straight. Behind the forecast's end another one goes on, else
the last day repeats. All of it is counted and told (:class:`Provenance`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import WeatherFileError
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather, local_text
from sugarwright.weather.so_far import missed_k
from sugarwright.weather.store import WeatherStore

DAY_S = 86400
LOOKED_BACK_S = 14 * DAY_S  # two weeks with a frost bring the trees up to date
LOOKED_FOR_S = 20 * DAY_S  # old forecasts may fill holes of the past
MOST_HOLE_H = 6
MOST_EXTENDED_H = 72
STALE_H = 24.0
_ALIKE_K = 0.25  # forecasts whose expected errors differ by less are taken as equally good
_FIX = (
    "Get one with `sugarwright weather fetch`; or take in a file with `sugarwright weather import "
    "FILE`; or type what the radio says: `sugarwright weather import --low 24F --high 45F`"
)

Hours = dict[int, float]


@dataclass(frozen=True)
class Provenance:
    """Where the hours come from.

    Parameters
    ----------
    source, attribution : of the forecast; what its licence asks to be shown
    issued_s, fetched_s : UTC s
    age_h : hours since its issue
    ends_s : UTC s at which it ends
    known_since_s : UTC s of the first hour, from which the trees are known
    measured_h : past hours that were measured
    analysed_h : past hours as a service took them to be
    forecast_past_h : past hours for which only forecasts stand
    drawn_h : hours drawn straight across holes
    extended_h : hours behind the end of the forecast
    stale : whether it is more than a day old
    missed_k : how much warmer the last hours came than it had said [K]; None where too few were
        measured since its issue
    cautions : what should be known before trusting it, in sentences
    """

    source: str
    attribution: str
    issued_s: int
    fetched_s: int
    age_h: float
    ends_s: int
    known_since_s: int
    measured_h: int
    analysed_h: int
    forecast_past_h: int
    drawn_h: int
    extended_h: int
    stale: bool
    missed_k: float | None
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Footing:
    """What a plan stands on.

    Parameters
    ----------
    weather : unbroken hours up to the end asked for; ``issued_s`` is the forecast's, ``said_c``
        what it had said of hours measured since
    forecast : the one that counts
    ensemble : the newest one with real members of about the same age; None without one
    provenance : where the hours come from
    """

    weather: HourlyWeather
    forecast: Forecast
    ensemble: Forecast | None
    provenance: Provenance


@dataclass
class _Joined:
    """Hours as they are put together, and how many came from where."""

    hours: Hours
    counts: dict[str, int]

    def fill(self, kind: str, found: Iterable[tuple[int, float]]) -> None:
        """Take hours that are not there yet."""
        for hour, value in found:
            if hour not in self.hours:
                self.hours[hour] = value
                self.counts[kind] = self.counts.get(kind, 0) + 1


def stand(
    store: WeatherStore,
    now_s: int,
    until_s: int,
    since_s: int | None = None,
    zone: str | None = None,
) -> Footing:
    """Join what is kept to the weather of a plan.

    Parameters
    ----------
    store : kept weather
    now_s : UTC s, now; nothing issued later is used
    until_s : UTC s to which the weather must reach
    since_s : UTC s of the first past hour wanted; left out: two weeks back
    zone : whose clocks an error is told by; left out: UTC

    Returns
    -------
    Footing

    Raises
    ------
    WeatherFileError : when nothing kept can carry a plan; says the ways to get a forecast
    """
    kept = store.between(now_s - LOOKED_FOR_S, now_s + 1)
    observed = store.observed()
    damaged = store.damaged()
    if not kept:
        why = f"there is none of the last {LOOKED_FOR_S // DAY_S} days"
        why += f" ({damaged[0].rstrip('.')})" if damaged else ""
        raise WeatherFileError("forecast", None, why, fix=_FIX)
    kept.sort(key=lambda each: each.issued_s, reverse=True)
    chosen = best_forecast(kept, now_s, until_s)
    joined = _Joined({}, {})
    since_s = now_s - LOOKED_BACK_S if since_s is None else since_s
    _join(joined, observed, chosen, kept, since_s, now_s)
    extended_h = _extended(joined, kept, max(chosen.end_s, now_s - HOUR_S), now_s, until_s)
    weather, drawn_h = _around(joined.hours, now_s, until_s, chosen, zone)
    weather = replace(weather, said_c=_said_c(weather, observed, chosen, now_s))
    cautions = _cautions(chosen, weather, extended_h, now_s)
    provenance = Provenance(
        source=chosen.source,
        attribution=chosen.attribution,
        issued_s=chosen.issued_s,
        fetched_s=chosen.fetched_s,
        age_h=chosen.age_h(now_s),
        ends_s=chosen.end_s,
        known_since_s=weather.first_s,
        measured_h=joined.counts.get("measured", 0),
        analysed_h=joined.counts.get("analysed", 0),
        forecast_past_h=joined.counts.get("forecast", 0),
        drawn_h=drawn_h,
        extended_h=extended_h,
        stale=chosen.age_h(now_s) > STALE_H,
        missed_k=missed_k(weather, now_s),
        cautions=(*cautions, *(f"Damaged, passed over: {each}" for each in damaged)),
    )
    return Footing(weather, chosen, _ensemble(kept, chosen, now_s), provenance)


def best_forecast(kept: Sequence[Forecast], now_s: int, until_s: int) -> Forecast:
    """Return the forecast expected to err least from now to an end.

    Of those alike (within a quarter of a degree) a post-processed single forecast stands before the
    mean of an ensemble, and a newer one before an older one.
    """
    errors = [expected_error_k(each, now_s, until_s) for each in kept]
    least = min(errors)
    alike = [each for each, error in zip(kept, errors, strict=True) if error <= least + _ALIKE_K]
    return max(alike, key=lambda each: (each.member_temperature_c is None, each.issued_s))


def expected_error_k(forecast: Forecast, now_s: int, until_s: int) -> float:
    """Return a forecast's expected error from now to an end [K], root mean square."""
    hours = np.arange(now_s - now_s % HOUR_S, max(until_s, now_s + 1), HOUR_S)
    errors = ForecastErrors(shape_sd_k=forecast.shape_sd_k)
    sd = errors.sd_k((hours - forecast.issued_s) / HOUR_S)
    beyond = (hours >= forecast.end_s) | (hours < forecast.hours.first_s)
    return float(np.sqrt(np.mean(np.where(beyond, 2.0 * errors.sd_climate_k**2, sd**2))))


def _join(
    joined: _Joined,
    observed: Sequence[HourlyWeather],
    chosen: Forecast,
    kept: Sequence[Forecast],
    since_s: int,
    now_s: int,
) -> None:
    """Put together what was measured, what comes, and what is known of the past otherwise."""
    for piece in observed:
        joined.fill("measured", _hours(piece, since_s, now_s - HOUR_S + 1))
    joined.fill("coming", _hours(chosen.hours, now_s - HOUR_S + 1, chosen.end_s))
    for each in (chosen, *kept):
        joined.fill("analysed", _hours(each.hours, since_s, min(each.issued_s, now_s)))
    for each in kept:
        joined.fill("forecast", _hours(each.hours, since_s, now_s))


def _hours(weather: HourlyWeather, begin_s: int, end_s: int) -> Iterable[tuple[int, float]]:
    """Yield the hours that begin at ``begin_s`` or later and before ``end_s``."""
    pairs = zip(weather.time_s.tolist(), weather.temperature_c.tolist(), strict=True)
    return ((hour, value) for hour, value in pairs if begin_s <= hour < end_s)


def _extended(
    joined: _Joined, kept: Sequence[Forecast], from_s: int, now_s: int, until_s: int
) -> int:
    """Go on behind the forecast's end; return for how many hours."""
    before = len(joined.hours)
    for each in kept:
        if each.end_s > from_s:
            joined.fill("extended", _hours(each.hours, from_s, until_s))
    last_s = max((hour for hour in joined.hours if hour <= until_s), default=0)
    for hour in range(last_s + HOUR_S, until_s, HOUR_S):
        day_before = joined.hours.get(hour - DAY_S)
        if day_before is None or hour - last_s > MOST_EXTENDED_H * HOUR_S:
            break
        joined.fill("extended", [(hour, day_before)])
    return len(joined.hours) - before


def _around(
    hours: Hours, now_s: int, until_s: int, chosen: Forecast, zone: str | None
) -> tuple[HourlyWeather, int]:
    """Return the unbroken hours around now, and how many had to be drawn."""
    times = sorted(hour for hour in hours if hour < until_s)
    this_s = now_s - now_s % HOUR_S
    ahead = [hour for hour in times if hour >= this_s]
    steps = np.diff([*([this_s - HOUR_S] if ahead and ahead[0] != this_s else []), *ahead])
    if not ahead or ahead[-1] + HOUR_S < until_s or (steps > (MOST_HOLE_H + 1) * HOUR_S).any():
        raise WeatherFileError(
            "forecast",
            f"{chosen.source}, issued {local_text(chosen.issued_s, zone)}",
            "is the best one kept, and does not reach over the hours to plan",
            f"{local_text(this_s, zone)} to {local_text(until_s, zone)}",
            _FIX,
        )
    begin = 0
    for at in range(len(times) - 1, 0, -1):
        if times[at] - times[at - 1] > (MOST_HOLE_H + 1) * HOUR_S:
            begin = at
            break
    times = times[begin:]
    whole = np.arange(min(times[0], this_s), times[-1] + HOUR_S, HOUR_S)
    weather = HourlyWeather(
        whole,
        np.interp(whole, times, [hours[hour] for hour in times]),
        source=chosen.source,
        issued_s=chosen.issued_s,
        notes=chosen.hours.notes,
    )
    return weather, len(whole) - len(times)


def _said_c(
    weather: HourlyWeather, observed: Sequence[HourlyWeather], chosen: Forecast, now_s: int
) -> NDArray[np.float64]:
    """Return what the forecast had said of hours measured since its issue; else NaN."""
    measured = {
        hour for piece in observed for hour, _ in _hours(piece, chosen.issued_s, now_s - HOUR_S + 1)
    }
    said_c = np.full(len(weather), np.nan)
    for hour, value in _hours(chosen.hours, weather.first_s, now_s):
        if hour in measured:
            said_c[(hour - weather.first_s) // HOUR_S] = value
    return said_c


def _ensemble(kept: Sequence[Forecast], chosen: Forecast, now_s: int) -> Forecast | None:
    if chosen.member_temperature_c is not None:
        return chosen
    fresh = (
        each
        for each in kept
        if each.member_temperature_c is not None
        and each.issued_s >= chosen.issued_s - DAY_S
        and each.end_s > now_s
    )
    return next(fresh, None)


def _cautions(
    chosen: Forecast, weather: HourlyWeather, extended_h: int, now_s: int
) -> tuple[str, ...]:
    """Say what should be known before trusting it."""
    cautions = []
    age_h = chosen.age_h(now_s)
    if age_h > STALE_H:
        days = age_h / 24.0
        cautions.append(f"The forecast is {days:.1f} days old; fetch or type a newer one.")
    if chosen.shape_sd_k > 0.0:
        cautions.append("It is a curve through typed lows and highs: hours may be off by far.")
    if extended_h:
        cautions.append(
            f"It ends too early: the last {extended_h} hours are taken from an older one, or "
            "repeat the last day."
        )
    known_h = (now_s - weather.first_s) / HOUR_S
    if known_h < 5 * 24:
        known = f"for {known_h / 24.0:.1f} days back only" if known_h >= 3.0 else "from now on only"
        cautions.append(
            f"The weather is known {known}; what the trees hold from before is guessed."
        )
    return tuple(cautions)
