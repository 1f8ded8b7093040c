"""From the newest state that still holds to the last entry; states are kept on the way."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from sugarwright.errors import LogbookError
from sugarwright.twin.marks import STATE, StateStore
from sugarwright.twin.question import Question

if TYPE_CHECKING:
    from sugarwright.logbook.entry import Entry
    from sugarwright.twin.air import Air
    from sugarwright.twin.ensemble import Ground
    from sugarwright.twin.hours_told import HoursTold
    from sugarwright.twin.track import Track

Progress = Callable[[int, int], None]
AHEAD_S = 75 * 3600
BACK_S = 16 * 86400  # before the first hour asked for, so that the trees are known
CHECKED_S = 7 * 86400  # weather that comes to be known later than that takes nothing back
KEEP_EVERY_S = 12 * 3600.0
KEEP_HEARD_S = 2 * 3600.0  # with nothing typed: only the newest hundred states stay
STEP_S = 300.0  # a time is taken at the nearest step


def follow_log(
    question: Question,
    store: StateStore | None = None,
    *,
    again: bool = False,
    progress: Progress | None = None,
) -> tuple[Track, Ground]:
    """Bring the ensemble to the last entry, from the newest state that still holds.

    Returns
    -------
    The track, and the ground that it stands on.
    """
    from sugarwright.plant.assemble import assemble
    from sugarwright.twin.ensemble import Ground
    from sugarwright.twin.keep import newest_fitting
    from sugarwright.twin.track import follow, start

    track = None
    since_s = question.first_s - BACK_S
    if store is not None and not again:
        since_s = max(since_s, question.now_s - CHECKED_S - BACK_S)
    air = _air(question, since_s)
    if store is not None and not again:
        mark, ordered = question.house_mark, question.ordered
        track = newest_fitting(store, mark, ordered, air.told, question.now_s)
        if _needed_from_s(question, track) < since_s:
            air = _air(question, _needed_from_s(question, track))
    ground = Ground(
        assemble(question.house),
        air,
        question.trees,
        members=question.members,
        seed=question.seed,
    )
    track = track or start(ground, question.first_s)
    done = track.done
    keeper = None if store is None else _Keeper(question, store, air.told, track.ensemble.time_s)
    track = follow(ground, track, question.ordered, progress, keeper, _sensed(question, track))
    if keeper is not None and (track.done > done or keeper.waited_s(track) >= KEEP_HEARD_S):
        keeper.keep(track)
    return track, ground


def _sensed(question: Question, track: Track) -> list[Entry]:
    """Return what sensors said since a track, and since each of its ways back."""
    if question.sensed is None:
        return []
    ways = (track, *track.before.values())
    return question.sensed.since(min(max(w.heard[0], w.ensemble.time_s - STEP_S) for w in ways))


def _air(question: Question, since_s: float) -> Air:
    now_s = question.now_s
    return question.weather.air(question.members, question.seed, since_s, now_s, now_s + AHEAD_S)


def _needed_from_s(question: Question, track: Track | None) -> float:
    """Return the UTC s from which the air must be known, for a way on from a state."""
    if track is not None and track.ensemble.tree_hour is not None:
        earliest = [way.ensemble.tree_hour for way in track.before.values()]
        hours = [each for each in (track.ensemble.tree_hour, *earliest) if each is not None]
        return 3600.0 * min(hours)
    return question.first_s - BACK_S


class _Keeper:
    """Keeps a state twice a day, so that a correction need not go back to the beginning."""

    def __init__(
        self, question: Question, store: StateStore, told: HoursTold, last_s: float
    ) -> None:
        self.question, self.store, self.told, self.last_s = question, store, told, last_s

    def __call__(self, track: Track) -> None:
        if self.waited_s(track) >= KEEP_EVERY_S:
            self.keep(track)

    def waited_s(self, track: Track) -> float:
        """Return how far a track has come since a state was kept, s."""
        return track.ensemble.time_s - self.last_s

    def keep(self, track: Track) -> None:
        """Keep a state now."""
        from sugarwright.twin.keep import to_bytes

        blob = to_bytes(track, self.question.house_mark, self.question.ordered, self.told)
        keep_quietly(self.store, STATE, track.ensemble.time_s, blob, self.question.now_s)
        self.last_s = track.ensemble.time_s


def keep_quietly(store: StateStore, name: str, time_s: float, blob: bytes, made_s: float) -> None:
    """Keep what can be reckoned again; where that cannot be, the answer comes all the same."""
    with contextlib.suppress(LogbookError):
        store.keep_state(name, float(time_s), blob, made_s)
