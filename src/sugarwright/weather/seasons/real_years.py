"""Springs put together from blocks of real ones.

Blocks of five to nine days of real hours keep fronts, nights and their order as they are; which
year a block is from, and where in it, is drawn. Each new block is the best fitting of a few drawn,
and the step left at the join wears off over half a day. Two shifts make whole springs differ:
how warm the spring is, and how early.

Blocks of real days: Künsch, The jackknife and the bootstrap for general stationary observations,
Annals of Statistics 17 (1989) 1217 (from memory). Lengths, jitter and shifts are judgements.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.seasons.springs import (
    SPRING_DAYS,
    Floats,
    midnight_s,
    source_of_chance,
)

Ints = NDArray[np.int64]

ENOUGH_YEARS = 8
BLOCK_DAYS = (5, 9)
JITTER_DAYS = 6
CANDIDATES = 4
WEARING_OFF_H = 12
SEASON_SD_K = 1.2
CALENDAR_SD_DAYS = 5.0
FIRST_NEEDED, LAST_NEEDED = 31, 119  # 1 February to 30 April: less is no full spring
_MOST_BLOCKS = SPRING_DAYS // BLOCK_DAYS[0] + 1


@dataclass(frozen=True, eq=False)
class RealYears:
    """Real springs of one place.

    Parameters
    ----------
    years : calendar years, one a row
    temperature_c : (years, days, 24) of air [°C], days in standard time
    first : day of the year (1 January is 0) of the first column
    utc_offset_h : of standard time
    place : where the hours are from, in words
    notes : what to know about them, in sentences
    """

    years: tuple[int, ...]
    temperature_c: Floats
    first: int
    utc_offset_h: int
    place: str = ""
    notes: tuple[str, ...] = ()

    @property
    def held(self) -> tuple[int, int]:
        """First and last day of the year that every one of the springs holds."""
        return self.first, self.first + self.temperature_c.shape[1] - 1

    @property
    def words(self) -> str:
        """The source in a clause."""
        listed = ", ".join(map(str, self.years))
        where = f" of {self.place}" if self.place else ""
        return f"made of blocks of {len(self.years)} real spring(s){where} ({listed})"

    def draw(self, seed: int, begin: int, end: int) -> Floats:
        """Make springs: (springs, days * 24) [°C]; see :func:`springs.generate`."""
        dice = _roll(seed, begin, end)
        days = self.temperature_c.shape[1]
        hours = self.temperature_c.reshape(len(self.years), -1)
        made = np.empty((end - begin, 24 * days))
        for spring in range(end - begin):
            self._spring(dice, spring, hours, made[spring])
        return made + dice.season_k[:, np.newaxis]

    def _spring(self, dice: _Dice, spring: int, hours: Floats, made: Floats) -> None:
        """Fill one spring with blocks."""
        days, done, before = len(made) // 24, 0, None
        for block in range(_MOST_BLOCKS):
            length = int(dice.length[spring, block])
            years = (dice.year[spring, block] * len(self.years)).astype(np.int64)
            wanted = done + dice.jitter[spring, block] + dice.late_days[spring]
            # An hour more than the block is kept in reserve: the next join is measured there.
            starts = np.clip(wanted, 0, days - length - 1).astype(np.int64)
            fits = 0
            if before is not None:
                fits = int(np.argmin(np.abs(hours[years, 24 * starts] - before)))
            source, start = hours[years[fits]], 24 * int(starts[fits])
            taken = min(24 * length, len(made) - 24 * done)
            part = made[24 * done : 24 * done + taken]
            part[:] = source[start : start + taken]
            if before is not None:
                worn = min(WEARING_OFF_H, taken)
                step_k = before - source[start]
                part[:worn] += step_k * (1.0 - np.arange(worn) / WEARING_OFF_H)
            before = source[start + 24 * length]
            done += length
            if done >= days:
                return


@dataclass(frozen=True)
class _Dice:
    """Everything that is drawn for some springs: one row a spring."""

    season_k: Floats
    late_days: Ints
    length: Ints
    year: Floats
    jitter: Ints


def _roll(seed: int, begin: int, end: int) -> _Dice:
    rows = []
    for spring in range(begin, end):
        chance = source_of_chance(seed, 1, spring)
        shape = (_MOST_BLOCKS, CANDIDATES)
        rows.append(
            (
                SEASON_SD_K * chance.standard_normal(),
                np.rint(CALENDAR_SD_DAYS * chance.standard_normal()).astype(np.int64),
                chance.integers(BLOCK_DAYS[0], BLOCK_DAYS[1] + 1, _MOST_BLOCKS),
                chance.random(shape),
                chance.integers(-JITTER_DAYS, JITTER_DAYS + 1, shape),
            )
        )
    return _Dice(*(np.array(each) for each in zip(*rows, strict=True)))


def real_years(weathers: Sequence[HourlyWeather], utc_offset_h: int, place: str = "") -> RealYears:
    """Take the springs out of hourly weather of one place.

    Parameters
    ----------
    weathers : hours of one or more years each, as :func:`weather.files.read_weather_csv` reads them
    utc_offset_h : of the place's standard time
    place : name of the place, for people

    Returns
    -------
    RealYears, of the days that all full springs hold

    Raises
    ------
    InputError : if not one holds all of 1 February to 30 April
    """
    found: dict[int, tuple[int, Floats]] = {}
    notes = []
    for weather in weathers:
        for year in _years_of(weather, utc_offset_h):
            first, days = _whole_days(weather, year, utc_offset_h)
            if first > FIRST_NEEDED or first + len(days) <= LAST_NEEDED:
                notes.append(f"{year} is left out: not all of February to April is there.")
            elif year in found:
                notes.append(f"{year} is there twice: the first was taken.")
            else:
                found[year] = first, days
    if not found:
        raise InputError(
            "real years",
            ", ".join(weather.source for weather in weathers) or None,
            "hold no full spring",
            "hourly weather without a gap, all of 1 February to 30 April, of one year or more",
            "Use monthly normals if you have no such file.",
        )
    if len(found) < ENOUGH_YEARS:
        notes.append(
            f"Only {len(found)} real spring(s): whole kinds of spring are missing among them. With "
            f"fewer than {ENOUGH_YEARS} the spread is too narrow and its middle leans to them."
        )
    first = max(first for first, _ in found.values())
    last = min(first + len(days) for first, days in found.values())
    years = tuple(sorted(found))
    rows = [found[year][1][first - found[year][0] : last - found[year][0]] for year in years]
    return RealYears(years, np.array(rows), first, utc_offset_h, place, tuple(notes))


def _years_of(weather: HourlyWeather, utc_offset_h: int) -> range:
    """Return the calendar years whose spring the hours touch."""
    shift_s = HOUR_S * utc_offset_h
    first = datetime.fromtimestamp(weather.first_s + shift_s, UTC).year
    return range(first, datetime.fromtimestamp(weather.end_s - 1 + shift_s, UTC).year + 1)


def _whole_days(weather: HourlyWeather, year: int, utc_offset_h: int) -> tuple[int, Floats]:
    """Return the whole days within a spring: the first's day of the year, and (days, 24) [°C]."""
    begin_s = midnight_s(date(year, 1, 1), utc_offset_h)
    first = max(0, -((begin_s - weather.first_s) // (24 * HOUR_S)))
    last = min(SPRING_DAYS, (weather.end_s - begin_s) // (24 * HOUR_S))
    if last <= first:
        return first, np.empty((0, 24))
    at = (begin_s - weather.first_s) // HOUR_S + 24 * first
    return first, weather.temperature_c[at : at + 24 * (last - first)].reshape(-1, 24)
