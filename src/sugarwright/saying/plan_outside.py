"""What is to be done outside, in words: trips for sap, draining before a frost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sugarwright.planning.action import Action, Alone
from sugarwright.planning.drain_chance import FREEZING_S
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import counted, in_ten, sentence
from sugarwright.units import DURATION, VOLUME

_LEFT = {
    "kept": "the membrane runs on: leave it out, its frost cut-out keeps it from freezing",
    "runs on": "the membrane runs on: leave it out",
}
RINSED = ("after the run", "rinsed in the frost")  # the membrane outdoors is full for certain
SPREAD_S = 1800  # times closer than that are one time


def gather_texts(words: Words, action: Action, gauge: str) -> Iterator[str]:
    """Yield what is said of trips in a row to a gathering point.

    Parameters
    ----------
    words, action : of the plan
    gauge : the level that they wait for, in words; empty where that is met
    """
    yield ", ".join(filter(None, [f"gather sap from {action.point}", gauge]))
    load_m3, gathered_m3 = action.load_m3 or 0.0, action.whole_m3 or action.gathered_m3 or 0.0
    if load_m3:  # what is a little over the last load stays for the next day
        gathered_m3 = min(gathered_m3, load_m3 * (action.loads or 1))
    load = words.volume(load_m3, 0)
    each = words.show(action.duration_s or 0.0, DURATION)
    loads = "1 load" if action.loads == 1 else f"{action.loads} loads"
    text = f"about {words.volume(gathered_m3, 0)} in {loads} of up to {load}"
    if action.until_s is not None:
        text += f", till about {words.when(action.until_s, action.time_s)}"
    if action.for_room:
        text += ", each once the sap tank has room"
    yield f"{text}; a load takes one person {each}, never the one at a lit pan"
    if action.overtime_s:
        more = words.show(action.overtime_s, DURATION)
        yield f"that is {more} longer than somebody is free for it: leave the last load, or stay"
    if action.alone is not None:
        yield f"nobody else is free: {', '.join(alone_texts(words, action.alone))}"


def alone_texts(words: Words, alone: Alone) -> Iterator[str]:
    """Yield what whoever fetches sap alone does besides, in order."""
    it = "the membrane"
    if alone.wash_first:
        yield "start the wash first"
    if alone.start_first:
        yield f"start {it} first"
        it = "it"
    if alone.looks:
        yield f"look at {it} between loads"
        it = "it"
    if alone.stop_s is not None:
        when = f"about {words.clock(alone.stop_s)}"
        if alone.stop_load is not None:
            when = f"before load {alone.stop_load}, {when}"
        yield f"stop {it} {'before you set out' if alone.stop_load == 1 else when}"
    if alone.light_after:
        yield "light the fire once the last load is in"


def gather_at_need_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what is said of trips that the forecast does not bring, but other weathers may."""
    if action.trigger is not None:
        level = words.show(action.trigger.at_least_m3, VOLUME)
        chance = "" if action.probability is None else f" ({in_ten(action.probability)})"
        what = f"gather sap from {action.point} at once if its tank has {level}"
        yield f"not planned: but {what}{chance}"


def drain_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what is said of draining: before which frost, how likely that is, what hinders."""
    yield from _drain(words, action)
    if action.membrane_left:
        yield f"{_LEFT[action.membrane_left]}. Drain it once it has stopped"
    people, free = action.people or 1, action.people_free
    if free is not None and people > max(1, free):
        takes = f"by sugarhouse.toml that takes {counted(people)}"
        yield f"{takes}, and {_are(action, free)}: call somebody"
    if action.pumped_again_s is not None:
        yield _fills_again(words, action, action.pumped_again_s)


def drain_headline(words: Words, action: Action) -> str:
    """Say to drain in the few words that are read at arm's length."""
    if not action.drains:  # of an older plan
        return "Drain before the frost"
    what = drains_text(action.drains)
    return f"It freezes: {what}" if _freezes(words, action) else sentence(what)


def drain_title(words: Words, action: Action) -> str:
    """Say to drain in the few words of an alarm."""
    text = drain_headline(words, action)
    if action.drains and not _freezes(words, action):
        text += " before the frost"
    return f"Call somebody. {text}" if action.ends == "nobody free" else text


def drain_beside_text(words: Words, action: Action) -> str:
    """Say what a page shows beside that unfolded: which frost, what hinders, until when to stay."""
    parts = [_when_done(words, action)]
    if action.ends == "nobody free":
        parts.append(f"call somebody, or {_once_left(words, action)}{_ice(action)}")
    if action.overtime_s:
        parts.append(_longer(words, action))
    if action.membrane_left:
        parts.append("not the membrane: it runs on")
    return "; ".join(parts)


def _when_done(words: Words, action: Action) -> str:
    if action.ends in RINSED:
        once = _once_rinsed(action)
        return once if _freezes(words, action) else f"{_why_drained(words, action)}; {once}"
    return "unless done" if _has_begun(words, action) else _why_drained(words, action)


def _once_rinsed(action: Action) -> str:
    return f"as soon as {'it' if action.drains == ('membrane',) else 'the membrane'} is rinsed"


def drain_message(words: Words, action: Action) -> str:
    """Say to drain in the few letters of a message."""
    what = drains_text(action.drains) if action.drains else "drain pump and lines"
    what += ", not the membrane (runs on)" if action.membrane_left else ""
    if action.ends == "nobody free":
        what = f"call somebody to {what}, or once the pan may be left"
    if action.ends in RINSED:
        what = f"{what} once rinsed"
    elif _has_begun(words, action):
        what = f"{what} unless done"
    text = f"it freezes: {what}" if _freezes(words, action) else f"{what}: frost"
    if action.overtime_s:
        text += f", stay till {words.clock(_end_s(action))}"
    if action.pumped_again_s is not None:
        text += ", then pump off" if "membrane" not in action.drains else ", then leave all off"
    return text


def named(drains: Sequence[str]) -> str:
    """Name what is drained: "pump, line and membrane"."""
    *first, last = drains or ("pump", "line")
    return f"{', '.join(first)} and {last}" if first else last


def drains_text(drains: Sequence[str]) -> str:
    """Say what to drain; a house with nothing of its own that freezes has its chores' own names."""
    if not drains:  # of an older plan
        return "drain pump, line and whatever else holds water"
    by_name = set(drains) <= {"pump", "line", "membrane"}
    return f"drain {named(drains)}" if by_name else named(drains)


def _drain(words: Words, action: Action) -> Iterator[str]:
    what, why, work = drains_text(action.drains), _why_drained(words, action), _work(words, action)
    if action.ends == "nobody free":
        yield from _tied(words, action)
    elif action.ends == "short stay":
        yield f"{what} first of all: {why}"
        longer = f"{_longer(words, action)}, or " if action.overtime_s else ""
        yield f"nobody stays so long as that takes{work}: {longer}call somebody"
    elif action.ends in ("after the fire", "dying fire"):
        yield f"{what}{work} as soon as the pan may be left: {why}"
        yield from _out_of_time(words, action)
    elif action.ends == "after the trip":
        yield f"{what}{work} as soon as the sap is in: {why}"
        yield from _out_of_time(words, action)
    elif action.ends in RINSED:
        yield f"{what}{work} {_once_rinsed(action)}: {why}"
        yield from _out_of_time(words, action)
    elif _has_begun(words, action):
        yield f"{why}: {what} now{work}, unless done"
        yield from _out_of_time(words, action)
    else:
        before = " before you leave" if (action.frosts or 1) > 1 else ""
        yield f"{what}{work}{before}: {why}"
        yield from _out_of_time(words, action)


def _tied(words: Words, action: Action) -> Iterator[str]:
    """Yield what is left where the fire ties whoever could drain until it is too late."""
    why, work, when = _why_drained(words, action), _work(words, action), _once_left(words, action)
    if _has_begun(words, action):
        yield f"{why}, and the fire ties whoever could {drains_text(action.drains)}{work}"
        sooner = ", let the fire go now for it" if words.report.standing.fire_burns else ""
        yield f"call somebody{sooner}, or do it {when}{_ice(action)}, unless it is done"
    else:
        yield f"{why}, and the fire ties whoever could {drains_text(action.drains)} before"
        sooner = words.show(_sooner_s(action), DURATION)
        yield f"call somebody, let the fire go {sooner} sooner, or do it{work} {when}{_ice(action)}"
    if action.overtime_s:
        yield _longer(words, action)


def _ice(action: Action) -> str:
    """Warn of draining that comes so late that what was full may have frozen."""
    late_s = (action.leave_s or 0) - (action.expected_s or 0)
    return ", when it may be ice" if late_s > FREEZING_S else ""


def _sooner_s(action: Action) -> float:
    """How much sooner the fire would have to be out for draining in time, s.

    A membrane outdoors that runs until then (``time_s``) is not drained before it.
    """
    leave_s = action.time_s if action.leave_s is None else action.leave_s
    in_time_s = (action.expected_s or leave_s) - int(action.duration_s or 0.0)
    return float(leave_s - max(in_time_s, action.time_s if action.time_s < leave_s else in_time_s))


def _once_left(words: Words, action: Action) -> str:
    about = "" if action.leave_s is None else words.when(action.leave_s, action.time_s)
    return "as soon as the pan may be left" + (f", about {about}" if about else "")


def _out_of_time(words: Words, action: Action) -> Iterator[str]:
    """Yield what does not fit: that it ends after the frost, or after whoever is there leaves."""
    end_s, frost_s = _end_s(action), action.expected_s or action.time_s
    late = end_s > frost_s and not _freezes(words, action)
    if not late and not action.overtime_s:
        return
    if frost_s <= action.time_s and not action.ends and not action.overtime_s:
        yield "it may freeze before you come in: do that first of all, or call somebody before"
        return
    text = _longer(words, action) if action.overtime_s else ""
    if late:
        freezes = "it may freeze already then"
        text = f"{text}; {freezes}" if text else f"till {words.clock(end_s)}: {freezes}"
    sooner = words.show(max(action.overtime_s or 0.0, end_s - frost_s), DURATION)
    if action.ends == "after the fire":
        yield f"{text}. Else let the fire go {sooner} sooner, or call somebody"
    elif action.ends == "after the trip":
        yield f"{text}. Else do it before the last load, or call somebody"
    elif action.ends == "after the run" and late:
        yield f"{text}. Else be done with the membrane {sooner} sooner"
    else:
        yield f"{text}. Else call somebody"


def _longer(words: Words, action: Action) -> str:
    more = words.show(action.overtime_s or 0.0, DURATION)
    return f"stay {more} more for it, till {words.when(_end_s(action), action.time_s)}"


def _end_s(action: Action) -> int:
    """UTC s at which it is done, begun as soon as it can be."""
    begin_s = action.time_s if action.leave_s is None else action.leave_s
    return begin_s + int(action.duration_s or 0.0)


def _fills_again(words: Words, action: Action, again_s: int) -> str:
    again = words.when(again_s, action.time_s)
    if "membrane" not in action.drains:
        return (
            f"about {again} the pump would fill the line again, with nobody free to drain it: "
            "switch it off once drained; its sap stays out there till you are back"
        )
    if "pump" not in action.drains:
        return (
            f"from about {again} the membrane would run, with nobody free to drain it: stop and "
            "rinse it before, if it runs, and leave it off once drained"
        )
    return (
        f"about {again} pump or membrane would run again, with nobody free to drain them: switch "
        "both off once drained; the pump's sap stays out there till you are back"
    )


def _has_begun(words: Words, action: Action) -> bool:
    """Tell whether it froze already when the plan began, by the forecast itself."""
    return action.expected_s is not None and action.expected_s <= words.report.begin_s


def _freezes(words: Words, action: Action) -> bool:
    """Tell whether it freezes for certain as this is to be done."""
    return _has_begun(words, action) or action.ends == "rinsed in the frost"


def _why_drained(words: Words, action: Action) -> str:
    if (action.frosts or 1) < 2:
        return _frost(words, action)
    frosts = f"nobody is there for the next {counted(action.frosts or 1)} frosts"
    if _has_begun(words, action):
        return f"it freezes, and {frosts}"
    return f"{frosts}, the first by {_by(words, action)}"


def _frost(words: Words, action: Action) -> str:
    if _freezes(words, action):
        return "it freezes"
    if action.early_s is not None and action.early_s <= words.report.begin_s:
        return f"it freezes now, or will by {_by(words, action)}"
    return f"frost by {_by(words, action)}"


def _by(words: Words, action: Action) -> str:
    """By when a frost comes, how likely, and before when it hardly does."""
    at_s = action.expected_s or action.time_s
    text = words.when(at_s, action.time_s)
    if action.probability is None:
        return text
    text += f" ({in_ten(action.probability)}"
    early_s = action.early_s
    if early_s is not None and words.report.begin_s < early_s < at_s - SPREAD_S:
        text += f", hardly before {words.when(early_s, action.time_s)}"
    return f"{text})"


def _are(action: Action, people: int) -> str:
    """How many there are for draining: of what ties everybody who are there, else who are free."""
    are = "there" if action.ends == "nobody free" else "free"
    return f"one is {are} then" if people == 1 else f"{counted(people)} are {are} then"


def _work(words: Words, action: Action) -> str:
    """How long it takes, how many and after what, in brackets behind a blank; else empty."""
    if action.duration_s is None:
        return ""
    people = action.people or 1
    each = "" if people == 1 else f", {counted(people)} people"
    first = ", once the membrane is rinsed" if action.after_rinse else ""
    return f" ({words.show(action.duration_s, DURATION)}{each}{first})"
