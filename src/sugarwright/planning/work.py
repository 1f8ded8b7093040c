"""What a day takes of people's hands beside its actions: chores with their deadlines, and the sum.

The chores are those that the house's description prices; when each is due is common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.drained import BEFORE_FROST, draining_work_s
from sugarwright.planning.report import ChoreDue
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.house import Chore
from sugarwright.plant.tank_kernel import Floats

DAY_S = 86400
FINISH_DAYS = 1  # syrup is filtered and packed by the next night: common practice, no source
LEAST_SYRUP_M3 = 2e-4  # less is not worth a filter
LEAST_S = 60.0
SAP_DAY_FRACTION = 0.05  # of the sap tank, in either tank: that of the simulator
WITH_ITS_ACTION = (BEFORE_FROST,)  # told with the draining
COUNTED = {
    "each boil": at.LIGHT_UPS,
    "each membrane run": at.MEMBRANE_STARTS,
    "each wash": at.WASHES,
}


def chores_of(scene: Scene, totals: Floats, syrup_m3: Floats) -> tuple[ChoreDue, ...]:
    """List the chores that a day brings, as many times as in the middle of the weathers.

    Parameters
    ----------
    scene : the day under the forecast
    totals : (weathers, ``TOTALS_SIZE``), within the day
    syrup_m3 : (weathers,), drawn within the day
    """
    found = (_due(scene, each, totals, syrup_m3) for each in scene.plant.house.chores)
    return tuple(each for each in found if each is not None)


def given_s(scene: Scene) -> float:
    """Return the time that people give within a day, all told, s."""
    people = scene.drive.calendar[scene.first : scene.last, at.PEOPLE]
    return float(people.sum() * scene.trace.step_s)


def hands_s(plant: Plant, totals: Floats, actions: Iterable[Action]) -> Floats:
    """Return what a day takes of people's hands, s, with the draining that it asks for.

    The simulator books draining as the frost comes, mostly after midnight; whoever drains does so
    the evening before, and whatever the night then brings.

    Parameters
    ----------
    plant : the house
    totals : (weathers, ``TOTALS_SIZE``), within the day
    actions : of the day

    Returns
    -------
    (weathers,)
    """
    booked_s = totals[:, at.FROSTS] * plant.p[at.CHORE_FROST_S]
    found: Floats = totals[:, at.HANDS_S] - booked_s + drained_s(plant, actions)
    return found


def drained_s(plant: Plant, actions: Iterable[Action]) -> float:
    """Return the work, s, of the draining that a day's actions ask for.

    Parameters
    ----------
    plant : the house
    actions : of the day
    """
    told = [each for each in actions if each.kind == "drain before the frost"]
    of_chores_s = draining_work_s(plant.house)
    return sum(of_chores_s or (each.duration_s or 0.0) * (each.people or 1) for each in told)


def _due(scene: Scene, chore: Chore, totals: Floats, syrup_m3: Floats) -> ChoreDue | None:
    times, drawn_m3 = _times(scene, chore, totals, syrup_m3)
    if times * chore.duration_s < LEAST_S:
        return None
    return ChoreDue(
        name=chore.name,
        when=chore.when,
        duration_s=times * chore.duration_s,
        people=chore.people,
        syrup_m3=drawn_m3,
        by_s=_by_s(scene, chore),
    )


def _times(
    scene: Scene, chore: Chore, totals: Floats, syrup_m3: Floats
) -> tuple[float, float | None]:
    """How many times a chore comes round that day; and the syrup that it comes with."""
    if chore.when in COUNTED:
        begun = float(round(float(np.median(totals[:, COUNTED[chore.when]]))))
        return begun + (chore.when == "each boil" and _burns_already(scene)), None
    if chore.when == "each sap day":
        return (1.0 if _has_sap(scene) and not _stands(scene) else 0.0), None
    drawn_m3 = float(np.median(syrup_m3))
    if chore.when in WITH_ITS_ACTION or not chore.per_m3 or drawn_m3 < LEAST_SYRUP_M3:
        return 0.0, None
    return drawn_m3 / chore.per_m3, drawn_m3


def _burns_already(scene: Scene) -> bool:
    """Tell whether a fire burns as the plan begins: that boil is of its first day."""
    return scene.first == 0 and scene.fire_before


def _has_sap(scene: Scene) -> bool:
    """Tell whether tanks hold, while somebody is there, what the simulator counts a sap day by."""
    span = slice(scene.first, scene.last)
    rows = scene.trace.rows[span]
    held_m3 = rows[:, at.T_SAP_M3] + rows[:, at.T_STOCK_M3]
    there = scene.drive.calendar[span, at.PEOPLE] > 0.0
    sap_day = there & (held_m3 > SAP_DAY_FRACTION * scene.plant.p[at.SAP_CAPACITY_M3])
    return bool(sap_day.any())


def _stands(scene: Scene) -> bool:
    """Tell whether sap and stock stand all day: then no tank is empty to be rinsed, nor filled."""
    rows = scene.trace.rows[max(0, scene.first - 1) : scene.last]
    swings_m3 = np.ptp(rows[:, [at.T_SAP_M3, at.T_STOCK_M3]], axis=0)
    return bool((swings_m3 <= SAP_DAY_FRACTION * scene.plant.p[at.SAP_CAPACITY_M3]).all())


def _by_s(scene: Scene, chore: Chore) -> int:
    """UTC s by which a chore is to be done: its day's end, with syrup the next day's."""
    days = FINISH_DAYS if chore.when == "per syrup volume" else 0
    return scene.time_s(scene.last) + days * DAY_S
