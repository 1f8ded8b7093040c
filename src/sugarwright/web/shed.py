"""One sugarhouse folder as it is served: what is asked of it, answered at once.

What takes seconds (the twin after a new entry, a plan) is asked of the worker; meanwhile the last
answer stands, with its age. Whoever waits for news is told by ``changes``.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import partial
from typing import Any, Generic, TypeVar

from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.plan import last_plan, why_plan_again
from sugarwright.answering.record import record_of
from sugarwright.errors import SugarwrightError
from sugarwright.logbook.book import Logbook
from sugarwright.planning.report import PlanReport
from sugarwright.plant.house import House
from sugarwright.twin.report import NowReport
from sugarwright.web.changes import Changes
from sugarwright.web.work import plan, stand
from sugarwright.web.worker import Worker

FRESH_S = 60.0
TEND_EVERY_S = 20.0
Clock = Callable[[], float]
Content = tuple[object, ...]
S = TypeVar("S")
T = TypeVar("T")
U = TypeVar("U")


@dataclass(frozen=True)
class WorkedOut(Generic[T]):
    """The answer to a question that takes seconds, as far as it is worked out.

    Parameters
    ----------
    value : the last answer; None before the first
    behind : something changed since, and is being worked out
    problem : why there is no newer answer, in words; else empty
    """

    value: T | None
    behind: bool
    problem: str = ""


def both(join: Callable[[S, T], U], first: WorkedOut[S], second: WorkedOut[T]) -> WorkedOut[U]:
    """Return what is made of two answers, as far as both are worked out."""
    value = None
    if first.value is not None and second.value is not None:
        value = join(first.value, second.value)
    return WorkedOut(value, first.behind or second.behind, first.problem or second.problem)


@dataclass(frozen=True)
class PlanNow:
    """Today's plan, as far as there is one.

    Parameters
    ----------
    report : the last that was kept; None without one
    planning : a new one is being made
    why : why it is, in words
    problem : why there is no newer one, in words; else empty
    """

    report: PlanReport | None
    planning: bool
    why: str = ""
    problem: str = ""


class Shed:
    """A served folder. Its methods may be called from any thread, and return at once.

    Parameters
    ----------
    folder : of the sugarhouse
    clock : tells UTC s; another one for a folder whose time stands elsewhere, such as the demo's
    plans : whether work is done unasked: the tanks kept up to date while somebody looks, a plan
        made each morning and when a reading departs from the last
    """

    def __init__(self, folder: str, clock: Clock = time.time, *, plans: bool = True) -> None:
        house_as_learnt(folder)  # what cannot be served is said at once
        self.folder = folder
        self.clock = clock
        self.worker = Worker()
        self.changes = Changes(folder)
        self._plans = plans
        self._lock = threading.RLock()
        self._house: tuple[Content, House] | None = None
        self._answers: dict[Callable[[str, float], Any], _Answer[Any]] = {}
        self._planning = _Answer[None]()
        self._plan: tuple[Content, PlanReport | None] | None = None
        self._why = ""
        self._stop = threading.Event()
        if plans:
            threading.Thread(target=self._tend, name="tending", daemon=True).start()

    def close(self) -> None:
        """End what runs beside."""
        self._stop.set()
        self.changes.close()
        self.worker.close()

    @property
    def is_closed(self) -> bool:
        """Tell whether the server is being stopped."""
        return self._stop.is_set()

    @property
    def revision(self) -> int:
        """Grows with each change of what pages show."""
        return self.changes.revision

    def now_s(self) -> float:
        """UTC s by the folder's clock."""
        return self.clock()

    def house(self) -> House:
        """Return the house as learnt.

        Raises
        ------
        InputError : its description cannot be used any more
        """
        mark = self.changes.mark
        with self._lock:
            if self._house is None or self._house[0] != mark:
                self._house = mark, house_as_learnt(self.folder)
            return self._house[1]

    def record(self, make: bool = False) -> AbstractContextManager[Logbook]:
        """Open the folder's logbook, for one request.

        Parameters
        ----------
        make : something is to be kept
        """
        return record_of(self.folder, make)

    def changed(self) -> None:
        """Look at the folder now: this request altered it."""
        if self.changes.look():
            self.standing()

    def standing(self) -> WorkedOut[NowReport]:
        """Return where everything stands; asks the worker when the last answer is of before."""
        return self.worked_out(stand, FRESH_S)

    def worked_out(
        self, question: Callable[[str, float], T], fresh_s: float = math.inf
    ) -> WorkedOut[T]:
        """Return the last answer to a question that takes seconds; the worker is asked for a newer.

        Parameters
        ----------
        question : a function of a module, of folder and UTC s, with a plain answer
        fresh_s : so long an answer serves while nothing changes
        """
        mark, now_s = self.changes.mark, self.now_s()
        with self._lock:
            answer: _Answer[T] = self._answers.setdefault(question, _Answer())
            is_behind = answer.mark != mark
            is_old = is_behind or abs(now_s - answer.asked_s) > fresh_s
            if is_old and not answer.is_asked and answer.failed_at != mark:
                answer.asked_of, answer.asked_s = mark, now_s
                answer.future = self.worker.ask(question, self.folder, now_s)
                answer.future.add_done_callback(partial(self._answered, answer))
            return WorkedOut(answer.value, is_behind, answer.problem)

    def plan(self) -> PlanNow:
        """Return the last plan kept, and whether a new one is being made."""
        mark = self.changes.mark
        with self._lock:
            if self._plan is None or self._plan[0] != mark:
                self._plan = mark, self._read_plan()
            answer = self._planning
            return PlanNow(self._plan[1], answer.is_asked, self._why, answer.problem)

    def plan_again(self, why: str = "you asked for it") -> None:
        """Let a new plan be made, unless one is being made."""
        with self._lock:
            answer = self._planning
            if answer.is_asked:
                return
            self._why, answer.problem, answer.asked_of = why, "", self.changes.mark
            answer.future = self.worker.ask(plan, self.folder, self.now_s())
            answer.future.add_done_callback(self._planned)
        self.changes.tell()

    def _read_plan(self) -> PlanReport | None:
        try:
            with self.record() as book:
                return last_plan(book, int(self.now_s()))
        except SugarwrightError:
            return None

    def _answered(self, answer: _Answer[Any], future: Future[Any]) -> None:
        with self._lock:
            answer.take(future)
        self.changes.tell()
        if isinstance(answer.value, NowReport):
            self._look_after_plan()

    def _planned(self, future: Future[None]) -> None:
        with self._lock:
            self._planning.take(future)
        if not self.changes.look():
            self.changes.tell()

    def _tend(self) -> None:
        """Keep the answers fresh while somebody looks; plan in the morning although nobody does."""
        self.plan()  # so that the first page need not read it
        while not self._stop.is_set():
            if self.changes.is_watched or stand not in self._answers:
                self.standing()
            self._look_after_plan()
            self._stop.wait(TEND_EVERY_S)

    def _look_after_plan(self) -> None:
        if not self._plans:
            return
        mark = self.changes.mark
        with self._lock:
            standing, planned = self._answers.get(stand), self.plan()
            known = None if standing is None or standing.mark != mark else standing.value
            if known is None or planned.planning:
                return
            if self._planning.failed_at == mark:
                return  # nothing came since that could help
            try:
                house = self.house()
            except SugarwrightError:
                return
            why = why_plan_again(house, known, planned.report, self.now_s())
        if why:
            self.plan_again(why)


class _Answer(Generic[T]):
    """What the worker answered last, and whether it is being asked."""

    def __init__(self) -> None:
        self.value: T | None = None
        self.mark: Content | None = None
        self.asked_s = -math.inf
        self.problem = ""
        self.failed_at: Content | None = None
        self.asked_of: Content | None = None
        self.future: Future[T] | None = None

    @property
    def is_asked(self) -> bool:
        """Tell whether the worker is at it."""
        return self.future is not None

    def take(self, future: Future[Any]) -> None:
        """Take what came of it."""
        self.future = None
        problem = future.exception()
        if problem is None:
            self.value, self.mark = future.result(), self.asked_of
            self.problem, self.failed_at = "", None
        else:
            self.problem, self.failed_at = str(problem), self.asked_of
