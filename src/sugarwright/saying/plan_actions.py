"""One thing to do, in words: what, at which gauge, what comes of it, and why."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.action import Action
from sugarwright.saying.plan_fire_ends import (
    chance_text,
    draws_texts,
    if_lit_texts,
    if_stays_text,
    is_unlikely,
    keep_text,
    left_texts,
    let_go_now_texts,
    let_go_texts,
    stay_with_texts,
)
from sugarwright.saying.plan_gauges import DONE_S, call_texts, fetched_s, gauge_text
from sugarwright.saying.plan_membrane import (
    membrane_texts,
    rinse_texts,
    stop_headline,
    stop_texts,
    waits_texts,
    wash_texts,
)
from sugarwright.saying.plan_outside import (
    drain_headline,
    drain_texts,
    gather_at_need_texts,
    gather_texts,
)
from sugarwright.saying.plan_reasons import why_text
from sugarwright.saying.plan_words import TANKS
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import CURRENT, VOLUME


def action_texts(words: Words, action: Action) -> list[str]:
    """Return what is said of an action: what to do at which gauge first, its reason last."""
    weighed = "; ".join(filter(None, [*slack_texts(words, action), why_text(words, action)]))
    return [text for text in [*does_texts(words, action), weighed] if text]


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
    """Yield how free its hour is, where that says anything and no load of sap decides it."""
    if fetched_s(words, action) is not None:
        return
    if action.slack is not None:
        first, last = words.clock(action.slack.earliest_s), words.clock(action.slack.latest_s)
        cost = words.money(action.slack.costs_less_than_money)
        yield f"any time from {first} to {last} costs under {cost}"
    if action.delay is not None:
        later, cost = words.clock(action.delay.time_s), words.money(action.delay.costs_money)
        yield f"at {later} instead it costs {cost}"


def headline_text(words: Words, action: Action) -> str:
    """Return an action in the few words that are read at arm's length."""
    if action.point:
        return f"Gather sap, {action.point}"
    if action.kind == "drain before the frost":
        return drain_headline(words, action)
    if action.kind in ("stop the membrane", "wash the membrane"):
        return stop_headline(action)
    kind = action.kind.removesuffix(" at need").capitalize() + if_stays_text(action)
    return kind if action.flow_m3_s is None else f"{kind}, {words.valve(action.flow_m3_s)}"


def _at_need(words: Words, action: Action) -> Iterator[str]:
    if action.trigger is None:
        return
    level = words.show(action.trigger.at_least_m3, VOLUME)
    what = "light a fire" if action.kind == "fire at need" else "start the membrane"
    flow = f", concentrate at {words.valve(action.flow_m3_s)}" if action.flow_m3_s else ""
    tank = TANKS[action.trigger.tank]
    if action.expected_s is None:
        yield f"not planned: but {what} at once if {tank} has {level}{flow}"
        yield from waits_texts(words, action)
    else:
        yield f"{what} at once when {tank} has {level}{flow}, at whatever hour"
        yield from waits_texts(words, action)
        by = "by the forecast itself" if is_unlikely(action) else "expected"
        expected = f"{by} about {words.when(action.expected_s, action.time_s)}"
        if action.syrup_m3 and action.draws:
            expected += f"; {words.volume(action.syrup_m3)} of syrup in {action.draws} draws"
        yield expected
    if chance_text(action):
        yield chance_text(action)
    yield from if_lit_texts(words, action)


def _light(words: Words, action: Action) -> Iterator[str]:
    if action.kind == "keep the fire":
        yield keep_text(words, action)
    else:
        text = ", ".join(filter(None, [action.kind, gauge_text(words, action)]))
        if action.latest_s is not None:
            text += f", not after {words.clock(action.latest_s)}"
        yield text
        yield from call_texts(words, action)
    if action.pan_filling_m3 is not None:
        yield f"fill the pan first: it takes about {words.volume(action.pan_filling_m3, 0)} of that"
    if action.expected_s is None:
        yield "by the forecast the tank won't have it"
        yield from if_lit_texts(words, action)
        return
    parts = []
    when, after_s = words.when(action.expected_s, action.time_s), fetched_s(words, action)
    if is_unlikely(action):
        parts.append(f"by the forecast itself at {when}")
    elif action.expected_s > action.time_s and (
        after_s is None or after_s + DONE_S < action.expected_s
    ):
        parts.append(f"expected at {when}")
    if action.draws is not None and not action.draws and action.left_syrup_m3 is None:
        parts.append("nothing to draw yet: the sugar stays in the pan")
    parts += draws_texts(words, action)
    if parts:
        yield "; ".join(parts)
    if action.sap_waits:
        waits, costs = ", ".join(action.sap_waits), action.fetched_first_money
        first = "" if costs is None else f"; fetched first: {words.money(costs)} less"
        yield f"what is in {waits} waits till it is out{first}"
    yield from left_texts(words, action)


def _gather(words: Words, action: Action) -> Iterator[str]:
    return gather_texts(words, action, gauge_text(words, action))


def _dump(words: Words, action: Action) -> Iterator[str]:
    if action.trigger is not None:
        held = words.volume(action.trigger.at_least_m3, 0)
        yield f"dump {TANKS[action.trigger.tank]}, about {held}, if it has turned; rinse it"
    yield "your nose, and a taste of a cup boiled down, decide"


_SAYS = {
    "membrane on": membrane_texts,
    "membrane runs on": membrane_texts,
    "membrane on again": membrane_texts,
    "again through the membrane": membrane_texts,
    "light the fire": _light,
    "keep the fire": _light,
    "light the fire again": _light,
    "membrane at need": _at_need,
    "fire at need": _at_need,
    "let the fire go": let_go_texts,
    "let the fire go now": let_go_now_texts,
    "stay with the pan": stay_with_texts,
    "stop the membrane": stop_texts,
    "rinse the membrane": rinse_texts,
    "wash the membrane": wash_texts,
    "gather sap": _gather,
    "gather at need": gather_at_need_texts,
    "drain before the frost": drain_texts,
    "dump what has spoiled": _dump,
}
