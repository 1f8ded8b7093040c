"""The gauge that an action waits for, and the full tank that calls before its hour, in words."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.planning.action import Action, OwnHour
from sugarwright.planning.calls import calling_tank
from sugarwright.planning.dying import STAY
from sugarwright.planning.trip_hands import is_lit_after
from sugarwright.saying.plan_fire_ends import DYING, chance_text, cover_texts, stay_ends
from sugarwright.saying.plan_words import TANKS, tank_text
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import DURATION, VOLUME

AGAIN = "again through the membrane"
FIRST_THING = "first thing when you come in"
ELSE_WAIT = "; else wait for it"
DONE_S = 600  # a trip that ends so soon after a fire is lit was fetched before it, as was one
# that ends so long before: what ends sooner is not what the fire waits for last
NEARLY_FULL = 0.9  # of a tank


def gauge_text(words: Words, action: Action) -> str:
    """Return the gauge that an action waits for; nothing where the clock alone decides.

    Of a fire to be let go now it is what keeps liquid in the pan, and until when to stay; of one
    kept beyond the house's own hours, until when either way: a page shows that unfolded.
    """
    ends = stay_ends(words, action)
    if ends is not None:
        return "; ".join(ends)
    if action.kind in DYING:
        cover, *stay = cover_texts(words, action)
        return "; ".join([*stay, cover] if action.kind == STAY else [cover, *stay])
    if action.trigger is None:
        return ""
    after_s = fetched_s(words, action)
    fetched = "" if after_s is None else _once_fetched(words, action, after_s)
    if is_there_now(words, action):
        return fetched
    if action.after_run_s is not None:
        return wash_gauge_text(words, action)
    if action.room_at_m3 is not None:
        return room_text(words, action.room_at_m3)
    level = words.show(action.trigger.at_least_m3, VOLUME)
    if action.by_call:
        return _call_text(action, level)
    when = f"{FIRST_THING}, if" if action.on_arrival else "when"
    if fetched:
        when = f"{fetched}, if"
    chance = chance_text(action)
    likely = f" ({chance})" if chance else ""
    return f"{when} {tank_text(action.trigger.tank)} has {level}{likely}{ELSE_WAIT}"


def room_text(words: Words, level_m3: float) -> str:
    """Say at which level of the sap tank there is room to set out for more."""
    return f"once the sap tank is down to {words.show(level_m3, VOLUME)}"


def _once_fetched(words: Words, action: Action, after_s: int) -> str:
    return f"once the sap is fetched, about {words.when(after_s, action.time_s)}"


def _call_text(action: Action, level: str) -> str:
    """Return the full tank that alone calls for an action, at whatever hour."""
    tank = tank_text(action.trigger.tank if action.trigger else "")
    if action.on_arrival:
        return f"{FIRST_THING}, if {tank} has {level}; else at once when it has, at whatever hour"
    return f"at once when {tank} has {level}, at whatever hour"


def fetched_s(words: Words, action: Action) -> int | None:
    """Return when whoever lights a fire has fetched the sap that comes first; None without any.

    Nobody at a lit pan may leave it.
    """
    if not action.kind.startswith("light the fire") or action.expected_s is None:
        return None
    due = (each for day in words.report.days for each in day.actions if each.kind == "gather sap")
    ends = (_fetched_before_s(action, action.expected_s, each) for each in due)
    return max((each for each in ends if each is not None), default=None)


def _fetched_before_s(light: Action, lit_s: int, trips: Action) -> int | None:
    """Return when trips are over that come before a fire; None where they don't."""
    end_s = trips.until_s or 0
    before = trips.time_s < lit_s and end_s <= lit_s + DONE_S
    alone = trips.alone is not None and trips.alone.light_after
    if light.time_s <= trips.time_s <= lit_s and (before or (alone and lit_s < end_s)):
        return end_s if alone or end_s < lit_s - DONE_S else lit_s
    return None


def wash_gauge_text(words: Words, action: Action) -> str:
    """Return what a wash waits for: what has run since the last one, and permeate."""
    run = words.show(action.after_run_s or 0.0, DURATION)
    when = f"{FIRST_THING}, if" if action.on_arrival else "if"
    level = words.show(action.permeate_needed_m3 or 0.0, VOLUME)
    has_run = f"it has run {run} or more since the last wash"
    return f"{when} {has_run} and {TANKS['permeate']} has {level}; else leave it"


def is_there_now(words: Words, action: Action) -> bool:
    """Tell whether an action is for this very minute and its gauge is met: no word of waiting."""
    now, trigger = words.report.standing, action.trigger
    if trigger is None or trigger.tank == "permeate" or action.time_s > words.report.begin_s:
        return False
    held_m3 = {"sap": now.sap_m3, "stock": now.stock_m3}
    held_m3 |= {f"{GATHERING}{each.name}": each.held_m3 for each in now.gathered}
    return held_m3.get(trigger.tank, 0.0) >= trigger.at_least_m3


def call_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what a full tank calls for before the hour, and what holds from the hour on."""
    if action.own_hour is not None:
        yield _from_its_hour(words, action, action.own_hour)
    if action.call_m3 is None or action.trigger is None:
        return
    now, tank = words.report.standing, calling_tank(action)
    rim_m3 = now.sap_capacity_m3 if tank == "sap" else now.stock_capacity_m3
    full = f"with {words.show(action.call_m3, VOLUME)} in {TANKS[tank]}"
    if action.call_flow_m3_s is not None:
        flow = words.valve(action.call_flow_m3_s)
        yield f"{full} at once, whatever the clock, and set to {flow} for the rest of the day"
    elif action.call_m3 < NEARLY_FULL * rim_m3:  # nobody who sees a brimming tank needs to be told
        load = ", once the load under way is in" if _waits_for_loads(words, action) else ""
        yield f"{full} at once{load}, whatever the clock"


def _waits_for_loads(words: Words, action: Action) -> bool:
    """Tell whether a fire waits for the trips of whoever lights it."""
    days = (day.actions for day in words.report.days)
    return any(is_lit_after(action, each) for each in days if any(a is action for a in each))


def _from_its_hour(words: Words, action: Action, hour: OwnHour) -> str:
    level, when = words.show(hour.at_least_m3, VOLUME), words.when(hour.time_s, action.time_s)
    text = f"or from {when} on with {level}"
    if action.kind == AGAIN:  # the call is the sap tank's, and this gauge is not
        text += f" in {TANKS['stock']}"
    if hour.flow_m3_s is not None:
        text += f", at {words.valve(hour.flow_m3_s)}"
    return text
