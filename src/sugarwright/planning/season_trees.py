"""Trees of the house in many springs: what each gives for taps set on a day, and warmth's sums."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters
from sugarwright.planning.outlook import spread
from sugarwright.planning.report import Range
from sugarwright.planning.season_report import Amount, Reached
from sugarwright.planning.season_weather import PossibleSprings
from sugarwright.plant.assemble import COLD_C
from sugarwright.plant.house import House
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.tree_knowledge import TreeKnowledge, tree_members
from sugarwright.weather.ensemble import run_multipliers
from sugarwright.weather.hours import HOUR_S

Floats = NDArray[np.float64]

DRYING_DAYS = 70.0
"""A hole that also closes by the calendar gives half after seven weeks: our own judgement. Open
buckets are said to slow after four to six weeks (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Bush:
    """The house's taps in possible springs.

    Parameters
    ----------
    house : its taps, their vacuum, and its price of syrup
    springs : weathers
    trees : (springs, parameters), as ``plant.sap_run`` takes them
    factors : (springs, runs) by which each run is multiplied
    """

    house: House
    springs: PossibleSprings
    trees: Floats
    factors: Floats

    @property
    def taps(self) -> int:
        """Number of taps of all gatherings."""
        return sum(each.taps for each in self.house.gathering)

    def tapped(self, tapped_s: float) -> Sap:
        """Run the trees with taps set at an instant: all springs in one call a vacuum."""
        return self._run(tapped_s, np.ones(self.springs.temperature_c.shape[1]))

    def tapped_and_drying(self, tapped_s: float) -> Sap:
        """The same, if holes also close by the calendar, warm or not."""
        hours = np.arange(self.springs.temperature_c.shape[1])
        days = (hours - (tapped_s - self.springs.first_s) / HOUR_S) / 24.0
        return self._run(tapped_s, np.exp(-np.maximum(days, 0.0) / DRYING_DAYS))

    def _run(self, tapped_s: float, open_fraction: Floats) -> Sap:
        sap_m3 = np.zeros(self.springs.temperature_c.shape)
        sugar_kg = np.zeros_like(sap_m3)
        for vacuum_pa in sorted({each.vacuum_pa for each in self.house.gathering}):
            taps = sum(g.taps for g in self.house.gathering if g.vacuum_pa == vacuum_pa)
            run = sap_run(
                self.springs.temperature_c,
                self.springs.first_s,
                tapped_s,
                vacuum_pa,
                self.trees,
                self.factors,
            )
            of_taps_m3 = taps * open_fraction * run.sap_m3_per_tap
            sap_m3 += of_taps_m3
            sugar_kg += of_taps_m3 * run.brix
        sugar_kg *= density_kg_m3(2.0, COLD_C) / 100.0
        return Sap(np.cumsum(sap_m3, axis=1), np.cumsum(sugar_kg, axis=1))

    def amount(self, sap_m3: Floats, sugar_kg: Floats) -> Amount:
        """Return what sap and its sugar (springs,) come to."""
        finish = self.house.pan.finish_brix
        syrup_m3 = sugar_kg / (finish / 100.0) / density_kg_m3(finish, 20.0)
        return Amount(
            sap_m3_per_tap=spread(sap_m3 / self.taps),
            sap_m3=spread(sap_m3),
            syrup_m3=spread(syrup_m3),
            syrup_money=spread(syrup_m3 * self.house.prices.syrup_money_m3),
        )

    def warm_k_h(self, base_c: float, since_s: float) -> Floats:
        """Return the warmth above a base since an instant, by the end of each hour [K h]."""
        since = self.springs.hour(since_s)
        warmth = np.maximum(self.springs.temperature_c - base_c, 0.0)
        warmth[:, :since] = 0.0
        return np.cumsum(warmth, axis=1)

    def reached(self, come: NDArray[np.bool_]) -> Reached:
        """Return when something (springs, hours) has first come, over the springs."""
        hours = np.where(come.any(axis=1), come.argmax(axis=1).astype(np.float64), np.inf)
        # "inverted_cdf": one of the springs' own dates; between a date and never there is none.
        ends = np.quantile(hours, (0.1, 0.5, 0.9), method="inverted_cdf")
        found = [self.springs.first_s + HOUR_S * int(h) if h < np.inf else None for h in ends]
        return Reached(*found)


@dataclass(frozen=True, eq=False)
class Sap:
    """Sums from the first hour on, each (springs, hours), at the end of each hour.

    Parameters
    ----------
    sap_m3, sugar_kg : of all taps
    """

    sap_m3: Floats
    sugar_kg: Floats

    def between(self, first: int, last: int) -> tuple[Floats, Floats]:
        """Return sap and sugar of the hours from one to before another, (springs,) each."""
        return self._at(last, self.sap_m3) - self._at(first, self.sap_m3), self._at(
            last, self.sugar_kg
        ) - self._at(first, self.sugar_kg)

    def share(self, hour: int) -> Range:
        """Return which part of all the sap has run before an hour."""
        return spread(self._at(hour, self.sap_m3) / np.maximum(self.sap_m3[:, -1], 1e-12))

    @staticmethod
    def _at(hour: int, sums: Floats) -> Floats:
        return sums[:, hour - 1] if hour > 0 else np.zeros(len(sums))


def make_bush(house: House, springs: PossibleSprings, trees: Floats, seed: int) -> Bush:
    """Put the house's taps into possible springs.

    Parameters
    ----------
    house, springs : see :class:`Bush`
    trees : (springs, parameters)
    seed : of what each run of sap is multiplied by
    """
    count, hours = springs.temperature_c.shape
    # A freeze begins a run. Wood lags the air: one in six hours all spring is no weather.
    factors = run_multipliers(count, hours // 6 + 2, seed)
    return Bush(house, springs, trees, factors)


def season_trees(
    base: TreeParameters, knowledge: TreeKnowledge | None, members: int, seed: int
) -> Floats:
    """Draw trees as they may be: as bushes differ, less what gatherings have taught.

    Parameters
    ----------
    base : medians, as the house's description says
    knowledge : learnt from gatherings, for this season; None: nothing is
    members : how many
    seed : same seed and knowledge, same trees

    Returns
    -------
    (members, parameters), columns in the order of ``TreeParameters._fields``
    """
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), members, 29]))
    rows = np.tile(np.array(base, dtype=np.float64), (members, 1))
    for name, (kind, sd) in TREE_PRIOR_SPREAD.items():
        z = source.standard_normal(members)
        column = rows[:, _place(name)]
        column[:] = column * np.exp(sd * z) if kind == "log" else column + sd * z
    if knowledge is not None:
        learnt = tree_members(knowledge, members, seed, base)
        # A volume tells charge and scale together; all that it taught went into the scale.
        for name in ("bush_scale", "full_charge_m3", "brix_start"):
            rows[:, _place(name)] = learnt[:, _place(name)]
        for shape in knowledge.shapes:
            rows[:, _place(shape.name)] = learnt[:, _place(shape.name)]
    return rows


def _place(name: str) -> int:
    return TreeParameters._fields.index(name)
