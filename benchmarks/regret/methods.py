"""The ways of deciding that are compared, each as a function of a house and a season."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from time import process_time

import numpy as np

from sugarwright.planning.outlook import lost_m3, syrup_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines

from .bound import bound_money
from .card import Card, card_rows
from .houses import Case
from .neighbour import habit_of_today
from .planner import plan_forecast, plan_in
from .rolling import Decide, Worked, nothing_to_decide, work
from .seasons import Season
from .truth import HORIZON_H, Truth, make_truth
from .wrong_house import other_house, other_trees

SEARCHES = 10  # of the planner that knows the weather, for one of the planner that does not
LATE_MIN = (30.0, 60.0)
FORGOTTEN = 0.1  # of the washes
CLOCKS = (
    at.MEMBRANE_START, at.MEMBRANE_STOP, at.WASH_AT, at.FIRE_START, at.FIRE_STOP,
)  # fmt: skip


@dataclass(frozen=True)
class Outcome:
    """What a season came to, in the house's money and SI."""

    net_money: float
    lines_money: dict[str, float]
    syrup_m3: float
    spilled_kg: float
    spoiled_kg: float
    fire_s: float
    hands_s: float
    light_ups: float
    membrane_starts: float
    washes: float
    dry_pans_s: float
    alone_s: float
    processor_s: float
    days: list[list[float]]


def habit(case: Case, season: Season, card: Card) -> Outcome:
    """(a) As a sensible neighbour works."""
    plant, truth = _ready(case, season)
    return _outcome(plant, truth, lambda _, x: habit_of_today(plant, x, case.overnight, 2))


def rule_card(case: Case, season: Season, card: Card) -> Outcome:
    """(b) Fixed thresholds, tuned on other seasons."""
    plant, truth = _ready(case, season)
    return _outcome(plant, truth, lambda _, x: card_rows(plant, card, 2))


def perfect(case: Case, season: Season, card: Card) -> Outcome:
    """(c) The planner, told the true weather and sap of its horizon, with much more search."""
    return _perfect(case, season, SEARCHES)


def perfect_twice(case: Case, season: Season, card: Card) -> Outcome:
    """(c2) The same with twice that search: does it matter?"""
    return _perfect(case, season, 2 * SEARCHES)


def planned(case: Case, season: Season, card: Card) -> Outcome:
    """(e) The planner, with forecasts as issued."""
    plant, truth = _ready(case, season)
    return _outcome(plant, truth, _decide_by_forecast(plant, truth))


def planned_late(case: Case, season: Season, card: Card) -> Outcome:
    """(e') Likewise, by a person who is late for everything and forgets washes."""
    plant, truth = _ready(case, season)
    decide = _decide_by_forecast(plant, truth)
    chance = np.random.default_rng([season.seed, 5])
    return _outcome(plant, truth, lambda day, x: late(decide(day, x), chance))


def habit_late(case: Case, season: Season, card: Card) -> Outcome:
    """(a') The habit of such a person."""
    plant, truth = _ready(case, season)
    chance = np.random.default_rng([season.seed, 5])
    return _outcome(
        plant, truth, lambda _, x: late(habit_of_today(plant, x, case.overnight, 2), chance)
    )


def wrong_house(case: Case, season: Season, card: Card) -> Outcome:
    """(f) The planner at a house whose membrane, pan and trees are not as it thinks."""
    believed = assemble(case.tapped(season.tapped))
    plant, truth = _other(case, season)
    return _outcome(plant, truth, _decide_by_forecast(believed, truth))


def wrong_house_habit(case: Case, season: Season, card: Card) -> Outcome:
    """(fa) The habit at that house."""
    plant, truth = _other(case, season)
    return _outcome(plant, truth, lambda _, x: habit_of_today(plant, x, case.overnight, 2))


def wrong_house_perfect(case: Case, season: Season, card: Card) -> Outcome:
    """(fc) The planner that knows that house and the weather."""
    plant, truth = _other(case, season)
    return _outcome(plant, truth, _decide_by_truth(plant, truth, SEARCHES))


def bound(case: Case, season: Season, card: Card) -> Outcome:
    """(d) What no way of working can beat, from a linear relaxation: its net alone."""
    began_s = process_time()
    plant, truth = _ready(case, season)
    net = bound_money(plant, truth)
    nothing = {name: 0.0 for name in (each.name for each in fields(Outcome)) if name != "days"}
    spent_s = process_time() - began_s
    return Outcome(**{**nothing, "net_money": net, "lines_money": {}, "processor_s": spent_s}, days=[])


Method = Callable[[Case, Season, Card], Outcome]
METHODS: dict[str, Method] = {
    "habit": habit, "card": rule_card, "perfect": perfect, "perfect2": perfect_twice,
    "bound": bound, "plan": planned, "late": planned_late, "habit-late": habit_late,
    "wrong": wrong_house, "wrong-habit": wrong_house_habit, "wrong-perfect": wrong_house_perfect,
}  # fmt: skip


def late(rows: Floats, chance: np.random.Generator) -> Floats:
    """Return rows as somebody carries them out who is late for everything and forgets washes."""
    done = rows.copy()
    for row in done:
        for clock in CLOCKS:
            if row[clock] >= 0.0:
                row[clock] = min(1440.0, row[clock] + chance.uniform(*LATE_MIN))
        if chance.random() < FORGOTTEN:
            row[at.WASH_AT] = -1.0
    return done


def _ready(case: Case, season: Season) -> tuple[Plant, Truth]:
    plant = assemble(case.tapped(season.tapped))
    return plant, make_truth(plant, season)


def _other(case: Case, season: Season) -> tuple[Plant, Truth]:
    plant = assemble(other_house(case.tapped(season.tapped), season.seed))
    return plant, make_truth(plant, season, other_trees(plant.house, season.seed))


def _perfect(case: Case, season: Season, searches: int) -> Outcome:
    plant, truth = _ready(case, season)
    return _outcome(plant, truth, _decide_by_truth(plant, truth, searches))


def _decide_by_forecast(believed: Plant, truth: Truth) -> Decide:
    def decide(day: int, state: Floats) -> Floats:
        known, begin_s = truth.forecast(day), truth.morning_s(day)
        return plan_forecast(believed, known, begin_s, HORIZON_H, state).rows

    return _resting(believed, truth, decide)


def _decide_by_truth(plant: Plant, truth: Truth, searches: int) -> Decide:
    def decide(day: int, state: Floats) -> Floats:
        begin_s = truth.morning_s(day)
        return plan_in(plant, truth.day(day, HORIZON_H), begin_s, state, begin_s, searches).rows

    return _resting(plant, truth, decide)


def _resting(plant: Plant, truth: Truth, decide: Decide) -> Decide:
    """Save the search on days on which every plan would do nothing."""

    def rest_or_decide(day: int, state: Floats) -> Floats:
        coming_kg = float(truth.day(day, HORIZON_H).sap_kg_s.sum()) * 3600.0
        if nothing_to_decide(plant, state, coming_kg):
            rows = np.zeros((2, at.PLAN_WIDTH))
            rows[:, [at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
            return rows
        return decide(day, state)

    return rest_or_decide


def _outcome(plant: Plant, truth: Truth, decide: Decide) -> Outcome:
    began_s = process_time()
    worked = work(plant, truth, decide)
    y = worked.totals
    worth = worth_lines(plant, y, worked.state)
    return Outcome(
        net_money=float(worth.net),
        lines_money={each.name: float(getattr(worth, each.name)) for each in fields(worth)},
        syrup_m3=float(syrup_m3(plant, y)),
        spilled_kg=float(y[at.SPILLED_WATER_KG] + y[at.SPILLED_SUGAR_KG]),
        spoiled_kg=float(y[at.DUMPED_WATER_KG] + y[at.DUMPED_SUGAR_KG]),
        fire_s=float(y[at.FIRE_S]),
        hands_s=float(y[at.HANDS_S]),
        light_ups=float(y[at.LIGHT_UPS]),
        membrane_starts=float(y[at.MEMBRANE_STARTS]),
        washes=float(y[at.WASHES]),
        dry_pans_s=float(y[at.SHORT_S]),
        alone_s=float(y[at.LIT_ALONE_S]),
        processor_s=process_time() - began_s,
        days=_by_day(plant, worked),
    )


def _by_day(plant: Plant, worked: Worked) -> list[list[float]]:
    """Net worth so far at each morning, and the rows carried out, to read afterwards."""
    net = worth_lines(plant, worked.totals_by_day, worked.states).net
    return [
        [float(money), *(round(float(each), 8) for each in rows[0])]
        for money, rows in zip(net[1:], worked.rows, strict=True)
    ]
