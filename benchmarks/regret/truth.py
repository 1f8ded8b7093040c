"""What really happens in a season: the trees' sap, hour by hour, and forecasts as issued.

The trees scatter about their model: each run of sap has a multiplier, each day a Brix of its own,
drawn by the season's seed. A forecast is the true temperature and an error. Errors of one hour seen
from successive mornings hang together: the shape of the error wanders from issue to issue with a
correlation of ``ISSUE_MEMORY``, and its size is that of the error model at the lead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import COLD_C, Plant
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.drive import local_s, tapped_s, tree_parameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.ensemble import PRIOR, brix_noise, perturb, run_multipliers
from sugarwright.weather.hours import HOUR_S, HourlyWeather

from .seasons import Season

MORNING_H = 5  # local hour at which a day is planned and begins
HORIZON_H = 72
BEFORE_H = 14 * 24  # of weather that bring the trees up to date
ISSUE_MEMORY = 0.8  # from one morning's error to the next's at the same hour: from memory
LEAST_BRIX = 0.5
CROWD = (
    32  # draws are made for so many, since those of one alone would be its mean; the first is it
)


@dataclass(frozen=True)
class Truth:
    """A season at one house.

    Parameters
    ----------
    season : the spring
    begin_s : UTC s of the first morning
    mornings : step of each morning in the drive, and its end
    drive : the true air and sap, some days longer than the season, for whoever knows them
    errors_k : (days, hours of the season's weather), of the forecast issued on each morning
    """

    season: Season
    begin_s: int
    mornings: tuple[int, ...]
    drive: Drive
    errors_k: Floats

    def day(self, day: int, hours: int = 24) -> Drive:
        """The true hours from a morning on."""
        return cut(self.drive, self.mornings[day], hours)

    def morning_s(self, day: int) -> int:
        """UTC s at which a day begins."""
        return self.begin_s + 86400 * day

    def calendar_at(self, day: int, hour: int) -> Floats:
        """Row of the calendar so many hours after a morning; clocks may change."""
        steps_a_day = self.mornings[1] - self.mornings[0]
        row: Floats = self.drive.calendar[self.mornings[day] + round(hour * steps_a_day / 24)]
        return row

    def forecast(self, day: int, hour: int = 0, reach_h: int = HORIZON_H) -> HourlyWeather:
        """What is known so many hours after a morning: hours observed, then its forecast."""
        issued_s = self.morning_s(day)
        weather = self.season.weather
        said_c = np.clip(weather.temperature_c + self.errors_k[day], -60.0, 60.0)
        ahead = weather.time_s >= issued_s + hour * HOUR_S
        air_c = np.where(ahead, said_c, weather.temperature_c)
        come = (weather.time_s >= issued_s) & ~ahead
        said_c = np.where(come, said_c, np.nan)
        known = replace(weather, temperature_c=air_c, issued_s=issued_s, said_c=said_c)
        return known.between(issued_s - BEFORE_H * HOUR_S, issued_s + reach_h * HOUR_S)


def make_truth(plant: Plant, season: Season, trees: TreeParameters | None = None) -> Truth:
    """Let a season come to pass at a house (``plant`` of the house as tapped in that season).

    Parameters
    ----------
    plant : the house
    season : the spring
    trees : left out: as the house describes them
    """
    begin_s = int(local_s(plant.house, season.tapped, MORNING_H))
    hours = 24 * season.days + HORIZON_H
    drive = _drive(plant, season, trees or tree_parameters(plant.house.trees), begin_s, hours)
    steps = round(86400 / plant.step_s)
    mornings = tuple(steps * day for day in range(season.days + 1))
    return Truth(season, begin_s, mornings, drive, _errors_k(season, begin_s))


def cut(drive: Drive, first: int, hours: int) -> Drive:
    """Return some hours of a drive from a step on that begins an hour."""
    hour = int(drive.calendar[first, at.HOUR])
    step_s = 3600.0 / (drive.steps / drive.air_c.shape[1])
    calendar = drive.calendar[first : first + round(hours * 3600.0 / step_s)].copy()
    calendar[:, at.HOUR] -= hour
    here = slice(hour, hour + hours)
    return Drive(
        drive.begin_s + round(first * step_s),
        calendar,
        np.ascontiguousarray(drive.air_c[:, here]),
        np.ascontiguousarray(drive.sap_kg_s[:, here]),
    )


def _drive(plant: Plant, season: Season, trees: TreeParameters, begin_s: int, hours: int) -> Drive:
    weather, house = season.weather, plant.house
    known = weather.between(begin_s - BEFORE_H * HOUR_S, begin_s + hours * HOUR_S)
    first = len(known) - hours
    factors = run_multipliers(CROWD, len(known) // 2 + 2, season.seed)[:1]
    days = np.arange(hours) // 24
    noise = brix_noise(CROWD, season.days + 8, season.seed)[0, days]
    sap_kg_s = np.zeros((1, hours, len(house.gathering), 2))
    for g, gathering in enumerate(house.gathering):
        run = sap_run(
            known.temperature_c, known.first_s, tapped_s(house), gathering.vacuum_pa, trees, factors
        )
        mass = gathering.taps * run.sap_m3_per_tap[0, first:] / 3600.0 * density_kg_m3(2.0, COLD_C)
        brix = np.maximum(LEAST_BRIX, run.brix[0, first:] + noise)
        sap_kg_s[0, :, g, 1] = mass * brix / 100.0
        sap_kg_s[0, :, g, 0] = mass - sap_kg_s[0, :, g, 1]
    calendar = make_calendar(house, begin_s, round(hours * 3600 / plant.step_s), plant.step_s)
    air_c = np.ascontiguousarray(known.temperature_c[np.newaxis, first:])
    return Drive(begin_s, calendar, air_c, sap_kg_s)


def _errors_k(season: Season, begin_s: int) -> Floats:
    """Errors of the forecast issued each morning, (days, hours); none at hours then past."""
    weather = season.weather
    unit_k = np.ones(len(weather))
    drawn_k = perturb(weather, max(CROWD, season.days), season.seed, begin_s, sd_k=unit_k)
    shapes = drawn_k[: season.days] - weather.temperature_c
    for day in range(1, season.days):
        fresh = np.sqrt(1.0 - ISSUE_MEMORY**2) * shapes[day]
        shapes[day] = ISSUE_MEMORY * shapes[day - 1] + fresh
    leads_h = (weather.time_s - begin_s) / HOUR_S - 24.0 * np.arange(season.days)[:, np.newaxis]
    errors_k: Floats = np.where(leads_h >= 0.0, PRIOR.sd_k(leads_h) * shapes, 0.0)
    return errors_k
