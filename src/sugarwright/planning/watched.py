"""What may happen under a plan, all together; and in which of its weathers each comes, and when.

When something comes in one weather is asked of the same functions, of that weather alone: what they
sum up is then that one time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sugarwright.planning.brimful import with_brimful
from sugarwright.planning.draining import frozen_full
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import Watched
from sugarwright.planning.frosts import NOON_MIN, FrostNight, frost_nights
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport, Watch
from sugarwright.planning.runs_dry import Looks, looks_of, next_fire_s, runs_dry
from sugarwright.planning.watches import gathering_full, standing_unrinsed, watches
from sugarwright.planning.yard import Yard
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Drive, Results


@dataclass(frozen=True)
class _Seen:
    """A plan's runs in some weathers, as they are looked through.

    Parameters
    ----------
    planned : the plan
    drive : the weathers
    runs : at their ends
    looks : every half hour
    yard : what stands outside; None where nothing does
    """

    planned: Planned
    drive: Drive
    runs: Results
    looks: Looks
    yard: Yard | None

    def only(self, weather: int) -> _Seen:
        """Return the same of one weather alone."""
        one = slice(weather, weather + 1)
        drive, looks = self.drive.some(one), self.looks
        return _Seen(
            self.planned,
            drive,
            Results(self.runs.states[:, one], self.runs.totals[:, one]),
            replace(looks, drive=drive, states=looks.states[one], short_s=looks.short_s[one]),
            None if self.yard is None else _only(self.yard, drive, one),
        )


def watches_of(planned: Planned) -> tuple[Watch, ...]:
    """Return what may happen under a plan, how likely and when."""
    return (*_but_frost(_seen(planned)), *frozen_full(planned.scene(0), planned.weathers.checked))


def of_watch(planned: Planned, report: PlanReport) -> Explanation:
    """Show in which weathers each comes that a plan says may happen, and when.

    Parameters
    ----------
    planned, report : of one plan
    """
    seen = _seen(planned)
    weathers = [seen.only(w) for w in range(seen.drive.scenarios)]
    singles = [{(each.what, each.point): each for each in _but_frost(w)} for w in weathers]
    found = []
    for watch in report.watch:
        alone = [each.get((watch.what, watch.point)) for each in singles]
        times = tuple(None if each is None else each.time_s for each in alone)
        night = _night_of(planned, watch)
        if night is not None:
            times = tuple(_freezes_s(each, night) for each in weathers)
        lost_m3 = tuple(None if each is None else each.lost_m3 for each in alone)
        found.append(Watched(watch, times, lost_m3))
    return Explanation("watch", None, "", None, (), (), (), (), None, watched=tuple(found))


def _seen(planned: Planned) -> _Seen:
    plant, drive = planned.plant, planned.weathers.checked
    looks = looks_of(plant, drive, planned.plan, planned.state)
    return _Seen(planned, drive, planned.checked.ends[-1], looks, planned.checked_yard)


def _only(yard: Yard, drive: Drive, one: slice) -> Yard:
    return Yard(
        drive, yard.held_m3[one], yard.come_m3[one], yard.emptying[one], yard.wet[one],
        yard.flushed[one],
    )  # fmt: skip


def _but_frost(seen: _Seen) -> tuple[Watch, ...]:
    planned, plant, drive = seen.planned, seen.planned.plant, seen.drive
    alone = standing_unrinsed(plant, drive, planned.plan, planned.state)
    return (
        *runs_dry(seen.looks, *next_fire_s(planned.trace)),
        *with_brimful(
            watches(plant, drive, seen.runs),
            plant,
            drive,
            planned.plan,
            planned.state,
            seen.runs,
            seen.yard,
        ),
        *(() if alone is None else (alone,)),
        *gathering_full(plant, seen.yard),
    )


def _night_of(planned: Planned, watch: Watch) -> FrostNight | None:
    """The night that a watch of frost tells of; None of any other."""
    begin_s, step_s = planned.weathers.checked.begin_s, planned.plant.step_s
    for night in planned.frosts if watch.what.endswith("with nobody there") else ():
        if (int(begin_s + night.step * step_s), night.probability) == (
            watch.time_s,
            watch.probability,
        ):
            return night
    return None


def _freezes_s(seen: _Seen, night: FrostNight) -> int | None:
    """UTC s at which it first freezes in one weather within a night told of; None: it does not."""
    planned, drive = seen.planned, seen.drive
    nights = frost_nights(
        planned.plant, drive, drive, seen.yard, seen.yard, planned.weathers.before_c
    )
    number = _number(drive, night.step)
    same = (each for each in nights if _number(drive, each.step) == number)
    steps = [each.step for each in same if each.refilled == night.refilled]
    return int(drive.begin_s + steps[0] * planned.plant.step_s) if steps else None


def _number(drive: Drive, step: int) -> int:
    """Number of the night, from noon to noon, that a step is in."""
    row = drive.calendar[step]
    return int(row[at.DAY] + (row[at.MINUTE] >= NOON_MIN))
