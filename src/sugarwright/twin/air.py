"""The air that the trees stood in, and what it may yet be: one course for each member."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant.house import House
from sugarwright.twin.hours_told import HoursTold
from sugarwright.weather.ensemble import PRIOR, perturb
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]

DAY_H = 24
NEAR_K = 0.5  # by which a station, or an analysis, is off the air in the bush: our judgement
NEAR_MEMORY_H = 6.0


@dataclass(frozen=True, eq=False)
class Air:
    """Air temperature of each member, hour by hour.

    Parameters
    ----------
    first_s : UTC s at which the first hour begins
    air_c : (members, hours) [°C]
    source : where it comes from, in a clause; "" where no weather is kept
    known_to_s : UTC s up to which it is known, not forecast; None where nothing is
    cautions : in sentences
    mark : tells one weather from another, so that an answer kept for it can be found again
    told_c : (hours,) what the weather said, before the members part from it; NaN where nothing is
        known; None: of no hour
    """

    first_s: int
    air_c: Floats
    source: str = ""
    known_to_s: int | None = None
    cautions: tuple[str, ...] = ()
    mark: str = ""
    told_c: Floats | None = None

    @property
    def told(self) -> HoursTold:
        """What the weather said, hour by hour."""
        nothing = np.full(self.air_c.shape[1], np.nan)
        return HoursTold(self.first_s // HOUR_S, nothing if self.told_c is None else self.told_c)

    @property
    def end_s(self) -> int:
        """UTC s at which the last hour ends."""
        return self.first_s + HOUR_S * int(self.air_c.shape[1])

    def hours(self, begin_h: int, end_h: int) -> Floats:
        """Return (members, hours) from one hour since 1970 to another.

        Beyond either end the nearest day repeats.
        """
        wanted = np.arange(begin_h, end_h) - self.first_s // HOUR_S
        count = self.air_c.shape[1]
        day = min(DAY_H, count)
        before, after = wanted < 0, wanted >= count
        wanted = np.where(before, wanted % day, wanted)
        wanted = np.where(after, count - day + (wanted - count) % day, wanted)
        chosen: Floats = np.ascontiguousarray(self.air_c[:, wanted])
        return chosen


def air_from(
    house: House,
    weather: HourlyWeather,
    members: int,
    seed: int,
    known_to_s: int,
    errors: ForecastErrors = PRIOR,
    sd_k: Floats | None = None,
    cautions: Sequence[str] = (),
    mark: str = "",
) -> Air:
    """Let the members' airs part where the weather is no longer known.

    Parameters
    ----------
    house : whose place it is
    weather : unbroken hours, those that came and then the forecast
    members, seed : of the ensemble
    known_to_s : UTC s; hours that begin before it came so
    errors, sd_k : how the forecast may err (``planning.belief`` for plans)
    cautions, mark : see :class:`Air`
    """
    offset_h = house.site.longitude_deg / 15.0
    issued_s = known_to_s if weather.issued_s is None else min(weather.issued_s, known_to_s)
    air_c = perturb(weather, members, seed, issued_s, offset_h, errors, known_to_s, sd_k)
    air_c = air_c + off_the_station(members, len(weather), seed)
    return Air(
        *(weather.first_s, air_c, weather.source, known_to_s, tuple(cautions), mark),
        told_c=np.array(weather.temperature_c),
    )


def off_the_station(members: int, hours: int, seed: int) -> Floats:
    """Return how far each member's bush is off the station, (members, hours) [K]."""
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), members, 41]))
    draws = NEAR_K * source.standard_normal((hours, members))
    kept = float(np.exp(-1.0 / NEAR_MEMORY_H))
    for hour in range(1, hours):
        draws[hour] = kept * draws[hour - 1] + np.sqrt(1.0 - kept**2) * draws[hour]
    off: Floats = draws.T
    return off


def usual_air(house: House, members: int, seed: int) -> Air:
    """Return airs as springs bring them at this place: for a house that keeps no weather."""
    from sugarwright.plant.seasons import springs_of  # brings the simulator, which takes a second

    springs = springs_of(house, members, seed)
    return Air(int(springs.time_s[0]), springs.temperature_c, mark="usual")
