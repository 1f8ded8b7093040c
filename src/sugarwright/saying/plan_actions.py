"""One thing to do, in words: what, at which gauge, what comes of it, and why."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.planning.action import Action, OwnHour
from sugarwright.saying.plan_fire_ends import (
    cover_texts,
    draws_texts,
    left_texts,
    let_go_now_texts,
    let_go_texts,
)
from sugarwright.saying.plan_outside import drain_texts, gather_at_need_texts, gather_texts
from sugarwright.saying.plan_words import TANKS, tank_text
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import CURRENT, DURATION, FLOW, VOLUME

HOUR_S = 3600.0
SOON_S = 1200  # a later start than this after its clock time is said
LEAST_SYRUP_M3 = 2e-4  # less makes no difference worth a word
LEAST_SAP_M3 = 0.01
NEARLY_FULL = 0.9  # of a tank
_FIRST_THING = "first thing when you come in"
_ENDS = {
    "sap tank down": "stops itself when the sap tank is down",
    "stock passed again": "stop it when the stock tank is as strong as that",
    "stock tank full": "stops itself when the stock tank is full",
    "people leave": "stop it before you leave",
    "time": "stop it then, for the wash",
    "hour": "stop it then",
    "circuit": "stop it then: the circuit does not carry it beside the fire's blower",
    "frost": "stop it before the frost",
    "out of order": "stop it then: you told that it is not to run",
}


def action_texts(words: Words, action: Action) -> list[str]:
    """Return what is said of an action: what to do at which gauge first, its reason last."""
    return [*does_texts(words, action), *slack_texts(words, action), *reason_texts(words, action)]


def does_texts(words: Words, action: Action) -> list[str]:
    """Return what to do, at which gauge, and what comes of it."""
    return [*_SAYS[action.kind](words, action), *overload_texts(words, action)]


def overload_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what the circuit does not carry together, should a pump start beside it."""
    too_much = action.overload
    if too_much is not None:
        *first, last = too_much.machines
        together, breaker = (
            words.show(each, CURRENT) for each in (too_much.together_a, too_much.circuit_a)
        )
        yield (
            f"the circuit does not carry {', '.join(first)} and {last} together: {together} of "
            f"{breaker}. Keep the {last} off meanwhile, and ask an electrician, not a fuse"
        )


def slack_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield how free its hour is, where that says anything."""
    if action.slack is not None:
        first, last = words.clock(action.slack.earliest_s), words.clock(action.slack.latest_s)
        cost = words.money(action.slack.costs_less_than_money)
        yield f"any time from {first} to {last} costs under {cost}"


def reason_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what would be lost without it."""
    reason = action.reason
    if reason is None or reason.money < 1.0:
        return
    effects = [f"{words.money(reason.money)} less"]
    if reason.syrup_m3 > LEAST_SYRUP_M3:
        effects.append(f"{words.volume(reason.syrup_m3)} less syrup")
    if reason.spilled_m3 > LEAST_SAP_M3:
        effects.append(f"{words.volume(reason.spilled_m3, 0)} of sap lost")
    if reason.full_probability >= 0.1:
        effects.append(f"a full sap tank {reason.full_probability:.0%} likelier")
    yield "without it: " + ", ".join(effects)


def headline_text(words: Words, action: Action) -> str:
    """Return an action in the few words that are read at arm's length."""
    if action.point:
        return f"Gather sap, {action.point}"
    kind = action.kind.removesuffix(" at need").capitalize()
    return kind if action.flow_m3_s is None else f"{kind}, {words.show(action.flow_m3_s, FLOW)}"


def gauge_text(words: Words, action: Action) -> str:
    """Return the gauge that an action waits for; nothing where the clock alone decides.

    Of a fire to be let go now it is what keeps the pan covered, and until when to stay: a page
    shows that unfolded.
    """
    if action.kind == "let the fire go now":
        return "; ".join(cover_texts(words, action))
    if action.trigger is None or is_there_now(words, action):
        return ""
    level = words.show(action.trigger.at_least_m3, VOLUME)
    when = f"{_FIRST_THING}, if" if action.on_arrival else "when"
    return f"{when} {tank_text(action.trigger.tank)} has {level}; else wait for it"


def is_there_now(words: Words, action: Action) -> bool:
    """Tell whether an action is for this very minute and its gauge is met: no word of waiting."""
    now, trigger = words.report.standing, action.trigger
    if trigger is None or action.time_s > words.report.begin_s:
        return False
    held_m3 = {"sap": now.sap_m3, "stock": now.stock_m3}
    held_m3 |= {f"{GATHERING}{each.name}": each.held_m3 for each in now.gathered}
    return held_m3.get(trigger.tank, 0.0) >= trigger.at_least_m3


def _call(words: Words, action: Action) -> Iterator[str]:
    if action.own_hour is not None:
        yield _from_its_hour(words, action, action.own_hour)
    if action.call_m3 is None or action.trigger is None:
        return
    now = words.report.standing
    rim_m3 = now.sap_capacity_m3 if action.trigger.tank == "sap" else now.stock_capacity_m3
    level = words.show(action.call_m3, VOLUME)
    full = f"with {level} in {TANKS[action.trigger.tank]}"
    if action.call_flow_m3_s is not None:
        flow = words.show(action.call_flow_m3_s, FLOW)
        yield f"{full} at once, whatever the clock, and set to {flow} for the rest of the day"
    elif action.call_m3 < NEARLY_FULL * rim_m3:  # nobody who sees a brimming tank needs to be told
        yield f"{full} at once, whatever the clock"


def _from_its_hour(words: Words, action: Action, hour: OwnHour) -> str:
    level, when = words.show(hour.at_least_m3, VOLUME), words.when(hour.time_s, action.time_s)
    text = f"or from {when} on with {level}"
    if hour.flow_m3_s is not None:
        text += f", at {words.show(hour.flow_m3_s, FLOW)}"
    return text


def _at_need(words: Words, action: Action) -> Iterator[str]:
    if action.trigger is None:
        return
    level = words.show(action.trigger.at_least_m3, VOLUME)
    what = "light a fire" if action.kind == "fire at need" else "start the membrane"
    flow = f", concentrate at {words.show(action.flow_m3_s, FLOW)}" if action.flow_m3_s else ""
    tank = TANKS[action.trigger.tank]
    if action.expected_s is None:
        yield f"not planned: but {what} at once if {tank} has {level}{flow}"
    else:
        yield f"{what} at once when {tank} has {level}{flow}, at whatever hour"
        expected = f"expected about {words.when(action.expected_s, action.time_s)}"
        if action.syrup_m3 and action.draws:
            expected += f"; {words.volume(action.syrup_m3)} of syrup in {action.draws} draws"
        yield expected


def stops_alone(action: Action) -> bool:
    """Tell whether the membrane is expected to stop with nobody there to rinse it."""
    membrane = action.kind in ("membrane on", "membrane runs on", "membrane on again")
    return membrane and action.rinse_m3 is None and action.until_s is not None


def _membrane(words: Words, action: Action) -> Iterator[str]:
    flow, gauge = words.show(action.flow_m3_s or 0.0, FLOW), gauge_text(words, action)
    if action.kind == "membrane runs on":
        yield f"let the membrane run on, concentrate at {flow}"
    elif action.kind == "again through the membrane":
        yield (
            "stock again through the membrane: draw from the stock tank and return there, "
            f"concentrate at {flow}, until it has {action.again_brix or 0.0:.1f} Brix"
            + (f"; {gauge}" if gauge else "")
        )
    else:
        yield ", ".join(filter(None, [action.kind, f"concentrate at {flow}", gauge]))
    yield from _call(words, action)
    made = []
    if action.concentrate_brix is not None and action.permeate_m3_s is not None:
        permeate = words.show(action.permeate_m3_s * HOUR_S, VOLUME)
        made.append(f"makes {action.concentrate_brix:.1f} Brix and {permeate} of permeate an hour")
    if action.expected_s is None:
        made.append("by the forecast the tank won't have it")
    elif action.expected_s > action.time_s + SOON_S:
        made.append(f"expected about {words.when(action.expected_s, action.time_s)}")
    if action.expected_s is not None and action.until_s is not None:
        made.append(f"till about {words.when(action.until_s, action.time_s)}")
        made.append(_ENDS.get(action.ends, ""))
    if stops_alone(action):
        made.append("nobody is there then to rinse it: rinse it when you are back")
    elif action.rinse_m3:
        then = "then" if action.expected_s is not None else "after it has run,"
        made.append(f"rinse it {then} with {words.show(action.rinse_m3, VOLUME)} of permeate")
    yield "; ".join(filter(None, made))
    goes_over = action.again_brix is not None and action.again_s is not None
    if goes_over and action.kind != "again through the membrane":
        when = words.when(action.again_s or action.time_s, action.time_s)
        yield (
            f"when the sap tank is down, about {when}, let it draw from the stock tank and return "
            f"there, until that has {action.again_brix or 0.0:.1f} Brix"
        )
    if action.night_flow_m3_s is not None:
        if action.night_flow_m3_s == action.flow_m3_s:
            yield "may run on alone when you leave and overnight, at the same setting"
        else:
            night = words.show(action.night_flow_m3_s, FLOW)
            yield f"may run on alone when you leave and overnight, set to {night}"


def _light(words: Words, action: Action) -> Iterator[str]:
    if action.kind == "keep the fire":
        wood = "wood, and " if action.ends == "fuel" else ""
        yield f"keep the fire, as long as there is {wood}feed above the reserve"
    else:
        text = ", ".join(filter(None, [action.kind, gauge_text(words, action)]))
        if action.latest_s is not None:
            text += f", not after {words.clock(action.latest_s)}"
        yield text
        yield from _call(words, action)
    if action.pan_filling_m3 is not None:
        yield f"fill the pan first: it takes about {words.volume(action.pan_filling_m3, 0)} of that"
    if action.expected_s is None:
        yield "by the forecast the tank won't have it"
        return
    parts = []
    if action.expected_s > action.time_s:
        parts.append(f"expected at {words.when(action.expected_s, action.time_s)}")
    if action.draws is not None and not action.draws and action.left_syrup_m3 is None:
        parts.append("nothing to draw yet: the sugar stays in the pan")
    parts += draws_texts(words, action)
    if parts:
        yield "; ".join(parts)
    yield from left_texts(words, action)


def _wash(words: Words, action: Action) -> Iterator[str]:
    needs = words.show(action.permeate_needed_m3 or 0.0, VOLUME)
    has = words.show(action.permeate_expected_m3 or 0.0, VOLUME)
    yield f"wash the membrane: takes {needs} of permeate, you will have about {has}"
    if action.on_arrival:
        yield _FIRST_THING
    run = words.show(action.after_run_s or 0.0, DURATION)
    yield f"if it has run {run} or more since the last wash; else leave it"
    if action.expected_s is None:
        lacking = (action.permeate_expected_m3 or 0.0) < (action.permeate_needed_m3 or 0.0)
        what = "there won't be enough permeate" if lacking else "it won't come to that"
        yield f"by the forecast {what}"


def _gather(words: Words, action: Action) -> Iterator[str]:
    return gather_texts(words, action, gauge_text(words, action))


def _dump(words: Words, action: Action) -> Iterator[str]:
    if action.trigger is not None:
        held = words.volume(action.trigger.at_least_m3, 0)
        yield f"dump {TANKS[action.trigger.tank]}, about {held}, if it has turned; rinse it"
    yield "your nose, and a taste of a cup boiled down, decide"


_SAYS = {
    "membrane on": _membrane,
    "membrane runs on": _membrane,
    "membrane on again": _membrane,
    "again through the membrane": _membrane,
    "light the fire": _light,
    "keep the fire": _light,
    "light the fire again": _light,
    "membrane at need": _at_need,
    "fire at need": _at_need,
    "let the fire go": let_go_texts,
    "let the fire go now": let_go_now_texts,
    "wash the membrane": _wash,
    "gather sap": _gather,
    "gather at need": gather_at_need_texts,
    "drain before the frost": drain_texts,
    "dump what has spoiled": _dump,
}
