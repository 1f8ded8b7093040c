"""Whole springs that a rule card is tuned on and judged by: weather, trees, runs and Brix drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from sugarwright.errors import InputError
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import make_drive, tree_parameters
from sugarwright.plant.season import USUAL_DAYS, Span, choose_span, day_cuts
from sugarwright.plant.seasons import springs_of
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tree_knowledge import TreeKnowledge, nothing_learnt, tree_members
from sugarwright.weather.ensemble import brix_noise, run_multipliers
from sugarwright.weather.seasons import Springs

LEAST_BRIX = 0.5  # of sap, however the day's scatter falls
LAST_DAY = (5, 30)  # month and day to which springs reach in any year
RUN_LEAST_H = 6  # a freeze begins a run, and wood lags the air


@dataclass(frozen=True)
class CardSprings:
    """Springs of one place, in two sets of which neither knows the other.

    Parameters
    ----------
    span : the days of each
    source : what their weather was made from
    notes : what to know about weather and days, in sentences
    tuned : those that a card is found in
    checked : those that it is judged by
    """

    span: Span
    source: str
    notes: tuple[str, ...]
    tuned: Drive
    checked: Drive


def make_springs(
    plant: Plant, tuned: int, checked: int, seed: int, trees: TreeKnowledge | None = None
) -> CardSprings:
    """Make the springs of a card.

    Parameters
    ----------
    plant : the house
    tuned, checked : how many of each
    seed : of all draws
    trees : what is known of the trees; None: what the house's description says, as unsure as of any
        house

    Raises
    ------
    InputError : taps set outside the months that springs are made for
    """
    house = plant.house
    springs = springs_of(house, tuned + checked, seed)
    tapped = house.trees.tapped
    last_day = min(tapped + timedelta(days=USUAL_DAYS - 1), date(tapped.year, *LAST_DAY))
    try:
        span = choose_span(house, springs.weather(0), last_day=last_day)
    except InputError as error:
        fix = "A card is tuned in springs from January to May: set `tapped` within them"
        raise InputError(error.field, error.value, error.problem, error.allowed, fix) from None
    known = trees or nothing_learnt(tapped.year, house.trees.yield_factor, house.trees.sap_brix)
    return CardSprings(
        span,
        springs.source,
        (*springs.notes, *span.notes),
        _drive(plant, springs, slice(0, tuned), span, seed, known),
        _drive(plant, springs, slice(tuned, None), span, seed + 1, known),
    )


def _drive(
    plant: Plant, springs: Springs, which: slice, span: Span, seed: int, known: TreeKnowledge
) -> Drive:
    air_c = np.ascontiguousarray(springs.temperature_c[which])
    runs = air_c.shape[1] // RUN_LEAST_H
    drive = make_drive(
        plant,
        springs.first_s,
        air_c,
        span.begin_s,
        span.end_s,
        run_multipliers(len(air_c), runs, seed),
        tree_members(known, len(air_c), seed, tree_parameters(plant.house.trees)),
    )
    return _scattered(drive, seed)


def _scattered(drive: Drive, seed: int) -> Drive:
    """Let each day's sap stand off its expected Brix; the mass of a run stays."""
    cuts = day_cuts(drive)
    noise = brix_noise(drive.scenarios, len(cuts) - 1, seed)
    by_hour = np.zeros(drive.air_c.shape)
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    for day, (first, last) in enumerate(pairwise(cuts)):
        by_hour[:, hours[first:last]] = noise[:, day : day + 1]
    return replace(drive, sap_kg_s=_with_brix(drive.sap_kg_s, by_hour))


def _with_brix(sap_kg_s: Floats, more_brix: Floats) -> Floats:
    """Shift the Brix of sap, (springs, hours, points, 2), by (springs, hours)."""
    mass = sap_kg_s.sum(axis=-1)
    brix = np.divide(100.0 * sap_kg_s[..., 1], mass, out=np.zeros_like(mass), where=mass > 0.0)
    shifted = np.maximum(LEAST_BRIX, brix + more_brix[..., np.newaxis])
    sugar = mass * shifted / 100.0
    return np.stack([mass - sugar, sugar], axis=-1)
