"""What a rule card can say: clock times for weekdays and weekends, and the same gauges for both.

The planner's own menu, of two "days": one for each part of the week, or a single one where people
give the same hours all week (or none in the other part). Whoever works by a card must know it by
heart, so only clock times differ between the two.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.choices import Menu, Picks, make_menu, rows, without_idle
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.house import House
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

WEEKDAYS, WEEKEND = 0, 1
KINDS = 2
WASH_AFTER_H = (4.0, 7.0, 10.0, 14.0, 20.0)
TIMES = (of.START, of.WASH, of.LIGHT)
TIED = [choice for choice in range(of.GATHER) if choice not in TIMES]
"""Choices that are the same all week: those of the first part stand for both."""


@dataclass(frozen=True)
class CardMenu(Menu):
    """The lists to choose from, one "day" for each part of the week.

    Parameters
    ----------
    parts : the kinds of day (``WEEKDAYS``, ``WEEKEND``) that each part stands for; the part with
        most hours first, since a choice that depends on a start is kept only where there is one
    """

    parts: tuple[tuple[int, ...], ...]

    def sizes(self) -> Picks:
        """How many options each choice has; what is tied is chosen once."""
        sizes = super().sizes()
        sizes[1:, TIED] = 1
        sizes[:, of.CALL_FLOW] = 1  # one setting is enough to know by heart
        return sizes


def card_menu(plant: Plant, drive: Drive, state: Floats) -> CardMenu:
    """List what a card of this house could say.

    Parameters
    ----------
    plant : the house
    drive : of some weeks
    state : of the plant at their beginning
    """
    menu = make_menu(plant, drive, state)
    parts = week_parts(plant.house)
    kinds = kinds_of_days(np.unique(drive.calendar[:, at.DAY]))

    def joined(times: tuple[Floats, ...]) -> tuple[Floats, ...]:
        return tuple(
            np.unique(np.concatenate([times[d] for d in np.flatnonzero(np.isin(kinds, part))]))
            for part in parts
        )

    own = {each.name: getattr(menu, each.name) for each in fields(menu)}
    own["starts"], own["lights"] = joined(menu.starts), joined(menu.lights)
    own["washes"] = joined(menu.washes)
    own["gathers"] = ()  # by a card trips go whenever they are worth it: less to know by heart
    habit_s = plant.house.habit.wash_after_s
    own["wash_afters_s"] = np.unique(np.append(3600.0 * np.array(WASH_AFTER_H), habit_s))
    return CardMenu(**own, parts=parts)


def week_parts(house: House) -> tuple[tuple[int, ...], ...]:
    """Return the parts of the week that need times of their own, the one with most hours first."""
    spans = [
        tuple(person.weekdays for person in house.people),
        tuple(person.weekends for person in house.people),
    ]
    hours = [sum((end - begin) % 1440 or 1440 for own in part for begin, end in own)
             for part in spans]  # fmt: skip
    if spans[WEEKDAYS] == spans[WEEKEND] or min(hours) == 0:
        return ((WEEKDAYS, WEEKEND),)
    first = int(np.argmax(hours))
    return ((first,), (1 - first,))


def kinds_of_days(days: Floats) -> Picks:
    """Tell weekdays and weekends apart by their local day numbers (``calendar.make_calendar``)."""
    weekend = (days.astype(np.int64) - 1) % 7 >= 5  # proleptic ordinal 1 was a Monday
    kinds: Picks = np.where(weekend, WEEKEND, WEEKDAYS)
    return kinds


def tied(picks: Picks) -> Picks:
    """Return picks whose later parts leave to the first what is the same all week."""
    plain = picks.copy()
    plain[..., 1:, TIED] = 0
    return without_idle(plain)


def rows_by_kind(menu: CardMenu, picks: Picks) -> Floats:
    """Turn picks into rows, (plans, ``KINDS``, ``PLAN_WIDTH``)."""
    whole = picks.copy()
    whole[:, 1:, TIED] = picks[:, :1, TIED]
    by_part = rows(menu, whole)
    by_kind = np.empty((len(picks), KINDS, at.PLAN_WIDTH))
    for place, kinds in enumerate(menu.parts):
        by_kind[:, list(kinds)] = by_part[:, place : place + 1]
    return by_kind


def rows_of_days(by_kind: Floats, calendar: Floats) -> Floats:
    """Lay out rows over the local days of a run, (..., days, ``PLAN_WIDTH``).

    Parameters
    ----------
    by_kind : (..., ``KINDS``, ``PLAN_WIDTH``)
    calendar : of the run's drive
    """
    laid: Floats = by_kind[..., kinds_of_days(np.unique(calendar[:, at.DAY])), :]
    return laid
