"""The one objective: what a run was worth, line by line.

Plans, the habit, benchmarks and explanations all use :func:`worth_lines`; the net worth is the sum
of its lines and nothing else. Safety and house rules are not priced here: what must not happen is
counted by :func:`broken_s`, and no price of an hour buys it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.house_notes import attendance_s_week
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION, pan_mass_kg
from sugarwright.plant.tank_kernel import Floats

CROWDING_PER_S = 0.01 / 3600.0  # of the worth of what stands above the mark: our own judgement
USUAL_BOIL_S = 5 * 3600.0  # over which a light-up is spread: common practice, no source
LIKELY = 0.95  # of the worth of what is left over will be had: our own judgement


@dataclass(frozen=True)
class Worth:
    """What a run was worth, in the house's currency; costs are negative.

    Each is an array of the shape of the runs given (or a number).

    Parameters
    ----------
    syrup : drawn, at the price of syrup and the freshness of the sap that it came from
    hours : of people, each at its own price
    wood, power : burnt and used
    washes : cleaner and wear of the washes done, and the share of the next one that is due
    light_ups : what each costs beside wood and time
    left : sugar in tanks and pan at the end, less what it will cost to boil
    crowding : a charge for a sap tank above its mark, since nobody knows what will run
    """

    syrup: Floats
    hours: Floats
    wood: Floats
    power: Floats
    washes: Floats
    light_ups: Floats
    left: Floats
    crowding: Floats

    @property
    def net(self) -> Floats:
        """Sum of all lines."""
        total: Floats = np.sum([getattr(self, each.name) for each in fields(self)], axis=0)
        return total


def worth_lines(plant: Plant, totals: Floats, states: Floats) -> Worth:
    """Reckon what runs were worth.

    Parameters
    ----------
    plant : the house, with its prices
    totals : (..., ``TOTALS_SIZE``)
    states : (..., state) at the end of the runs

    Returns
    -------
    Worth, each line of shape (...).
    """
    house, p = plant.house, plant.p
    prices = house.prices
    syrup_kg_m3 = density_kg_m3(house.pan.finish_brix, 20.0)
    washes, light_ups = totals[..., at.WASHES], totals[..., at.LIGHT_UPS]
    return Worth(
        syrup=totals[..., at.SYRUP_WORTH_KG] / syrup_kg_m3 * prices.syrup_money_m3,
        hours=-totals[..., at.HANDS_MONEY],
        wood=-totals[..., at.WOOD_BURNT_M3] * prices.wood_money_wood_m3,
        power=-totals[..., at.ELECTRICITY_J] * house.electricity.price_money_j,
        washes=-wash_money(plant, cleaner_only=True) * washes - _wash_due(plant, totals, states),
        light_ups=-prices.light_up_money * light_ups,
        left=_left(plant, states),
        crowding=-totals[..., at.RISK_M3_S]
        * CROWDING_PER_S
        * (_sugar_worth_kg(plant) * 0.02 / p[at.WATER_M3_KG]),
    )


def older_money(plant: Plant, totals: Floats, states: Floats) -> tuple[Floats, Floats]:
    """Return what runs lost by age: of the syrup drawn, and of what is left.

    It is within the lines ``syrup`` and ``left`` of :func:`worth_lines`, which would be more by so
    much if all were of fresh sap and nothing had to wait.

    Parameters
    ----------
    plant, totals, states : as there

    Returns
    -------
    Two of money, 0 or more, of the shape of the runs.
    """
    drawn_kg = totals[..., at.SYRUP_WATER_KG] + totals[..., at.SYRUP_SUGAR_KG]
    syrup_kg_m3 = density_kg_m3(plant.house.pan.finish_brix, 20.0)
    money_kg = plant.house.prices.syrup_money_m3 / syrup_kg_m3
    drawn: Floats = (drawn_kg - totals[..., at.SYRUP_WORTH_KG]) * money_kg
    left: Floats = _left(plant, states, as_fresh=True) - _left(plant, states)
    return drawn, left


def broken_s(totals: Floats) -> Floats:
    """Time, s, for which a run broke what no price may buy: a pan run short, a fire left alone."""
    broken: Floats = totals[..., at.SHORT_S] + totals[..., at.LIT_ALONE_S]
    return broken


def _sugar_worth_kg(plant: Plant) -> float:
    """What a kilogram of sugar brings as syrup."""
    finish = plant.house.pan.finish_brix
    return plant.house.prices.syrup_money_m3 / density_kg_m3(finish, 20.0) / (finish / 100.0)


def processing_money_kg(plant: Plant, brix: Floats) -> Floats:
    """What it costs to make syrup of feed that waits for the pan, per kilogram of its sugar.

    Hours and wood of boiling it down; its share of a usual boil's light-up, burn-down and chores;
    finishing. A plan that boils pays all of this, so what is left over must be charged the same:
    else every plan would wait.

    Parameters
    ----------
    brix : strengths of the feed

    Returns
    -------
    Money per kg of sugar, of the shape of ``brix``.
    """
    house, p = plant.house, plant.p
    hour_money_s = _hour_money_s(plant)
    strength = np.maximum(brix, 0.5) / 100.0
    finish = house.pan.finish_brix / 100.0
    boiled_kg_s = house.pan.boil_rate_m3_s / p[at.WATER_M3_KG]
    running_money_s = _running_money_s(plant)
    boiling = np.maximum(0.0, 1.0 / strength - 1.0 / finish) / boiled_kg_s * running_money_s
    idle_s = p[at.LIGHT_UP_S] + p[at.CLEAR_S] - p[at.BURN_DOWN_S] + p[at.CHORE_BOIL_S]
    each_boil = idle_s * hour_money_s
    each_boil += p[at.LIGHT_UP_WOOD_M3] * house.prices.wood_money_wood_m3
    each_boil += house.prices.light_up_money
    usual_boil_kg = boiled_kg_s * USUAL_BOIL_S * strength
    finishing = p[at.CHORE_SYRUP_S_KG] / finish * hour_money_s
    cost: Floats = boiling + each_boil / usual_boil_kg + finishing
    return cost


def boiling_money_kg(plant: Plant) -> float:
    """Return what it costs to boil off a kilogram of water once the pan boils: hours and wood."""
    return _running_money_s(plant) * plant.p[at.WATER_M3_KG] / plant.house.pan.boil_rate_m3_s


def _running_money_s(plant: Plant) -> float:
    """What a second of a pan at full boil costs: of whoever is cheapest, and wood."""
    return _hour_money_s(plant) + plant.p[at.FUEL_M3_S] * plant.house.prices.wood_money_wood_m3


def _concentrating_money_kg(plant: Plant, brix: Floats) -> Floats:
    """What it costs to bring sap through the membrane, per kilogram of its sugar: hands."""
    house, p = plant.house, plant.p
    if house.membrane is None:
        return np.zeros_like(brix)
    usual_run_kg = house.habit.membrane_sap_m3 / p[at.WATER_M3_KG] * np.maximum(brix, 0.5) / 100.0
    hands_s = p[at.START_HANDS_S] + p[at.STOP_HANDS_S] + p[at.CHORE_RUN_S]
    cost: Floats = hands_s * _hour_money_s(plant) / np.maximum(usual_run_kg, 0.1)
    return cost


def _hour_money_s(plant: Plant) -> float:
    """Price of a second of whoever is cheapest."""
    return min(person.hour_money_s for person in plant.house.people)


def _left(plant: Plant, states: Floats, *, as_fresh: bool = False) -> Floats:
    """Worth of the sugar left, less its processing; what waits its turn gets older meanwhile.

    As if it did not, and were fresh, where that is asked for.
    """
    tanks = [at.SAP, at.STOCK]
    tanks += [at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points))]
    total: Floats = np.zeros(states.shape[:-1])
    for tank in tanks:
        sugar_kg = states[..., tank + at.SUGAR]
        mass_kg = sugar_kg + states[..., tank + at.WATER]
        brix = 100.0 * sugar_kg / np.maximum(mass_kg, 1e-9)
        cost = np.zeros_like(brix)
        if tank != at.STOCK and plant.p[at.HAS_MEMBRANE] > 0.0:
            cost = _concentrating_money_kg(plant, brix)
            brix = brix * _usual_concentration(plant)
        cost = cost + processing_money_kg(plant, brix)
        each = np.maximum(0.0, _sugar_worth_kg(plant) - cost)
        fresh = 1.0 if as_fresh else _freshness(plant, states, tank, mass_kg)
        total = total + LIKELY * sugar_kg * fresh * each
    pan = states[..., at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS].sum(axis=-1)
    pan_brix = 100.0 * pan / pan_mass_kg(plant.p)
    each = np.maximum(0.0, _sugar_worth_kg(plant) - processing_money_kg(plant, pan_brix))
    in_pan: Floats = pan * (1.0 if as_fresh else states[..., at.PAN_WORTH]) * each
    return total + LIKELY * in_pan - _burn_down_money(plant, states)


def _burn_down_money(plant: Plant, states: Floats) -> Floats:
    """What staying with a fire that still burns at the end will cost."""
    lit = states[..., at.HEAT_W] > SAFE_HEAT_FRACTION * plant.p[at.FULL_HEAT_W]
    money: Floats = lit * float(plant.p[at.CLEAR_S]) * _hour_money_s(plant)
    return money


def _freshness(plant: Plant, states: Floats, tank: int, mass_kg: Floats) -> Floats:
    """Worth of what is left in a tank beside fresh sap, by the age at which its turn comes.

    It waits half a day for somebody to come, and then half the time that the whole tank takes. Sap
    before a membrane is concentrated on its way, cells and all, and then waits for the pan as well:
    it is never worth more than the concentrate that could be made of it.
    """
    p = plant.p
    membrane_first = tank != at.STOCK and p[at.HAS_MEMBRANE] > 0.0
    kg_day = _membrane_kg_day(plant) if membrane_first else _boiled_kg_day(plant)
    wait_s = 43200.0 + 0.5 * mass_kg / kg_day * 86400.0
    warm_k = np.maximum(0.0, states[..., tank + at.TEMPERATURE] - p[at.GROWTH_LEAST_C])
    growth_log_s = (p[at.GROWTH_SLOPE] * warm_k) ** 2 / 3600.0 / np.log(10.0)
    growth_log = np.log10(np.maximum(1.0, states[..., tank + at.CELLS])) + growth_log_s * wait_s
    if membrane_first:
        times = _usual_concentration(plant)
        boiling_s = 0.5 * mass_kg / times / _boiled_kg_day(plant) * 86400.0
        growth_log = growth_log + np.log10(times) + growth_log_s * boiling_s
    used = np.minimum(1.0, growth_log / p[at.SPOILED_LOG])
    fresh: Floats = 1.0 - used**2
    return fresh


def _boiled_kg_day(plant: Plant) -> float:
    """Feed that the pan can boil in a day of usual hours."""
    boiled_kg_s = plant.house.pan.boil_rate_m3_s / plant.p[at.WATER_M3_KG]
    return boiled_kg_s * _attended_s_day(plant)


def _membrane_kg_day(plant: Plant) -> float:
    """Sap that the membrane can take in a day of usual hours, at its usual setting."""
    membrane = plant.house.membrane
    if membrane is None:
        return _boiled_kg_day(plant)
    hours_s = 86400.0 if plant.p[at.UNATTENDED] > 0.0 else _attended_s_day(plant)
    flow_m3_s = plant.house.habit.concentrate_flow_m3_s
    return flow_m3_s / plant.p[at.WATER_M3_KG] * _usual_concentration(plant) * hours_s


def _attended_s_day(plant: Plant) -> float:
    """Hours in which somebody is there, on the mean day: of whoever gives the most."""
    return max(3600.0, *(attendance_s_week(person) / 7.0 for person in plant.house.people))


@lru_cache(maxsize=32)  # asked for every run that is judged
def _usual_concentration(plant: Plant) -> float:
    """How many times the membrane concentrates sap in the house's usual way of working."""
    membrane = plant.house.membrane
    if plant.membrane_map is None or membrane is None:
        return 1.0
    flow_m3_s = plant.house.habit.concentrate_flow_m3_s
    flow_m3_s = min(max(flow_m3_s, membrane.least_flow_m3_s), membrane.most_flow_m3_s)
    condition = max(0.3, min(1.0, membrane.condition_fraction))
    permeate_kg_s, _ = plant.membrane_map.point(flow_m3_s, 2.0, 4.0, condition)
    return float(1.0 + permeate_kg_s * plant.p[at.WATER_M3_KG] / flow_m3_s)


def wash_money(plant: Plant, *, cleaner_only: bool = False) -> float:
    """Return what a wash of the membrane costs: cleaner, and the hands for it."""
    membrane = plant.house.membrane
    if membrane is None:
        return 0.0
    if cleaner_only:
        return membrane.wash_cost_money
    return membrane.wash_cost_money + _hour_money_s(plant) * (
        membrane.wash_hands_s + plant.p[at.CHORE_WASH_S]
    )


def _wash_due(plant: Plant, totals: Floats, states: Floats) -> Floats:
    """Share of the next wash that running since the last one has brought nearer; overdue time.

    Time that the membrane runs beyond the house's own interval counts once more, and no wash brings
    that back (what is left on a membrane sets: judgement). Else a wash could wait for ever, since
    one tomorrow is always as good as one today.
    """
    running_s = states[..., at.RUN_SINCE_WASH_S] + totals[..., at.OVERDUE_S]
    share = running_s / plant.house.habit.wash_after_s
    due: Floats = wash_money(plant, cleaner_only=False) * share
    return due
