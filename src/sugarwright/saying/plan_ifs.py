"""What would change a plan, what more room would be worth, and why a day asks for nothing."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.action import Action
from sugarwright.planning.marks import ends_m3
from sugarwright.planning.report import Change, Day, Idle, Limit
from sugarwright.saying.plan_gauges import is_there_now
from sugarwright.saying.plan_watches import unseen_frost_texts
from sugarwright.saying.plan_words import TANKS
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import in_ten
from sugarwright.units import DURATION, TEMPERATURE, VOLUME, WOOD

LEAST_MONEY = 3.0  # worth less than this, a few dollars, is worth nothing
ENOUGH = 2  # lines of what would change the plan
_LEFT_OUT = {
    "membrane on": "leave the membrane off",
    "light the fire": "no fire",
    "wash the membrane": "leave the wash",
}
_LIMITS = {
    "sap tank": "sap tank",
    "stock tank": "stock tank",
    "permeate tank": "permeate tank",
    "membrane elements": "membrane",
    "evening hour": "time this evening",
    "wood": "wood",
}


def change_text(words: Words, change: Change) -> str:
    """Say what to look for, what to do then, and what that is worth."""
    day = "" if _is_today(words, change.time_s) else f"{words.day(change.time_s)} "
    money = words.money(change.money)
    seen = _seen(words, change, f"{day}{words.clock(change.time_s)}")
    chance = in_ten(change.probability)
    return f"{seen} ({chance}): {_instead(words, change)}, worth about {money} then"


def _seen(words: Words, change: Change, at: str) -> str:
    side = "over" if change.over else "under"
    if change.what == "run":
        return f"no sap has run by {at}"
    if change.what == "coldest":
        mark = words.show(change.mark_c or 0.0, TEMPERATURE)
        verb = "stayed" if change.over else "been"
        return f"the air has {verb} {side} {mark} until {at}"
    return f"{TANKS[change.what]} holds {side} {words.volume(change.level_m3 or 0.0, 0)} at {at}"


def _instead(words: Words, change: Change) -> str:
    flow = "" if change.flow_m3_s is None else words.valve(change.flow_m3_s)
    if change.instead == "set":
        return f"set the membrane to {flow}"
    if change.instead == "set and run the night":
        return f"let the membrane run the night at {flow}"
    if change.instead == "not overnight":
        return "stop the membrane when you leave"
    if change.instead == "start":
        return f"membrane on then, at {flow}"
    if change.instead == "light":
        return "light the fire then, as long as feed is above the reserve"
    when = ""
    if change.action_s is not None and not _is_today(words, change.action_s):
        when = f" on {words.day(change.action_s)}"
    elif change.action_s is not None:
        when = f" at {words.clock(change.action_s)}"
    return f"{_LEFT_OUT[change.kind]}{when}"


def _is_today(words: Words, time_s: int) -> bool:
    return words.local(time_s).date() == words.local(words.report.begin_s).date()


def limits_text(words: Words) -> str:
    """Say what more of each limit would be worth, and which would be worth nothing."""
    limits = words.report.limits
    worth = [limit for limit in limits if limit.money >= LEAST_MONEY]
    rest = [_LIMITS[limit.what] for limit in limits if limit.money < LEAST_MONEY]
    parts = [f"{more_text(words, limit)} {words.money(limit.money)}" for limit in worth]
    if rest:
        parts.append(f"more {', '.join(rest)}: no worth in these days")
    return "; ".join(parts)


def more_text(words: Words, limit: Limit) -> str:
    """Say how much more of a limit it is about."""
    what = _LIMITS[limit.what]
    if limit.what == "wood":
        return f"{words.show(limit.more_m3 or 0.0, WOOD, 0)} of wood"
    if limit.more_m3 is not None:
        return f"{words.show(limit.more_m3, VOLUME, 0)} of {what}"
    if limit.more_s is not None:
        return f"{words.show(limit.more_s, DURATION)} more {what}"
    count = limit.more_elements or 1
    return f"{count} more element{'s' if count > 1 else ''} of {what}"


def idle_text(words: Words, idle: Idle) -> str:
    """Say why a day asks for nothing, and when to look again."""
    held, coming = words.volume(idle.held_m3, 0), words.volume(idle.coming_m3, 0)
    text = f"{held} in the tanks, {coming} of sap to come"
    if idle.why == "nobody there":
        text += "; nobody is there"
    elif idle.why == "no wood":
        text += ": no wood for a fire"
    elif idle.why == "too little":
        text += ": too little for a fire"
    elif idle.why == "costs more" and idle.best_fire_money is not None:
        at = "" if idle.best_fire_s is None else f" at {words.clock(idle.best_fire_s)}"
        money = words.money(abs(idle.best_fire_money))
        if idle.best_fire_money < 0.0:
            text += f"; the best fire, lit{at}, would cost {money} more than it brings"
        else:
            text += f"; the best fire, lit{at}, would bring only {money}"
    if idle.next_look_s is not None:
        text += f". Next look {words.when(idle.next_look_s, words.report.begin_s)}"
    return " ".join([f"{text}.", *unseen_frost_texts(words)])


def if_texts(words: Words, main: Day) -> Iterator[str]:
    """Say what would change the plan, in readings that a person can check."""
    yield from _but_air(words, main)
    yield from off_air_texts(words, main)


def _but_air(words: Words, main: Day) -> Iterator[str]:
    for action in main.actions:
        yield from no_fire_texts(words, action)
    for change in words.report.changes:
        yield change_text(words, change)
    yield from off_course_texts(words, main)


def off_air_texts(words: Words, main: Day) -> Iterator[str]:
    """Say what a thermometer shows that calls for another plan, where hardly anything else does."""
    mark = words.report.air_mark
    if mark is not None and main.actions and len(list(_but_air(words, main))) < ENOUGH:
        low, high = (words.show(each, TEMPERATURE) for each in (mark.low_c, mark.high_c))
        when = words.when(mark.time_s, words.report.begin_s)
        yield f"the air is under {low} or over {high} about {when}: plan again"


def no_fire_texts(words: Words, action: Action) -> Iterator[str]:
    """Say at which hour, and under which level of its gauge, a fire is no longer lit that day."""
    waits = action.kind == "light the fire" and not is_there_now(words, action)
    if waits and action.trigger is not None and action.latest_s:
        yield _no_fire(words, action)


def off_course_texts(words: Words, main: Day) -> Iterator[str]:
    """Say what a tank shows that calls for another plan, where hardly anything else is told."""
    if main.actions and len(words.report.changes) < ENOUGH:
        yield f"{_off_course(words)}: plan again"


def _off_course(words: Words) -> str:
    """Say between which marks a tank is expected by the next thing to do an hour or more ahead."""
    mark, standing = words.report.mark, words.report.standing
    if mark is None:
        return "a tank stands far from what this says"
    under_m3, over_m3 = ends_m3(mark, standing)
    sides = [] if under_m3 is None else [f"under {words.volume(under_m3, 0)}"]
    sides += [] if over_m3 is None else [f"over {words.volume(over_m3, 0)}"]
    if not sides:
        return "a tank stands far from what this says"
    clock = words.when(mark.time_s, words.report.begin_s)
    return f"{TANKS[mark.what]} holds {' or '.join(sides)} at {clock}"


def _no_fire(words: Words, action: Action) -> str:
    trigger, latest_s = action.trigger, action.latest_s
    if trigger is None or latest_s is None:
        return ""
    level = words.volume((action.own_hour or trigger).at_least_m3, 0)
    return f"{TANKS[trigger.tank]} is under {level} at {words.clock(latest_s)}: no fire that day"
