"""What a run of the membrane asks of somebody's hands after its start: to set it, to stop it.

These hours belong to the run and are no actions of their own, but somebody must act at them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sugarwright.planning.action import Action

STOPPED_BY_HAND = (
    "people leave", "hour", "circuit", "frost", "out of order", "stock passed again",
    "stock tank low",
)  # fmt: skip
"""Ends of a run that need somebody; for its wash it is stopped with that."""
STOPPED_BY_TANK = ("sap tank down", "stock tank full")
"""Ends that need somebody as well, where the membrane has no cut-out for that tank."""
FIRST_OF_ALL = ("short stay", "nobody free")  # draining that waits for no rinse: there is no time
RUNS = ("membrane on", "membrane runs on", "membrane on again", "again through the membrane")


@dataclass(frozen=True)
class Hand:
    """One such hour of a run.

    Parameters
    ----------
    what : "set" (to the setting at which it runs alone), "again" (to draw from the stock tank) or
        "stop"
    time_s : UTC s
    """

    what: str
    time_s: int


def hands_of(action: Action) -> tuple[Hand, ...]:
    """Return the hours of a run at which somebody who is there must act, in order of time."""
    if action.kind not in RUNS or action.expected_s is None:
        return ()
    found = []
    if action.night_flow_m3_s is not None and action.night_flow_m3_s != action.flow_m3_s:
        found += [Hand("set", each) for each in action.left_alone_s]
    if action.again_s is not None and action.again_s > action.time_s:
        found.append(Hand("again", action.again_s))
    if is_stopped_by_hand(action) and action.until_s is not None:
        found.append(Hand("stop", action.until_s))
    return tuple(sorted(found, key=lambda each: each.time_s))


def is_stopped_by_hand(action: Action) -> bool:
    """Tell whether a run ends by somebody's hand: never where nobody is there to rinse it."""
    there = action.rinse_m3 is not None and action.until_s is not None
    return there and (action.ends in STOPPED_BY_HAND or is_stopped_at_tank(action))


def is_stopped_at_tank(action: Action) -> bool:
    """Tell whether a tank ends a run, and nothing stops it then but somebody's hand."""
    return action.ends in STOPPED_BY_TANK and not action.stops_itself


def rinsed_first(actions: Sequence[Action]) -> list[Action]:
    """Return a day's actions; draining says where the membrane is rinsed first in its own time.

    Parameters
    ----------
    actions : of the day, in any order
    """
    rinsed_s = [_rinsed_s(each) for each in actions]
    return [
        replace(each, after_rinse=any(_takes_in(each, time_s) for time_s in rinsed_s))
        if each.kind == "drain before the frost" and each.ends not in FIRST_OF_ALL
        else each
        for each in actions
    ]


def _rinsed_s(action: Action) -> int | None:
    """UTC s at which somebody stops and rinses a run; None where nobody does or can."""
    if action.rinse_m3 is None or action.rinse_has_m3 is not None:
        return None
    if action.kind in ("stop the membrane", "rinse the membrane"):
        return action.time_s
    return action.until_s if is_stopped_by_hand(action) else None


def _takes_in(action: Action, time_s: int | None) -> bool:
    begin_s = action.time_s if action.leave_s is None else action.leave_s
    return time_s is not None and 0.0 <= time_s - begin_s <= (action.duration_s or 0.0)
