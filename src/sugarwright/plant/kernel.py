"""The simulator's kernel: one house, many runs of a plan in a weather, step by step.

Plain Python that runs as it stands (slowly) and is compiled by ``plant/simulate.py``. A step begins
with decisions; then flows run, cut wherever a tank gets full, runs out or reaches the pan's
reserve, and wherever syrup is drawn; then everything ages. Water and sugar are only moved. A run
that would end as one before it is not run (``plant/asked.py``).
"""

from __future__ import annotations

import math

import numpy as np

from sugarwright.physics.keeping import growth_rate_per_s
from sugarwright.plant import layout as at
from sugarwright.plant.alike import Alike
from sugarwright.plant.asked import forget, stands_for
from sugarwright.plant.decisions import decide
from sugarwright.plant.fire_decisions import feed_tank
from sugarwright.plant.hands import charge
from sugarwright.plant.membrane_decisions import (
    end_of_sap,
    flow_now_m3_s,
    least_to_pass_m3,
    stock_may_pass,
    stop_membrane,
)
from sugarwright.plant.membrane_kernel import Streams, membrane_feed, membrane_streams
from sugarwright.plant.pan_kernel import (
    boil,
    burn,
    is_lit,
    pan_sugar_kg,
    reserve_now_m3,
    rest_pan,
    until_safe_s,
)
from sugarwright.plant.plan_clock import row_of
from sugarwright.plant.tank_kernel import (
    CLOSE_M3,
    Counts,
    Floats,
    life_used,
    mixed_m3,
    pour_in,
    seconds_to_level,
    skim_overflow,
    sugar_fraction,
    take_out,
    volume_m3,
)
from sugarwright.plant.unowned import unowned

MOST_PARTS = 200
SOONEST_S = 1.0  # an event that is only estimated is met within this
SHORTEST_S = 1e-3  # the shortest part: no more than a few follow each other
NO_WOOD_M3 = 1e-9
BOILING_J_KG = 2.6e6  # warming feed and boiling it: only to foresee when the reserve is reached
DRAWS_AT_ONCE = 5.0  # more than a rich pan gives within a step
CELLS_MOST = 1e6
WARMEST_C = 30.0  # the laws of growth and of the membrane are not asked beyond


def run_block(
    p: Floats,
    points: Floats,
    map_coefficients: Floats,
    calendar: Floats,
    air_c: Floats,
    sap_kg_s: Floats,
    plans: Floats,
    runs: Counts,
    states: Floats,
    totals: Floats,
    traces: Floats,
    alike: Alike,
    first: int,
    last: int,
    share: int,
    shares: int,
) -> None:
    """Run plans in weathers, steps ``first`` to ``last`` (excluded).

    Parameters
    ----------
    p, points : parameters of the house and of its gathering points (``layout``)
    map_coefficients : the membrane's operating map
    calendar : (steps, ``CALENDAR_WIDTH``)
    air_c : (scenarios, hours) air temperature, °C
    sap_kg_s : (scenarios, hours, points, 2) water and sugar from the trees, kg/s
    plans : (plans, days, ``PLAN_WIDTH``), the first row being the local day of the first step
    runs : (runs, 2), each a plan and a weather
    states, totals : (runs, ...); **changed in place**
    traces : (runs, steps, ``TRACE_WIDTH``), changed in place; no steps: no trace
    alike : which runs may stand for others, see ``plant/alike.py``; changed in place
    first, last : steps
    share, shares : only every ``shares``-th group of runs is run, from that of number ``share`` on:
        groups that stand together are alike, so that shares cut this way take equally long
    """
    p, points, map_coefficients = unowned(p), unowned(points), unowned(map_coefficients)
    calendar, air_c, sap_kg_s = unowned(calendar), unowned(air_c), unowned(sap_kg_s)
    plans, runs, states, totals = unowned(plans), unowned(runs), unowned(states), unowned(totals)
    traces = unowned(traces)
    groups, latest, earlier = unowned(alike[0]), unowned(alike[1]), unowned(alike[2])
    asked, ends_as = unowned(alike[3]), unowned(alike[4])
    kept, plan_day = asked.shape[0] - runs.shape[0], int(calendar[0, at.DAY])
    today = row_of(plans[0], plan_day, calendar[first, at.DAY]) if first < last else 0
    work = unowned(np.zeros(3 * at.MAX_COMPARTMENTS))
    for r in range(runs.shape[0]):
        if groups[r] % shares != share:
            continue
        c, s = runs[r, 0], runs[r, 1]
        ends_as[r] = _found(latest[groups[r]], earlier, asked, plans[c, today])
        if ends_as[r] >= 0:
            continue
        ends_as[r], earlier[kept + r] = kept + r, latest[groups[r]]
        latest[groups[r]] = kept + r
        forget(asked[kept + r])
        x, y = states[r], totals[r]
        for k in range(first, last):
            hour = int(calendar[k, at.HOUR])
            _one_step(
                p, points, map_coefficients, calendar[k], air_c[s, hour], sap_kg_s[s, hour],
                plans[c], plan_day, asked[kept + r], x, y, work, k * p[at.STEP_S],
            )  # fmt: skip
            if traces.shape[1] > 0:
                _record(p, x, y, traces[r, k])


def _found(one: int, earlier: Counts, asked: Floats, row: Floats) -> int:
    """Return the number of the run that stands for a row, or -1.

    Parameters
    ----------
    one : number of the latest run of the row's group, or -1
    earlier : (runs,) the one of its group before each
    asked : (runs, 2, ``PLAN_WIDTH``), their notes
    row : of a plan, (``PLAN_WIDTH``,)
    """
    while one >= 0 and not stands_for(asked[one], row):
        one = earlier[one]
    return one


def _one_step(
    p: Floats,
    points: Floats,
    map_coefficients: Floats,
    row: Floats,
    air_c: float,
    sap_kg_s: Floats,
    plan: Floats,
    plan_day: int,
    asked: Floats,
    x: Floats,
    y: Floats,
    work: Floats,
    now_s: float,
) -> None:
    """Decide, let things flow, age."""
    decide(p, points, x, y, plan, plan_day, asked, row, air_c, now_s)
    flow_m3_s = 0.0
    if x[at.MEMBRANE_ON] > 0.0:
        flow_m3_s = flow_now_m3_s(p, x, plan, plan_day, asked, row)
    _flow(p, points, map_coefficients, row, air_c, sap_kg_s, flow_m3_s, x, y, work, now_s)
    _age(p, x, y, air_c)


def _flow(
    p: Floats,
    points: Floats,
    map_coefficients: Floats,
    row: Floats,
    air_c: float,
    sap_kg_s: Floats,
    flow_m3_s: float,
    x: Floats,
    y: Floats,
    work: Floats,
    now_s: float,
) -> None:
    """Let one step's flows run, in parts that end at events."""
    if _is_quiet(p, points, sap_kg_s, x):
        _gather(p, points, sap_kg_s, air_c, x, y, row, p[at.STEP_S])
        y[at.SAP_PEAK_M3] = max(y[at.SAP_PEAK_M3], volume_m3(p, x, at.SAP))
        return
    streams = membrane_streams(p, map_coefficients, x, flow_m3_s)
    feed = feed_tank(p)
    left_s = p[at.STEP_S]
    for part in range(1, MOST_PARTS + 1):
        part_s = left_s
        if part < MOST_PARTS:
            part_s = _until_event(p, points, sap_kg_s, x, streams, feed, left_s)
        at_s = now_s + p[at.STEP_S] - left_s
        _gather(p, points, sap_kg_s, air_c, x, y, row, part_s)
        if x[at.MEMBRANE_ON] > 0.0:
            _concentrate(p, x, y, streams, part_s)
        _tend_fire(p, x, y, work, row, feed, part_s, at_s)
        left_s -= part_s
        _spill(p, points, x, y, at_s + part_s)
        _stop_at_gauges(p, points, x, y, row, feed, at_s + part_s)
        if left_s <= 1e-6:
            return


def _is_quiet(p: Floats, points: Floats, sap_kg_s: Floats, x: Floats) -> bool:
    """Tell whether nothing runs but sap into tanks that have room: most of the night.

    Nothing can then happen inside the step, and all that looks for events is left out.
    """
    if x[at.MEMBRANE_ON] > 0.0 or x[at.FIRE_ON] > 0.0 or x[at.HEAT_W] > 0.0:
        return False
    sap_m3 = volume_m3(p, x, at.SAP)
    for g in range(int(p[at.POINTS])):
        come_m3 = mixed_m3(p, sap_kg_s[g, 0], sap_kg_s[g, 1]) * p[at.STEP_S]
        if points[g, at.OWN_TANK] <= 0.0:
            sap_m3 += come_m3
            continue
        tank = at.GATHERED + g * at.POINT_WIDTH
        full_m3 = points[g, at.POINT_CAPACITY_M3] - CLOSE_M3
        if x[tank + at.EMPTYING] > 0.0 or volume_m3(p, x, tank) + come_m3 >= full_m3:
            return False
    return sap_m3 < p[at.SAP_CAPACITY_M3] - CLOSE_M3


def _tend_fire(
    p: Floats,
    x: Floats,
    y: Floats,
    work: Floats,
    row: Floats,
    feed: int,
    part_s: float,
    now_s: float,
) -> None:
    """Burn and boil; somebody stands there while the pan is lit."""
    if is_lit(p, x):
        y[at.FIRE_S] += part_s
        charge(y, row, part_s)
        if row[at.PEOPLE] <= 0.0:
            y[at.LIT_ALONE_S] += part_s
    heat_w = burn(p, x, y, part_s)
    if heat_w > 0.0:
        boil(p, x, y, work, row, feed, heat_w, part_s, now_s)


def _until_event(
    p: Floats,
    points: Floats,
    sap_kg_s: Floats,
    x: Floats,
    streams: Streams,
    feed: int,
    left_s: float,
) -> float:
    """Time until the next thing that changes the flows, at most what is left of the step, s."""
    part_s, sap_m3_s = _points_event(p, points, sap_kg_s, x, left_s)
    stock_m3_s = 0.0
    if x[at.MEMBRANE_ON] > 0.0:
        stock_m3_s = mixed_m3(p, streams[4], streams[5])
        permeate_m3_s = mixed_m3(p, streams[2], streams[3])
        if membrane_feed(x) == at.SAP:
            sap_m3_s -= mixed_m3(p, streams[0], streams[1])
            part_s = min(part_s, _seconds(p, x, at.SAP, p[at.LEAST_SAP_M3], sap_m3_s))
        else:
            stock_m3_s -= mixed_m3(p, streams[0], streams[1])
            part_s = min(part_s, _seconds(p, x, at.STOCK, least_to_pass_m3(p), stock_m3_s))
        part_s = min(
            part_s,
            _seconds(p, x, at.STOCK, p[at.STOCK_CAPACITY_M3], stock_m3_s),
            _seconds(p, x, at.PERMEATE, p[at.PERMEATE_CAPACITY_M3], permeate_m3_s),
        )
    if x[at.FIRE_ON] > 0.0:
        part_s = min(part_s, x[at.WOOD_M3] / p[at.FUEL_M3_S])
        boiled_m3_s = x[at.HEAT_W] / BOILING_J_KG * p[at.WATER_M3_KG]
        sap_m3_s -= boiled_m3_s if feed == at.SAP else 0.0
        feed_m3_s = sap_m3_s if feed == at.SAP else stock_m3_s - boiled_m3_s
        if p[at.RESERVE_M3] > 0.0:  # else it burns until somebody says: no level stops it
            part_s = min(part_s, _until_reserve_s(p, x, feed, feed_m3_s, left_s))
    part_s = min(
        part_s, until_safe_s(p, x), _seconds(p, x, at.SAP, p[at.SAP_CAPACITY_M3], sap_m3_s)
    )
    return min(left_s, max(part_s, SHORTEST_S))


def _until_reserve_s(p: Floats, x: Floats, feed: int, feed_m3_s: float, left_s: float) -> float:
    """Time for which the pan may run before its feed is looked at again, s."""
    reserve_m3 = reserve_now_m3(p, x)
    until_s = max(_seconds(p, x, feed, reserve_m3, feed_m3_s), SOONEST_S)
    draws_m3 = DRAWS_AT_ONCE * p[at.DRAW_KG] * p[at.WATER_M3_KG]
    if volume_m3(p, x, feed) + feed_m3_s * left_s < reserve_m3 + draws_m3:
        return min(until_s, p[at.BOIL_STEP_S])  # draws take feed too: look after each
    return until_s


def _points_event(
    p: Floats, points: Floats, sap_kg_s: Floats, x: Floats, left_s: float
) -> tuple[float, float]:
    """Time until a gathering tank is full or emptied, and the flow into the sap tank, m³/s."""
    part_s, sap_m3_s = left_s, 0.0
    for g in range(int(p[at.POINTS])):
        tank = at.GATHERED + g * at.POINT_WIDTH
        run_m3_s = mixed_m3(p, sap_kg_s[g, 0], sap_kg_s[g, 1])
        if points[g, at.OWN_TANK] <= 0.0:
            sap_m3_s += run_m3_s
            continue
        if x[tank + at.EMPTYING] > 0.0:
            sap_m3_s += points[g, at.EMPTYING_M3_S]
            run_m3_s -= points[g, at.EMPTYING_M3_S]
            part_s = min(part_s, _seconds(p, x, tank, points[g, at.POINT_DEAD_M3], run_m3_s))
        part_s = min(part_s, _seconds(p, x, tank, points[g, at.POINT_CAPACITY_M3], run_m3_s))
    return part_s, sap_m3_s


def _seconds(p: Floats, x: Floats, tank: int, level_m3: float, rate_m3_s: float) -> float:
    return seconds_to_level(volume_m3(p, x, tank), level_m3, rate_m3_s)


def _gather(
    p: Floats,
    points: Floats,
    sap_kg_s: Floats,
    air_c: float,
    x: Floats,
    y: Floats,
    row: Floats,
    part_s: float,
) -> None:
    """Bring sap from the trees to the gathering tanks, and from those to the sap tank."""
    sap_c = min(max(0.0, air_c), WARMEST_C)
    for g in range(int(p[at.POINTS])):
        water_kg, sugar_kg = sap_kg_s[g, 0] * part_s, sap_kg_s[g, 1] * part_s
        y[at.SAP_WATER_KG] += water_kg
        y[at.SAP_SUGAR_KG] += sugar_kg
        if points[g, at.OWN_TANK] <= 0.0:
            pour_in(x, at.SAP, water_kg, sugar_kg, 1.0, sap_c)
            continue
        tank = at.GATHERED + g * at.POINT_WIDTH
        pour_in(x, tank, water_kg, sugar_kg, 1.0, sap_c)
        if x[tank + at.EMPTYING] > 0.0:
            _empty_point(p, points[g], x, tank, part_s)
            if points[g, at.BY_HAND] > 0.0:
                charge(y, row, part_s)
            else:
                y[at.ELECTRICITY_J] += points[g, at.PUMP_W] * part_s


def _empty_point(p: Floats, point: Floats, x: Floats, tank: int, part_s: float) -> None:
    """Move sap from a gathering tank to the sap tank."""
    held_m3 = volume_m3(p, x, tank)
    moved_m3 = min(point[at.EMPTYING_M3_S] * part_s, held_m3 - point[at.POINT_DEAD_M3])
    if moved_m3 > 0.0:
        held_kg = x[tank + at.WATER] + x[tank + at.SUGAR]
        water_kg, sugar_kg = take_out(x, tank, moved_m3 / held_m3 * held_kg)
        pour_in(x, at.SAP, water_kg, sugar_kg, x[tank + at.CELLS], x[tank + at.TEMPERATURE])


def _concentrate(p: Floats, x: Floats, y: Floats, streams: Streams, part_s: float) -> None:
    """Pass sap, or stock once more, through the membrane: permeate to its tank, the rest to stock.

    The membrane keeps every cell back, so cells rise with the concentration.
    """
    wanted_kg = (streams[0] + streams[1]) * part_s
    feed = membrane_feed(x)
    cell_ratio, feed_c = x[feed + at.CELLS], x[feed + at.TEMPERATURE]
    water_kg, sugar_kg = take_out(x, feed, wanted_kg)
    share = (water_kg + sugar_kg) / wanted_kg if wanted_kg > 0.0 else 0.0
    permeate_water_kg = min(water_kg, streams[2] * part_s * share)
    permeate_sugar_kg = min(sugar_kg, streams[3] * part_s * share)
    kept_kg = water_kg + sugar_kg - permeate_water_kg - permeate_sugar_kg
    cells = cell_ratio * (water_kg + sugar_kg) / max(kept_kg, 1e-9)
    pour_in(
        x, at.STOCK, water_kg - permeate_water_kg, sugar_kg - permeate_sugar_kg,
        min(cells, CELLS_MOST), feed_c,
    )  # fmt: skip
    pour_in(x, at.PERMEATE, permeate_water_kg, permeate_sugar_kg, 1.0, feed_c)
    y[at.PERMEATE_KG] += permeate_water_kg + permeate_sugar_kg
    y[at.MEMBRANE_S] += part_s
    y[at.ELECTRICITY_J] += p[at.MOTOR_W] * part_s
    x[at.RUN_SINCE_WASH_S] += part_s
    y[at.OVERDUE_S] += max(0.0, min(part_s, x[at.RUN_SINCE_WASH_S] - p[at.WASH_EVERY_S]))
    x[at.CONDITION] *= math.exp(-p[at.LOSS_PER_S] * part_s)


def _spill(p: Floats, points: Floats, x: Floats, y: Floats, now_s: float) -> None:
    """Let run over what stands above a rim."""
    for g in range(int(p[at.POINTS])):
        if points[g, at.OWN_TANK] > 0.0:
            tank = at.GATHERED + g * at.POINT_WIDTH
            _spill_tank(p, x, y, tank, points[g, at.POINT_CAPACITY_M3])
    sap_m3 = volume_m3(p, x, at.SAP)
    if y[at.SAP_FULL_AT_S] < 0.0 and sap_m3 >= p[at.SAP_CAPACITY_M3] - CLOSE_M3:
        y[at.SAP_FULL_AT_S] = now_s
    y[at.SAP_PEAK_M3] = max(y[at.SAP_PEAK_M3], min(sap_m3, p[at.SAP_CAPACITY_M3]))
    _spill_tank(p, x, y, at.SAP, p[at.SAP_CAPACITY_M3])
    _spill_tank(p, x, y, at.STOCK, p[at.STOCK_CAPACITY_M3])
    water_kg, sugar_kg = skim_overflow(p, x, at.PERMEATE, p[at.PERMEATE_CAPACITY_M3])
    y[at.LET_GO_WATER_KG] += water_kg
    y[at.LET_GO_SUGAR_KG] += sugar_kg


def _spill_tank(p: Floats, x: Floats, y: Floats, tank: int, capacity_m3: float) -> None:
    water_kg, sugar_kg = skim_overflow(p, x, tank, capacity_m3)
    y[at.SPILLED_WATER_KG] += water_kg
    y[at.SPILLED_SUGAR_KG] += sugar_kg


def _stop_at_gauges(
    p: Floats, points: Floats, x: Floats, y: Floats, row: Floats, feed: int, now_s: float
) -> None:
    """Stop what a tank's level stops: membrane, pumps and trips, and the fire at its reserve."""
    if x[at.MEMBRANE_ON] > 0.0:
        full = volume_m3(p, x, at.STOCK) >= p[at.STOCK_CAPACITY_M3] - CLOSE_M3
        if full and y[at.STOCK_FULL_AT_S] < 0.0:
            y[at.STOCK_FULL_AT_S] = now_s
        if membrane_feed(x) == at.STOCK:
            if not stock_may_pass(p, x, 0.0):
                stop_membrane(p, x, y, row)
        elif full or volume_m3(p, x, at.SAP) <= p[at.LEAST_SAP_M3] + CLOSE_M3:
            end_of_sap(p, x, y, row)
    if x[at.FIRE_ON] > 0.0:
        reserve_m3 = reserve_now_m3(p, x)
        at_reserve = reserve_m3 > 0.0 and volume_m3(p, x, feed) <= reserve_m3 * (1.0 + 1e-3)
        if at_reserve or x[at.WOOD_M3] <= NO_WOOD_M3:
            x[at.FIRE_ON] = 0.0
    full = volume_m3(p, x, at.SAP) >= p[at.SAP_CAPACITY_M3] - CLOSE_M3
    for g in range(int(p[at.POINTS])):
        tank = at.GATHERED + g * at.POINT_WIDTH
        if x[tank + at.EMPTYING] > 0.0 and (
            full or volume_m3(p, x, tank) <= points[g, at.POINT_DEAD_M3] + CLOSE_M3
        ):
            x[tank + at.EMPTYING] = 0.0


def _age(p: Floats, x: Floats, y: Floats, air_c: float) -> None:
    """Warm, cool and age everything by one step."""
    step_s = p[at.STEP_S]
    x[at.CLEANING_LEFT_S] = max(0.0, x[at.CLEANING_LEFT_S] - step_s)
    indoors_c = max(air_c, p[at.INDOORS_LEAST_C])
    share = p[at.TANK_SHARE]
    _age_tank(p, x, at.SAP, indoors_c if p[at.SAP_INDOORS] > 0.0 else air_c, share)
    _age_tank(p, x, at.STOCK, indoors_c if p[at.STOCK_INDOORS] > 0.0 else air_c, share)
    for g in range(int(p[at.POINTS])):
        _age_tank(p, x, at.GATHERED + g * at.POINT_WIDTH, air_c, share)
    if x[at.PAN_FILLED] > 0.0 and x[at.HEAT_W] <= 0.0:
        rest_pan(p, x, indoors_c)
    crowded_m3 = volume_m3(p, x, at.SAP) - p[at.CROWDED_FRACTION] * p[at.SAP_CAPACITY_M3]
    if crowded_m3 > 0.0:
        y[at.RISK_M3_S] += crowded_m3 * step_s


def _age_tank(p: Floats, x: Floats, tank: int, ambient_c: float, share: float) -> None:
    """Move a tank's temperature towards its surroundings (ice holds it at 0 °C); let cells grow."""
    if x[tank + at.WATER] <= 0.0:
        return
    warmed_c = x[tank + at.TEMPERATURE] + share * (ambient_c - x[tank + at.TEMPERATURE])
    x[tank + at.TEMPERATURE] = min(max(0.0, warmed_c), WARMEST_C)
    if x[tank + at.TEMPERATURE] > 0.0:
        rate = growth_rate_per_s(x[tank + at.TEMPERATURE], p[at.GROWTH_SLOPE], p[at.GROWTH_LEAST_C])
        x[tank + at.CELLS] = min(CELLS_MOST, x[tank + at.CELLS] * _grown(rate * p[at.STEP_S]))


def _grown(exponent: float) -> float:
    """Raise e to a small positive power: five terms of the series, 2e-6 off at 0.2."""
    z = exponent
    return 1.0 + z * (1.0 + z / 2.0 * (1.0 + z / 3.0 * (1.0 + z / 4.0)))


def _record(p: Floats, x: Floats, y: Floats, out: Floats) -> None:
    """Write how things stand into one row of the trace."""
    out[at.T_SAP_M3] = volume_m3(p, x, at.SAP)
    out[at.T_SAP_BRIX] = 100.0 * sugar_fraction(x, at.SAP)
    out[at.T_SAP_LIFE] = life_used(p, x[at.SAP + at.CELLS])
    out[at.T_STOCK_M3] = volume_m3(p, x, at.STOCK)
    out[at.T_STOCK_BRIX] = 100.0 * sugar_fraction(x, at.STOCK)
    out[at.T_STOCK_LIFE] = life_used(p, x[at.STOCK + at.CELLS])
    out[at.T_PERMEATE_M3] = volume_m3(p, x, at.PERMEATE)
    out[at.T_GATHERED_M3] = 0.0
    for g in range(int(p[at.POINTS])):
        out[at.T_GATHERED_M3] += volume_m3(p, x, at.GATHERED + g * at.POINT_WIDTH)
    out[at.T_MEMBRANE_ON] = x[at.MEMBRANE_ON]
    out[at.T_CONDITION] = x[at.CONDITION] * p[at.CONDITION_LASTING]
    out[at.T_FIRE_ON] = x[at.FIRE_ON]
    out[at.T_HEAT] = x[at.HEAT_W] / p[at.FULL_HEAT_W]
    last = int(p[at.COMPARTMENTS]) - 1
    out[at.T_PAN_BRIX] = 100.0 * x[at.PAN_SUGAR + last] / p[at.COMPARTMENT_KG + last]
    out[at.T_PAN_SUGAR_KG] = pan_sugar_kg(p, x)
    out[at.T_WOOD_M3] = x[at.WOOD_M3]
    out[at.T_SYRUP_KG] = y[at.SYRUP_WATER_KG] + y[at.SYRUP_SUGAR_KG]
    out[at.T_CLEANING] = 1.0 if x[at.CLEANING_LEFT_S] > 0.0 else 0.0
    out[at.T_RESERVE_M3] = reserve_now_m3(p, x)
