"""What was read of a tank far from what the plan before led to expect; a newer plan hides that."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sugarwright.answering.today import planned_at
from sugarwright.planning.plan_store import kept_report
from sugarwright.twin.planned import OFF_FRACTION
from sugarwright.twin.report import LastRead, NowReport

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook


@dataclass(frozen=True)
class Surprise:
    """A reading that was believed, and what the plan before it led to expect.

    Parameters
    ----------
    read_m3 : what was read
    read_s : UTC s
    planned_m3 : what that plan led to expect then
    plan_s : UTC s at which it began
    """

    read_m3: float
    read_s: float
    planned_m3: float
    plan_s: float


def surprises_of(standing: NowReport, book: Logbook) -> dict[str, Surprise]:
    """Return the tanks whose last level was read far off the plan that was under way, by place.

    Parameters
    ----------
    standing : where everything stands
    book : the sugarhouse's logbook, with the plans kept
    """
    return dict(_surprises(standing, book))


def _surprises(standing: NowReport, book: Logbook) -> Iterator[tuple[str, Surprise]]:
    for tank in standing.tanks:
        read = _level_of(tank.read)
        if read is None:
            continue
        report = kept_report(book.plans, int(read.at_s) - 1)  # one of that second knew of it
        planned_m3 = None if report is None else planned_at(report, tank.place, read.at_s)
        if report is None or planned_m3 is None:
            continue
        if abs(read.value - planned_m3) > OFF_FRACTION * tank.capacity_m3:
            yield tank.place, Surprise(read.value, read.at_s, planned_m3, report.begin_s)


def _level_of(read: tuple[LastRead, ...]) -> LastRead | None:
    return next((each for each in read if each.quantity == "volume"), None)
