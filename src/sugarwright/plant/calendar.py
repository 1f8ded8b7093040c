"""The steps of a run as people see them: local clock, day, who is there and for how long yet.

Instants are UTC seconds. Local time, with its daylight saving, enters the plant here and nowhere
else, and only as columns of numbers.
"""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.house import House, Person
from sugarwright.plant.special_hours import MACHINES, SOMEBODY, USUAL_HOURS, SpecialHours
from sugarwright.plant.tank_kernel import Floats

_LOOK_AHEAD_S = 86400  # beyond the last step, so that a run's end does not look like going home
_IN_ORDER = {"membrane": at.MEMBRANE_OK_S, "pump": at.PUMP_OK_S, "pan": at.PAN_OK_S}

Flags = np.ndarray[tuple[int], np.dtype[np.bool_]]


def make_calendar(
    house: House, begin_s: int, steps: int, step_s: float, special: SpecialHours = USUAL_HOURS
) -> Floats:
    """Lay out the steps of a run.

    Parameters
    ----------
    house : whose people and time zone
    begin_s : UTC s at which the first step begins; a whole hour
    steps : how many
    step_s : length of a step, s
    special : hours that go otherwise than the house says

    Returns
    -------
    (steps, ``CALENDAR_WIDTH``): local minute after midnight, local day number, people there, time
    for which somebody stays there without a gap, price of an hour of whoever is there, hour of the
    run, the times for which membrane, pumps and pan yet stay in order, and how much of the staying
    is only for what runs already.
    """
    total = steps + int(_LOOK_AHEAD_S / step_s)
    time_s: Floats = float(begin_s) + step_s * np.arange(total, dtype=np.float64)
    minute, day = _local(house.site.timezone, begin_s, total, step_s)
    people = np.zeros(total)
    cheapest = min(person.hour_money_s for person in house.people)
    price = np.full(total, np.inf)
    for person in house.people:
        there = _otherwise(_is_there(person, minute, day), person.name, special, time_s)
        people += there
        price[there] = np.minimum(price[there], person.hour_money_s)
    usual = np.maximum(people, _somebody(special, time_s, for_what_runs=False))
    people = np.maximum(people, _somebody(special, time_s, for_what_runs=True))
    calendar = np.zeros((total, at.CALENDAR_WIDTH))
    calendar[:, at.MINUTE] = minute
    calendar[:, at.DAY] = day
    calendar[:, at.PEOPLE] = people
    calendar[:, at.STAY_S] = staying_s(people > 0, step_s)
    calendar[:, at.COUNTED_S] = calendar[:, at.STAY_S] - staying_s(usual > 0, step_s)
    calendar[:, at.HOUR_MONEY_S] = np.where(np.isinf(price), cheapest, price)
    calendar[:, at.HOUR] = (np.arange(total) * step_s) // 3600
    for machine in MACHINES:
        out = _out_of_order(machine, special, time_s)
        calendar[:, _IN_ORDER[machine]] = staying_s(~out, step_s, beyond_s=np.inf)
    return calendar[:steps]


def _local(timezone: str, begin_s: int, total: int, step_s: float) -> tuple[Floats, Floats]:
    """Local minute and day number of each step; the zone's offset is looked up twice an hour.

    In a zone half an hour off the others (Newfoundland) the clocks change within a UTC hour.
    """
    zone = ZoneInfo(timezone)
    offsets = {}
    minute, day = np.empty(total), np.empty(total)
    for k in range(total):
        now_s = int(begin_s + k * step_s)
        half_s = now_s - now_s % 1800
        if half_s not in offsets:
            offset = datetime.fromtimestamp(half_s, tz=UTC).astimezone(zone).utcoffset()
            offsets[half_s] = int(offset.total_seconds()) if offset is not None else 0
        local_s = now_s + offsets[half_s]
        days, second = divmod(local_s, 86400)
        minute[k] = second / 60.0
        day[k] = days + _EPOCH_DAY
    return minute, day


_EPOCH_DAY = datetime(1970, 1, 1).toordinal()


def _otherwise(there: Flags, person: str, special: SpecialHours, time_s: Floats) -> Flags:
    """Let what is said of a person's hours stand before the usual ones."""
    for said in special.presence:
        if said.person == person:
            there[(time_s >= said.begin_s) & (time_s < said.end_s)] = said.there
    return there


def _somebody(special: SpecialHours, time_s: Floats, *, for_what_runs: bool) -> Flags:
    """Whether somebody not of the house's own is there; with or without who only ends what runs."""
    told = [each for each in special.presence if for_what_runs or not each.for_what_runs]
    nobody = np.zeros(len(time_s), dtype=np.bool_)
    return _otherwise(nobody, SOMEBODY, SpecialHours(tuple(told)), time_s)


def _out_of_order(machine: str, special: SpecialHours, time_s: Floats) -> Flags:
    """Whether a machine is out of order at each step."""
    out = np.zeros(len(time_s), dtype=np.bool_)
    for said in special.outages:
        if said.machine == machine:
            out |= (time_s >= said.begin_s) & (time_s < said.end_s)
    return out


def _is_there(person: Person, minute: Floats, day: Floats) -> Flags:
    """Whether a person is there at each step; a span past midnight belongs to the day it began."""
    weekend = (day.astype(np.int64) - 1) % 7 >= 5  # proleptic ordinal 1 was a Monday
    weekend_before = (day.astype(np.int64) - 2) % 7 >= 5
    there = np.zeros(len(minute), dtype=np.bool_)
    for spans, this, before in (
        (person.weekdays, ~weekend, ~weekend_before),
        (person.weekends, weekend, weekend_before),
    ):
        for begin, end in spans:
            if begin < end:
                there |= this & (minute >= begin) & (minute < end)
            else:
                there |= this & (minute >= begin)
                there |= before & (minute < end)
    return there


def staying_s(present: Flags, step_s: float, beyond_s: float = 0.0) -> Floats:
    """Time from each step's beginning until it is over, s.

    Parameters
    ----------
    present : whether somebody is there, or something in order, at each step
    step_s : length of a step, s
    beyond_s : for which that goes on after the last step
    """
    staying = np.zeros(len(present))
    left_s = beyond_s
    for k in range(len(present) - 1, -1, -1):
        left_s = left_s + step_s if present[k] else 0.0
        staying[k] = left_s
    return staying


def fire_stay_s(calendar: Floats) -> Floats:
    """Time for which somebody stays and the pan is in order, at each step of a calendar."""
    staying: Floats = np.minimum(calendar[:, at.STAY_S], calendar[:, at.PAN_OK_S])
    return staying


def begin_stay_s(calendar: Floats) -> Floats:
    """Time for which somebody stays to whom something new may be left, at each step."""
    staying: Floats = calendar[:, at.STAY_S] - calendar[:, at.COUNTED_S]
    return staying


def light_stay_s(calendar: Floats) -> Floats:
    """Time for which such a one stays and the pan is in order, at each step of a calendar."""
    staying: Floats = np.minimum(begin_stay_s(calendar), calendar[:, at.PAN_OK_S])
    return staying
