"""A run of the simulator told to the twin: the log that its people would have kept, to the step."""

from __future__ import annotations

import numpy as np

from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, simulate
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats


def told_run(
    plant: Plant, drive: Drive, plan: Floats, state: Floats
) -> tuple[list[Entry], Floats, Floats]:
    """Run a plan, and return what would be logged of it; state and totals at the end."""
    entries: list[Entry] = []
    flow = Measure("concentrate_flow", float(plan[0, at.MEMBRANE_FLOW_M3_S]))

    def tell(kind: str, place: str, step: int, *measures: Measure) -> None:
        time_s = float(drive.begin_s + step * plant.step_s)
        key = f"{kind} {step}"
        entries.append(Entry(key, kind, time_s, time_s, place=place, measures=measures))

    x, y = state, start_totals()
    for k in range(drive.steps):
        run = simulate(plant, drive, plan, x, y, first=k, last=k + 1)
        went = run.totals - y
        started, rinsed = went[at.MEMBRANE_STARTS] > 0.0, went[at.RINSES] > 0.0
        ran = went[at.MEMBRANE_S] > 0.0
        if went[at.WASHES] > 0.0:
            tell("wash", "membrane", k)
        if started:
            tell("membrane_on", "membrane", k, flow)
        if x[at.MEMBRANE_ON] > 0.0 and run.state[at.MEMBRANE_ON] <= 0.0:
            tell("membrane_off", "membrane", k + 1 if ran else k)
        if rinsed:
            tell("rinse", "membrane", k + 1 if ran else k)
        if went[at.LIGHT_UPS] > 0.0:
            tell("fire_lit", "pan", k)
        if x[at.FIRE_ON] > 0.0 and run.state[at.FIRE_ON] <= 0.0:
            tell("fire_out", "pan", k)
        x, y = run.state, run.totals
    entries.sort(key=lambda each: each.at_s)
    return entries, x, y


def differences(mine: Floats, theirs: Floats, tanks: tuple[int, ...]) -> float:
    """Return the greatest difference of water or sugar in some tanks, kg."""
    places = [tank + part for tank in tanks for part in (at.WATER, at.SUGAR)]
    return float(np.abs(mine[places] - theirs[places]).max())
