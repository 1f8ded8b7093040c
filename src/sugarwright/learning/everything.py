"""All that a log teaches, at once: what changed, how sure that is, what to measure next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sugarwright.errors import InputError
from sugarwright.learning.air import ForecastLesson, learn_forecast
from sugarwright.learning.as_learnt import as_learnt, implausible, with_trees
from sugarwright.learning.corrected import corrected, instruments_kept
from sugarwright.learning.expected import Bush
from sugarwright.learning.house import learn_seasons, season_hours, vacuum_pa
from sugarwright.learning.instrument_keys import INSTRUMENTS
from sugarwright.learning.instruments import InstrumentLesson, learn_instruments
from sugarwright.learning.kept import Figure, Kept, kept_of
from sugarwright.learning.log_gatherings import (
    PointGatherings,
    first_tapped_s,
    seasons_of,
    together,
)
from sugarwright.learning.next_candidates import candidates_of
from sugarwright.learning.next_reading import ReadingWorth, Rows, rank_readings
from sugarwright.learning.pan import PanLesson, learn_pan
from sugarwright.learning.points import PointLesson, compare_points
from sugarwright.learning.trees import TreeLesson
from sugarwright.learning.wood import WoodLesson, learn_wood
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge, knowledge_for, nothing_learnt
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HourlyWeather


@dataclass(frozen=True)
class Record:
    """What there is to learn from, as plain values.

    Parameters
    ----------
    entries : of the logbook, that stand
    forecasts : kept, as issued
    observed : measured hours, unbroken pieces
    weather : hours from elsewhere for spans that were not measured; None: none
    trees : earlier fits, oldest first
    kept : newest kept document by name
    """

    entries: Sequence[Entry]
    forecasts: Sequence[Forecast] = ()
    observed: Sequence[HourlyWeather] = ()
    weather: HourlyWeather | None = None
    trees: Sequence[TreeKnowledge] = ()
    kept: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)


@dataclass(frozen=True)
class Change:
    """One figure: as described, as in use, and as learnt now.

    Parameters
    ----------
    name : under which it is kept
    figure : as learnt now
    in_use : what plans stand on until this is kept
    doubt : why it should not be kept without being asked about; empty where nothing speaks against
    """

    name: str
    figure: Figure
    in_use: float
    doubt: str


@dataclass(frozen=True)
class Everything:
    """All that a log teaches.

    Parameters
    ----------
    pan, wood : see their own modules
    trees : one lesson a season; empty when none could be learnt from
    points : gathering points against each other, of the last season that has them
    forecast, instruments : likewise
    changes : every figure of the house that was learnt
    fits : what may be kept, by name
    next : readings that would teach most, the best first
    notes : what could not be learnt, and why
    """

    pan: PanLesson
    wood: WoodLesson
    trees: tuple[TreeLesson, ...]
    points: tuple[PointLesson, ...]
    forecast: ForecastLesson | None
    instruments: InstrumentLesson
    changes: tuple[Change, ...]
    fits: tuple[Kept, ...]
    next: tuple[ReadingWorth, ...]
    notes: tuple[str, ...]

    def tree_history(self, before: Sequence[TreeKnowledge]) -> tuple[TreeKnowledge, ...]:
        """Return the fits of trees with those learnt now."""
        return (*before, *(each.after for each in self.trees))


def learn_everything(
    house: House, record: Record, learnt_s: int, rows_of: Rows, others: Sequence[Kept] = ()
) -> Everything:
    """Learn all that a log can teach.

    Parameters
    ----------
    house : as described
    record : what there is to learn from
    learnt_s : UTC s now
    rows_of : the house's present way of working, see ``next_reading.rank_readings``
    others : what was learnt of other parts of the house, to be told and kept with the rest

    Returns
    -------
    Everything
    """
    instruments = learn_instruments(house, record.entries)
    true = replace(record, entries=corrected(record.entries, record.kept.get(INSTRUMENTS)))
    pan = learn_pan(house, true.entries, learnt_s)
    wood = learn_wood(house, true.entries, learnt_s, pan.kept)
    trees, points, notes = learn_trees_of_log(house, true, learnt_s)
    last_s = max((each.at_s for each in record.entries), default=0.0)
    off = instruments_kept(instruments, learnt_s, last_s, record.kept.get(INSTRUMENTS))
    fits = [each for each in (pan.kept, wood.kept, *others, off) if each is not None]
    documents = {**record.kept, **{each.name: each.document() for each in fits}}
    after = [*record.trees, *(each.after for each in trees)]
    known = known_trees(house, after)
    learnt = with_trees(as_learnt(house, documents).house, known)
    candidates = candidates_of(learnt, pan, wood, known, documents)
    return Everything(
        pan,
        wood,
        trees,
        points,
        learn_forecast(house, record.forecasts, record.observed, record.entries),
        instruments,
        _changes(house, record, fits),
        tuple(fits),
        rank_readings(learnt, candidates, rows_of),
        notes,
    )


def known_trees(house: House, history: Sequence[TreeKnowledge]) -> TreeKnowledge:
    """Return what is known of the trees in the season of the description."""
    season = house.trees.tapped.year
    described = nothing_learnt(season, house.trees.yield_factor, house.trees.sap_brix)
    return knowledge_for(history, season) or described


def learn_trees_of_log(
    house: House, record: Record, learnt_s: int
) -> tuple[tuple[TreeLesson, ...], tuple[PointLesson, ...], tuple[str, ...]]:
    """Return what gatherings of the log teach of the trees, and of the points.

    Returns
    -------
    (a lesson for each season, points of the last season that has several, notes)
    """
    seasons, notes = seasons_of(house, record.entries)
    if not seasons:
        return (), (), tuple(notes)
    gathered = {
        year: (first_tapped_s(points), together(points)) for year, points in seasons.items()
    }
    try:
        lessons, more = learn_seasons(
            house, gathered, record.weather, record.trees, learnt_s, record.observed
        )
    except InputError as problem:
        return (), (), (*notes, problem.problem)
    points: tuple[PointLesson, ...] = ()
    for lesson in lessons:
        here = seasons[lesson.after.season]
        points = _points(house, record, here, lesson.after) or points
    return tuple(lessons), points, (*notes, *more)


def _points(
    house: House, record: Record, points: Sequence[PointGatherings], known: TreeKnowledge
) -> tuple[PointLesson, ...]:
    whole = together(points)
    first_s = min(each.begin_s for each in whole)
    last_s = max(each.end_s for each in whole)
    hours = season_hours(record.weather, record.observed, first_s, last_s)
    if hours is None:
        return ()
    tapped_s = first_tapped_s(points)
    bush = Bush(hours, first_s if tapped_s is None else tapped_s, vacuum_pa(house))
    return compare_points(house, points, bush, known)


def _changes(house: House, record: Record, fits: Sequence[Kept]) -> tuple[Change, ...]:
    found = []
    for fit in fits:
        if fit.name == INSTRUMENTS:
            continue  # told by the lesson itself: no part of the house
        document = record.kept.get(fit.name)
        kept = None if document is None else kept_of(fit.name, document)
        for figure in fit.figures:
            before = None if kept is None else kept.figure(figure.key)
            in_use = figure.described
            if before is not None and math.isclose(before.described, figure.described):
                in_use = before.value
            found.append(Change(fit.name, figure, in_use, implausible(house, fit.name, figure)))
    return tuple(found)
