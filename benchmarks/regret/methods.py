"""The ways of deciding that are compared, by name."""

from __future__ import annotations

from collections.abc import Callable

from .by_bound import bound
from .by_card import rule_card
from .by_habit import habit, habit_elsewhere, habit_late
from .by_planner import (
    perfect,
    perfect_elsewhere,
    perfect_twice,
    planned,
    planned_elsewhere,
    planned_late,
    planned_mornings,
)
from .by_told import told_air
from .houses import Case
from .outcome import Outcome
from .seasons import Season

Method = Callable[[Case, Season], Outcome]

METHODS: dict[str, Method] = {
    "habit": habit,
    "card": rule_card,
    "plan": planned,
    "plan-mornings": planned_mornings,
    "told-air": told_air,
    "perfect": perfect,
    "bound": bound,
    "late": planned_late,
    "habit-late": habit_late,
    "elsewhere": planned_elsewhere,
    "habit-elsewhere": habit_elsewhere,
    "perfect-elsewhere": perfect_elsewhere,
    "perfect-twice": perfect_twice,
}
FEWER = {
    "plan-mornings", "told-air", "late", "habit-late", "elsewhere", "habit-elsewhere",
    "perfect-elsewhere", "perfect-twice",
}  # fmt: skip
"""Those that need not be told of all seasons."""
