"""Invented logs of boils: the simulator is the truth, written down as a tired person would.

The plant runs day by day as its house's habit has it, each day with a firing of its own; what it
did becomes entries, with instruments that err as the catalogue says and hours rounded to five
minutes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.as_learnt import LEARNABLE, described_value, with_value
from sugarwright.logbook.catalogue import usual_sd
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.state import start_totals

Floats = NDArray[np.float64]

KEYS = (*LEARNABLE["pan"], *LEARNABLE["wood"])
MOST_SDS = 2.5  # a truth that a description could hold
DRAW_EVERY_KG = 8.0


@dataclass(frozen=True)
class World:
    """A made log.

    Parameters
    ----------
    described : what the maker wrote down of the house
    truth : how it is
    day_sd_log : how much firing differs from day to day
    entries : the log
    fires : how many
    """

    described: House
    truth: House
    day_sd_log: float
    entries: tuple[Entry, ...]
    fires: int


def true_house(described: House, source: np.random.Generator) -> House:
    """Draw what the house is really like from what is known beforehand."""
    house = described
    for name in ("pan", "wood"):
        for key, prior in LEARNABLE[name].items():
            z = float(np.clip(source.standard_normal(), -MOST_SDS, MOST_SDS))
            value = described_value(described, key)
            assert value is not None
            house = with_value(house, key, value * math.exp(prior.sd * z))
    return house


def made_world(
    described: House,
    drive_of: Drive,
    plan: Floats,
    state: Floats,
    seed: int,
    *,
    truth: House | None = None,
    draws: bool = True,
) -> World:
    """Run a drawn truth through days of work and write the log.

    Parameters
    ----------
    described : the house as its maker describes it
    drive_of : air and sap of the days
    plan : (days, ``PLAN_WIDTH``)
    state : to start from
    seed : of truth, firing and errors of reading
    truth : left out: drawn from the prior
    draws : whether draws are measured
    """
    source = np.random.default_rng(seed)
    house = true_house(described, source) if truth is None else truth
    day_sd_log = 0.06 * math.exp(0.5 * float(source.standard_normal()))
    plant = assemble(house)
    trace = _run(plant, drive_of, plan, state, day_sd_log, source)
    entries = tuple(sorted(_entries(plant, trace, source, draws), key=lambda each: each.at_s))
    fires = sum(each.kind == "fire_lit" for each in entries)
    return World(described, house, day_sd_log, entries, fires)


def _run(
    plant: Plant,
    drive: Drive,
    plan: Floats,
    state: Floats,
    day_sd_log: float,
    source: np.random.Generator,
) -> Trace:
    """Run noon to noon, so that no fire is cut; each day fires as it happens to."""
    steps_a_day = round(86400.0 / plant.step_s)
    cuts = [*range(0, drive.steps, steps_a_day), drive.steps]
    x, y, rows = state, start_totals(), []
    for first, last in pairwise(cuts):
        p = plant.p.copy()
        factor = math.exp(day_sd_log * float(source.standard_normal()))
        p[[at.FULL_HEAT_W, at.FUEL_M3_S]] *= factor
        part = simulate(replace(plant, p=p), drive, plan, x, y, first=first, last=last)
        x, y = part.state, part.totals
        rows.append(part.rows)
    return Trace(drive.begin_s, plant.step_s, np.concatenate(rows), x, y)


def _entries(
    plant: Plant, trace: Trace, source: np.random.Generator, draws: bool
) -> Iterator[Entry]:
    lit = trace.column(at.T_FIRE_ON) > 0.0
    stock_m3, wood_m3 = trace.column(at.T_STOCK_M3), trace.column(at.T_WOOD_M3)
    syrup_kg, brix = trace.column(at.T_SYRUP_KG), trace.column(at.T_STOCK_BRIX)
    dies = round(4.5 * plant.house.pan.burn_down_s / trace.step_s)
    for begin, end in _stretches(lit):
        last = min(end + dies, len(lit) - 1)
        following = np.flatnonzero(lit[end:])
        if len(following):
            last = min(last, end + int(following[0]) - 1)
        yield _entry(trace, "fire_lit", begin, "pan")
        burnt_m3 = float(wood_m3[max(begin - 1, 0)] - wood_m3[end])
        yield _entry(trace, "fire_out", end, "pan", _read("wood", burnt_m3, "stack", source))
        for moment in (begin, last):
            volume = _read("volume", float(stock_m3[max(moment - 1, 0)]), "sight mark", source)
            strength = _read("brix", float(brix[max(moment - 1, 0)]), "hydrometer", source)
            yield _entry(trace, "reading", moment, "stock", volume, strength)
        if draws:
            drawn_m3 = float(syrup_kg[last - 1] - syrup_kg[max(begin - 1, 0)]) / 1330.0
            if drawn_m3 > 1e-4:
                yield _entry(trace, "draw", end, "pan", _read("volume", drawn_m3, "pail", source))
    flow = plant.house.habit.concentrate_flow_m3_s
    for begin, end in _stretches(trace.column(at.T_MEMBRANE_ON) > 0.0):
        set_to = _read("concentrate_flow", flow, "flow tube", source)
        yield _entry(trace, "membrane_on", begin, "membrane", set_to)
        yield _entry(trace, "membrane_off", end, "membrane")


def _stretches(on: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first step and the step after the last of each unbroken stretch."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], on.astype(int), [0]])))
    return [(int(a), int(min(b, len(on) - 1))) for a, b in edges.reshape(-1, 2)]


def _read(quantity: str, value: float, instrument: str, source: np.random.Generator) -> Measure:
    sd = usual_sd(quantity, value, instrument)
    assert sd is not None
    read = value + sd * float(source.standard_normal())
    return Measure(quantity, max(read, 0.0), instrument=instrument)


def _entry(trace: Trace, kind: str, step: int, place: str, *measures: Measure) -> Entry:
    at_s = trace.begin_s + step * trace.step_s
    return Entry(f"{kind} {place} {step}", kind, at_s, at_s, place=place, measures=measures)
