"""What one more unit of each limit would be worth within the plan's hours.

The plan, and a few plain variants of it that could use the room, are run with the limit raised, in
the same weathers as without: the best of them against the best of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.broken import least_wood_m3
from sugarwright.planning.judging import values_of
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Limit
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.calendar import staying_s
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines
from sugarwright.units import VOLUME, WOOD, from_unit

WEATHERS = 16
HOUR_S = 3600.0


@dataclass(frozen=True)
class Raised:
    """A house with one limit raised."""

    limit: Limit
    plant: Plant
    drive: Drive
    state: Floats


@dataclass(frozen=True)
class Best:
    """The best of some plans: its place among them, its runs, and its worth."""

    place: int
    runs: Results
    money: float


def limits_of(planned: Planned) -> tuple[Limit, ...]:
    """Reckon what more of each limit would be worth, the most valuable first.

    Parameters
    ----------
    planned : the plan

    Returns
    -------
    Every limit that the house has; worth 0 or nearly so where it does not bind in these hours. A
    loss can only be noise: more room asks nobody to use it, so it is told as 0.
    """
    drive = planned.weathers.checked.some(slice(0, WEATHERS))
    plans = variants(planned)
    least = best_of(planned.plant, drive, plans, planned.state)
    found = []
    for raised in raised_limits(planned, drive):
        most = best_of(raised.plant, raised.drive, plans, raised.state)
        found.append(replace(raised.limit, money=max(0.0, more_money(raised, most, least))))
    return tuple(sorted(found, key=lambda limit: -limit.money))


def more_money(raised: Raised, most: Best, least: Best) -> float:
    """What a raised limit brings against the best without; a wider membrane that stands, nothing.

    What is left over would count as worth more with it, though nobody start it.
    """
    runs = bool((most.runs.totals[..., at.MEMBRANE_S] > 0.0).any())
    return most.money - least.money if runs or raised.limit.more_elements is None else 0.0


def best_of(plant: Plant, drive: Drive, plans: Floats, state: Floats) -> Best:
    """Return the plan of some that is worth most to the maker.

    The charge for a crowded sap tank is the search's own and no money of the maker's: left out.
    """
    runs = run_many(plant, drive, plans, state)
    crowding = worth_lines(plant, runs.totals, runs.states).crowding.mean(axis=1)
    money = values_of(plant, runs) - crowding
    k = int(np.argmax(money))
    return Best(k, Results(runs.states[k : k + 1], runs.totals[k : k + 1]), float(money[k]))


def variants(planned: Planned) -> Floats:
    """Return the plan; with fires that burn as long as they find feed; with other settings."""
    plan, flows = planned.plan, planned.menu.flows_m3_s
    plans = [plan]
    longer = plan.copy()
    longer[longer[:, at.FIRE_START] >= 0.0, at.FIRE_STOP] = of.END_OF_DAY
    plans.append(longer)
    if planned.state[at.WOOD_M3] < least_wood_m3(planned.plant.p):
        plans.append(planned.habit)  # without wood a plan has no fire that more of it could serve
    if planned.menu.membrane:
        for by in (-1, 1):
            other = longer.copy()
            for day in range(len(plan)):
                now = int(np.argmin(np.abs(flows - plan[day, at.MEMBRANE_FLOW_M3_S])))
                flow_m3_s = flows[min(max(now + by, 0), len(flows) - 1)]
                other[day, at.MEMBRANE_FLOW_M3_S] = flow_m3_s
                if other[day, at.NIGHT_FLOW_M3_S] > 0.0:
                    other[day, at.NIGHT_FLOW_M3_S] = flow_m3_s
            plans.append(other)
    return np.unique(np.stack(plans), axis=0)


def raised_limits(planned: Planned, drive: Drive) -> list[Raised]:
    """Return the house of a plan with each limit that it has raised, one by one."""
    plant, state = planned.plant, planned.state
    us = plant.house.site.units == "us"
    more_m3 = from_unit(50.0 if us else 200.0, VOLUME, "gal" if us else "L")
    tanks = [("sap tank", at.SAP_CAPACITY_M3)]
    if plant.p[at.HAS_MEMBRANE] > 0.0:
        tanks += [("stock tank", at.STOCK_CAPACITY_M3), ("permeate tank", at.PERMEATE_CAPACITY_M3)]
    found = [
        Raised(_limit(what, more_m3=more_m3), _with(plant, place, more_m3), drive, state)
        for what, place in tanks
    ]
    found += _elements(planned, drive)
    evening = _evening(planned, drive)
    if evening is not None:
        found.append(Raised(_limit("evening hour", more_s=HOUR_S), plant, evening, state))
    wood_m3 = from_unit(1.0, WOOD, "cord" if us else "stere")
    stacked = state.copy()
    stacked[at.WOOD_M3] += wood_m3
    found.append(Raised(_limit("wood", more_m3=wood_m3), plant, drive, stacked))
    return found


def _limit(
    what: str,
    more_m3: float | None = None,
    more_s: float | None = None,
    more_elements: int | None = None,
) -> Limit:
    return Limit(what, more_m3, more_s, more_elements, 0.0)


def _with(plant: Plant, place: int, more: float) -> Plant:
    p = plant.p.copy()
    p[place] += more
    return replace(plant, p=p)


def _elements(planned: Planned, drive: Drive) -> list[Raised]:
    """One more pressure vessel beside those there; its map is fitted once and kept."""
    house, membrane = planned.plant.house, planned.plant.house.membrane
    if membrane is None:
        return []
    wider = replace(membrane, in_parallel=membrane.in_parallel + 1)
    plant = assemble(replace(house, membrane=wider), planned.plant.step_s)
    limit = _limit("membrane elements", more_elements=membrane.in_series)
    return [Raised(limit, plant, drive, planned.state)]


def _evening(planned: Planned, drive: Drive) -> Drive | None:
    """The same weathers with somebody there an hour longer this evening."""
    calendar = drive.calendar.copy()
    today = np.flatnonzero(
        (calendar[:, at.DAY] == calendar[0, at.DAY]) & (calendar[:, at.PEOPLE] > 0.0)
    )
    if not len(today):
        return None
    last = int(today[-1])
    longer = slice(last + 1, last + 1 + int(HOUR_S / planned.plant.step_s))
    calendar[longer, at.PEOPLE] = np.maximum(1.0, calendar[longer, at.PEOPLE])
    calendar[longer, at.HOUR_MONEY_S] = calendar[last, at.HOUR_MONEY_S]
    stay_s = staying_s(calendar[:, at.PEOPLE] > 0.0, planned.plant.step_s)
    # Beyond the drive's end people may stay on, as the calendar knew.
    calendar[:, at.STAY_S] = np.maximum(calendar[:, at.STAY_S], stay_s)
    return replace(drive, calendar=calendar)
