"""What the errors of forecasts do to the sap of this house's trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.plant.drive import tapped_s, tree_parameters
from sugarwright.plant.house import House
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.season import USUAL_DAYS
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.members import over
from sugarwright.weather.skill import (
    AROUND_DAYS,
    DAY_S,
    LEFT_OUT_DAYS,
    Case,
    Judged,
    scored,
)
from sugarwright.weather.verified import DAY_H

LEAST_HISTORY_S = 5 * DAY_S  # charge and store of the trees are mostly forgotten by then
_OTHER_DAYS = tuple(off for off in range(-AROUND_DAYS, AROUND_DAYS + 1) if abs(off) > LEFT_OUT_DAYS)


@dataclass(frozen=True)
class SapDaySkill:
    """Scores of a day's sap per tap, on one day of lead.

    What came is the tree model run on the measured hours, so this tells what the forecast's errors
    do to the sap, not how well the trees are known.

    Parameters
    ----------
    lead_day : 1 for the first 24 hours after the issue
    forecasts : how many were judged
    error_m3 : mean absolute error of the sap of the forecast as issued [m3 per tap and day]
    crps_m3 : mean score of the ensemble
    climatology_crps_m3 : of this season's other days; None where there are too few
    persistence_crps_m3 : of the day before the issue, come again; None where that is not known
    coverage_fraction : share of days inside the 80 % band
    band_m3 : mean width of that band
    """

    lead_day: int
    forecasts: int
    error_m3: float
    crps_m3: float
    climatology_crps_m3: float | None
    persistence_crps_m3: float | None
    coverage_fraction: float
    band_m3: float


def sap_skill(
    house: House, judged: Iterable[Judged], pieces: Sequence[HourlyWeather]
) -> tuple[SapDaySkill, ...]:
    """Return the scores of a day's sap per tap by day of lead.

    Parameters
    ----------
    house : whose trees, taps and vacuum
    judged : forecasts with their ensembles
    pieces : measured hours without a gap; those of one must reach from five days before an issue
        over the days that are judged. Judged are days within ten weeks of tapping
    """
    seasons = [_Season(house, piece) for piece in pieces]
    cases = [
        case
        for each in judged
        for season in seasons
        if season.knows(each)
        for case in season.cases(each)
    ]
    return tuple(SapDaySkill(*row) for row in scored(cases))


class _Season:
    """A house's trees over unbroken measured hours."""

    def __init__(self, house: House, piece: HourlyWeather) -> None:
        self._house = house
        self._piece = piece
        self._tapped_s = tapped_s(house)
        self._taps = sum(each.taps for each in house.gathering)
        self._sap_m3, _ = self._run(piece.temperature_c[np.newaxis], piece.first_s, None)

    def knows(self, judged: Judged) -> bool:
        """Tell whether the trees are known at the issue of a forecast."""
        begun_s = self._piece.first_s + LEAST_HISTORY_S
        return begun_s <= judged.forecast.issued_s <= self._piece.end_s - DAY_S

    def cases(self, judged: Judged) -> Iterator[Case]:
        """Yield what was said of each day's sap, and what the measured hours make of it."""
        forecast = judged.forecast
        cut_s = -(-forecast.issued_s // HOUR_S) * HOUR_S
        past = self._piece.between(self._piece.first_s, cut_s)
        if forecast.hours.first_s > cut_s:
            return
        future = forecast.hours.between(cut_s, forecast.end_s)
        _, states = self._run(past.temperature_c[np.newaxis], past.first_s, None)
        air_c = np.vstack([future.temperature_c, over(future, forecast, judged.members_c, cut_s)])
        said_m3, _ = self._run(air_c, cut_s, states)
        for day in range(len(future) // DAY_H):
            begin_s = cut_s + day * DAY_S
            came_m3 = self._day(begin_s)
            since_days = (begin_s - self._tapped_s) / DAY_S
            if np.isnan(came_m3) or not 0.0 <= since_days <= USUAL_DAYS:
                continue
            of_day = said_m3[:, DAY_H * day : DAY_H * (day + 1)].sum(axis=1, keepdims=True)
            usual = [self._day(begin_s + off * DAY_S) for off in _OTHER_DAYS]
            yield Case(
                day,
                np.array([came_m3]),
                of_day[0],
                of_day[1:],
                np.array([[each] for each in usual if not np.isnan(each)]).reshape(-1, 1),
                np.array([self._day(cut_s - DAY_S)]),
            )

    def _day(self, begin_s: int) -> float:
        """Return the sap per tap of 24 measured hours [m3]; NaN if they are not all measured."""
        at = (begin_s - self._piece.first_s) // HOUR_S
        inside = 0 <= at <= len(self._piece) - DAY_H
        return float(self._sap_m3[0, at : at + DAY_H].sum()) if inside else np.nan

    def _run(
        self, air_c: Floats, first_s: int, starts: list[Floats] | None
    ) -> tuple[Floats, list[Floats]]:
        """Return sap per tap, the mean over all taps, and where the trees then stand."""
        total = np.zeros(air_c.shape)
        ends = []
        for place, gathering in enumerate(self._house.gathering):
            run = sap_run(
                air_c,
                first_s,
                self._tapped_s,
                gathering.vacuum_pa,
                tree_parameters(self._house.trees),
                start=None if starts is None else starts[place],
            )
            total += gathering.taps / self._taps * run.sap_m3_per_tap
            ends.append(run.states)
        return total, ends
