"""A card as the [habit] of a house: what of it that section can hold, and what that is worth."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.card_menu import KINDS, rows_of_days
from sugarwright.planning.card_report import AsHabit
from sugarwright.planning.card_springs import CardSprings
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.judging import judge_plans
from sugarwright.planning.rule_card import Card
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines

LAST_MIN = 1439.0  # a clock time that a person writes
_UNSAID = [
    at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3, at.NIGHT_FLOW_M3_S, at.PASS_AGAIN_BRIX, at.CALL_FLOW_M3_S
]  # fmt: skip


def as_habit(plant: Plant, springs: CardSprings, card: Card, state: Floats) -> AsHabit | None:
    """Return the card as a habit: the better of its rows all week; None where neither can be one.

    The hours between washes stay the house's own: they stand for what its membrane needs, and
    everything is reckoned by them.

    Parameters
    ----------
    plant : the house
    springs : the first set chooses the row, the second tells its gain
    card : its rules
    state : at the beginning of a spring
    """
    today = habit_rows(plant, 1)[0]
    able = [_habit_row(plant, np.array(row), today) for row in card.rows]
    rows = [row for row in able if row is not None]
    if not rows:
        return None
    all_week = np.stack([np.tile(row, (KINDS, 1)) for row in rows])
    drive = springs.tuned
    values = judge_plans(plant, drive, rows_of_days(all_week, drive.calendar), state)
    best = rows[int(np.argmax(values))]
    return _told(plant, best, _gain_money(plant, springs, best, today, state))


def _habit_row(plant: Plant, row: Floats, today: Floats) -> Floats | None:
    """Return a row without what a habit cannot say; None if it lacks what a habit must say."""
    if row[at.FIRE_START] < 0.0:
        return None
    plain = row.copy()
    plain[_UNSAID] = 0.0
    plain[at.WASH_AFTER_S] = today[at.WASH_AFTER_S]
    plain[at.FIRE_STOP] = min(plain[at.FIRE_STOP], LAST_MIN)
    if plant.house.membrane is None:
        return plain
    if row[at.MEMBRANE_START] < 0.0:
        return None
    plain[at.MEMBRANE_STOP] = min(plain[at.MEMBRANE_STOP], LAST_MIN)
    if row[at.WASH_AT] < 0.0:
        plain[at.WASH_AT] = today[at.WASH_AT]
    return plain


def _gain_money(
    plant: Plant, springs: CardSprings, row: Floats, today: Floats, state: Floats
) -> float:
    by_kind = np.stack([np.tile(each, (KINDS, 1)) for each in (row, today)])
    drive = springs.checked
    results = run_many(plant, drive, rows_of_days(by_kind, drive.calendar), state)
    net = worth_lines(plant, results.totals, results.states).net.mean(axis=1)
    return float(net[0] - net[1])


def _told(plant: Plant, row: Floats, gain_money: float) -> AsHabit:
    has_membrane = plant.house.membrane is not None
    return AsHabit(
        membrane_start_min=int(row[at.MEMBRANE_START]) if has_membrane else None,
        membrane_sap_m3=float(row[at.MEMBRANE_SAP_M3]),
        flow_m3_s=float(row[at.MEMBRANE_FLOW_M3_S]),
        membrane_stop_min=int(row[at.MEMBRANE_STOP]) if has_membrane else None,
        wash_min=int(row[at.WASH_AT]) if has_membrane else None,
        fire_start_min=int(row[at.FIRE_START]),
        fire_stock_m3=float(row[at.FIRE_STOCK_M3]),
        fire_stop_min=int(row[at.FIRE_STOP]),
        gain_money=gain_money,
    )
