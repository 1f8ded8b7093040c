"""What can be decided: for each day a few choices, each from a short list of plain values.

A plan is a table of whole numbers (day, choice) that point into these lists; :func:`rows` turns
such tables into the rows that the simulator works by. Times are offered only while somebody is
there, on the half hour; settings and gauges on a coarse scale, since the best is flat and a person
must follow it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.calendar import Flags, begin_stay_s, light_stay_s
from sugarwright.plant.house import House
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats
from sugarwright.units import FLOW, VOLUME, from_unit, to_unit

Picks = NDArray[np.int64]

Move = tuple[tuple[int, int], ...]
"""Choices of one day, each with the option that it is changed to."""

Force = Callable[[Floats], Floats]
"""From plans (plans, days, ``PLAN_WIDTH``) to new ones in which what is settled stands."""

(
    START, SAP_GAUGE, SAP_CALL, FLOW_SET, STOP, NIGHT, AGAIN, WASH, WASH_AFTER, LIGHT, STOCK_GAUGE,
    STOCK_CALL, BURN, CALL_FLOW, GATHER,
) = range(15)  # fmt: skip
STARTS = (at.MEMBRANE_START, at.WASH_AT, at.FIRE_START)  # of a row: hours at which to begin
HOURS = (*STARTS, at.GATHER_START)  # and that from which trips for sap begin
NOT = -1.0
WHENEVER = 0.0  # of trips for sap: as soon as they are worth it
END_OF_DAY = 1440.0
GRID_MIN = 30
LEAST_RUN_S = 3600.0  # nobody starts the membrane for less: common practice, no source
WASH_LEAST_RUN_S = (
    3.0 * 3600.0
)  # a wash is not worth its permeate before: common practice, no source
BURN_HOURS = (2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 24.0)
SAP_GAUGES = (0.1, 0.15, 0.2, 0.35, 0.5)
STOPS_MIN = (9 * 60.0, 12 * 60.0, 15 * 60.0, 17 * 60.0, 19 * 60.0)  # before a fire on one circuit
STOCK_GAUGES = (0.0, 0.2, 0.35, 0.5, 0.65, 0.8)
CALLS = (0.95, 0.8, 0.6)  # of a tank: with so much nobody waits for the clock
AGAIN_BRIX = (6.0, 8.0)  # to which concentrate may be passed through the membrane again
LEAST_FEED_S = 1800.0  # of boiling that must wait in the tank: nobody lights for less (judgement)
FLOW_SETTINGS = 8


@dataclass(frozen=True)
class Menu:
    """The lists to choose from. The house's present way of working is among them.

    Parameters
    ----------
    starts, lights, washes : for each day, the clock minutes on offer; the first is "not today"
    gathers : from which trips for sap begin; the first is "whenever they are worth it". Empty where
        none are made, or their hour is left open
    flows_m3_s, nights_m3_s : concentrate settings by day and by night (0: off)
    agains_brix : strengths to which stock is passed through the membrane again (0: not)
    stops_min : clock minutes at which the membrane is stopped at the latest; the first is midnight
    wash_afters_s : running time of the membrane below which a wash is left out
    sap_gauges_m3, stock_gauges_m3 : levels that a start waits for
    sap_calls_m3, stock_calls_m3 : levels that call for a start at any hour; the first is never
    call_flows_m3_s : settings from the sap tank's call on; the first (0) leaves the day's
    burns_min : how long a fire is kept at most
    membrane : whether the house has one
    """

    starts: tuple[Floats, ...]
    lights: tuple[Floats, ...]
    washes: tuple[Floats, ...]
    gathers: tuple[Floats, ...]
    flows_m3_s: Floats
    nights_m3_s: Floats
    agains_brix: Floats
    stops_min: Floats
    wash_afters_s: Floats
    sap_gauges_m3: Floats
    stock_gauges_m3: Floats
    sap_calls_m3: Floats
    stock_calls_m3: Floats
    call_flows_m3_s: Floats
    burns_min: Floats
    membrane: bool

    @property
    def choices(self) -> int:
        """How many choices a day has here: no house draws lots for what it cannot decide."""
        return (GATHER if self.gathers else CALL_FLOW) + 1

    @property
    def days(self) -> int:
        """Number of local days that the plan touches."""
        return len(self.lights)

    def pairs(self, day: int) -> list[Move]:
        """List what pays only together: a fire for its hour's sake, and trips before it or after.

        One person alone does one of the two at a time.
        """
        if not self.gathers:
            return []
        last = len(self.gathers[day]) - 1
        lights = range(1, len(self.lights[day]))
        return [((LIGHT, light), (GATHER, when)) for light in lights for when in sorted({0, last})]

    def sizes(self) -> Picks:
        """How many options each choice has, (days, choices)."""
        sizes = np.ones((self.days, self.choices), dtype=np.int64)
        sizes[:, STOCK_GAUGE] = len(self.stock_gauges_m3)
        sizes[:, STOCK_CALL] = len(self.stock_calls_m3)
        sizes[:, BURN] = len(self.burns_min)
        sizes[:, LIGHT] = [len(times) for times in self.lights]
        if self.gathers:
            sizes[:, GATHER] = [len(times) for times in self.gathers]
        if self.membrane:
            sizes[:, START] = [len(times) for times in self.starts]
            sizes[:, WASH] = [len(times) for times in self.washes]
            sizes[:, SAP_GAUGE] = len(self.sap_gauges_m3)
            sizes[:, SAP_CALL] = len(self.sap_calls_m3)
            sizes[:, FLOW_SET] = len(self.flows_m3_s)
            sizes[:, CALL_FLOW] = len(self.call_flows_m3_s)
            sizes[:, STOP] = len(self.stops_min)
            sizes[:, NIGHT] = len(self.nights_m3_s)
            sizes[:, AGAIN] = len(self.agains_brix)
            sizes[:, WASH_AFTER] = len(self.wash_afters_s)
        return sizes


def make_menu(plant: Plant, drive: Drive, state: Floats) -> Menu:
    """List what this house could do on the days of a run.

    Parameters
    ----------
    plant : the house
    drive : of the run; its first step is now
    state : of the plant now: what runs may go on
    """
    p, habit = plant.p, habit_rows(plant, 1)[0]
    us = plant.house.site.units == "us"
    feed_m3 = p[at.STOCK_CAPACITY_M3] if p[at.HAS_MEMBRANE] > 0.0 else p[at.SAP_CAPACITY_M3]
    least_feed_m3 = p[at.RESERVE_M3] + plant.house.pan.boil_rate_m3_s * LEAST_FEED_S
    flows = _flows(plant, habit)
    boiling_s = p[at.CLEAR_S] + p[at.LEAST_BURN_S]
    washing_s = max(p[at.WASH_DURATION_S], p[at.STEP_S])
    calendar, lit = drive.calendar, state[at.FIRE_ON] > 0.0
    return Menu(
        starts=_times(calendar, LEAST_RUN_S, habit[at.MEMBRANE_START], state[at.MEMBRANE_ON] > 0.0),
        lights=_times(calendar, boiling_s, habit[at.FIRE_START], lit, light_stay_s(calendar)),
        washes=_times(calendar, washing_s, habit[at.WASH_AT]),
        gathers=_gathers(plant, calendar),
        flows_m3_s=flows,
        nights_m3_s=np.append(0.0, flows) if p[at.UNATTENDED] > 0.0 else np.zeros(1),
        agains_brix=_agains(plant),
        stops_min=_stops(plant, habit),
        wash_afters_s=_with(np.array([WASH_LEAST_RUN_S]), habit[at.WASH_AFTER_S]),
        sap_gauges_m3=_with(
            _plain_volumes(1.2 * p[at.LEAST_SAP_M3], p[at.SAP_CAPACITY_M3], SAP_GAUGES, us),
            habit[at.MEMBRANE_SAP_M3],
        ),
        stock_gauges_m3=_with(
            _plain_volumes(least_feed_m3, feed_m3, STOCK_GAUGES, us), habit[at.FIRE_STOCK_M3]
        ),
        sap_calls_m3=_calls(p[at.SAP_CAPACITY_M3], us),
        stock_calls_m3=_calls(feed_m3, us),
        call_flows_m3_s=np.append(0.0, flows[len(flows) // 2 :]),
        burns_min=_with(60.0 * np.array(BURN_HOURS), burn_min(habit)),
        membrane=p[at.HAS_MEMBRANE] > 0.0,
    )


def has_trips(house: House) -> bool:
    """Tell whether somebody fetches sap by hand."""
    return any(each.way == "trips" for each in house.gathering)


def _gathers(plant: Plant, calendar: Floats) -> tuple[Floats, ...]:
    """Half hours at which somebody will stay for a trip; "whenever" stands before them."""
    if not has_trips(plant.house):
        return ()
    trips = (each.trips for each in plant.house.gathering if each.trips is not None)
    times = _times(calendar, min(each.duration_s for each in trips), NOT)
    return tuple(np.append(WHENEVER, each[each > WHENEVER]) for each in times)


def burn_min(row: Floats) -> float:
    """How long the fire of a plan's row is kept at most, minutes."""
    return float((row[at.FIRE_STOP] - row[at.FIRE_START]) % END_OF_DAY or END_OF_DAY)


def _with(options: Floats, own: float) -> Floats:
    """Options in order, and one more unless it is there already."""
    known = np.isclose(options, own, rtol=1e-9, atol=0.0).any()
    found: Floats = options if known else np.sort(np.append(options, own))
    return found


def _calls(capacity_m3: float, us: bool) -> Floats:
    """Never, and then from the fullest down, in fives of gallons or litres as far as that goes."""
    unit = "gal" if us else "L"
    levels = to_unit(capacity_m3, VOLUME, unit) * np.array(CALLS)
    plain = np.where(levels > 20.0, 5.0 * np.floor(levels / 5.0), levels)
    return np.append(0.0, [from_unit(float(level), VOLUME, unit) for level in plain])


def _times(
    calendar: Floats,
    stay_s: float,
    own_min: float,
    running: bool = False,
    staying_s: Floats | None = None,
) -> tuple[Floats, ...]:
    """Half hours of each local day at which somebody will stay for a while, and the habit's time.

    The first entry of each is "not today". What runs already may go on from now. Whoever is there
    only to end what runs begins nothing.
    """
    found = []
    days, minutes = calendar[:, at.DAY], calendar[:, at.MINUTE]
    there = (begin_stay_s(calendar) if staying_s is None else staying_s) >= stay_s
    offered = there & ((minutes % GRID_MIN == 0.0) | (minutes == own_min))
    offered[0] = there[0] or running
    for day in np.unique(days):
        found.append(np.append(NOT, np.unique(minutes[(days == day) & offered])))
    return tuple(found)


def _flows(plant: Plant, habit: Floats) -> Floats:
    membrane = plant.house.membrane
    if membrane is None:
        return np.zeros(1)
    unit = "gal/min" if plant.house.site.units == "us" else "L/min"
    flows = _plain_flows(membrane.least_flow_m3_s, membrane.most_flow_m3_s, unit)
    return _with(flows, habit[at.MEMBRANE_FLOW_M3_S])


def _agains(plant: Plant) -> Floats:
    """Strengths within the membrane's map, where the house can pass concentrate again."""
    if plant.membrane_map is None or plant.p[at.MAY_PASS_AGAIN] <= 0.0:
        return np.zeros(1)
    most_brix = plant.membrane_map.brix[1]
    return np.append(0.0, np.unique(np.minimum(AGAIN_BRIX, np.floor(most_brix))))


def _stops(plant: Plant, habit: Floats) -> Floats:
    """Midnight first: whoever leaves stops a membrane that may not run alone.

    An earlier hour is offered where membrane and blower share a circuit, or where the house stops
    earlier today.
    """
    own = habit[at.MEMBRANE_STOP]
    earlier = set(STOPS_MIN if plant.p[at.NOT_WITH_FIRE] > 0.0 else ())
    earlier |= {own} if 0.0 < own < END_OF_DAY else set()
    return np.append(END_OF_DAY, sorted(earlier))


def _plain_flows(least_m3_s: float, most_m3_s: float, unit: str) -> Floats:
    """Settings from least to most in even ratios, rounded to what a flow meter shows."""
    ends = np.geomspace(
        to_unit(least_m3_s, FLOW, unit), to_unit(most_m3_s, FLOW, unit), FLOW_SETTINGS
    )
    digits = 2 if unit == "gal/min" else 1
    plain = np.unique(np.round(ends, digits))
    inside = [from_unit(float(value), FLOW, unit) for value in plain]
    clipped: Floats = np.clip(np.array(inside), least_m3_s, most_m3_s)
    return clipped


def _plain_volumes(
    least_m3: float, capacity_m3: float, fractions: tuple[float, ...], us: bool
) -> Floats:
    """Gauge levels at parts of a tank, at least a given one, rounded to five gallons or litres."""
    unit = "gal" if us else "L"
    levels = []
    for fraction in fractions:
        wanted = to_unit(max(least_m3, fraction * capacity_m3), VOLUME, unit)
        nearest = 5.0 * np.ceil(wanted / 5.0) if wanted > 10.0 else np.ceil(wanted)
        levels.append(from_unit(float(nearest), VOLUME, unit))
    plain: Floats = np.unique(np.minimum(np.array(levels), 0.95 * capacity_m3))
    return plain


#: What a choice decides only if one of others is taken (their first options mean "not today").
_DEPENDS = {
    SAP_GAUGE: (START, SAP_CALL), FLOW_SET: (START, SAP_CALL), STOP: (START, SAP_CALL),
    AGAIN: (START, SAP_CALL), CALL_FLOW: (SAP_CALL,),
    WASH_AFTER: (WASH,), STOCK_GAUGE: (LIGHT, STOCK_CALL), BURN: (LIGHT,),
}  # fmt: skip


def without_idle(picks: Picks) -> Picks:
    """Set choices that a plan never comes to, such as the gauge of a fire not lit, to their first.

    Plans that differ in nothing else are one plan, and are judged once.

    Parameters
    ----------
    picks : (..., days, choices)
    """
    plain = picks.copy()
    for choice, needed in _DEPENDS.items():
        idle = (picks[..., list(needed)] == 0).all(axis=-1)
        plain[..., choice] = np.where(idle, 0, picks[..., choice])
    return plain


def all_changed(picks: Picks, day: int, moves: Sequence[Move]) -> Picks:
    """Return picks for each of some moves of a day, (moves, days, choices)."""
    trials = np.repeat(picks[np.newaxis], len(moves), axis=0)
    for trial, move in zip(trials, moves, strict=True):
        for choice, option in move:
            trial[day, choice] = option
    return without_idle(trials)


def changed(picks: Picks, day: int, choice: int, option: int) -> Picks:
    """Return picks with one choice changed."""
    found: Picks = all_changed(picks, day, [((choice, option),)])[0]
    return found


def asks_for_hour(column: int, minutes: Floats) -> Flags:
    """Tell which entries of a column of clock times in a plan's rows name an hour."""
    asks: Flags = minutes > WHENEVER if column == at.GATHER_START else minutes >= 0.0
    return asks


def rows(menu: Menu, picks: Picks, force: Force | None = None) -> Floats:
    """Turn tables of picks into plans that the simulator can work by.

    Parameters
    ----------
    menu : the lists
    picks : (plans, days, choices)
    force : puts what is settled in the place of whatever a plan has there

    Returns
    -------
    (plans, days, ``PLAN_WIDTH``)
    """
    plans = np.zeros((*picks.shape[:2], at.PLAN_WIDTH))  # 0 of trips for sap: ``WHENEVER``
    for d in range(menu.days):
        pick = picks[:, d]
        light = menu.lights[d][pick[:, LIGHT]]
        plans[:, d, at.FIRE_START] = light
        stop = np.minimum(END_OF_DAY, light + menu.burns_min[pick[:, BURN]])
        plans[:, d, at.FIRE_STOP] = np.where(light < 0.0, END_OF_DAY, stop)
        plans[:, d, at.MEMBRANE_START] = menu.starts[d][pick[:, START]] if menu.membrane else NOT
        plans[:, d, at.WASH_AT] = menu.washes[d][pick[:, WASH]] if menu.membrane else NOT
        if menu.gathers:
            plans[:, d, at.GATHER_START] = menu.gathers[d][pick[:, GATHER]]
    plans[..., at.FIRE_STOCK_M3] = menu.stock_gauges_m3[picks[..., STOCK_GAUGE]]
    plans[..., at.PASS_AGAIN_BRIX] = menu.agains_brix[picks[..., AGAIN]]
    plans[..., at.FIRE_CALL_M3] = menu.stock_calls_m3[picks[..., STOCK_CALL]]
    plans[..., at.MEMBRANE_CALL_M3] = menu.sap_calls_m3[picks[..., SAP_CALL]]
    plans[..., at.MEMBRANE_STOP] = menu.stops_min[picks[..., STOP]]
    plans[..., at.WASH_AFTER_S] = menu.wash_afters_s[picks[..., WASH_AFTER]]
    plans[..., at.MEMBRANE_SAP_M3] = menu.sap_gauges_m3[picks[..., SAP_GAUGE]]
    plans[..., at.MEMBRANE_FLOW_M3_S] = menu.flows_m3_s[picks[..., FLOW_SET]]
    plans[..., at.CALL_FLOW_M3_S] = menu.call_flows_m3_s[picks[..., CALL_FLOW]]
    plans[..., at.NIGHT_FLOW_M3_S] = menu.nights_m3_s[picks[..., NIGHT]]
    return plans if force is None else force(plans)


def habit_rows(plant: Plant, days: int) -> Floats:
    """The house's present way of working, the same every day, (days, ``PLAN_WIDTH``)."""
    habit, membrane = plant.house.habit, plant.house.membrane
    row = np.zeros(at.PLAN_WIDTH)
    row[at.MEMBRANE_START] = row[at.WASH_AT] = NOT
    if membrane is not None:
        row[at.MEMBRANE_START] = habit.membrane_start
        row[at.MEMBRANE_SAP_M3] = habit.membrane_sap_m3
        row[at.MEMBRANE_FLOW_M3_S] = min(
            max(habit.concentrate_flow_m3_s, membrane.least_flow_m3_s), membrane.most_flow_m3_s
        )
        row[at.MEMBRANE_STOP] = habit.membrane_stop
        row[at.WASH_AT] = habit.wash_at
        row[at.WASH_AFTER_S] = habit.wash_after_s
    row[at.FIRE_START] = habit.fire_start
    row[at.FIRE_STOCK_M3] = habit.fire_stock_m3
    row[at.FIRE_STOP] = habit.fire_stop
    return np.tile(row, (days, 1))
