"""MET Norway's Locationforecast 2.0, anywhere on earth.

Shapes: *Locationforecast data model* and *Terms of Service*, api.met.no/doc (read 2026). In
``properties.timeseries[]`` stand an instant (``time``, UTC) and
``data.instant.details.air_temperature``; the steps are an hour for some two and a half days, then
six (from memory), where ``next_6_hours.details`` tells the extremes between. The complete flavour
has the 10th and 90th percentile, where the source is an ensemble: in the Nordic countries.

Data: CC BY 4.0, commercial use allowed. Who asks must say who they are and how to be reached, take
at most four decimals of a place, and ask with If-Modified-Since, never before Expires.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from sugarwright.weather.forecast import Floats, Forecast
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.services.document import Document, as_number
from sugarwright.weather.services.series import check_order, forecast_hours
from sugarwright.weather.services.service import Asker, Brought, Place, check_place

TITLE = "MET Norway"
ATTRIBUTION = "Weather forecast from MET Norway (CC BY 4.0)"
URL = "https://api.met.no"
_COARSE_H = 6
_BEYOND_K = 0.2  # an extreme must lie that far outside the ends of its span to be drawn


class MetNorway:
    """The service at ``api.met.no``.

    Parameters
    ----------
    url : where it is
    """

    name = "met-norway"
    title = TITLE

    def __init__(self, url: str = URL) -> None:
        self._url = url.rstrip("/")

    def fetch(self, place: Place, ask: Asker, now_s: int) -> Brought:
        """Ask for the forecast."""
        query: dict[str, str | int | float] = {
            "lat": round(place.latitude_deg, 4),
            "lon": round(place.longitude_deg, 4),
        }
        if place.elevation_m is not None:
            query["altitude"] = round(place.elevation_m)
        url = f"{self._url}/weatherapi/locationforecast/2.0/complete"
        answer = ask.json(TITLE, url, query)
        return Brought((_forecast(Document(TITLE, answer.document), place, answer.fetched_s),))

    def read(self, document: Any, place: Place, fetched_s: int) -> Brought | None:
        """Read a saved answer."""
        saved = Document(TITLE, document)
        if saved.get("properties", "timeseries") is None:
            return None
        return Brought((_forecast(saved, place, fetched_s),))


def _forecast(document: Document, place: Place, fetched_s: int) -> Forecast:
    longitude_deg = document.number("geometry", "coordinates", 0)
    latitude_deg = document.number("geometry", "coordinates", 1)
    check_place(TITLE, place, latitude_deg, longitude_deg)
    unit = document.get("properties", "meta", "units", "air_temperature")
    if unit not in ("celsius", None):
        path = ("properties", "meta", "units", "air_temperature")
        raise document.error(path, unit, "is no unit known here")
    issued_s = document.instant("properties", "meta", "updated_at")
    steps = [Document(TITLE, each) for each in document.rows("properties", "timeseries")]
    times = [step.instant("time") for step in steps]
    check_order(TITLE, times)
    notes: list[str] = []
    values = _values(steps, times)
    hours = forecast_hours(TITLE, values, {}, issued_s, notes, coarse_h=_COARSE_H)
    return Forecast(
        issued_s,
        fetched_s,
        TITLE,
        ATTRIBUTION,
        latitude_deg,
        longitude_deg,
        as_number(document.get("geometry", "coordinates", 2)),
        hours,
        p10_temperature_c=_percentile(steps, times, 10, hours.time_s),
        p90_temperature_c=_percentile(steps, times, 90, hours.time_s),
    )


def _detail(step: Document, name: str) -> float | None:
    return as_number(step.get("data", "instant", "details", name))


def _values(steps: list[Document], times: list[int]) -> dict[int, float]:
    """Return the temperatures by hour; within a coarse step, the extreme that its ends hide.

    It is put in the step's middle, where it errs least on average.
    """
    values: dict[int, float] = {}
    for step, time_s in zip(steps, times, strict=True):
        value = _detail(step, "air_temperature")
        if value is not None:
            values[time_s - time_s % HOUR_S] = value
    for step, (begin_s, end_s) in zip(steps, pairwise(times), strict=False):
        if end_s - begin_s == _COARSE_H * HOUR_S and {begin_s, end_s} <= values.keys():
            ends = values[begin_s], values[end_s]
            details = ("data", "next_6_hours", "details")
            high = as_number(step.get(*details, "air_temperature_max"))
            low = as_number(step.get(*details, "air_temperature_min"))
            above = 0.0 if high is None else high - max(ends)
            below = 0.0 if low is None else min(ends) - low
            if max(above, below) > _BEYOND_K:
                extreme = high if above >= below else low
                if extreme is not None:
                    values[begin_s + _COARSE_H // 2 * HOUR_S] = extreme
    return values


def _percentile(
    steps: list[Document], times: list[int], percent: int, time_s: Any
) -> Floats | None:
    """Return a percentile of each hour; None unless it reaches over all of them."""
    found = [_detail(step, f"air_temperature_percentile_{percent}") for step in steps]
    known = {at: each for at, each in zip(times, found, strict=True) if each is not None}
    inside = [at for at in times if time_s[0] <= at <= time_s[-1]]
    if not inside or any(at not in known for at in inside):
        return None
    drawn: Floats = np.interp(time_s, list(known), list(known.values()))
    return drawn
