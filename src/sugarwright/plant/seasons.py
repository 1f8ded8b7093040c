"""Many generated seasons of the house, worked by its habit: what to expect, and how widely.

The names are those of the JSON output; SI throughout, instants are UTC seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, timedelta

import numpy as np

from sugarwright.errors import InputError
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import House
from sugarwright.plant.season import Span, choose_span, day_cuts
from sugarwright.plant.simulate import run_many
from sugarwright.plant.summary import Sums, sums_of
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines
from sugarwright.weather.ensemble import run_multipliers
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.seasons import (
    MonthlyNormals,
    RealYears,
    Springs,
    generate,
    guess_normals,
    real_years,
)
from sugarwright.weather.seasons.springs import standard_offset_h

_AT_ONCE = 64  # seasons whose drives are held together


@dataclass(frozen=True)
class Spread:
    """One figure over the seasons.

    Parameters
    ----------
    low, middle, high : a tenth of the seasons lies below, half, nine tenths
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class SeasonsSummary:
    """Many generated seasons under one way of working.

    Parameters
    ----------
    house : its name
    timezone, units, currency : in which the house wants to read it
    begin_s, end_s : UTC s of the hours run in each
    way : the way of working: "habit"
    count, seed : how many seasons; of their chance
    weather_source : what their weather was made from
    notes : what to know about weather and days, in sentences
    spread : name of each figure of a season's sums, and its spread (``sap_brix`` where sap ran)
    net_money : spread of what a season was worth after its costs
    seasons : the sums of each
    """

    house: str
    timezone: str
    units: str
    currency: str
    begin_s: int
    end_s: int
    way: str
    count: int
    seed: int
    weather_source: str
    notes: tuple[str, ...]
    spread: dict[str, Spread]
    net_money: Spread
    seasons: tuple[Sums, ...]


def springs_of(
    house: House,
    count: int,
    seed: int,
    warming_k: float = 0.0,
    past: Sequence[HourlyWeather] = (),
) -> Springs:
    """Generate whole springs for a house, in the year of its tapping.

    Parameters
    ----------
    house : its place, and [site.normals] where it has them
    count, seed, warming_k : see :func:`~sugarwright.weather.seasons.generate`
    past : hourly weather of past springs of the place; without it monthly normals serve

    Raises
    ------
    InputError : past weather without one full spring, or a place with no normals to guess from
    """
    source = source_of(house, past)
    first, last = (date(house.trees.tapped.year, 1, 1) + timedelta(day) for day in source.held)
    return generate(source, count, seed, first, last, warming_k)


def source_of(house: House, past: Sequence[HourlyWeather] = ()) -> RealYears | MonthlyNormals:
    """Return what a house's springs are made from: its past, its normals, or a guess of them."""
    site = house.site
    offset_h = standard_offset_h(site.timezone)
    if past:
        return real_years(past, offset_h)
    if site.normals is None:
        return guess_normals(site.latitude_deg, site.longitude_deg, site.elevation_m, offset_h)
    return MonthlyNormals(
        site.normals.highs_c,
        site.normals.lows_c,
        site.latitude_deg,
        site.longitude_deg,
        offset_h,
        "the months' usual temperatures in [site.normals]",
    )


def run_seasons(
    plant: Plant,
    springs: Springs,
    row: Floats,
    start: Floats,
    seed: int,
    first_day: date | None = None,
    last_day: date | None = None,
) -> SeasonsSummary:
    """Run the house through many springs, the same way of working every day.

    Parameters
    ----------
    plant, springs : the house, and its weathers
    row : (``PLAN_WIDTH``,) of one day
    start : state at the beginning
    seed : of what each run of sap is multiplied by (``weather.ensemble.run_multipliers``)
    first_day, last_day : as :func:`~sugarwright.plant.season.choose_span` takes them

    Raises
    ------
    InputError : days that the springs don't hold
    """
    house = plant.house
    span = _span(house, springs, first_day, last_day)
    # A freeze begins a run. Wood lags the air: one in six hours all spring is no weather.
    factors = run_multipliers(len(springs), springs.temperature_c.shape[1] // 6, seed)
    sums: list[Sums] = []
    nets: list[float] = []
    for begin in range(0, len(springs), _AT_ONCE):
        here = slice(begin, begin + _AT_ONCE)
        drive = make_drive(
            plant,
            springs.first_s,
            np.ascontiguousarray(springs.temperature_c[here]),
            span.begin_s,
            span.end_s,
            factors[here],
        )
        plan = np.tile(row, (1, len(day_cuts(drive)) - 1, 1))
        ends = run_many(plant, drive, plan, start)
        sums += [sums_of(plant, totals) for totals in ends.totals[0]]
        nets += worth_lines(plant, ends.totals[0], ends.states[0]).net.tolist()
    return SeasonsSummary(
        house=house.site.name,
        timezone=house.site.timezone,
        units=house.site.units,
        currency=house.site.currency,
        begin_s=span.begin_s,
        end_s=span.end_s,
        way="habit",
        count=len(springs),
        seed=seed,
        weather_source=springs.source,
        notes=(*springs.notes, *span.notes),
        spread=_spreads(sums),
        net_money=_spread(nets),
        seasons=tuple(sums),
    )


def _span(house: House, springs: Springs, first_day: date | None, last_day: date | None) -> Span:
    """Return the days to run, once it is sure that the taps are set within the springs."""
    weather = springs.weather(0)
    try:
        return choose_span(house, weather, first_day, last_day)
    except InputError as error:
        raise InputError(
            error.field,
            error.value,
            error.problem,
            error.allowed,
            "Generated springs last from January to May: tap and end within them",
        ) from None


def _spreads(sums: Sequence[Sums]) -> dict[str, Spread]:
    names = [each.name for each in fields(Sums)]
    return {name: _spread([getattr(one, name) for one in sums]) for name in names}


def _spread(values: Sequence[float | None]) -> Spread:
    known = [value for value in values if value is not None]
    low, middle, high = np.quantile(known, [0.1, 0.5, 0.9]).tolist() if known else (0.0,) * 3
    return Spread(low, middle, high)
