"""A plan as a calendar file (RFC 5545): events, those of the day told of with an alarm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from icalendar import Alarm, Calendar, Event

from sugarwright.planning.action import Action
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.membrane_hands import Hand, hands_of, is_stopped_at_tank
from sugarwright.planning.report import PlanReport
from sugarwright.planning.stops import STOP, WASH, each_once, with_stops
from sugarwright.saying.plan_actions import action_texts
from sugarwright.saying.plan_fire_ends import if_stays_text, is_unlikely, lacks_feed, poured
from sugarwright.saying.plan_gauges import fetched_s, gauge_text
from sugarwright.saying.plan_membrane import hand_text, stop_headline, tank_end_text
from sugarwright.saying.plan_outside import drain_title
from sugarwright.saying.plan_words import TANKS
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import sentence
from sugarwright.units import VOLUME

OURS = "-//Sugarwright//plan//EN"
"""By which a calendar file is known to be of a plan."""
EVENT = timedelta(minutes=15)
AHEAD = ("light the fire", "light the fire again", "drain before the frost")
BEFORE_IT = timedelta(minutes=10)  # to walk there and lay the fire, or to get to pump and line


def calendar_file(report: PlanReport) -> bytes | None:
    """Return the plan's actions as an iCalendar file, in UTC; None where nothing is to ring.

    A calendar without an event is none (3.6).

    What is done only at need has no hour to ring at. An action keeps its UID from plan to plan of
    the same house and local day, so that a newer file replaces it (SEQUENCE grows with the minute
    the plan begins); one that a newer plan drops stays in the calendar until it is deleted there.
    What is after the day that the plan tells of is planned anew each morning, and does not ring.
    """
    words, calendar = Words(report), Calendar()
    today_s = report.days[report.main_day].begin_s
    calendar.add("prodid", OURS)
    calendar.add("version", "2.0")
    seen: Counter[str] = Counter()
    told = each_once([with_stops(day.actions) for day in report.days])
    for day, of_day in zip(report.days, told, strict=True):
        rings = day.begin_s <= today_s
        for one in _due(day.actions, of_day):
            for ring in _rings(words, *one):
                key = f"{report.house}|{words.local(day.begin_s):%Y-%m-%d}|{ring.kind}"
                seen[key] += 1
                uid = sha256(f"{key}|{seen[key]}".encode()).hexdigest()[:32] + "@sugarwright"
                calendar.add_component(_event(words, ring, uid, rings=rings))
    if not seen:
        return None
    text: bytes = calendar.to_ical()
    return text


def _due(
    actions: Sequence[Action], told: Sequence[tuple[int, Action]]
) -> Iterator[tuple[int, Action, Action | None]]:
    """Yield what is done at an hour, numbered; of a run's stop the run, and the stop itself."""
    by_hour, runs = by_the_hour(actions), dict[int, Action]()
    for number, action in told:
        run = runs.setdefault(number, action)
        if actions[number - 1] in by_hour:
            yield number, run, None if run is action else action


def _title(words: Words, action: Action) -> str:
    """Return an event's title: an alarm shows hardly more of it.

    Draining names what is drained, and whether it freezes. A fire to be lit or let go, and what a
    full tank alone calls for, has its gauge there; one to be lit is to be looked for where that is
    not expected to be met at its hour, or is in too few weathers.
    """
    if action.kind == "drain before the frost":
        return drain_title(words, action)
    if action.kind in (STOP, WASH):
        return stop_headline(action)
    title = action.kind.capitalize() + if_stays_text(action)
    looks = action.kind.startswith("light the fire") or action.by_call
    if looks and gauge_text(words, action) and action.trigger:
        level = words.show(action.trigger.at_least_m3, VOLUME)
        fetched = "the sap is fetched and " if fetched_s(words, action) is not None else ""
        once = f"{action.kind} once {fetched}{TANKS[action.trigger.tank]} has {level}"
        met = action.expected_s is not None and action.expected_s <= action.time_s
        return sentence(once) if met and not is_unlikely(action) else f"Look: {once}"
    if lacks_feed(words, action):
        return f"{title}, feed may not last: {poured(words)}, draw the coals"
    if action.kind == "let the fire go":
        if action.reserve_m3 and action.ends != "fuel":
            title += f" once {words.show(action.reserve_m3, VOLUME)} of feed is left"
        return f"{title}, if it was lit" if is_unlikely(action) else title
    return f"{title}, {action.point}" if action.point else title


@dataclass(frozen=True)
class _Ring:
    """What an event says, and when it rings; ``kind`` is what its UID is made from."""

    kind: str
    time_s: int
    summary: str
    says: str
    ahead: timedelta


def _rings(words: Words, number: int, action: Action, stop: Action | None) -> Iterator[_Ring]:
    """Yield an action, and what a run of the membrane asks for later, each at its own hour.

    Of a run's stop, that alone.
    """
    if stop is not None:
        title = stop_headline(stop)
        if is_stopped_at_tank(stop):
            title = f"Stop the membrane {tank_end_text(words, stop)}"
        yield _ring_of(words, number, action, Hand("stop", stop.time_s), title)
        return
    first, *rest = action_texts(words, action)
    says = [f"{number} {words.clock(action.time_s)} {first}", *rest]
    yield _Ring(
        action.kind,
        action.time_s,
        _title(words, action),
        "\n".join(filter(None, [*says, CAUTIONS.get(action.caution, "")])),
        BEFORE_IT if action.kind in AHEAD else timedelta(),
    )
    summary = {
        "set": f"Set the membrane to {words.valve(action.night_flow_m3_s or 0.0)}",
        "again": "Stock again through the membrane",
    }
    for hand in hands_of(action):
        if hand.what in summary:
            yield _ring_of(words, number, action, hand, summary[hand.what])


def _ring_of(words: Words, number: int, action: Action, hand: Hand, summary: str) -> _Ring:
    """Somebody about to leave, or whose tank runs full, is rung before: to be there in time."""
    says = f"{number} {words.clock(hand.time_s)} {hand_text(words, action, hand)}"
    ahead = hand.what == "set" or (
        hand.what == "stop" and (action.ends == "people leave" or is_stopped_at_tank(action))
    )
    return _Ring(
        f"{action.kind}|{hand.what}",
        hand.time_s,
        summary,
        "\n".join([says, CAUTIONS[action.caution]]),
        BEFORE_IT if ahead else timedelta(),
    )


def _event(words: Words, ring: _Ring, uid: str, *, rings: bool) -> Event:
    event, begin_s = Event(), words.report.begin_s
    start = datetime.fromtimestamp(ring.time_s, UTC)
    event.add("uid", uid)
    event.add("dtstamp", datetime.fromtimestamp(begin_s, UTC))
    event.add("sequence", begin_s // 60)
    event.add("dtstart", start)
    event.add("dtend", start + EVENT)
    event.add("summary", ring.summary)
    event.add("description", ring.says if rings else f"{ring.says}\nPlanned anew each morning.")
    if rings:
        event.add_component(_alarm(ring))
    return event


def _alarm(ring: _Ring) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", ring.summary)
    alarm.add("trigger", -ring.ahead)
    return alarm
