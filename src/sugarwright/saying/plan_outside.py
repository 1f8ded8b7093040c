"""What is to be done outside, in words: trips for sap, draining before a frost."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.action import Action
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import counted, in_ten
from sugarwright.units import DURATION, VOLUME

SPREAD_S = 1800  # times closer than that are one time


def gather_texts(words: Words, action: Action, gauge: str) -> Iterator[str]:
    """Yield what is said of trips in a row to a gathering point.

    Parameters
    ----------
    words, action : of the plan
    gauge : the level that they wait for, in words; empty where that is met
    """
    yield ", ".join(filter(None, [f"gather sap from {action.point}", gauge]))
    load = words.volume(action.load_m3 or 0.0, 0)
    each = words.show(action.duration_s or 0.0, DURATION)
    loads = "1 load" if action.loads == 1 else f"{action.loads} loads"
    text = f"about {words.volume(action.gathered_m3 or 0.0, 0)} in {loads} of up to {load}"
    if action.until_s is not None:
        text += f", till about {words.when(action.until_s, action.time_s)}"
    yield f"{text}; a load takes one person {each}, never the one at a lit pan"


def gather_at_need_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what is said of trips that the forecast does not bring, but other weathers may."""
    if action.trigger is not None:
        level = words.show(action.trigger.at_least_m3, VOLUME)
        chance = "" if action.probability is None else f" ({in_ten(action.probability)})"
        what = f"gather sap from {action.point} at once if its tank has {level}"
        yield f"not planned: but {what}{chance}"


def drain_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what is said of draining: before which frost, how likely that is, what hinders."""
    frost = _frost(words, action)
    if action.ends == "nobody free":
        yield f"{frost}, and the fire ties whoever could drain pump and line before"
        what = f"drain them{_work(words, action)} as soon as the pan may be left"
        yield f"{what}, let the fire go sooner, or call somebody"
    elif action.ends == "short stay":
        yield f"drain pump, line and whatever else holds water first of all: {frost}"
        yield f"nobody stays so long as that takes{_work(words, action)}: call somebody"
    else:
        yield f"drain pump, line and whatever else holds water{_work(words, action)}: {frost}"
    people, free = action.people or 1, action.people_free
    if free is not None and people > max(1, free):
        yield f"by sugarhouse.toml that takes {counted(people)}, and {_are(free)}: call somebody"
    if action.pumped_again_s is not None:
        again = words.when(action.pumped_again_s, action.time_s)
        yield (
            f"about {again} the pump would fill the line again, with nobody free to drain it: "
            "switch it off once drained; its sap stays out there till you are back"
        )


def _frost(words: Words, action: Action) -> str:
    at_s = action.expected_s or action.time_s
    text = f"frost by {words.when(at_s, action.time_s)}"
    if action.probability is None:
        return text
    text += f" ({in_ten(action.probability)}"
    if action.early_s is not None and action.early_s < at_s - SPREAD_S:
        text += f", hardly before {words.when(action.early_s, action.time_s)}"
    return f"{text})"


def _are(people: int) -> str:
    return "one is there then" if people == 1 else f"{counted(people)} are there then"


def _work(words: Words, action: Action) -> str:
    """How long it takes and how many, in brackets behind a blank; empty where that is not known."""
    if action.duration_s is None:
        return ""
    people = action.people or 1
    each = "" if people == 1 else f", {counted(people)} people"
    return f" ({words.show(action.duration_s, DURATION)}{each})"
