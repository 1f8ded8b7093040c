"""A plan as a calendar file (RFC 5545): an event for each action, with an alarm."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from icalendar import Alarm, Calendar, Event

from sugarwright.planning.action import Action
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import PlanReport
from sugarwright.saying.plan_actions import action_texts
from sugarwright.saying.plan_words import PlanWords as Words

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
    """
    words, calendar = Words(report), Calendar()
    calendar.add("prodid", OURS)
    calendar.add("version", "2.0")
    seen: Counter[str] = Counter()
    for day in report.days:
        ringing = by_the_hour(day.actions)
        for number, action in enumerate(day.actions, 1):
            if action not in ringing:
                continue
            key = f"{report.house}|{words.local(day.begin_s):%Y-%m-%d}|{action.kind}"
            seen[key] += 1
            uid = sha256(f"{key}|{seen[key]}".encode()).hexdigest()[:32] + "@sugarwright"
            calendar.add_component(_event(words, number, action, uid))
    if not seen:
        return None
    text: bytes = calendar.to_ical()
    return text


def _event(words: Words, number: int, action: Action, uid: str) -> Event:
    event, begin_s = Event(), words.report.begin_s
    start = datetime.fromtimestamp(action.time_s, UTC)
    first, *rest = action_texts(words, action)
    says = "\n".join([f"{number} {words.clock(action.time_s)} {first}", *rest])
    event.add("uid", uid)
    event.add("dtstamp", datetime.fromtimestamp(begin_s, UTC))
    event.add("sequence", begin_s // 60)
    event.add("dtstart", start)
    event.add("dtend", start + EVENT)
    summary = action.kind.capitalize() + (f", {action.point}" if action.point else "")
    event.add("summary", summary)
    event.add("description", "\n".join(filter(None, [says, CAUTIONS.get(action.caution, "")])))
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", summary)
    alarm.add("trigger", -BEFORE_IT if action.kind in AHEAD else timedelta())
    event.add_component(alarm)
    return event
