"""What would change the plan: marks that a person can check, and what to do beyond them.

At a few looks of the day everything that may still be done otherwise is tried from how things then
stand in each weather, with tanks that began a quarter fuller or emptier among them. Beyond a mark
of a gauge the other way must win. The mark is found in one half of the weathers and must hold in
the other, whose gain is the one told: else the best of many marks would flatter itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sugarwright.planning.course import net_money
from sugarwright.planning.instead import Instead, instead_of
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Change
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.plant.worth import broken_s
from sugarwright.units import TEMPERATURE, VOLUME, Kind, from_unit, to_unit

MOST_LINES = 3
LEAST_MONEY = 3.0
OTHER_LEVELS = 0.25  # by which tanks are fuller or emptier than read, in half of the weathers each
SOON_S = 3600  # a look sooner than that is now: the plan knows what stands there
LOOKS = 3
EVENING_MIN = 18 * 60.0
LEAST_WEATHERS = 3  # beyond a mark, in each half
MOST_SHARE = 0.6  # of the weathers beyond a mark: were it more, it would be the plan
AGREED = 0.65  # of the runs beyond a mark in which the other way must win
NO_RUN_M3 = 1e-3  # a quart: no sap has come
MARKS = 24
HIGHEST_MARK = 0.95  # of a tank: nobody reads "under" a mark at the brim from the tank itself

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Sample:
    """Runs that changes are looked for in.

    Parameters
    ----------
    plant, drive : the house; its weathers, some of them more than once
    weather : which weather each scenario is
    base : whether it begins with the tanks as read
    state : that it begins with, (scenarios, state)
    """

    plant: Plant
    drive: Drive
    weather: NDArray[np.int64]
    base: Flags
    state: Floats

    @cached_property
    def learnt(self) -> Flags:
        """The half in which marks are found."""
        half: Flags = self.weather % 2 == 0
        return half


@dataclass(frozen=True)
class Gauge:
    """Something to be seen at a look, in each run; and the marks that are easily told of it."""

    what: str
    values: Floats
    marks: Floats
    sides: tuple[bool, ...] = (False, True)  # over the mark?


@dataclass(frozen=True)
class Compared:
    """A change, and the runs in which its mark was found and told.

    Parameters
    ----------
    change : what is told
    sample : the runs
    gauge : what is seen in each run at the look, and the marks that were tried
    plan_money, other_money : net worth of the plan, and of the other way, in each run
    """

    change: Change
    sample: Sample
    gauge: Gauge
    plan_money: Floats
    other_money: Floats

    def beyond(self, mark: float) -> Flags:
        """Tell which runs are beyond a mark, on the side of the one that is told."""
        values = self.gauge.values
        tail: Flags = values > mark if self.change.over else values < mark
        return tail


def changes_of(
    planned: Planned, day: int | None = None, looks: list[int] | None = None
) -> tuple[Change, ...]:
    """Find what would change the plan, as :func:`compared_of` does, without its runs."""
    return tuple(each.change for each in compared_of(planned, day, looks))


def compared_of(
    planned: Planned, day: int | None = None, looks: list[int] | None = None
) -> tuple[Compared, ...]:
    """Find what would change the plan, in order of time.

    Parameters
    ----------
    planned : the plan
    day : of the plan that is told of; None: today, or tomorrow in the evening
    looks : steps of it at which to look; None: at its starts, at noon and in the evening

    Returns
    -------
    At most three changes; none where nothing seen that day would.
    """
    day = _main_day(planned) if day is None else day
    sample = _sample(planned)
    found: list[Compared] = []
    stands, step = None, 0
    for look_step in _looks(planned, day) if looks is None else looks:
        stands = _run(sample, planned.plan[np.newaxis], stands, step, look_step)
        step = look_step
        found += _at_look(planned, sample, stands, step, day)
    found.sort(key=lambda each: -each.change.money * each.change.probability)
    return tuple(sorted(_distinct(found)[:MOST_LINES], key=lambda each: each.change.time_s))


def _main_day(planned: Planned) -> int:
    """Today; tomorrow when the plan is made in the evening."""
    evening = planned.weathers.forecast.calendar[0, at.MINUTE] >= EVENING_MIN
    return 1 if evening and len(planned.plan) > 1 else 0


def _sample(planned: Planned) -> Sample:
    """Every weather from the levels read; half of them from fuller, half from emptier tanks."""
    drive, plant = planned.weathers.checked, planned.plant
    count = drive.scenarios
    weather = np.concatenate([np.arange(count), np.arange(count)])
    factor = np.ones(2 * count)
    # neighbours of each parity get both: halves must not differ in their tanks
    factor[count:] += np.where(np.arange(count) // 2 % 2 == 0, OTHER_LEVELS, -OTHER_LEVELS)
    state = np.repeat(planned.state[np.newaxis], 2 * count, axis=0)
    for tank, rim in ((at.SAP, at.SAP_CAPACITY_M3), (at.STOCK, at.STOCK_CAPACITY_M3)):
        held_m3 = np.maximum(_volumes(plant, state, tank), 1e-9)
        most = np.maximum(1.0, plant.p[rim] / held_m3)
        state[:, tank + at.WATER] *= np.minimum(factor, most)
        state[:, tank + at.SUGAR] *= np.minimum(factor, most)
    twice = Drive(
        drive.begin_s,
        drive.calendar,
        np.ascontiguousarray(drive.air_c[weather]),
        np.ascontiguousarray(drive.sap_kg_s[weather]),
    )
    return Sample(plant, twice, weather, factor == 1.0, state)


def _volumes(plant: Plant, states: Floats, tank: int) -> Floats:
    return mixed_m3(plant.p, states[..., tank + at.WATER], states[..., tank + at.SUGAR])


def _run(
    sample: Sample, plans: Floats, before: Results | None, first: int, last: int | None = None
) -> Results:
    """Run plans on from how a single one stands."""
    state = sample.state if before is None else before.states[0]
    totals = None if before is None else before.totals[0]
    return run_many(
        sample.plant, sample.drive, plans, state, None, last, first=first, totals=totals
    )


def _looks(planned: Planned, day: int) -> list[int]:
    """Steps at which things are decided: the day's starts, and a last look in the evening."""
    drive, cuts = planned.weathers.forecast, planned.checked.cuts
    calendar = drive.calendar[cuts[day] : cuts[day + 1]]
    minutes = [planned.plan[place] for place in planned.starts() if place[0] == day]
    there = (calendar[:, at.PEOPLE] > 0.0) & (calendar[:, at.MINUTE] % 60.0 == 0.0)
    hours = calendar[there, at.MINUTE]
    wanted = [*minutes, *hours[-2:-1], *hours[(hours >= 12 * 60) & (hours <= 15 * 60)][:1]]
    soon = SOON_S / planned.plant.step_s
    steps = {cuts[day] + int(np.argmax(calendar[:, at.MINUTE] >= each)) for each in wanted}
    return sorted(each for each in steps if each >= soon)[-LOOKS:]


def _at_look(
    planned: Planned, sample: Sample, stands: Results, step: int, day: int
) -> list[Compared]:
    ways = instead_of(planned, day, step)
    if not ways:
        return []
    plans = np.stack([planned.plan, *(way.plan for way in ways)])
    ends = _run(sample, plans, stands, step)
    net = net_money(planned.plant, ends)
    gains = net[1:] - net[0]
    broken = np.max(broken_s(ends.totals), axis=1)[1:] > 0.0
    gauges = _gauges(planned, sample, stands, step, day)
    time_s = int(sample.drive.begin_s + step * planned.plant.step_s)
    found = []
    for way, other, gain, breaking in zip(ways, net[1:], gains, broken, strict=True):
        if breaking or gain.max() <= LEAST_MONEY:
            continue
        for gauge in gauges:
            change = _best_mark(sample, gauge, gain, way, time_s)
            if change is not None:
                found.append(Compared(change, sample, gauge, net[0], other))
    return found


def _gauges(planned: Planned, sample: Sample, stands: Results, step: int, day: int) -> list[Gauge]:
    plant, us = planned.plant, planned.plant.house.site.units == "us"
    found = []
    tanks = [("sap", at.SAP, at.SAP_CAPACITY_M3)]
    tanks += [("stock", at.STOCK, at.STOCK_CAPACITY_M3)] if plant.p[at.HAS_MEMBRANE] > 0.0 else []
    for name, tank, rim in tanks:
        values = _volumes(plant, stands.states[0], tank)
        marks = _plain_marks(values, VOLUME, "gal" if us else "L", us)
        found.append(Gauge(name, values, marks[marks <= HIGHEST_MARK * plant.p[rim]]))
    hours = sample.drive.calendar[:, at.HOUR].astype(np.int64)
    coldest = sample.drive.air_c[:, hours[0] : hours[step]].min(axis=1)
    degree = "°F" if us else "°C"
    found.append(Gauge("coldest", coldest, _plain_marks(coldest, TEMPERATURE, degree, us)))
    begin = planned.checked.cuts[day]
    if step > begin:
        sap = sample.drive.sap_kg_s[:, hours[begin:step]].sum(axis=(1, 2, 3))
        run_m3 = sap * plant.step_s * plant.p[at.WATER_M3_KG]
        found.append(Gauge("run", run_m3, np.array([NO_RUN_M3]), (False,)))
    return found


def _plain_marks(values: Floats, kind: Kind, unit: str, us: bool) -> Floats:
    """Round numbers between the least and the most, few enough to try them all."""
    least, most = (to_unit(float(v), kind, unit) for v in (values.min(), values.max()))
    step = 1.0 if kind is TEMPERATURE else (10.0 if us else 50.0)
    while (most - least) / step > MARKS:
        step *= 2.0
    marks = np.arange(np.ceil(least / step), np.floor(most / step) + 1.0) * step
    found: Floats = np.array([from_unit(float(mark), kind, unit) for mark in marks])
    return found


def _best_mark(
    sample: Sample, gauge: Gauge, gain: Floats, way: Instead, time_s: int
) -> Change | None:
    """Find the mark beyond which a way gains the most in one half, and try it in the other."""
    best: tuple[float, Flags, bool, float] | None = None
    for over in gauge.sides:
        for mark in gauge.marks.tolist():
            tail = gauge.values > mark if over else gauge.values < mark
            value = float(gain[tail & sample.learnt].sum())
            if value > (0.0 if best is None else best[0]) and is_some(sample, tail):
                best = value, tail, over, mark
    if best is None:
        return None
    _, beyond, over, mark = best
    told = gain[beyond & ~sample.learnt]
    if not (_holds(gain[beyond & sample.learnt]) and _holds(told)):
        return None
    return Change(
        time_s=time_s,
        what=gauge.what,
        over=over,
        level_m3=None if gauge.what == "coldest" else 0.0 if gauge.what == "run" else mark,
        mark_c=mark if gauge.what == "coldest" else None,
        instead=way.instead,
        kind=way.kind,
        action_s=way.action_s,
        flow_m3_s=way.flow_m3_s,
        money=float(told.mean()),
        probability=float(beyond[sample.base].mean()),
    )


def is_some(sample: Sample, tail: Flags) -> bool:
    """Tell whether several weathers of each half are beyond a mark, but not most of all.

    Several must come to it from the tanks as read: what only tanks that were misread bring calls
    for another plan.
    """
    read = tail[sample.base]
    if read.mean() > MOST_SHARE or read.sum() < LEAST_WEATHERS:
        return False
    halves = (tail & sample.learnt, tail & ~sample.learnt)
    return all(len(np.unique(sample.weather[half])) >= LEAST_WEATHERS for half in halves)


def _holds(gain: Floats) -> bool:
    return float(gain.mean()) > LEAST_MONEY and float((gain > 0.0).mean()) >= AGREED


def _distinct(compared: list[Compared]) -> list[Compared]:
    """Of those that say to do the same, only the most important."""
    seen: set[tuple[str, str, int | None]] = set()
    found = []
    for each in compared:
        change = each.change
        key = (change.instead.split(" ")[0], change.kind, change.action_s)
        if key not in seen:
            seen.add(key)
            found.append(each)
    return found
