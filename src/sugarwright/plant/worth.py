"""The one objective: what a run was worth, line by line.

Plans, the habit, benchmarks and explanations all use :func:`worth_lines`; the net worth is the sum
of its lines and nothing else. Safety and house rules are not priced here: what must not happen is
counted by :func:`broken_s`, and no price of an hour buys it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats

CROWDING_PER_S = 0.01 / 3600.0  # of the worth of what stands above the mark: our own judgement
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
        washes=-_wash_money(plant, cleaner_only=True) * washes - _wash_due(plant, states),
        light_ups=-prices.light_up_money * light_ups,
        left=_left(plant, states),
        crowding=-totals[..., at.RISK_M3_S]
        * CROWDING_PER_S
        * (_sugar_worth_kg(plant) * 0.02 / p[at.WATER_M3_KG]),
    )


def broken_s(totals: Floats) -> Floats:
    """Time, s, for which a run broke what no price may buy: a pan run short, a fire left alone."""
    broken: Floats = totals[..., at.SHORT_S] + totals[..., at.LIT_ALONE_S]
    return broken


def _sugar_worth_kg(plant: Plant) -> float:
    """What a kilogram of sugar brings as syrup."""
    finish = plant.house.pan.finish_brix
    return plant.house.prices.syrup_money_m3 / density_kg_m3(finish, 20.0) / (finish / 100.0)


def boiling_money_kg(plant: Plant, brix: Floats) -> Floats:
    """What it costs to boil feed of a strength down, per kilogram of its sugar: hours and wood."""
    house, p = plant.house, plant.p
    boiled_kg_s = house.pan.boil_rate_m3_s / p[at.WATER_M3_KG]
    hour_money_s = min(person.hour_money_s for person in house.people)
    running_money_s = hour_money_s + p[at.FUEL_M3_S] * house.prices.wood_money_wood_m3
    water_kg = np.maximum(0.0, 100.0 / np.maximum(brix, 0.5) - 100.0 / house.pan.finish_brix)
    cost: Floats = water_kg / boiled_kg_s * running_money_s
    return cost


def _left(plant: Plant, states: Floats) -> Floats:
    """Worth of the sugar left, less its boiling; stale sap will not wait, and is worth little."""
    tanks = [at.SAP, at.STOCK]
    tanks += [at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points))]
    total: Floats = np.zeros(states.shape[:-1])
    for tank in tanks:
        sugar_kg = states[..., tank + at.SUGAR]
        mass_kg = sugar_kg + states[..., tank + at.WATER]
        brix = 100.0 * sugar_kg / np.maximum(mass_kg, 1e-9)
        if tank != at.STOCK and plant.p[at.HAS_MEMBRANE] > 0.0:
            brix = brix * _usual_concentration(plant)
        used = np.log10(np.maximum(1.0, states[..., tank + at.CELLS])) / plant.p[at.SPOILED_LOG]
        freshness = 1.0 - np.minimum(1.0, used) ** 2
        each = np.maximum(0.0, _sugar_worth_kg(plant) - boiling_money_kg(plant, brix))
        total = total + LIKELY * sugar_kg * freshness * each
    pan = states[..., at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS].sum(axis=-1)
    in_pan: Floats = pan * states[..., at.PAN_WORTH] * _sugar_worth_kg(plant)
    return total + LIKELY * in_pan


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


def _wash_money(plant: Plant, *, cleaner_only: bool) -> float:
    membrane = plant.house.membrane
    if membrane is None:
        return 0.0
    if cleaner_only:
        return membrane.wash_cost_money
    hour_money_s = min(person.hour_money_s for person in plant.house.people)
    return membrane.wash_cost_money + hour_money_s * (
        membrane.wash_hands_s + plant.p[at.CHORE_WASH_S]
    )


def _wash_due(plant: Plant, states: Floats) -> Floats:
    """Share of the next wash that running since the last one has brought nearer."""
    share = states[..., at.RUN_SINCE_WASH_S] / plant.house.habit.wash_after_s
    due: Floats = _wash_money(plant, cleaner_only=False) * np.minimum(2.0, share)
    return due
