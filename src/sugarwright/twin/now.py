"""Where do the tanks stand? From the log, the last kept state, and the weather."""

from __future__ import annotations

import contextlib
import zlib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Protocol

from sugarwright.errors import LogbookError
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.twin.curves import SERVES_S, outlook_bytes, read_outlook
from sugarwright.twin.marks import OUTLOOK, STATE, StateStore, house_mark
from sugarwright.twin.report import Departure, NowReport, Planned
from sugarwright.twin.standing import Remembered, standing
from sugarwright.twin.told import digest, in_order

if TYPE_CHECKING:
    from sugarwright.twin.air import Air
    from sugarwright.twin.ensemble import Ensemble, Ground
    from sugarwright.twin.track import Track

Progress = Callable[[int, int], None]
AHEAD_S = 75 * 3600
BACK_S = 16 * 86400  # before the first hour asked for, so that the trees are known
KEEP_EVERY_S = 12 * 3600.0


class Weather(Protocol):
    """Weather as the house keeps it."""

    @property
    def mark(self) -> str:
        """Tells one weather from another."""

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        """Return the members' airs, known up to ``now_s`` at most."""


@dataclass(frozen=True, eq=False)
class Question:
    """What is asked, and what the answer may stand on.

    Parameters
    ----------
    house : as described
    entries : those that stand
    now_s : UTC s
    weather : kept weather
    trees : what is known of them
    plan : the plan under way; None without one
    members, seed : of the ensemble
    """

    house: House
    entries: Sequence[Entry]
    now_s: float
    weather: Weather
    trees: TreeKnowledge | None = None
    plan: Planned | None = None
    members: int = 200
    seed: int = 17
    _ordered: list[Entry] = field(default_factory=list)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_ordered", in_order(self.entries, self.now_s))

    @property
    def ordered(self) -> list[Entry]:
        """Entries that the twin takes, in order."""
        return self._ordered

    @property
    def house_mark(self) -> str:
        """Mark of house and ensemble: states of another are of no use."""
        return house_mark(self.house, self.members, self.seed)

    @property
    def mark(self) -> str:
        """Mark of everything that an answer hangs on but the hour."""
        plan = "" if self.plan is None else f"{self.plan.begin_s}"
        trees = zlib.crc32(repr(self.trees).encode())
        parts = (self.house_mark, digest(self.ordered), self.weather.mark, f"{trees:08x}", plan)
        return " ".join(parts)


def now(
    question: Question,
    store: StateStore | None = None,
    *,
    again: bool = False,
    progress: Progress | None = None,
) -> NowReport:
    """Say where everything stands.

    Parameters
    ----------
    question : what is asked
    store : where states are kept; None: nothing is
    again : follow the whole log anew, whatever is kept
    progress : told how many entries of how many are followed

    Returns
    -------
    NowReport. Where nothing was entered since the last answer, that one is told as it has become.
    """
    if store is not None and not again:
        kept = _kept_answer(question, store)
        if kept is not None:
            return kept
    return _reckon(question, store, again, progress)


def _kept_answer(question: Question, store: StateStore) -> NowReport | None:
    found = store.state(OUTLOOK, question.now_s + 1.0)
    read = None if found is None else read_outlook(found[1])
    if found is None or read is None:
        return None
    outlook, beside = read
    if beside.get("mark") != question.mark or question.now_s > found[0] + SERVES_S:
        return None
    return standing(
        question.house, outlook, Remembered.of_json(beside["remembered"]), question.now_s
    )


def _reckon(
    question: Question, store: StateStore | None, again: bool, progress: Progress | None
) -> NowReport:
    from sugarwright.twin.advance import advance
    from sugarwright.twin.ensemble import step_of
    from sugarwright.twin.outlook import look_ahead

    track, ground = follow_log(question, store, again=again, progress=progress)
    here = track.ensemble.copy()
    advance(ground, here, step_of(question.now_s))
    outlook = look_ahead(ground, here)
    log = _remembered(question, track, ground)
    log = replace(log, departures=_departures(question, ground, track, here, store))
    if store is not None:
        beside = {"mark": question.mark, "remembered": asdict(log)}
        _keep(store, OUTLOOK, here.time_s, outlook_bytes(outlook, beside), question.now_s)
    return standing(question.house, outlook, log, float(here.time_s))


def _keep(store: StateStore, name: str, time_s: float, blob: bytes, made_s: float) -> None:
    """Keep what can be reckoned again; where that cannot be, the answer comes all the same."""
    with contextlib.suppress(LogbookError):
        store.keep_state(name, float(time_s), blob, made_s)


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
    if store is not None and not again:
        track = newest_fitting(store, question.house_mark, question.ordered, question.now_s)
    since_s = _since_s(question, track)
    air = question.weather.air(
        question.members, question.seed, since_s, question.now_s, question.now_s + AHEAD_S
    )
    ground = Ground(
        assemble(question.house),
        air,
        question.trees,
        members=question.members,
        seed=question.seed,
    )
    track = track or start(ground, question.ordered, question.now_s)
    done = track.done
    keeper = None if store is None else _Keeper(question, store, track.ensemble.time_s)
    track = follow(ground, track, question.ordered, progress, keeper)
    if keeper is not None and track.done > done:
        keeper.keep(track)
    return track, ground


def _since_s(question: Question, track: Track | None) -> float:
    if track is not None and track.ensemble.tree_hour is not None:
        earliest = [way.ensemble.tree_hour for way in track.before.values()]
        hours = [each for each in (track.ensemble.tree_hour, *earliest) if each is not None]
        return 3600.0 * min(hours)
    first_s = question.ordered[0].at_s if question.ordered else question.now_s
    return first_s - BACK_S


class _Keeper:
    """Keeps a state twice a day, so that a correction need not go back to the beginning."""

    def __init__(self, question: Question, store: StateStore, last_s: float) -> None:
        self.question, self.store, self.last_s = question, store, last_s

    def __call__(self, track: Track) -> None:
        if track.ensemble.time_s - self.last_s >= KEEP_EVERY_S:
            self.keep(track)

    def keep(self, track: Track) -> None:
        """Keep a state now."""
        from sugarwright.twin.keep import to_bytes

        blob = to_bytes(track, self.question.house_mark, self.question.ordered)
        _keep(self.store, STATE, track.ensemble.time_s, blob, self.question.now_s)
        self.last_s = track.ensemble.time_s


def _remembered(question: Question, track: Track, ground: Ground) -> Remembered:
    ordered, air = question.ordered, ground.air
    return Remembered(
        entries=len(ordered),
        first_s=ordered[0].at_s if ordered else None,
        last_s=ordered[-1].at_s if ordered else None,
        seen=tuple(
            (*name, seen.at_s, seen.value, seen.measured, seen.typed)
            for name, seen in track.seen.items()
        ),
        doubts=track.doubts,
        words=dict(track.words),
        flow_m3_s=track.ensemble.flow_m3_s,
        source=air.source,
        known_s=air.known_to_s,
        cautions=air.cautions,
    )


def _departures(
    question: Question,
    ground: Ground,
    track: Track,
    here: Ensemble,
    store: StateStore | None,
) -> tuple[Departure, ...]:
    """Hold the plan under way against how things stand, by the state that was kept before it."""
    from sugarwright.twin.keep import newest_fitting
    from sugarwright.twin.planned import LEAST_S, MOST_S, departures

    plan = question.plan
    if plan is None or store is None or not LEAST_S <= here.time_s - plan.begin_s <= MOST_S:
        return ()
    then = newest_fitting(store, question.house_mark, question.ordered, plan.begin_s)
    if then is None or then.ensemble.tree_hour is None:
        return ()
    foreseen = question.weather.air(
        question.members,
        question.seed,
        3600.0 * then.ensemble.tree_hour,
        plan.begin_s,
        here.time_s + 3600.0,
    )
    return departures(
        replace(ground, air=foreseen),
        then.ensemble,
        here,
        plan,
        track.seen,
    )
