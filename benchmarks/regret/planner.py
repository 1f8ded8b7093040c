"""The planner, as the plan command asks it, without its report: what a morning's plan would be.

Yesterday's plan is handed on, as a maker would keep it: it stays unless a new one gains a little.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sugarwright.planning.choose import choose
from sugarwright.planning.search import USUAL, Budget
from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import tree_parameters
from sugarwright.plant.simulate import Trace, simulate
from sugarwright.plant.tank_kernel import Floats, volume_m3
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.weather.ensemble import PRIOR
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S

from .run_seen import run_seen
from .truth import HORIZON_H, Truth

KNOWN_TREES_SD_LOG = 0.1  # trees that some seasons of gatherings have taught
KNOWN_BRIX_SD = 0.1
THREADS = 1  # a season has a process of its own
OLD_H = 5  # of a plan: whoever then looks at the tanks knows what was open when it was made
DEPARTURE = 0.1  # of a tank: a reading that is off by more is worth another look

WeathersOf = Callable[[int, int], Weathers]
"""Day of the season and hours since its morning -> what a plan made then is judged in."""


@dataclass(frozen=True)
class _Made:
    """A plan, when it was made, and what its forecast made expect."""

    rows: Floats
    hour: int
    expected: Trace


class Planner:
    """Makes a plan each morning, with yesterday's at hand; looks again when a reading is off.

    Parameters
    ----------
    plant : the house as the planner believes it to be
    truth : the season
    weathers_of : what it knows of the weather
    budget : how much each search may search
    searches : how many to make, by seeds of their own; the best of them counts
    """

    def __init__(
        self,
        plant: Plant,
        truth: Truth,
        weathers_of: WeathersOf,
        budget: Budget = USUAL,
        searches: int = 1,
    ) -> None:
        self.plant, self.truth, self.weathers_of = plant, truth, weathers_of
        self.budget, self.searches = budget, searches
        self._made: dict[int, _Made] = {}

    def morning(self, day: int, state: Floats) -> Floats:
        """Return the plan of a morning."""
        yesterdays = self._made.get(day - 1)
        before = None if yesterdays is None else a_day_later(yesterdays.rows)
        return self._plan(day, 0, state, before)

    def again(self, day: int, hour: int, state: Floats, rows: Floats) -> Floats:
        """Return a plan made anew if a tank is not as expected or it is old, else as it is."""
        made = self._made.get(day)
        if made is None or not self._is_there(day, hour):
            return rows
        if hour - made.hour < OLD_H and not self._is_off(made, hour, state):
            return rows
        return self._plan(day, hour, state, made.rows)

    def _plan(self, day: int, hour: int, state: Floats, before: Floats | None) -> Floats:
        weathers, seed = self.weathers_of(day, hour), self.truth.morning_s(day) + HOUR_S * hour
        found = [
            choose(self.plant, weathers, state, seed + k, self.budget, before, THREADS)
            for k in range(self.searches)
        ]
        rows = max(found, key=lambda one: one.value_money).plan
        self._made[day] = _Made(rows, hour, simulate(self.plant, weathers.forecast, rows, state))
        return rows

    def _is_there(self, day: int, hour: int) -> bool:
        return bool(self.truth.calendar_at(day, hour)[at.PEOPLE] > 0.0)

    def _is_off(self, made: _Made, hour: int, state: Floats) -> bool:
        p = self.plant.p
        step = round((hour - made.hour) * HOUR_S / self.plant.step_s) - 1
        tanks = (
            (at.SAP, at.T_SAP_M3, at.SAP_CAPACITY_M3),
            (at.STOCK, at.T_STOCK_M3, at.STOCK_CAPACITY_M3),
        )
        for tank, column, capacity in tanks if p[at.HAS_MEMBRANE] > 0.0 else tanks[:1]:
            expected_m3 = float(made.expected.column(column)[step])
            if abs(volume_m3(p, state, tank) - expected_m3) > DEPARTURE * p[capacity]:
                return True
        return False


def a_day_later(rows: Floats) -> Floats:
    """Rows of yesterday's plan from today on, but for the few hours of its last day."""
    return rows[1:-1]


def known_trees(plant: Plant) -> TreeKnowledge:
    """What somebody knows whose trees are as the house says, and who has measured that."""
    trees, usual = plant.house.trees, tree_parameters(plant.house.trees)
    return TreeKnowledge(
        season=trees.tapped.year,
        learnt_s=0,
        gatherings=0,
        brix_readings=0,
        independent_gatherings=0.0,
        yield_factor=usual.bush_scale,
        yield_sd_log=KNOWN_TREES_SD_LOG,
        sap_brix=usual.brix_start,
        sap_brix_sd=KNOWN_BRIX_SD,
    )


def as_forecast(
    plant: Plant, truth: Truth, trees: TreeKnowledge | None, errors: ForecastErrors = PRIOR
) -> WeathersOf:
    """What the forecast of each morning and a knowledge of the trees make likely."""
    seen = run_seen(plant, truth)

    def weathers_of(day: int, hour: int) -> Weathers:
        now_s = truth.morning_s(day) + HOUR_S * hour
        belief = Belief(errors, trees=trees, run=seen(day, hour))
        known, left_h = truth.forecast(day, hour), HORIZON_H - hour
        return make_weathers(plant, known, now_s, left_h, now_s, belief)

    return weathers_of


def as_it_comes(truth: Truth) -> WeathersOf:
    """The one weather that really comes, sap and all, as seen in the morning."""

    def weathers_of(day: int, _hour: int) -> Weathers:
        true = truth.day(day, HORIZON_H)
        return Weathers(forecast=true, searched=true, compared=true, checked=true)

    return weathers_of
