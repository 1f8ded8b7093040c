"""Today's plan as a text message: plain letters, a few hundred of them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sugarwright.cli.plan_action_text import short_when
from sugarwright.cli.plan_words import Words
from sugarwright.planning.action import Action
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.membrane_hands import RUNS, is_stopped_at_tank, is_stopped_by_hand
from sugarwright.planning.report import Day, PlanReport
from sugarwright.planning.trip_hands import DRAIN
from sugarwright.saying.plan_fire_ends import chance_text, lacks_feed, poured
from sugarwright.saying.plan_folding import with_ends
from sugarwright.saying.plan_gauges import fetched_s, room_text
from sugarwright.saying.plan_membrane import leaves_text, may_have_stopped
from sugarwright.saying.plan_outside import alone_texts, drain_message
from sugarwright.saying.plan_parts import is_evening, questioned_message, tonight_text
from sugarwright.saying.plan_watches import unseen_frost_texts
from sugarwright.units import DURATION, VOLUME

MOST_LETTERS = 480  # three messages of 160
_SAID = {
    "stop the membrane": "stop the membrane",
    "rinse the membrane": "rinse the membrane",
    "membrane on": "membrane on",
    "membrane runs on": "membrane runs on",
    "membrane on again": "membrane on again",
    "again through the membrane": "stock through the membrane again",
    "light the fire": "light the fire",
    "light the fire again": "light again",
    "keep the fire": "keep the fire",
    "let the fire go": "last wood",
    "let the fire go now": "let the fire go, no more wood, keep liquid over the whole pan floor",
    "stay with the pan": "the fire dies down, stay with the pan, keep liquid over its whole floor",
    "wash the membrane": "wash the membrane",
    "gather sap": "gather sap",
    DRAIN: "drain",
    "dump what has spoiled": "smell the sap, dump what turned",
}
_WAITS = {
    "frost": "not in the frost",
    "out of order": "down",
    "circuit": "not with the fire",
    "wash": "after its wash",
    "stock tank full": "stock too full",
}
_AT_NEED = {"membrane at need": "membrane on", "fire at need": "light the fire",
            "gather at need": "gather sap"}  # fmt: skip
_BROKEN = {
    "no weather": "No forecast known",
    "fire alone": "Don't light: nobody could stay",
    "pan short of feed": "Don't light: feed may not last",
    "nobody there": "Nobody there",
    "sap spoiled": "Sap has turned",
    "stock spoiled": "Stock has turned",
    "membrane frozen out": "Membrane frozen out",
    "membrane out of order": "No membrane",
    "pan out of order": "No fire",
    "no wood for a boil": "No wood for a boil",
    "taps not set": "Taps not set yet",
}
_BURNING = {
    "fire alone": "The fire that {does} now: nobody could stay, call somebody",
    "pan short of feed": "The fire that {does} now: feed may not last. {stop}, stay",
}
_NO_GAUGE = ("dump what has spoiled", "membrane runs on")  # what runs has met its gauge
_BEFORE_LEAVING = " before you leave"
_FIRES = (
    "light the fire", "light the fire again", "keep the fire", "fire at need", "let the fire go",
    "let the fire go now", "stay with the pan",
)  # fmt: skip
_STOPS_ITSELF = re.compile(r", till (?:\w+ )?\d\d:\d\d(?:, rinse)?(?=\.$)")
_TAIL = " Never leave a lit pan. An estimate: watch the pan."


def message(report: PlanReport) -> str:
    """Return the day's actions in at most 480 letters of plain ASCII.

    Parameters
    ----------
    report : the plan; its first day with something to do

    Returns
    -------
    Clock, what, setting and gauge of each action; what does not fit is counted at the end.
    """
    words, day = Words(report), report.days[report.main_day]
    parts = _parts(words, day)
    head, tail = _head(words, day), _TAIL if _has_fire(report, day) else ""
    if not parts:
        sweet = (
            ""
            if report.pan_left is None
            else "; sweet stands in the pan: if the season is over, finish it"
        )
        return _plain(f"{head}nothing to do{sweet}.{tail}")
    if _letters(head, parts, tail) > MOST_LETTERS:  # no action goes for a nicety
        parts = [each.without(_BEFORE_LEAVING) for each in _parts(words, _shorter(day))]
    if _letters(head, parts, tail) > MOST_LETTERS:
        parts = [replace(each, text=_STOPS_ITSELF.sub("", each.text)) for each in parts]
    told = list(parts)
    while told:
        rest = f" and {len(parts) - len(told)} more." if len(told) < len(parts) else ""
        text = _plain(head + " ".join(each.text for each in told) + rest + tail)
        if len(text) <= MOST_LETTERS:
            return text
        least = [each for each in told if not each.drains] or told
        told.remove(least[-1])
    return _plain(f"{head}{len(parts)} things to do, see the plan.{tail}")


@dataclass(frozen=True)
class _Part:
    """One thing to do as it stands in the message; what drains before a frost is left out last."""

    text: str
    drains: bool = False

    def without(self, words: str) -> _Part:
        """Return it with some words left out."""
        return replace(self, text=self.text.replace(words, ""))


def _letters(head: str, parts: Sequence[_Part], tail: str) -> int:
    return len(head[:-1]) + sum(1 + len(each.text) for each in parts) + len(tail)


def _has_fire(report: PlanReport, day: Day) -> bool:
    """Tell whether a fire burns, is told, or would finish what stands in the pan."""
    told = (*day.actions, *report.tonight)
    burns = report.standing.is_hot or report.pan_left is not None
    return burns or any(each.kind in _FIRES for each in told)


def _head(words: Words, day: Day) -> str:
    """What is wrong with a fire that burns now, the day, and what else is wrong."""
    broken = words.report.broken
    now = [each for each in broken if each in _BURNING] if words.report.standing.is_hot else []
    does, stop = "dies", poured(words).capitalize()
    if words.report.standing.fire_burns:
        does, stop = "burns", f"Stop stoking, {poured(words)}"
    told = does == "dies" and any(lacks_feed(words, each) for each in day.actions)
    hot = (
        _BURNING[each].format(does=does, stop=stop)
        for each in now
        if not (told and each == "pan short of feed")  # its own line says so
    )
    burning = "".join(f"{each}. " for each in hot)
    others = "".join(f"{_BROKEN[each]}. " for each in broken if each in _BROKEN and each not in now)
    if words.report.wash_due is not None:
        others += "Wash due, permeate short. "
    others += questioned_message(words)
    frost = "".join(f"{each} " for each in unseen_frost_texts(words))
    first = tonight_text(words) if _tonight(words) else words.day(day.begin_s)
    return f"{burning}{frost}{first}: {others}"


def _parts(words: Words, day: Day) -> list[_Part]:
    """What is to be done, in order; where something of tonight comes first, the day is named."""
    before = _tonight(words)
    said = [action for action in by_the_hour(day.actions) if action.kind in _SAID]
    planned = [_with_end(words, *each) for each in with_ends(said, lambda action: action.kind)]
    planned += [_at_need(words, day, a) for a in day.actions if a.kind in _AT_NEED]
    if before and planned:
        planned[0] = replace(planned[0], text=f"{words.day(day.begin_s)}: {planned[0].text}")
    return [*before, *planned]


def _shorter(day: Day) -> Day:
    """The day without what one person who fetches sap does besides: the runs have their ends."""
    return replace(day, actions=tuple(replace(each, alone=None) for each in day.actions))


def _tonight(words: Words) -> list[_Part]:
    """What tomorrow's plan still asks for tonight; a whole day of today would leave it no room."""
    told = words.report.tonight if is_evening(words) else ()
    return [_with_end(words, action, None) for action in told if action.kind in _SAID]


def _with_end(words: Words, action: Action, end: Action | None) -> _Part:
    """An action; a fire with its last wood, so that no message has the one without the other."""
    if action.only_if_stay_s is not None and action.else_stay_s is not None:
        stay, other = map(words.clock, (action.only_if_stay_s, action.else_stay_s))
        last = "" if end is None else f", {_SAID[end.kind]} {words.clock(end.time_s)}"
        return _Part(
            f"{_when(words, action)} only if you can stay till {stay}: {_SAID[action.kind]}"
            f"{last}; else no more wood now, stay till {other}."
        )
    last = "" if end is None else f", {_last_wood(words, end)}"
    return _Part(f"{_said(words, action)}{last}.", drains=action.kind == DRAIN)


def _last_wood(words: Words, end: Action) -> str:
    text = f"{_SAID['let the fire go']} {words.clock(end.time_s)}"
    return text if end.leave_s is None else f"{text}, stay till {words.clock(end.leave_s)}"


def _if_lit(words: Words, action: Action) -> str:
    """The last wood of a fire that is not expected, and until when to stay then."""
    end = action.last_wood
    if end is None:
        return ""
    latest, stay = words.clock(end.latest_s), words.clock(end.leave_s)
    return f", {_SAID['let the fire go']} by {latest}, stay till {stay}"


def _at_need(words: Words, day: Day, action: Action) -> _Part:
    """What no hour calls for, but a tank; the end of such a fire is told with it."""
    text = _AT_NEED[action.kind]
    if action.flow_m3_s is not None:
        text += f" {words.valve(action.flow_m3_s)}"
    ends = [each for each in day.actions if each.kind == "let the fire go"]
    if action.kind == "fire at need" and ends:
        text += f", {_last_wood(words, max(ends, key=lambda end: end.time_s))}"
    text += _if_lit(words, action)
    if action.trigger is None:
        return _Part(f"Only at need: {text}.")
    level = words.show(action.trigger.at_least_m3, VOLUME)
    return _Part(f"Only if {action.point or action.trigger.tank} {level}: {text}.")


def _said(words: Words, action: Action) -> str:
    if action.kind == DRAIN:
        return f"{_when(words, action)} {drain_message(words, action)}"
    text = f"{_when(words, action)} {_SAID[action.kind]}"
    after_s = fetched_s(words, action)
    if after_s is not None:
        text += f" once sap is fetched, about {words.clock(after_s)},"
    if lacks_feed(words, action):
        text += f"; feed may not last: {poured(words)}, draw the coals"
    if action.flow_m3_s is not None:
        text += f" {words.valve(action.flow_m3_s)}"
    if action.kind == "stop the membrane" and action.rinse_m3 and action.rinse_has_m3 is None:
        text += " and rinse it"
    if action.again_brix is not None and action.kind == "again through the membrane":
        text += f" to {action.again_brix:.1f} Brix"
    if action.loads is not None:
        text += f" {action.point}, {action.loads} load{'s' if action.loads > 1 else ''},"
    if action.after_run_s is not None:
        text += f" if it has run {words.show(action.after_run_s, DURATION)} and"
        text += f" permeate {words.show(action.permeate_needed_m3 or 0.0, VOLUME)}"
    elif action.room_at_m3 is not None:
        text += f" {room_text(words, action.room_at_m3)}"
    elif action.trigger is not None and action.kind not in _NO_GAUGE:
        level = words.show(action.trigger.at_least_m3, VOLUME)
        text += f" if {level} there" if action.point else f" if {action.trigger.tank} {level}"
        text += f" ({chance})" if (chance := chance_text(action)) else ""
    text += " if it still runs" if may_have_stopped(action) else ""
    text += "".join(_waits(words, action))
    if action.call_m3 is not None and action.call_flow_m3_s is not None:
        flow = words.valve(action.call_flow_m3_s)
        tank = "sap " if action.kind == "again through the membrane" else ""
        text += f"; with {tank}{words.show(action.call_m3, VOLUME)} at once, and set to {flow}"
    if action.own_hour is not None:
        level = words.show(action.own_hour.at_least_m3, VOLUME)
        text += f", from {words.clock(action.own_hour.time_s)} {level}"
    text += "".join(_run_on(words, action)) if action.kind in RUNS else ""
    if action.leave_s is not None and (
        action.kind.startswith("let the fire go") or action.kind == "stay with the pan"
    ):
        text += f", stay till {words.clock(action.leave_s)}"
    if action.latest_s is not None and action.kind.startswith("light"):
        text += f", not after {words.clock(action.latest_s)}"
    if action.sap_waits:
        text += f", sap in {', '.join(action.sap_waits)} waits till it is out"
    text += _if_lit(words, action)
    if action.alone is not None:
        text += "".join(f", {each}" for each in alone_texts(words, action.alone))
    return text


def _when(words: Words, action: Action) -> str:
    """Return an action's hour; what falls after the midnight of its list's day names its own."""
    report = words.report
    of_tonight = any(each is action for each in report.tonight)
    day = report.days[0 if of_tonight else report.main_day]
    return short_when(words, action.time_s, day.begin_s)


def _waits(words: Words, action: Action) -> Iterator[str]:
    """Yield what keeps the membrane from an earlier hour."""
    for wait in action.waits:
        until = "" if wait.until_s is None else f" till {words.clock(wait.until_s)}"
        yield f", {_WAITS[wait.why]}{until if wait.why != 'wash' else ''}"


def _run_on(words: Words, action: Action) -> Iterator[str]:
    """Yield how a run of the membrane goes on when you leave, and how it ends by hand."""
    if action.night_flow_m3_s is not None:
        same = action.night_flow_m3_s == action.flow_m3_s
        alone = "" if same else f" set to {words.valve(action.night_flow_m3_s)},"
        at = "" if same or not action.left_alone_s else f" {leaves_text(words, action)}"
        yield f",{at}{alone} leave on"
    if action.again_s is not None and action.kind != "again through the membrane":
        again = words.when(action.again_s, action.time_s)
        yield f", {again} stock again to {action.again_brix or 0.0:.1f} Brix"
    if action.expected_s is not None and action.until_s is not None:
        until = words.when(action.until_s, action.time_s)
        yield f", till {until}{_or_tank(words, action)}{_stop(action)}"


def _stop(action: Action) -> str:
    """What a run's end asks for: nothing of who is gone, and a cut-out stops it by itself."""
    if action.rinse_m3 is None:
        return ""
    if action.ends == "time":
        return ", stop for the wash"
    rinses = action.rinse_has_m3 is None
    if not is_stopped_by_hand(action):
        return ", rinse" if rinses else ""
    before = _BEFORE_LEAVING if action.ends == "people leave" else ""
    return f", {'stop+rinse' if rinses else 'stop'}{before}"


def _or_tank(words: Words, action: Action) -> str:
    """The gauge at which a run without a cut-out must be stopped, should that come sooner."""
    if not (is_stopped_by_hand(action) and is_stopped_at_tank(action)):
        return ""
    if action.ends == "stock tank full":
        return " or stock full"
    return f" or sap down to {words.volume(action.reserve_m3 or 0.0, 0)}"


def _plain(text: str) -> str:
    return text.encode("ascii", "replace").decode("ascii")
