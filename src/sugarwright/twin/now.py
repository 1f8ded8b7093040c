"""Where do the tanks stand? From the log, the last kept state, and the weather."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import TYPE_CHECKING

from sugarwright.twin.curves import SERVES_S, Outlook, outlook_bytes, read_outlook
from sugarwright.twin.following import Progress, follow_log, keep_quietly
from sugarwright.twin.marks import OUTLOOK, StateStore
from sugarwright.twin.question import Question
from sugarwright.twin.report import Departure, NowReport
from sugarwright.twin.standing import Remembered, standing

if TYPE_CHECKING:
    from sugarwright.twin.ensemble import Ensemble, Ground
    from sugarwright.twin.track import Track


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
    log = Remembered.of_json(beside["remembered"])
    if question.sensed is not None and question.sensed.news(
        question.house, outlook, found[0], log.astray
    ):
        return None
    return standing(question.house, outlook, log, question.now_s)


def _reckon(
    question: Question, store: StateStore | None, again: bool, progress: Progress | None
) -> NowReport:
    from sugarwright.twin.advance import advance
    from sugarwright.twin.ensemble import step_of
    from sugarwright.twin.outlook import look_ahead

    track, ground = follow_log(question, store, again=again, progress=progress)
    here = track.ensemble.copy()
    advance(ground, here, step_of(question.now_s))
    # As it is kept, in fewer digits: else a plan made of it is another the second time.
    outlook = Outlook.of_json(look_ahead(ground, here).to_json())
    log = _remembered(question, track, ground)
    log = replace(log, departures=_departures(question, ground, track, here, store))
    if store is not None:
        beside = {"mark": question.mark, "remembered": asdict(log)}
        keep_quietly(store, OUTLOOK, here.time_s, outlook_bytes(outlook, beside), question.now_s)
    # At the minute asked for, as the answer kept is told: not at the step before it, else a plan
    # made of it is another the second time.
    return standing(question.house, outlook, log, max(question.now_s, float(here.time_s)))


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
        astray=tuple(sorted(track.astray)),
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
    from sugarwright.twin.planned import departures, read_since

    plan = question.plan
    if plan is None or store is None:
        return ()
    read = read_since(plan, track.seen, question.ordered, question.now_s)
    if not read:
        return ()
    mark, told = question.house_mark, ground.air.told
    then = newest_fitting(store, mark, question.ordered, told, plan.begin_s)
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
        read,
    )


__all__ = ["Progress", "Question", "follow_log", "now"]
