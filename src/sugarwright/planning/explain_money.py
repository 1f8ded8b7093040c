"""What two ways of working are worth, line by line, beside each other."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from sugarwright.planning.explanation_parts import MoneyLine
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Results
from sugarwright.plant.worth import older_money, worth_lines


def money_lines(
    plant: Plant, runs: Results, others: Results, other_plant: Plant | None = None
) -> tuple[MoneyLine, ...]:
    """Return each line of the worth of two ways, in the mean over the weathers, and their sums.

    Parameters
    ----------
    plant : the house, with its prices
    runs, others : of one plan each
    other_plant : of the others; None: the same
    """
    one, two = _money(plant, runs), _money(other_plant or plant, others)
    return tuple(MoneyLine(name, one[name], two[name]) for name in one)


def _money(plant: Plant, runs: Results) -> dict[str, float]:
    """The lines of a worth, with what age takes told apart from what it takes it from."""
    worth = worth_lines(plant, runs.totals, runs.states)
    found = {each.name: float(np.mean(getattr(worth, each.name))) for each in fields(worth)}
    drawn, left = (float(each.mean()) for each in older_money(plant, runs.totals, runs.states))
    fresh = {"syrup": found.pop("syrup") + drawn, "older": -drawn - left}
    found["left"] += left
    return {**fresh, **found, "net": float(np.mean(worth.net))}
