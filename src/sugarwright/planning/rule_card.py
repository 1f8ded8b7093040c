"""The rule card: a plan for every day of a season, tuned to the house over whole springs.

It reads no forecast: clock times, gauges and settings are the same each week, so that they can hang
on the wall for a day on which the computer is off. Found by the planner's own search, with the mean
net worth of whole springs as what is sought; a card that breaks a rule in one of them loses to any
that does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.card_menu import (
    KINDS,
    CardMenu,
    card_menu,
    rows_by_kind,
    rows_of_days,
    tied,
)
from sugarwright.planning.choices import Picks, habit_rows
from sugarwright.planning.judging import judge_plans
from sugarwright.planning.presets import presets
from sugarwright.planning.search import Budget, Judge, search
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

USUAL = Budget(population=64, rounds=5)
SCREENED = 4  # springs in which changes of a good card are looked at first


@dataclass(frozen=True)
class Card:
    """The rules of a card.

    Parameters
    ----------
    rows : one of weekdays and one of Saturday and Sunday, each (``PLAN_WIDTH``,)
    """

    rows: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Tuned:
    """A card found.

    Parameters
    ----------
    card : its rules
    whose : "search", or "habit" where nothing better than the house's own way was found
    value_money : mean net worth of a spring, over those that it was tuned on
    candidates : how many cards were judged
    stopped_early : the clock ended the search
    """

    card: Card
    whose: str
    value_money: float
    candidates: int
    stopped_early: bool


def card_rows(card: Card, drive: Drive) -> Floats:
    """Return a card as a plan for the local days of a drive, (days, ``PLAN_WIDTH``).

    Parameters
    ----------
    card : its rules
    drive : of the run
    """
    return rows_of_days(np.array(card.rows), drive.calendar)


def habit_card(plant: Plant) -> Card:
    """Return the house's present way of working as a card."""
    return _card(habit_rows(plant, KINDS))


def tune_card(
    plant: Plant, drive: Drive, state: Floats, seed: int, budget: Budget | None = None
) -> Tuned:
    """Find the card with the greatest mean net worth over the springs of a drive.

    Parameters
    ----------
    plant : the house
    drive : of whole springs (real or made up), the same days in each; the more, the less the card
        is fitted to one of them
    state : at their beginning
    seed : of the search
    budget : how much to search; None: as usual

    Returns
    -------
    Tuned

    Raises
    ------
    InputError : nobody gives any hours, so that there is nothing to be done on any day
    """
    if not (drive.calendar[:, at.PEOPLE] > 0.0).any():
        fix = "Write the hours of whoever works there in [[people]] of sugarhouse.toml"
        raise InputError("people", None, "give no hours, so no card can ask for anything", fix=fix)
    menu = card_menu(plant, drive, state)
    begun = tied(presets(menu, habit_rows(plant, menu.days)))
    judge = _judge(plant, drive, menu, state)
    screen = _judge(plant, drive.some(slice(0, SCREENED)), menu, state)
    found = search(menu, judge, seed, np.unique(begun, axis=0), budget or USUAL, screen)
    card, whose = _card(rows_by_kind(menu, found.picks[np.newaxis])[0]), "search"
    value, habit = found.value_money, habit_card(plant)
    own = float(judge_plans(plant, drive, card_rows(habit, drive)[np.newaxis], state)[0])
    if own >= value:
        card, whose, value = habit, "habit", own
    return Tuned(card, whose, value, found.candidates + 1, found.stopped_early)


def _judge(plant: Plant, drive: Drive, menu: CardMenu, state: Floats) -> Judge:
    def judge(picks: Picks) -> Floats:
        plans = rows_of_days(rows_by_kind(menu, picks), drive.calendar)
        return judge_plans(plant, drive, plans, state)

    return judge


def _card(rows: Floats) -> Card:
    return Card(tuple(tuple(row) for row in rows.tolist()))
