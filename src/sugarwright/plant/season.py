"""A day, a week or a season of the house: which hours to run, and the run itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.errors import InputError
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import local_s, make_drive, tapped_s
from sugarwright.plant.house import House
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S, HourlyWeather, local_text

USUAL_DAYS = 70  # an ordinary season from tapping to the last boil
MOST_DAYS = 366
WARM_UP_S = 14 * 86400  # the trees forget what lies further back
DRY_HOLE_DAYS = 120  # tap holes have long dried up, whatever the weather


@dataclass(frozen=True)
class Span:
    """Hours to run.

    Parameters
    ----------
    begin_s, end_s : UTC s, whole hours
    notes : what to know about them, in sentences
    """

    begin_s: int
    end_s: int
    notes: tuple[str, ...]


def choose_span(
    house: House,
    weather: HourlyWeather,
    first_day: date | None = None,
    last_day: date | None = None,
) -> Span:
    """Choose the hours to run: the days asked for, or the season that the weather holds.

    Parameters
    ----------
    house : with its time zone and date of tapping
    weather : what is there to run in
    first_day : local; left out: from tapping, or from where the weather begins
    last_day : local, included; left out: to the weather's end, ten weeks at most

    Raises
    ------
    InputError : the days lie outside the weather or before tapping, or are too many
    """
    begin_s = _midnight(house, first_day or house.trees.tapped)
    if first_day is None:
        begin_s = max(begin_s, weather.first_s)
    end_s = weather.end_s
    if last_day is not None:
        end_s = _midnight(house, last_day + timedelta(days=1))
    notes = []
    usual_end_s = _midnight(house, _local_day(house, begin_s) + timedelta(days=USUAL_DAYS))
    if last_day is None and usual_end_s < end_s:
        end_s = usual_end_s
        notes.append(f"The first {USUAL_DAYS} days were run; name others with --from and --to.")
    _check(house, weather, begin_s, end_s, last_day)
    if begin_s - weather.first_s < WARM_UP_S:
        notes.append(
            "The weather begins less than two weeks before the first day: what the trees give in "
            "the first days is less sure."
        )
    if begin_s - tapped_s(house) > DRY_HOLE_DAYS * 86400:
        notes.append(
            f"The first day is long after tapping ({house.trees.tapped}): the tap holes are dry. "
            "Is `tapped` in sugarhouse.toml the date of this season?"
        )
    return Span(begin_s, end_s, tuple(notes))


def drive_over(plant: Plant, weather: HourlyWeather, span: Span) -> Drive:
    """Return what drives the house over a span: its air, and the sap that its trees give."""
    air_c = np.ascontiguousarray(weather.temperature_c[np.newaxis])
    return make_drive(plant, weather.first_s, air_c, span.begin_s, span.end_s)


def day_cuts(drive: Drive) -> list[int]:
    """Steps at which the local days of a run begin, and its end."""
    days = drive.calendar[:, at.DAY]
    return [0, *(np.flatnonzero(np.diff(days)) + 1).tolist(), drive.steps]


def run_by_day(
    plant: Plant, drive: Drive, plan: Floats, state: Floats
) -> tuple[Trace, list[Floats]]:
    """Run one plan in the first weather of a drive.

    Parameters
    ----------
    plan : (days, ``PLAN_WIDTH``)
    state : to start from

    Returns
    -------
    The trace of the whole run, and the totals (``TOTALS_SIZE``,) as they stood at each day's end.
    """
    cuts = day_cuts(drive)
    x, y, rows, ends = state, start_totals(), [], []
    for first, last in pairwise(cuts):
        part = simulate(plant, drive, plan, x, y, first=first, last=last)
        x, y = part.state, part.totals
        rows.append(part.rows)
        ends.append(y)
    return Trace(drive.begin_s, plant.step_s, np.concatenate(rows), x, y), ends


def _midnight(house: House, day: date) -> int:
    """UTC s of the whole hour in which a local day begins."""
    try:
        begin_s = int(local_s(house, day))
    except (OverflowError, ValueError):
        raise InputError("day", str(day), "is no day of ours", "1990 to 2100") from None
    return begin_s - begin_s % HOUR_S


def _local_day(house: House, time_s: int) -> date:
    return datetime.fromtimestamp(time_s, UTC).astimezone(ZoneInfo(house.site.timezone)).date()


def _check(
    house: House, weather: HourlyWeather, begin_s: int, end_s: int, last_day: date | None
) -> None:
    zone = house.site.timezone
    held = f"{local_text(weather.first_s, zone)} to {local_text(weather.end_s, zone)}"
    asked = f"{local_text(begin_s, zone)} to {local_text(end_s, zone)}"
    if last_day is not None and end_s <= begin_s:
        raise InputError("days", asked, "end before they begin")
    if weather.end_s <= tapped_s(house):
        raise InputError(
            "weather",
            held,
            f"ends before tapping ({house.trees.tapped}): no sap runs",
            fix="Give the weather of that season, or correct `tapped` in sugarhouse.toml",
        )
    if begin_s < weather.first_s or end_s > weather.end_s or end_s <= begin_s:
        raise InputError("days", asked, "are not all in the weather", held)
    if end_s - begin_s > MOST_DAYS * 86400:
        raise InputError("days", asked, "are too many for one run", f"up to {MOST_DAYS} days")
