"""In how many of a plan's weathers the membrane still runs when a day asks for it to run on.

That it runs then is read from the forecast itself. In other weathers the sap has run out by then,
or the stock tank is full, and it is a start like any other: once its tank has what it waits for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.planned import Planned
from sugarwright.plant import layout as at

RUNS_ON = "membrane runs on"


def with_what_still_runs(planned: Planned, actions: Sequence[Action]) -> list[Action]:
    """Return a day's actions, each run that goes on with how likely it still runs then.

    Parameters
    ----------
    planned : the plan
    actions : of a day; what runs as the plan begins is known, and stays as it is
    """
    return [
        replace(each, still_runs=_share(planned, each.time_s))
        if each.kind == RUNS_ON and each.time_s > planned.trace.begin_s
        else each
        for each in actions
    ]


def _share(planned: Planned, time_s: int) -> float:
    """Share of the weathers in which the membrane runs as a step begins."""
    step = round((time_s - planned.trace.begin_s) / planned.trace.step_s)
    states = planned.checked.at_step(step).states[0]
    return float((states[:, at.MEMBRANE_ON] > 0.0).mean())
