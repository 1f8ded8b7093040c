"""What cannot be supposed together: two clauses of one ``--if`` that contradict each other."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

from sugarwright.errors import InputError
from sugarwright.planning.suppositions import Forced, Price, Reading, Supposition, Warmer
from sugarwright.plant.special_hours import Outage, Presence

Said = tuple[str, list[Supposition]]  # a clause, and what it supposes
Instant = Callable[[int, float], int]
"""UTC s of a local day number and a minute of it."""
_MACHINES = {
    "light": "pan", "let go": "pan", "membrane on": "membrane", "membrane off": "membrane",
    "wash": "membrane", "set": "membrane", "night": "membrane",
    "gather": "trips",
}  # fmt: skip
_ALL_DAY = ("set", "night")  # they have no hour of their own
_ENDS = {"light": "let go", "membrane on": "membrane off"}


def check_together(said: list[Said], at_s: Instant) -> None:
    """Refuse clauses that cannot both be.

    Parameters
    ----------
    said : the clauses in their order
    at_s : by the clock of the house

    Raises
    ------
    InputError : two of them contradict each other; it names both
    """
    for (clause, things), (other, others) in combinations(said, 2):
        if any(_denies(one, two, at_s) for one in things for two in others):
            raise InputError(
                "--if", f"{clause}; {other}", "contradict each other",
                fix=f'Suppose "{clause}" or "{other}"; with an --if each they are compared',
            )  # fmt: skip


def _denies(one: Supposition, two: Supposition, at_s: Instant) -> bool:
    if isinstance(one, Warmer) and isinstance(two, Warmer):
        return True
    if isinstance(one, Reading) and isinstance(two, Reading):
        return one.what == two.what
    if isinstance(one, Price) and isinstance(two, Price):
        return one.what == two.what
    if isinstance(one, Presence) and isinstance(two, Presence):
        same = one.person == two.person and one.there != two.there
        return same and one.begin_s < two.end_s and two.begin_s < one.end_s
    if isinstance(one, Forced) and isinstance(two, Forced):
        return _two_acts(one, two)
    for act, outage in ((one, two), (two, one)):
        if isinstance(act, Forced) and isinstance(outage, Outage):
            return _without_machine(act, outage, at_s)
    return False


def _two_acts(one: Forced, two: Forced) -> bool:
    """Tell whether one thing is to be done twice on a day, or ended before it is begun."""
    if one.day != two.day:
        return False
    ended = any(
        _ENDS.get(begin.what) == end.what and end.value <= begin.value
        for begin, end in ((one, two), (two, one))
    )
    return one.what == two.what or ended


def _without_machine(act: Forced, outage: Outage, at_s: Instant) -> bool:
    """Tell whether something is to be done with a machine in hours that have none."""
    undone = act.value < 0.0 or (act.what == "night" and act.value == 0.0)
    if _MACHINES[act.what] != outage.machine or undone or act.what in ("let go", "membrane off"):
        return False
    if act.what in _ALL_DAY:  # half a day without it is enough to set it in the other half
        return outage.begin_s <= at_s(act.day, 720) and at_s(act.day, 1440) <= outage.end_s
    return outage.begin_s <= at_s(act.day, act.value) < outage.end_s
