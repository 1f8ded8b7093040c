"""Keeping what a file or a person brought, and counting what of it is new."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.weather.services.service import Brought
from sugarwright.weather.store import WeatherStore


@dataclass(frozen=True)
class Imported:
    """What was taken in.

    Parameters
    ----------
    forecasts : how many forecasts the file holds
    new_forecasts : those of them that were not kept already
    measured_h : measured hours in the file
    new_measured_h : those of them that were not kept already
    first_s, ends_s : UTC s of the first hour, and of the end
    is_dry_run : whether nothing was written
    notes : what was done on the way in, in sentences
    """

    forecasts: int
    new_forecasts: int
    measured_h: int
    new_measured_h: int
    first_s: int
    ends_s: int
    is_dry_run: bool
    notes: tuple[str, ...]


def take_in(brought: Brought, store: WeatherStore | None) -> Imported:
    """Keep what was brought.

    Parameters
    ----------
    brought : forecasts, measured hours, or both
    store : keeps them; None in a dry run, in which they are only counted

    Raises
    ------
    InputError : if they cannot be written
    """
    new_forecasts = new_h = 0
    if store is not None:
        new_forecasts = sum(store.keep(each) for each in brought.forecasts)
        new_h = store.keep_observed(brought.observed) if brought.observed else 0
    hours = [*brought.observed, *(each.hours for each in brought.forecasts)]
    return Imported(
        forecasts=len(brought.forecasts),
        new_forecasts=new_forecasts,
        measured_h=sum(map(len, brought.observed)),
        new_measured_h=new_h,
        first_s=min(each.first_s for each in hours),
        ends_s=max(each.end_s for each in hours),
        is_dry_run=store is None,
        notes=brought.notes,
    )
