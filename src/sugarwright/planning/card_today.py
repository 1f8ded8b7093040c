"""Make the rule card of a house: tune it, judge it in other springs, and say what it asks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.card_as_habit import as_habit
from sugarwright.planning.card_report import (
    CardFire,
    CardMembrane,
    CardTimes,
    CardWorth,
    Gauge,
    RuleCard,
)
from sugarwright.planning.card_springs import CardSprings, make_springs
from sugarwright.planning.choices import END_OF_DAY
from sugarwright.planning.frosts import what_drains
from sugarwright.planning.outlook import spread, way
from sugarwright.planning.rule_card import Card, card_rows, habit_card, tune_card
from sugarwright.planning.search import Budget
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.fire_decisions import light_gauge_m3
from sugarwright.plant.house import Tank
from sugarwright.plant.house_checks import feed_tank
from sugarwright.plant.membrane_decisions import sap_gauge_m3
from sugarwright.plant.pan_kernel import pan_mass_kg
from sugarwright.plant.simulate import Drive, run_many, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tanks import capacity_m3, depth_at_volume_m
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.plant.worth import broken_s, worth_lines
from sugarwright.units import VOLUME, to_unit

TUNED, CHECKED = (
    16,
    100,
)  # springs; more to tune on moved the worth of a card by less than its range
RESAMPLED = 4000
ROUNDED = 1e-6  # of a gallon: what is whole but for that is whole


@dataclass(frozen=True)
class Amount:
    """How much to spend on a card.

    Parameters
    ----------
    tuned, checked : springs to tune on, and others to judge by
    budget : of the search; None: as usual
    """

    tuned: int = TUNED
    checked: int = CHECKED
    budget: Budget | None = None


def make_card(
    plant: Plant,
    seed: int,
    made: date,
    amount: Amount | None = None,
    trees: TreeKnowledge | None = None,
) -> RuleCard:
    """Tune a card to a house.

    Parameters
    ----------
    plant : the assembled house
    seed : of springs and search: another number, other springs
    made : today
    amount : how much to spend; None: as usual
    trees : what gatherings taught about the trees; None: what the description says

    Returns
    -------
    RuleCard

    Raises
    ------
    InputError : nobody gives any hours, or taps are set outside the months of springs
    """
    amount = amount or Amount()
    house = plant.house
    springs = make_springs(plant, amount.tuned, amount.checked, seed, trees)
    state = start_state(plant, Levels())
    tuned = tune_card(plant, springs.tuned, state, seed, amount.budget)
    return RuleCard(
        house=house.site.name,
        timezone=house.site.timezone,
        units=house.site.units,
        currency=house.site.currency,
        made=made,
        begin_s=springs.span.begin_s,
        end_s=springs.span.end_s,
        times=_times(plant, tuned.card),
        membrane=_membrane(plant, tuned.card),
        fire=_fire(plant, tuned.card, most_reserve_m3(plant, springs.tuned, tuned.card, state)),
        frost=bool(what_drains(plant)),
        drains=what_drains(plant),
        whose=tuned.whose,
        tuned_on=amount.tuned,
        candidates=tuned.candidates,
        seed=seed,
        weather_source=springs.source,
        notes=springs.notes,
        worth=card_worth(plant, springs, tuned.card, seed),
        as_habit=as_habit(plant, springs, tuned.card, state),
        rows=tuned.card.rows,
    )


def card_worth(plant: Plant, springs: CardSprings, card: Card, seed: int) -> CardWorth:
    """Judge a card beside the habit, in springs that it was not tuned on.

    Parameters
    ----------
    plant : the house
    springs : whose second set is used
    card : its rules
    seed : of the bootstrap
    """
    drive, state = springs.checked, start_state(plant, Levels())
    plans = np.stack([card_rows(each, drive) for each in (card, habit_card(plant))])
    results = run_many(plant, drive, plans, state)
    net = worth_lines(plant, results.totals, results.states).net
    broken = (broken_s(results.totals) > 0.0).sum(axis=1)
    gains = net[0] - net[1]
    low, high = mean_interval(gains, seed)
    return CardWorth(
        springs=drive.scenarios,
        card=way(plant, results, 0),
        habit=way(plant, results, 1),
        card_net_money=spread(net[0]),
        habit_net_money=spread(net[1]),
        gain_money=float(gains.mean()),
        gain_low_money=low,
        gain_high_money=high,
        better_fraction=float((gains > 0.0).mean()),
        broken_springs=int(broken[0]),
        habit_broken_springs=int(broken[1]),
    )


def mean_interval(values: Floats, seed: int) -> tuple[float, float]:
    """Return the 90 % interval of a mean: percentiles of the means of resampled values.

    Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 13 (from memory).
    """
    draws = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), 90]))
    means = values[draws.integers(len(values), size=(RESAMPLED, len(values)))].mean(axis=1)
    low, high = np.quantile(means, (0.05, 0.95))
    return float(low), float(high)


def _times(plant: Plant, card: Card) -> tuple[CardTimes, ...]:
    """Clock times of both parts of the week, or of every day where they are the same."""
    has_membrane = plant.house.membrane is not None
    weekdays, weekend = (
        (
            _minute(row[at.MEMBRANE_START]) if has_membrane else None,
            _minute(row[at.MEMBRANE_STOP]) if has_membrane else None,
            _minute(row[at.WASH_AT]) if has_membrane else None,
            _minute(row[at.FIRE_START]),
            _minute(row[at.FIRE_STOP]),
        )
        for row in card.rows
    )
    if weekdays == weekend:
        return (CardTimes("every day", *weekdays),)
    return CardTimes("weekdays", *weekdays), CardTimes("weekend", *weekend)


def _minute(value: float) -> int | None:
    return int(value) if 0.0 <= value < END_OF_DAY else None


def _membrane(plant: Plant, card: Card) -> CardMembrane | None:
    membrane, p, row = plant.house.membrane, plant.p, card.rows[0]
    if membrane is None:
        return None
    tank = plant.house.sap_tank
    start_m3 = sap_gauge_m3(p, row[at.MEMBRANE_SAP_M3])
    call_m3, night_m3_s = row[at.MEMBRANE_CALL_M3], row[at.NIGHT_FLOW_M3_S]
    again_brix = row[at.PASS_AGAIN_BRIX] if p[at.MAY_PASS_AGAIN] > 0.0 else 0.0
    return CardMembrane(
        start=_gauge(tank, start_m3),
        call=_gauge(tank, max(call_m3, start_m3)) if call_m3 > 0.0 else None,
        flow_m3_s=float(row[at.MEMBRANE_FLOW_M3_S]),
        night_flow_m3_s=night_m3_s if night_m3_s > 0.0 and p[at.UNATTENDED] > 0.0 else None,
        again_brix=again_brix if again_brix > 0.0 else None,
        least_sap=_gauge(tank, float(p[at.LEAST_SAP_M3])),
        rinse_m3=float(p[at.RINSE_M3]),
        wash_after_s=float(row[at.WASH_AFTER_S]),
        wash_m3=float(p[at.WASH_M3]),
        with_fire=bool(p[at.NOT_WITH_FIRE] <= 0.0),
        outdoors=bool(p[at.MEMBRANE_OUTDOORS] > 0.0),
    )


def most_reserve_m3(plant: Plant, drive: Drive, card: Card, state: Floats) -> float:
    """Return the most feed that a fire by a card must leave, m³, in whole gallons or litres.

    A rich pan draws while it dies, and needs more than the house's reserve. Who works by a card
    does not reckon how rich it is, so the card has the most that comes up in its springs.

    Parameters
    ----------
    plant, drive : the house, and the springs
    card : its rules
    state : at the beginning
    """
    rows = card_rows(card, drive)
    needs = [
        trace.column(at.T_RESERVE_M3)[trace.column(at.T_FIRE_ON) > 0.0]
        for trace in (
            simulate(plant, drive, rows, state, scenario=w) for w in range(drive.scenarios)
        )
    ]
    most_m3 = float(np.concatenate([[plant.p[at.RESERVE_M3]], *needs]).max())
    unit = "gal" if plant.house.site.units == "us" else "L"
    whole = math.ceil(to_unit(most_m3, VOLUME, unit) - ROUNDED)
    return float(whole / to_unit(1.0, VOLUME, unit))


def _fire(plant: Plant, card: Card, reserve_m3: float) -> CardFire:
    p, row, tank = plant.p, card.rows[0], feed_tank(plant.house)
    light_m3 = light_gauge_m3(p, row[at.FIRE_STOCK_M3], 0.0)
    call_m3 = row[at.FIRE_CALL_M3]
    return CardFire(
        tank="sap" if plant.house.membrane is None else "stock",
        light=_gauge(tank, light_m3),
        light_empty=_gauge(tank, light_gauge_m3(p, row[at.FIRE_STOCK_M3], pan_mass_kg(p))),
        call=_gauge(tank, max(call_m3, light_m3)) if call_m3 > 0.0 else None,
        reserve=_gauge(tank, reserve_m3),
        pan_m3=float(pan_mass_kg(p) * p[at.WATER_M3_KG]),
        stay_s=float(p[at.CLEAR_S] + p[at.LEAST_BURN_S]),
        burn_down_s=float(p[at.CLEAR_S]),
    )


def _gauge(tank: Tank, volume_m3: float) -> Gauge:
    """Return a level of a tank, with its depth on the stick where the tank's shape is known."""
    try:
        depth_m = depth_at_volume_m(tank, min(volume_m3, capacity_m3(tank)))
    except InputError:  # only its volume was described
        return Gauge(float(volume_m3), None)
    return Gauge(float(volume_m3), depth_m)
