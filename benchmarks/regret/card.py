"""The rule card: one row of clock times and gauges for every day, tuned on training seasons.

It reads no forecast. Its options are those of the planner's menu, any time of the week allowed, and
it is found by the planner's own search, with the mean net worth of whole training seasons as what
is sought; the running hours after which to wash are tried one after the other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sugarwright.planning.choices import Menu, Picks, habit_rows, make_menu, rows
from sugarwright.planning.judging import BROKEN_MONEY
from sugarwright.planning.presets import presets
from sugarwright.planning.search import Judge, search
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines

from .houses import Case
from .seasons import Season
from .truth import cut, make_truth

WASH_AFTER_H = (4.0, 7.0, 10.0, 15.0)
SEED = 17
WEEK_H = 7 * 24


@dataclass(frozen=True)
class Card:
    """The card of a house.

    Parameters
    ----------
    row : (``PLAN_WIDTH``), the same every day
    money : mean net worth of the training seasons
    """

    row: tuple[float, ...]
    money: float


def card_rows(card: Card, days: int) -> Floats:
    """Rows of the card for some days."""
    return np.tile(np.array(card.row), (days, 1))


def tune(case: Case, seasons: list[Season]) -> Card:
    """Find the card of a house."""
    ready = [_season(case, season) for season in seasons]
    plant, drive = ready[0]
    menu = _any_day(make_menu(plant, cut(drive, 0, WEEK_H), start_state(plant, Levels())))
    begin = presets(menu, habit_rows(plant, 1))
    cards = []
    for wash_after_h in WASH_AFTER_H:
        plans_of = _washing_after(menu, 3600.0 * wash_after_h)
        found = search(menu, _judge(ready, plans_of), SEED, begin)
        row = plans_of(found.picks[np.newaxis])[0, 0]
        cards.append(Card(tuple(float(each) for each in row), found.value_money))
    return max(cards, key=lambda card: card.money)


def _season(case: Case, season: Season) -> tuple[Plant, Drive]:
    plant = assemble(case.tapped(season.tapped))
    truth = make_truth(plant, season)
    return plant, cut(truth.drive, 0, 24 * season.days)


def _washing_after(menu: Menu, duration_s: float) -> Callable[[Picks], Floats]:
    def plans_of(picks: Picks) -> Floats:
        plans = rows(menu, picks)
        plans[..., at.WASH_AFTER_S] = duration_s
        return plans

    return plans_of


def _judge(ready: list[tuple[Plant, Drive]], plans_of: Callable[[Picks], Floats]) -> Judge:
    return lambda picks: _mean_money(ready, plans_of(picks))


def _mean_money(ready: list[tuple[Plant, Drive]], plans: Floats) -> Floats:
    total = np.zeros(len(plans))
    for plant, drive in ready:
        results = run_many(plant, drive, plans, start_state(plant, Levels()))
        net = worth_lines(plant, results.totals, results.states).net[:, 0]
        total += net - BROKEN_MONEY * (broken_s(results.totals)[:, 0] > 0.0)
    mean: Floats = total / len(ready)
    return mean


def _any_day(menu: Menu) -> Menu:
    """One day that offers every time at which somebody is there on any day of a week."""

    def joined(times: tuple[Floats, ...]) -> tuple[Floats, ...]:
        return (np.unique(np.concatenate(times)),)

    return replace(
        menu,
        starts=joined(menu.starts),
        lights=joined(menu.lights),
        washes=joined(menu.washes),
        gathers=(),  # by a card trips go whenever they are worth it
    )
