"""What a plan asks for of the membrane, in words: runs, stops, rinses and washes."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.action import Action, Wait
from sugarwright.planning.membrane_hands import STOPPED_BY_TANK, Hand, is_stopped_at_tank
from sugarwright.plant.membrane_decisions import STOCK_ROOM_FRACTION
from sugarwright.saying.plan_gauges import AGAIN, ELSE_WAIT, FIRST_THING, call_texts, gauge_text
from sugarwright.saying.plan_words import TANKS
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import DURATION, VOLUME

HOUR_S = 3600.0
ON_AGAIN = "membrane on again"
SOON_S = 1200  # a later start than this after its clock time is said
SURELY = 9  # of 10 weathers: what still runs in so many is taken to run (judgement)
WASH_WITH_STOP = "Stop the membrane and wash it"
AMPLE = 1.5  # times what a wash takes: there is something to let go
_ENDS = {
    "stock passed again": "stop it when the stock tank is as strong as that",
    "people leave": "stop it before you leave",
    "time": "stop it then, for the wash",
    "hour": "stop it then",
    "circuit": "stop it then: the circuit does not carry it beside the fire's blower",
    "frost": "stop it before the frost",
    "out of order": "stop it then: you told that it is not to run",
}
_STOPS_NOW = {
    "people leave": "nobody stays who could stop it later",
    "time": "it is washed",
    "circuit": "the circuit does not carry it beside the fire's blower",
    "frost": "it freezes where the membrane stands",
    "out of order": "you told that it is not to run",
    "not planned": "by the plan it brings less than it costs to let it run on",
}
_STOPS_LATER = {
    "people leave": "before you leave",
    "time": "for the wash",
    "circuit": "the circuit does not carry it beside the fire's blower",
    "frost": "before the frost",
    "out of order": "you told that it is not to run",
}
_WAITS = {
    "frost": ("it freezes where the membrane stands", "not before it has thawed"),
    "out of order": ("you told that the membrane is not to run", "not before"),
    "circuit": ("the circuit does not carry it beside the fire's blower", "not before"),
}


def membrane_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what a run asks for, what it makes, when and why it ends, and what comes then."""
    yield _begins(words, action)
    yield from _stopped_by_then(words, action)
    yield from waits_texts(words, action)
    yield from call_texts(words, action)
    course = _made(words, action) if action.kind != ON_AGAIN else ()  # the line before says it
    yield "; ".join(filter(None, [*course, *_course(words, action)]))
    if action.again_brix is not None and action.again_s is not None and action.kind != AGAIN:
        yield _again_text(words, action, action.again_s, action.again_brix)
    yield from _alone(words, action)


def _again_text(words: Words, action: Action, again_s: int, again_brix: float) -> str:
    full = action.again_when == "stock tank full"
    tank = "stock tank is full" if full else "sap tank is down"
    return (
        f"when the {tank}, about {words.when(again_s, action.time_s)}, let it draw from "
        f"the stock tank and return there, until that has {again_brix:.1f} Brix"
    )


def _alone(words: Words, action: Action) -> Iterator[str]:
    """Yield how a run goes on when nobody is there, and when it is set to that."""
    if action.night_flow_m3_s is None:
        return
    night = " and overnight" if _goes_overnight(words, action) else ""
    if action.night_flow_m3_s == action.flow_m3_s:
        yield f"may run on alone when you leave{night}, at the same setting"
        return
    leave = "when you leave"
    if action.left_alone_s:
        leave += f" ({leaves_text(words, action)})"
    yield f"may run on alone {leave}{night}, set to {words.valve(action.night_flow_m3_s)}"


def _goes_overnight(words: Words, action: Action) -> bool:
    """Tell whether a run may go on past the midnight of its day."""
    ends_s = (each.end_s for each in words.report.days if action.time_s < each.end_s)
    return action.until_s is None or action.until_s > next(ends_s, words.report.end_s)


def leaves_text(words: Words, action: Action) -> str:
    """Return the hours at which the last one leaves a run to itself."""
    return ", ".join(words.when(each, action.time_s) for each in action.left_alone_s)


def _begins(words: Words, action: Action) -> str:
    flow, gauge = words.valve(action.flow_m3_s or 0.0), gauge_text(words, action)
    if action.kind == "membrane runs on":
        still = "if it still runs, " if may_have_stopped(action) else ""
        return f"{still}let the membrane run on, concentrate at {flow}"
    if action.kind == AGAIN:
        return (
            "stock again through the membrane: draw from the stock tank and return there, "
            f"concentrate at {flow}, until it has {action.again_brix or 0.0:.1f} Brix"
            + (f"; {gauge}" if gauge else "")
        )
    if action.kind == ON_AGAIN:
        # "When the tank has it" waits by itself; "first thing, if it has" does not say what else.
        gauge = gauge if action.on_arrival else gauge.removesuffix(ELSE_WAIT)
        return ", ".join(filter(None, [f"{ON_AGAIN} at {flow}", gauge]))
    return ", ".join(filter(None, [action.kind, f"concentrate at {flow}", gauge]))


def may_have_stopped(action: Action) -> bool:
    """Tell whether what is to run on has stopped by then in weathers enough to be told."""
    return action.still_runs is not None and round(10.0 * action.still_runs) < SURELY


def _stopped_by_then(words: Words, action: Action) -> Iterator[str]:
    """Yield how likely it is that there is nothing to let run on, and what is done then."""
    if not may_have_stopped(action):
        return
    tenths = 10 - round(10.0 * (action.still_runs or 0.0))
    weathers = f"{tenths} of 10 weathers" if tenths < 10 else "nearly all weathers"
    text = f"in {weathers} it has stopped by then"
    if action.trigger is not None:
        level = words.show(action.trigger.at_least_m3, VOLUME)
        text += f": start it again when {TANKS[action.trigger.tank]} has {level}"
    yield text


def waits_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what keeps it from an earlier hour, each until when."""
    for wait in action.waits:
        yield _wait_text(words, action, wait)


def _wait_text(words: Words, action: Action, wait: Wait) -> str:
    if wait.why == "wash":
        return "once it is washed or rinsed, and not before"
    why, then = _WAITS.get(wait.why, ("", ""))
    if wait.why == "stock tank full":
        room = words.volume(STOCK_ROOM_FRACTION * words.report.standing.stock_capacity_m3, 0)
        why, then = "the stock tank is too full", f"not before it is under {room}"
    if wait.until_s is None:
        return f"{why} all day by what is known: {'leave it' if then == 'not before' else then}"
    return f"{why} until about {words.when(wait.until_s, action.time_s)}: {then}"


def _made(words: Words, action: Action) -> Iterator[str]:
    if action.concentrate_brix is not None and action.permeate_m3_s is not None:
        permeate = words.show(action.permeate_m3_s * HOUR_S, VOLUME)
        yield f"makes {action.concentrate_brix:.1f} Brix and {permeate} of permeate an hour"


def _course(words: Words, action: Action) -> Iterator[str]:
    """Yield when it begins and ends, and the rinse."""
    if action.expected_s is None:
        if all(each.until_s is not None for each in action.waits):
            yield "by the forecast the tank won't have it"
    elif action.expected_s > action.time_s + SOON_S:
        yield f"expected about {words.when(action.expected_s, action.time_s)}"
    if action.expected_s is not None and action.until_s is not None:
        yield from _till(words, action, words.when(action.until_s, action.time_s))
    elif action.expected_s is not None:
        yield f"still runs as this plan ends, {words.when(words.report.end_s, action.time_s)}"
    if stops_alone(action):
        yield "nobody is there then to rinse it: rinse it when you are back"
    elif action.rinse_m3 and action.ends != "time":  # the wash begins with it
        ends = action.expected_s is not None and action.until_s is not None
        then = "then" if ends else "after it has run,"
        yield rinse_text(words, action, then)


def _till(words: Words, action: Action, when: str) -> Iterator[str]:
    """Yield when and why it ends; in fewer words where an earlier run of the day has said how."""
    if action.kind == ON_AGAIN and action.ends in STOPPED_BY_TANK and action.stops_itself:
        yield f"till it stops itself about {when}, the {action.ends}"
    else:
        yield f"till about {when}"
        yield _end_text(words, action)


def _end_text(words: Words, action: Action) -> str:
    if action.ends in STOPPED_BY_TANK:
        by_tank = tank_end_text(words, action)
        if action.stops_itself:
            return f"stops itself {by_tank}"
        return f"stop it {by_tank}: it does not stop itself"
    if action.ends == "stock tank low":
        left = words.volume(action.reserve_m3 or 0.0, 0)
        return f"stop it when the stock tank is down to {left}"
    return _ENDS.get(action.ends, "")


def end_by_hand_text(words: Words, action: Action) -> str:
    """Return how a run must be stopped that a tank ends and no cut-out; nothing of others."""
    by_hand = action.until_s is not None and is_stopped_at_tank(action)
    return _end_text(words, action) if by_hand else ""


def tank_end_text(words: Words, action: Action) -> str:
    """Return at which gauge a tank ends a run."""
    if action.ends == "stock tank full":
        return "when the stock tank is full"
    if action.stops_itself or not action.reserve_m3:
        return "when the sap tank is down"
    return f"when the sap tank is down to {words.volume(action.reserve_m3, 0)}"


def hand_text(words: Words, action: Action, hand: Hand) -> str:
    """Return what a run asks for at an hour after its start: to be turned down, or stopped."""
    if hand.what == "set":
        night = words.valve(action.night_flow_m3_s or 0.0)
        return f"before you leave: set the membrane to {night}; it may run on alone"
    if hand.what == "again":
        return f"membrane: {_again_text(words, action, hand.time_s, action.again_brix or 0.0)}"
    stop = _end_text(words, action) or "stop it then"
    rinsed = action.rinse_m3 and action.ends != "time"  # the wash begins with it
    rinse = rinse_text(words, action, "then") if rinsed else ""
    return "; ".join(filter(None, [f"membrane: {stop}", rinse]))


def stops_alone(action: Action) -> bool:
    """Tell whether the membrane is expected to stop with nobody there to rinse it."""
    membrane = action.kind in ("membrane on", "membrane runs on", "membrane on again")
    return membrane and action.rinse_m3 is None and action.until_s is not None


def rinse_text(words: Words, action: Action, then: str) -> str:
    """Return how it is rinsed; or that there is too little permeate, and what to do instead."""
    takes = words.show(action.rinse_m3 or 0.0, VOLUME)
    if action.rinse_has_m3 is None:
        how = "" if action.kind == ON_AGAIN and then == "then" else f" with {takes} of permeate"
        return f"rinse it {then}{how}"
    has = words.volume(action.rinse_has_m3, 0)
    return (
        f"its rinse takes {takes} of permeate, and there will be only about {has}: until there is "
        "enough, keep it wet as its maker directs"
    )


def stops_later_text(words: Words, action: Action) -> str:
    """Return why or when what runs until a later hour is stopped then; may be empty."""
    if action.ends in STOPPED_BY_TANK:
        by_tank = tank_end_text(words, action)
        itself = action.stops_itself
        return f"it stops itself {by_tank}" if itself else f"{by_tank}: it does not stop itself"
    if action.ends == "stock tank low":
        return f"when the stock tank is down to {words.volume(action.reserve_m3 or 0.0, 0)}"
    if action.ends == "stock passed again":
        return f"when the stock tank has {action.again_brix or 0.0:.1f} Brix"
    return _STOPS_LATER.get(action.ends, "")


def stop_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield how what runs is stopped, at which setting it runs until then, and why."""
    if action.runs_at_m3_s is None:
        yield f"stop the membrane now: {_STOPS_NOW.get(action.ends, _STOPS_NOW['not planned'])}"
    else:
        flow, why = words.valve(action.runs_at_m3_s), stops_later_text(words, action)
        so = " " if is_stopped_at_tank(action) else ": "
        stop = f"and stop it{so}{why}" if why else "and stop it"
        yield f"let the membrane run on until then, concentrate at {flow}, {stop}"
    if action.rinse_m3 and action.ends != "time":
        yield rinse_text(words, action, "then" if action.runs_at_m3_s else "at once")


def stop_headline(action: Action) -> str:
    """Return a stop in few words, with what comes at once after it; or a wash, with its stop."""
    if action.kind == "wash the membrane":
        return "Wash the membrane" if action.runs_at_m3_s is None else WASH_WITH_STOP
    if action.ends == "time":
        return "Stop the membrane for the wash"
    rinsed = action.rinse_m3 and action.rinse_has_m3 is None
    return f"Stop the membrane{', then rinse it' if rinsed else ''}"


def rinse_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield the rinse of a membrane that stands unrinsed."""
    if action.rinse_has_m3 is None:
        yield f"rinse the membrane with {words.show(action.rinse_m3 or 0.0, VOLUME)} of permeate"
    else:
        yield f"rinse the membrane: {rinse_text(words, action, '')}"
    if action.on_arrival:
        yield FIRST_THING
    stopped_s = action.time_s if action.stopped_s is None else action.stopped_s
    when = words.when(stopped_s, action.time_s)
    runs_till_then = words.report.standing.membrane_runs  # then no stop is in the log yet
    if stopped_s > words.report.begin_s or runs_till_then:
        at_once = stopped_s <= words.report.begin_s
        then = f"at once, at {when}" if at_once else f"about {when}"
        yield f"it is expected to stop {then}, with nobody there to rinse it"
    else:
        yield f"by the log it was not rinsed when it stopped at {when}; log it if it was"


def wash_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield the wash: what it takes, and what must have run for it."""
    needs = words.show(action.permeate_needed_m3 or 0.0, VOLUME)
    has = words.show(action.permeate_expected_m3 or 0.0, VOLUME)
    yield f"wash the membrane: takes {needs} of permeate; about {has} are there"
    if (action.permeate_expected_m3 or 0.0) > AMPLE * (action.permeate_needed_m3 or 0.0):
        yield f"keep {needs} for it until then, and what a rinse takes; more may go"
    run = words.show(action.after_run_s or 0.0, DURATION)
    if action.on_arrival:
        yield f"{FIRST_THING}, if it has run {run} since the last one"
    else:
        yield f"if it has run {run} or more since the last wash; else leave it"
    if action.expected_s is None:
        lacking = (action.permeate_expected_m3 or 0.0) < (action.permeate_needed_m3 or 0.0)
        what = "there won't be enough permeate" if lacking else "it won't come to that"
        yield f"by the forecast {what}"
