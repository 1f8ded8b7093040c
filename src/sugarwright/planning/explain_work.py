"""Where a day's work comes from: who is busy with what, and when people are there for it.

Middles do not add up, so the parts are those of the weather whose work is the middle one, or of the
two on either side of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from sugarwright.planning.course import stand_at
from sugarwright.planning.drained import BEFORE_FROST
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import Stay, WorkPart
from sugarwright.planning.outlook import syrup_m3
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Day, PlanReport
from sugarwright.planning.scene import Scene
from sugarwright.planning.work import COUNTED, drained_s, hands_s
from sugarwright.plant import layout as at
from sugarwright.plant.house import Chore
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import CLOSE_M3, Floats, volume_m3

LEAST_S = 0.5  # less is nothing but rounding


def of_work(planned: Planned, report: PlanReport) -> Explanation:
    """Show the parts of the work of the day that is told of, and the hours given for it.

    Parameters
    ----------
    planned, report : of one plan
    """
    d = report.main_day
    day, scene = report.days[d], planned.scene(d)
    values = hands_s(planned.plant, planned.checked.totals_by_day()[d], day.actions)
    middle = _middle(values)
    found: dict[tuple[str, str], list[float]] = {}
    for weather in middle:
        for part in _parts(planned, scene, day, d, weather):
            both = found.setdefault((part.what, part.chore), [0.0, 0.0])
            both[0] += part.times / len(middle)
            both[1] += part.duration_s / len(middle)
    parts = (WorkPart(*key, *both) for key, both in found.items())
    return Explanation(
        "work", None, "", float(values.mean()), tuple(values.tolist()), (), (), (), None,
        middle=float(np.median(values)),
        work=tuple(each for each in parts if abs(each.duration_s) >= LEAST_S),
        given=tuple(_given(scene)),
    )  # fmt: skip


def _middle(values: Floats) -> list[int]:
    """The weather whose value is the median, or the two whose mean that is."""
    order, half = np.argsort(values, kind="stable").tolist(), len(values) // 2
    return [order[half]] if len(values) % 2 else order[half - 1 : half + 1]


def _parts(planned: Planned, scene: Scene, day: Day, d: int, weather: int) -> list[WorkPart]:
    """What the hands of a day do in one weather; what is left is the membrane's stops."""
    p, totals = planned.plant.p, planned.checked.totals_by_day()[d][weather]
    starts, washes = totals[at.MEMBRANE_STARTS], totals[at.WASHES]
    found = [
        WorkPart("fire", "", 1.0, float(totals[at.FIRE_S])),
        WorkPart("membrane started", "", starts, float(starts * p[at.START_HANDS_S])),
        WorkPart("membrane washed", "", washes, float(washes * p[at.WASH_HANDS_S])),
    ]
    found += [_chore(planned, totals, each, d, weather) for each in planned.plant.house.chores]
    found.append(WorkPart("trips", "", 1.0, _trips_s(planned, scene, weather)))
    found.append(WorkPart("draining", "", 1.0, drained_s(planned.plant, day.actions)))
    all_s = float(hands_s(planned.plant, totals[np.newaxis], day.actions)[0])
    left_s = all_s - sum(each.duration_s for each in found)
    rest = WorkPart(_rest(planned, totals), "", float(totals[at.RINSES]), left_s)
    return [*found[:2], rest, *found[2:]]


def _rest(planned: Planned, totals: Floats) -> str:
    """What hands have done beside all that is counted."""
    dumped = totals[at.DUMPED_WATER_KG] > 0.0
    if planned.plant.p[at.HAS_MEMBRANE] <= 0.0:
        return "emptied"
    return "stopped and emptied" if dumped else "membrane stopped"


def _chore(planned: Planned, totals: Floats, chore: Chore, d: int, weather: int) -> WorkPart:
    """One of the house's own chores, as often as the simulator books it that day."""
    each_s = chore.duration_s * chore.people
    times = 0.0
    if chore.when in COUNTED:
        times = float(totals[COUNTED[chore.when]])
    elif chore.when == "each sap day":
        times = 1.0 if _is_sap_day(planned, d, weather) else 0.0
    elif chore.when != BEFORE_FROST and chore.per_m3:
        times = float(syrup_m3(planned.plant, totals)) / chore.per_m3
    return WorkPart("chore", chore.name, times, times * each_s)


def _is_sap_day(planned: Planned, d: int, weather: int) -> bool:
    """Tell whether the simulator has booked the chores of a day with sap."""
    ends = planned.checked.ends
    before = planned.state if d == 0 else ends[d - 1].states[0, weather]
    return bool(ends[d].states[0, weather, at.RINSED_DAY] != before[at.RINSED_DAY])


def _trips_s(planned: Planned, scene: Scene, weather: int) -> float:
    """Time of whoever carries sap by hand: the run is made once more, a step at a time."""
    plant = planned.plant
    by_hand = np.flatnonzero(
        (plant.points[:, at.BY_HAND] > 0.0) & (plant.points[:, at.OWN_TANK] > 0.0)
    )
    if not len(by_hand):
        return 0.0
    drive = planned.weathers.checked.some(slice(weather, weather + 1))
    steps = range(max(1, scene.first), scene.last + 1)
    ends = stand_at(plant, drive, planned.plan, planned.state, steps, 1)
    if scene.first == 0:
        ends = (Results(planned.state[np.newaxis, np.newaxis], 0.0 * ends[0].totals), *ends)
    found = 0.0
    for before, after in pairwise(ends):
        found += _carried_s(planned, before, after, by_hand.tolist())
    return found


def _carried_s(planned: Planned, before: Results, after: Results, points: list[int]) -> float:
    """What a step has of trips: its hands, less all else that they do in it."""
    p, x, then = planned.plant.p, before.states[0, 0], after.states[0, 0]
    if not any(_is_carried(p, x, then, at.GATHERED + g * at.POINT_WIDTH) for g in points):
        return 0.0
    more = after.totals[0, 0] - before.totals[0, 0]
    ended = x[at.MEMBRANE_ON] > 0.0 >= then[at.MEMBRANE_ON] or more[at.RINSES] > 0.0
    other_s = (
        more[at.FIRE_S]
        + more[at.MEMBRANE_STARTS] * (p[at.START_HANDS_S] + p[at.CHORE_RUN_S])
        + more[at.WASHES] * (p[at.WASH_HANDS_S] + p[at.CHORE_WASH_S])
        + more[at.LIGHT_UPS] * p[at.CHORE_BOIL_S]
        + more[at.FROSTS] * p[at.CHORE_FROST_S]
        + (more[at.SYRUP_WATER_KG] + more[at.SYRUP_SUGAR_KG]) * p[at.CHORE_SYRUP_S_KG]
        + (then[at.RINSED_DAY] != x[at.RINSED_DAY]) * p[at.CHORE_DAY_S]
        + ended * p[at.STOP_HANDS_S]
    )
    most_s = len(points) * p[at.STEP_S]
    return float(min(max(0.0, more[at.HANDS_S] - other_s), most_s))


def _is_carried(p: Floats, x: Floats, then: Floats, tank: int) -> bool:
    """Tell whether a gathering tank is emptied within a step, or at its end."""
    fell = volume_m3(p, then, tank) < volume_m3(p, x, tank) - CLOSE_M3
    return bool(then[tank + at.EMPTYING] > 0.0 or fell)


def _given(scene: Scene) -> Iterator[Stay]:
    """The hours that people give that day: a stay as long as as many are there."""
    people = scene.drive.calendar[scene.first : scene.last, at.PEOPLE]
    cuts = [0, *(np.flatnonzero(np.diff(people)) + 1).tolist(), len(people)]
    for begin, end in pairwise(cuts):
        if people[begin] > 0.0:
            begin_s, end_s = (scene.time_s(scene.first + step) for step in (begin, end))
            yield Stay(begin_s, end_s, float(people[begin]))
