"""Which of a day's later runs of the membrane are worth a line, and which start of themselves.

A sap tank that refills starts it again while somebody is there, and the gauge of the line before
says that. Whoever has been away, has washed it or has long done something else must be told anew;
and so must whoever has to stop it, rinse it or turn it down in the end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sugarwright.planning.action import Action
from sugarwright.planning.membrane_ends import is_washed
from sugarwright.planning.membrane_hands import hands_of
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at

MOST_STARTS = 3  # of the membrane in a day that are worth a line
PAUSE_S = 3600.0  # after so long a standstill nobody is at the membrane any more: judgement


class Span(NamedTuple):
    """Steps of a later run.

    Parameters
    ----------
    stood : the first in which the membrane stood still before it
    begin : its first
    end : the first after it; None where nothing ends it
    """

    stood: int
    begin: int
    end: int | None


def later_spans(scene: Scene, end: int | None) -> list[Span]:
    """Return each run that begins on the day after another has ended, in order of time.

    Parameters
    ----------
    scene : the day
    end : first step after the day's first run; None where nothing ends it
    """
    return list(_spans(scene, end))


def worth_a_line(scene: Scene, spans: Sequence[Span], runs: Sequence[Action]) -> list[Action]:
    """Return those of a day's later runs that need a line of their own, in order of time.

    Each that needs a hand after its start has one; of the others there are not too many.

    Parameters
    ----------
    scene : the day
    spans, runs : of each later run
    """
    told = [
        run
        for span, run in zip(spans, runs, strict=True)
        if hands_of(run) or _is_new(scene, span.stood, span.begin)
    ]
    by_hand = [run for run in told if hands_of(run)]
    others = [run for run in told if run not in by_hand]
    left_out = others[max(0, MOST_STARTS - 1 - len(by_hand)) :]
    return [run for run in told if run not in left_out]


def _spans(scene: Scene, end: int | None) -> Iterator[Span]:
    while end is not None and end < scene.last:
        begin = scene.next_start(at.T_MEMBRANE_ON, max(end, 1), scene.last)
        if begin is None:
            return
        stood, rows = end, len(scene.trace.rows)
        end = scene.first_where(at.T_MEMBRANE_ON, begin, rows, False)
        yield Span(stood, begin, end)


def _is_new(scene: Scene, end: int, begin: int) -> bool:
    """Tell whether whoever starts it comes back for that: to it, or to the house."""
    away = bool((scene.drive.calendar[end:begin, at.PEOPLE] == 0.0).any())
    washed = any(is_washed(scene, step) for step in _cleanings(scene, end, begin))
    return away or washed or (begin - end) * scene.trace.step_s >= PAUSE_S


def _cleanings(scene: Scene, end: int, begin: int) -> Iterator[int]:
    """Yield each step of a standstill in which a rinse or a wash begins."""
    step = scene.next_start(at.T_CLEANING, max(end, 1), begin)
    while step is not None:
        yield step
        step = scene.next_start(at.T_CLEANING, step + 1, begin)
