"""Where everything stands by a folder's logbook: what ``sugarwright now`` asks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.answering.house import trees_learnt
from sugarwright.answering.readings import readings
from sugarwright.answering.record import Tell, tell_nobody
from sugarwright.answering.weather import twin_weather

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.plant.house import House
    from sugarwright.twin.now import Progress, Question
    from sugarwright.twin.report import NowReport


def question_of(
    folder: str, house: House, now_s: float, book: Logbook, tell: Tell = tell_nobody
) -> Question:
    """Return what the twin is asked, with all that the folder's record says.

    What is doubtful of a weather file in the folder is told.
    """
    from sugarwright.logbook.sensor_register import sensors_in
    from sugarwright.planning.plan_store import plan_under_way
    from sugarwright.twin.now import Question
    from sugarwright.twin.report import Planned
    from sugarwright.twin.sensed import Sensed

    found = plan_under_way(book.plans, house, int(now_s))
    plan = None if found is None else Planned(*found, _began_m3(book, found[0]))
    entries = readings(book, now_s + 1.0)
    trees, weather = trees_learnt(book, house), twin_weather(folder, house, book, tell)
    sensors = tuple(sensors_in(book).values())
    sensed = Sensed(sensors, book.sensor_levels, now_s) if sensors else None
    return Question(house, entries, now_s, weather, trees, plan, sensed=sensed)


def _began_m3(book: Logbook, begin_s: int) -> dict[str, float]:
    """Return what a kept plan took to be in the tanks when it began; empty if it doesn't say."""
    document = next(book.plans.newest_first(begin_s, begin_s + 1), {})
    standing = document.get("report", {}).get("standing", {})
    return {
        place: float(standing[f"{place}_m3"])
        for place in ("sap", "stock")
        if f"{place}_m3" in standing
    }


def standing_of(
    folder: str,
    house: House,
    now_s: float,
    book: Logbook,
    *,
    again: bool = False,
    progress: Progress | None = None,
    tell: Tell = tell_nobody,
) -> NowReport:
    """Return where everything stands.

    Parameters
    ----------
    folder : of the sugarhouse
    house : as learnt
    now_s : UTC s; entries after it are left out
    book : the folder's
    again : follow the whole log anew, whatever was kept of it
    progress : told how many entries of how many are followed
    tell : is told what is doubtful of a weather file in the folder
    """
    from sugarwright.twin.now import now

    question = question_of(folder, house, now_s, book, tell)
    return now(question, book, again=again, progress=progress)
