"""The tables of docs/planning.md, from outcomes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sugarwright.units import VOLUME, to_unit

from .criteria import aims
from .figures import difference
from .known import Known, common, interval, nets
from .markdown import head, row
from .outcome import Outcome
from .regret_table import late_table, regret_table, regrets_of
from .run import Job

SAP_KG_M3 = 1006.0
COLUMNS: dict[str, Callable[[Outcome], float]] = {
    "syrup, gal": lambda o: to_unit(o.syrup_m3, VOLUME, "gal"),
    "spilled, gal": lambda o: to_unit(o.spilled_kg / SAP_KG_M3, VOLUME, "gal"),
    "spoiled, gal": lambda o: to_unit(o.spoiled_kg / SAP_KG_M3, VOLUME, "gal"),
    "h at the fire": lambda o: o.fire_s / 3600.0,
    "light-ups": lambda o: o.light_ups,
    "starts": lambda o: o.membrane_starts,
    "washes": lambda o: o.washes,
    "dry pans": lambda o: o.dry_pans,
}


TOGETHER = (
    ("habit", "card", "plan", "perfect", "bound"),
    ("late", "habit-late"),
    ("elsewhere", "habit-elsewhere", "perfect-elsewhere"),
)
"""Methods that a reader subtracts from each other: each of these is told of the same springs."""
BESIDE = (
    "In each house's table the lines from habit to bound are of the same springs, and so are those "
    "of being late and those of another house among themselves: only such lines may be subtracted. "
    "What stands against habit is always over the line's own springs."
)


def text(known: Known, houses: list[str], methods: list[str], seasons: list[str]) -> str:
    """All tables, as Markdown."""
    parts = [BESIDE, *(_house(known, house, methods, seasons) for house in houses)]
    regrets = regrets_of(known, houses, seasons, "habit", "perfect", "plan")
    late = late_table(known, houses, seasons)
    wrong = regrets_of(known, houses, seasons, "habit-elsewhere", "perfect-elsewhere", "elsewhere")
    parts += ["### Regret of the planner with forecasts (plan)", regret_table(regrets)]
    if late:
        parts += ["### By a person who is late and forgets (late)", late]
    if wrong:
        parts += ["### At a house that is not as believed (elsewhere)", regret_table(wrong)]
    return "\n\n".join([*parts, "### Aims", aims(known, regrets, wrong, houses, seasons)])


def _house(known: Known, house: str, methods: list[str], seasons: list[str]) -> str:
    columns = ["method", "seasons", "net", "against habit", *COLUMNS, "worst season"]
    lines = [f"### {house}", "", *head(columns)]
    for method in methods:
        here = _springs(known, house, method, methods, seasons)
        if here:
            lines.append(row(_cells(known, house, method, here)))
    return "\n".join(lines)


def _springs(
    known: Known, house: str, method: str, methods: list[str], seasons: list[str]
) -> list[str]:
    """Seasons of which all are known that a reader may subtract this method from, and the habit."""
    group = next((each for each in TOGETHER if method in each), (method,))
    told = [each for each in group if each in methods and common(known, house, [each], seasons)]
    return common(known, house, [*told, method, "habit"], seasons)


def _cells(known: Known, house: str, method: str, seasons: list[str]) -> list[str]:
    outcomes = [known[Job(house, each, method)] for each in seasons]
    net, usual = nets(known, house, method, seasons), nets(known, house, "habit", seasons)
    apart = "" if method == "habit" else interval(difference(net, usual))
    cells = [method, f"{len(seasons)}", f"{net.mean():,.0f}", apart]
    if not outcomes[0].lines_money:  # a bound has nothing else to tell
        return [*cells, *[""] * (len(COLUMNS) + 1)]
    cells += [f"{np.mean([of(each) for each in outcomes]):.1f}" for of in COLUMNS.values()]
    return [*cells, f"{net.min():,.0f}"]
