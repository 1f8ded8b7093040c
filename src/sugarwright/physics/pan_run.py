"""A pan on a steady fire: when it first draws, how much it gives, and what a chase brings at last.

The same balance as :mod:`sugarwright.physics.pan`, run for hours: sweetening until the first draw,
then draw after draw. At the end of a day thin sap or water may follow the last feed and push sugar
on towards the draw: a chase is the same run with a feed of no strength.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from sugarwright.physics.pan import Row, advance_compartments
from sugarwright.physics.valid import valid

_STEP_S = 20.0


class PanBuilt(NamedTuple):
    """A pan as it is built and as it is finished.

    Parameters
    ----------
    mass_kg : liquid held in each compartment, feed end first [kg]
    heat_share_fraction : share of the heat that each gets; they sum to 1
    mixing_fraction : back-mixing between neighbours, as a share of the flow between them
    finish_fraction : sugar by mass at which syrup is drawn, 0.66 or 0.669
    draw_kg : syrup let out at each draw [kg]
    """

    mass_kg: Row
    heat_share_fraction: Row
    mixing_fraction: float
    finish_fraction: float
    draw_kg: float


class PanRun(NamedTuple):
    """What a pan gave in a time.

    Parameters
    ----------
    draws : how often syrup was drawn
    first_draw_s, last_draw_s : time from the beginning to those draws [s]; infinite without one
    syrup_kg, syrup_sugar_kg : drawn in all, and the sugar in it [kg]
    steam_kg : water boiled off [kg]
    fed_kg : taken in, which made up for steam and syrup [kg]
    """

    draws: int
    first_draw_s: float
    last_draw_s: float
    syrup_kg: float
    syrup_sugar_kg: float
    steam_kg: float
    fed_kg: float


def move_up(sugar_kg: Row, mass_kg: Row, moved_kg: float, feed_sugar_fraction: float) -> None:
    """Move a mass of liquid from each compartment into the next, and feed into the first.

    Parameters
    ----------
    sugar_kg : sugar in each compartment, feed end first [kg]; **changed in place**
    mass_kg : liquid in each compartment [kg]
    moved_kg : mass that moves [kg]; small beside the least compartment
    feed_sugar_fraction : mass fraction of sugar in the feed

    Examples
    --------
    >>> sugar = [1.0, 2.0]
    >>> move_up(sugar, [20.0, 10.0], 2.0, 0.02)
    >>> [round(each, 2) for each in sugar]
    [0.94, 2.1]
    """
    for i in range(len(mass_kg) - 1, 0, -1):
        passed_kg = moved_kg * sugar_kg[i - 1] / mass_kg[i - 1]
        sugar_kg[i] += passed_kg
        sugar_kg[i - 1] -= passed_kg
    sugar_kg[0] += moved_kg * feed_sugar_fraction


@valid(
    evaporated_kg_s=(1e-6, 100.0),
    feed_sugar_fraction=(0.0, 0.4),
    feed_preheat_fraction=(0.0, 0.5),
    duration_s=(0.0, 1e6),
)
def run_pan(
    sugar_kg: Row,
    evaporated_kg_s: float,
    feed_sugar_fraction: float,
    feed_preheat_fraction: float,
    duration_s: float,
    built: PanBuilt,
    scratch: Row,
) -> PanRun:
    """Boil a pan that is at the boil for a time, on a steady fire and an even feed.

    Parameters
    ----------
    sugar_kg : sugar in each compartment, feed end first [kg]; **changed in place**
    evaporated_kg_s : water boiled off, see :func:`sugarwright.physics.pan.evaporation_kg_s` [kg/s]
    feed_sugar_fraction : mass fraction of sugar in the feed; 0 for a chase with water
    feed_preheat_fraction : share of the fire's heat that warms the feed: for cold sap some 0.15
    duration_s : how long [s]
    built : the pan
    scratch : work space of at least two values for each compartment

    Returns
    -------
    PanRun.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Steps of 20 s of :func:`sugarwright.physics.pan.advance_compartments`; where the last of them
    passes the finish, one draw leaves and :func:`move_up` fills its place. The feed that replaces a
    draw must be warmed, for which the boil stands still. Light-up and burn-down are for the caller
    (:func:`sugarwright.physics.pan.heat_ramp`). A chase ends by itself: each draw finds less sugar
    behind it. Stop while liquid stands well over the floor of every part; never chase to the last
    drop.

    Examples
    --------
    A pan of 26 US gal that boils 25 an hour, on 2 Brix for 14 h: hours to the first draw, gallons,
    and the sugar still in it. Then 1.5 h of water behind it: gallons more, and the sugar left.

    >>> pan = PanBuilt([42.0, 42.0, 5.2, 5.4, 6.2], [0.36, 0.30, 0.12, 0.12, 0.10], 0.15, 0.66, 2.0)
    >>> sugar, work = [0.02 * kg for kg in pan.mass_kg], [0.0] * 10
    >>> day = run_pan(sugar, 0.0263, 0.02, 0.15, 14 * 3600.0, pan, work)
    >>> round(day.first_draw_s / 3600.0, 1), round(day.syrup_kg / 5.007, 1), round(sum(sugar), 1)
    (3.7, 6.4, 7.9)
    >>> chase = run_pan(sugar, 0.0263, 0.0, 0.15, 1.5 * 3600.0, pan, work)
    >>> round(chase.syrup_kg / 5.007, 1), round(sum(sugar), 1)
    (0.8, 5.3)
    """
    last = len(built.mass_kg) - 1
    finished_kg = built.finish_fraction * built.mass_kg[last]
    # Heat that warms the feed of a draw, as time in which nothing boils.
    warming_s = built.draw_kg * feed_preheat_fraction / evaporated_kg_s
    passed_s, boiled_s, drawn_sugar_kg, draws = 0.0, 0.0, 0.0, 0
    first_s = last_s = math.inf
    while passed_s < duration_s:
        step_s = min(_STEP_S, duration_s - passed_s)
        advance_compartments(
            sugar_kg, built.mass_kg, built.heat_share_fraction, evaporated_kg_s,
            feed_preheat_fraction, feed_sugar_fraction, built.mixing_fraction, step_s, scratch,
        )  # fmt: skip
        passed_s += step_s
        boiled_s += step_s
        if sugar_kg[last] >= finished_kg:
            first_s, last_s, draws = min(first_s, passed_s), passed_s, draws + 1
            drawn_sugar_kg += _draw(sugar_kg, feed_sugar_fraction, built)
            passed_s += warming_s
    syrup_kg, steam_kg = draws * built.draw_kg, boiled_s * evaporated_kg_s
    fed_kg = steam_kg + syrup_kg
    return PanRun(draws, first_s, last_s, syrup_kg, drawn_sugar_kg, steam_kg, fed_kg)


def _draw(sugar_kg: Row, feed_sugar_fraction: float, built: PanBuilt) -> float:
    """Let one draw out and the liquid behind move up; return its sugar [kg]."""
    last = len(built.mass_kg) - 1
    drawn_kg = built.draw_kg * sugar_kg[last] / built.mass_kg[last]
    sugar_kg[last] -= drawn_kg
    least_kg = built.mass_kg[0]
    for i in range(last):
        least_kg = min(least_kg, built.mass_kg[i])
    pieces = math.ceil(built.draw_kg / least_kg)  # none of them more than a compartment holds
    for _ in range(pieces):
        move_up(sugar_kg, built.mass_kg, built.draw_kg / pieces, feed_sugar_fraction)
    return drawn_kg
