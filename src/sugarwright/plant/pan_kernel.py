"""The pan inside the simulator: heats up, boils, draws syrup, and never runs short in silence.

A draw is an event inside the step: when the last compartment reaches the finish, one draw's mass of
syrup leaves, and as much liquid moves up from each compartment behind, cold feed into the first.
"""

from __future__ import annotations

import math

from sugarwright.physics.pan import advance_compartments, evaporation_kg_s, heat_ramp
from sugarwright.physics.pan_run import move_up
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.water import latent_heat_j_kg
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import (
    Floats,
    mass_above_kg,
    sugar_fraction,
    take_out,
    worth_fraction,
)

BUCKET_C = 10.0
SAFE_HEAT_FRACTION = 0.1  # of full heat: below it a dying fire may be left
EMBERS_FRACTION = 0.02  # of full heat: below it a dying fire no longer boils
LEAST_LATENT_J_KG = 2.2e6  # less than any: what is reckoned with it is a little more than boils off


def feed_dead_m3(p: Floats, feed: int) -> float:
    """Volume that stays below the outlet of the tank that feeds the pan, m³."""
    return p[at.SAP_DEAD_M3] if feed == at.SAP else p[at.STOCK_DEAD_M3]


def reserve_now_m3(p: Floats, x: Floats) -> float:
    """Feed at which the fire must be let go, m³: a rich pan goes on drawing while it dies.

    The house's reserve, or what is boiled off until the fire is dead and the draws that this can
    bring. Those hang on the sugar in the pan: water and sugar bound them, however they mix. No more
    syrup can come of so much steam than if all of it were taken from the strongest liquid first;
    and what then stands in the last compartment at the finish is not drawn, but for a draw.

    Parameters
    ----------
    p, x : parameters and state; without a reserve (0) a fire burns until somebody says
    """
    if p[at.RESERVE_M3] <= 0.0:
        return 0.0
    feed = at.STOCK if p[at.HAS_MEMBRANE] > 0.0 else at.SAP
    steam_kg, syrup_kg = p[at.BURN_DOWN_KG], 0.0
    last = int(p[at.COMPARTMENTS]) - 1
    for back in range(last + 1):
        of_it_kg = x[at.PAN_SUGAR + last - back] / p[at.FINISH_FRACTION]
        water_kg = max(0.0, p[at.COMPARTMENT_KG + last - back] - of_it_kg)
        share = min(1.0, steam_kg / water_kg) if water_kg > 0.0 else 1.0
        syrup_kg += share * of_it_kg
        steam_kg -= share * water_kg
    fraction = min(sugar_fraction(x, feed), 0.5 * p[at.FINISH_FRACTION])
    syrup_kg += steam_kg * fraction / (p[at.FINISH_FRACTION] - fraction)
    drawn_kg = max(0.0, syrup_kg - p[at.COMPARTMENT_KG + last] + p[at.DRAW_KG])
    needed_m3 = (p[at.BURN_DOWN_KG] + drawn_kg) * p[at.WATER_M3_KG]
    return max(p[at.RESERVE_M3], feed_dead_m3(p, feed) + needed_m3)


def fill_pan(p: Floats, x: Floats, feed: int, mass_kg: float) -> None:
    """Let cold feed into a pan that is not full; the caller sees to it that the tank has it."""
    total_kg = pan_mass_kg(p)
    water_kg, sugar_kg = take_out(x, feed, mass_kg)
    added = (water_kg + sugar_kg) / total_kg
    share = added / (x[at.PAN_FILLED] + added)
    x[at.PAN_TEMPERATURE] += share * (x[feed + at.TEMPERATURE] - x[at.PAN_TEMPERATURE])
    for i in range(int(p[at.COMPARTMENTS])):
        x[at.PAN_SUGAR + i] += sugar_kg * p[at.COMPARTMENT_KG + i] / total_kg
    _freshen(p, x, sugar_kg, x[feed + at.CELLS])
    filled = x[at.PAN_FILLED] + added
    x[at.PAN_FILLED] = filled if filled < 1.0 - 1e-12 else 1.0


def pan_mass_kg(p: Floats) -> float:
    """Liquid that the full pan holds, kg."""
    total_kg = 0.0
    for i in range(int(p[at.COMPARTMENTS])):
        total_kg += p[at.COMPARTMENT_KG + i]
    return total_kg


def pan_sugar_kg(p: Floats, x: Floats) -> float:
    """Sugar that the pan holds, kg."""
    total_kg = 0.0
    for i in range(int(p[at.COMPARTMENTS])):
        total_kg += x[at.PAN_SUGAR + i]
    return total_kg


def is_lit(p: Floats, x: Floats) -> bool:
    """Tell whether the fire is stoked, or still too hot to be left."""
    safe_w = SAFE_HEAT_FRACTION * p[at.FULL_HEAT_W]
    return x[at.FIRE_ON] > 0.0 or x[at.HEAT_W] > safe_w * (1.0 + 1e-9)


def until_safe_s(p: Floats, x: Floats) -> float:
    """Time until a dying fire may be left; infinite while it is stoked, and when it is over."""
    if x[at.FIRE_ON] > 0.0 or not is_lit(p, x):
        return math.inf
    return p[at.BURN_DOWN_S] * math.log(x[at.HEAT_W] / (SAFE_HEAT_FRACTION * p[at.FULL_HEAT_W]))


def burn(p: Floats, x: Floats, y: Floats, duration_s: float) -> float:
    """Let the fire grow or die for a while; return the mean heat to the pan, W."""
    stoked = x[at.FIRE_ON] > 0.0
    if not stoked and x[at.HEAT_W] <= 0.0:
        return 0.0
    target_w = p[at.FULL_HEAT_W] if stoked else 0.0
    time_constant_s = p[at.LIGHT_UP_S] if stoked else p[at.BURN_DOWN_S]
    x[at.HEAT_W], mean_w = heat_ramp(x[at.HEAT_W], target_w, time_constant_s, duration_s)
    if stoked:
        burnt_m3 = min(x[at.WOOD_M3], p[at.FUEL_M3_S] * duration_s)
        x[at.WOOD_M3] -= burnt_m3
        y[at.WOOD_BURNT_M3] += burnt_m3
        y[at.ELECTRICITY_J] += p[at.BLOWER_W] * duration_s
    elif x[at.HEAT_W] < EMBERS_FRACTION * p[at.FULL_HEAT_W]:
        x[at.HEAT_W] = 0.0
    return mean_w


def boil(
    p: Floats,
    x: Floats,
    y: Floats,
    work: Floats,
    row: Floats,
    feed: int,
    mean_heat_w: float,
    duration_s: float,
    now_s: float,
) -> None:
    """Give the pan its heat for a while: warm it up, boil, feed and draw, all heat being used."""
    left_s = duration_s
    while left_s > 1e-6:
        left_s -= _warm_up(p, x, mean_heat_w, left_s)
        if left_s > 1e-6:
            part_s = min(left_s, p[at.BOIL_STEP_S])
            at_s = now_s + duration_s - left_s
            left_s -= _boil_to_draw(p, x, y, work, row, feed, mean_heat_w, part_s, at_s)


def _warm_up(p: Floats, x: Floats, heat_w: float, most_s: float) -> float:
    """Bring the pan to the boil, or nearer to it; return the time that this takes, s."""
    lacking_k = p[at.BOILING_C] - x[at.PAN_TEMPERATURE]
    if lacking_k <= 0.0:
        return 0.0
    mass_kg = pan_mass_kg(p)
    brix = 100.0 * pan_sugar_kg(p, x) / mass_kg
    capacity_j_k = mass_kg * heat_capacity_j_kg_k(brix, x[at.PAN_TEMPERATURE])
    warming_s = capacity_j_k * lacking_k / heat_w
    if warming_s > most_s:
        x[at.PAN_TEMPERATURE] += lacking_k * most_s / warming_s
        return most_s
    x[at.PAN_TEMPERATURE] = p[at.BOILING_C]
    return warming_s


def _boil_to_draw(
    p: Floats,
    x: Floats,
    y: Floats,
    work: Floats,
    row: Floats,
    feed: int,
    heat_w: float,
    duration_s: float,
    now_s: float,
) -> float:
    """Boil until the next draw or the end of the time; return the time spent, s."""
    count = int(p[at.COMPARTMENTS])
    wanted_kg = heat_w * duration_s / LEAST_LATENT_J_KG
    source, temperature_c, fraction, cells = _feed_source(p, x, feed, wanted_kg)
    capacity = heat_capacity_j_kg_k(100.0 * fraction, max(0.0, temperature_c))
    boiled_kg_s = evaporation_kg_s(heat_w, p[at.BOILING_C], temperature_c, capacity)
    preheat = 1.0 - boiled_kg_s * latent_heat_j_kg(p[at.BOILING_C]) / heat_w
    sugar_kg = x[at.PAN_SUGAR : at.PAN_SUGAR + count]
    before_kg = work[2 * count : 3 * count]
    for i in range(count):
        before_kg[i] = sugar_kg[i]
    advance_compartments(
        sugar_kg, p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count],
        p[at.HEAT_SHARE : at.HEAT_SHARE + count], boiled_kg_s, preheat, fraction, p[at.MIXING],
        duration_s, work,
    )  # fmt: skip
    share, finished = _until_finished(p, sugar_kg, before_kg, count)
    fed_kg = boiled_kg_s * duration_s * share
    y[at.STEAM_KG] += fed_kg
    if source != feed:
        y[at.SHORT_S] += duration_s * share
    _feed_pan(p, x, y, source, fed_kg, cells)
    if finished:
        _draw(p, x, y, row, feed, now_s + duration_s * share)
    return duration_s * share


def _until_finished(
    p: Floats, sugar_kg: Floats, before_kg: Floats, count: int
) -> tuple[float, bool]:
    """Go back to the moment at which the last compartment reached the finish.

    Returns the share of the time until then (1 when it was not reached, or was before), and whether
    syrup is to be drawn.
    """
    last = count - 1
    finished_kg = p[at.FINISH_FRACTION] * p[at.COMPARTMENT_KG + last]
    if sugar_kg[last] < finished_kg:
        return 1.0, False
    if before_kg[last] >= finished_kg:
        return 1.0, True
    share = (finished_kg - before_kg[last]) / (sugar_kg[last] - before_kg[last])
    for i in range(count):
        sugar_kg[i] = before_kg[i] + share * (sugar_kg[i] - before_kg[i])
    return share, True


def _feed_source(
    p: Floats, x: Floats, feed: int, wanted_kg: float
) -> tuple[int, float, float, float]:
    """Where the pan's feed comes from now: its tank, else raw sap, else a bucket of water (-1).

    Returns the tank, and temperature, mass fraction of sugar and cells of what comes from it.
    """
    if mass_above_kg(p, x, feed, feed_dead_m3(p, feed)) >= wanted_kg:
        return feed, x[feed + at.TEMPERATURE], sugar_fraction(x, feed), x[feed + at.CELLS]
    if mass_above_kg(p, x, at.SAP, p[at.SAP_DEAD_M3]) >= wanted_kg:
        return at.SAP, x[at.SAP + at.TEMPERATURE], sugar_fraction(x, at.SAP), x[at.SAP + at.CELLS]
    return -1, BUCKET_C, 0.0, 1.0


def _feed_pan(
    p: Floats, x: Floats, y: Floats, source: int, mass_kg: float, cell_ratio: float
) -> None:
    """Take what the pan is fed with from its source (its sugar is in the pan already)."""
    if source < 0:
        y[at.BUCKET_WATER_KG] += mass_kg
        return
    _, sugar_kg = take_out(x, source, mass_kg)
    _freshen(p, x, sugar_kg, cell_ratio)


def _freshen(p: Floats, x: Floats, sugar_kg: float, cell_ratio: float) -> None:
    """Let the worth of sugar that was fed mix into that of all the pan's."""
    held_kg = pan_sugar_kg(p, x)
    share = min(1.0, sugar_kg / held_kg) if held_kg > 0.0 else 1.0
    x[at.PAN_WORTH] += share * (worth_fraction(p, cell_ratio) - x[at.PAN_WORTH])


def _draw(p: Floats, x: Floats, y: Floats, row: Floats, feed: int, now_s: float) -> None:
    """Draw one draw's mass of syrup; everything behind moves up, and cold feed comes in."""
    count = int(p[at.COMPARTMENTS])
    last = count - 1
    drawn_kg = p[at.DRAW_KG]
    source, temperature_c, fraction, cells = _feed_source(p, x, feed, drawn_kg)
    sugar_kg = drawn_kg * x[at.PAN_SUGAR + last] / p[at.COMPARTMENT_KG + last]
    x[at.PAN_SUGAR + last] -= sugar_kg
    held_kg = x[at.PAN_SUGAR : at.PAN_SUGAR + count]
    mass_kg = p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    for _ in range(int(p[at.DRAW_PIECES])):
        move_up(held_kg, mass_kg, drawn_kg / p[at.DRAW_PIECES], fraction)
    y[at.SYRUP_SUGAR_KG] += sugar_kg
    y[at.SYRUP_WATER_KG] += drawn_kg - sugar_kg
    y[at.SYRUP_WORTH_KG] += drawn_kg * x[at.PAN_WORTH]
    _feed_pan(p, x, y, source, drawn_kg, cells)
    y[at.DRAWS] += 1.0
    if y[at.FIRST_DRAW_AT_S] < 0.0:
        y[at.FIRST_DRAW_AT_S] = now_s
    cooling_k = drawn_kg / pan_mass_kg(p) * max(0.0, p[at.BOILING_C] - temperature_c)
    x[at.PAN_TEMPERATURE] -= cooling_k
    work_s = p[at.CHORE_SYRUP_S_KG] * drawn_kg
    y[at.HANDS_S] += work_s
    y[at.HANDS_MONEY] += work_s * row[at.HOUR_MONEY_S]


def rest_pan(p: Floats, x: Floats, ambient_c: float) -> None:
    """Let an idle pan cool, and its gradient level out, over one step."""
    count = int(p[at.COMPARTMENTS])
    share = p[at.REST_SHARE]
    strength = pan_sugar_kg(p, x) / pan_mass_kg(p)
    x[at.PAN_TEMPERATURE] += share * (ambient_c - x[at.PAN_TEMPERATURE])
    for i in range(count):
        even_kg = strength * p[at.COMPARTMENT_KG + i]
        x[at.PAN_SUGAR + i] += share * (even_kg - x[at.PAN_SUGAR + i])
