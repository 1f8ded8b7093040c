"""What may happen under a plan, in words: how likely, when, why, and what is lost by it."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.report import Day, Watch
from sugarwright.planning.watches import FULL_FRACTION
from sugarwright.saying.plan_membrane import stops_alone
from sugarwright.saying.plan_outside import drains_text
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import in_ten

MOST_LINES = 3  # all are in the JSON
LEAST_LOST_M3 = 0.004  # a gallon: less that runs over is not worth a word
SPREAD_S = 1800  # times closer than that are one time
AT_ONCE_S = 300  # after the plan's begin: the first that a run knows of
LIKELY = 0.5
NIGHT_S = 12 * 3600
NEARLY_ALL = 0.95  # of the weathers
_WATCHED = {
    "sap tank full": "sap tank full",
    "stock tank full": "stock tank full",
    "sap spoils": "sap spoils in its tank",
    "pan short of feed": "hot pan short of feed",
    "feed down early": "feed down an hour or more before the planned last wood",
    "permeate short for rinse": "too little permeate for the membrane's rinse",
    "permeate short for wash": "too little permeate for the membrane's wash",
    "membrane stops alone": "membrane stops, nobody there to rinse it",
    "frost with nobody there": "frost with nobody there to",
}
_WHY_FULL = {
    "nobody there": "nobody there to fetch it",
    "pump out of order": "its pump is out of order",
    "frost": "its pump stands still in the frost",
    "sap tank full": "the sap tank is full",
}


def watch_texts(words: Words, main: Day) -> list[str]:
    """Say what may happen, the likeliest first and few at once; never without a pan run short."""
    found = list(_worth_a_line(words, main))
    seen = [each for each in found[MOST_LINES:] if each.what == "pan short of feed"]
    return [watch_text(words, each) for each in [*found[:MOST_LINES], *seen]]


def _worth_a_line(words: Words, main: Day) -> Iterator[Watch]:
    for watch in sorted(words.report.watch, key=lambda each: -each.probability):
        if watch.what == "membrane stops alone" and any(map(stops_alone, main.actions)):
            continue  # the action's own line says so
        if watch.what == "permeate short for wash" and words.report.wash_due is not None:
            continue  # what stands above all says so
        if watch.why == "sap tank full" and watch.probability <= _sap_tank_full(words):
            continue  # that tank's line says so
        yield watch


def _sap_tank_full(words: Words) -> float:
    """How likely the sap tank is told to get full."""
    told = (each.probability for each in words.report.watch if each.what == "sap tank full")
    return max(told, default=0.0)


def watch_text(words: Words, watch: Watch) -> str:
    """Say what may happen, how likely and when."""
    if watch.what == "freezes with nobody there":
        drain = drains_text(watch.drains)
        return f"it freezes with nobody there to {drain}: what is left full bursts"
    text = _what(words, watch)
    full_now = is_full_now(words, watch)
    if full_now and not watch.again:
        text += " now"
    elif full_now:
        text += f" now, emptied first; full again: {in_ten(watch.probability)}"
        text += "" if watch.time_s is None else _when(words, watch.time_s, watch.early_s)
    elif _has_turned(words, watch):
        text += ": it has turned already by what is known of its age"
    else:
        text += f": {in_ten(watch.probability)}"
        if watch.time_s is None:
            return text
        text += _when(words, watch.time_s, watch.early_s)
    if watch.why:
        text += f": {_WHY_FULL[watch.why]}"
    return text + _lost(words, watch)


def _what(words: Words, watch: Watch) -> str:
    if watch.what == "sap spoils" and words.report.standing.has_membrane:
        return "sap spoils, or concentrate"
    if watch.what == "frost with nobody there":
        return f"{_WATCHED[watch.what]} {drains_text(watch.drains)}"
    return f"{watch.point} full" if watch.point else _WATCHED[watch.what]


def _when(words: Words, time_s: int, early_s: int | None) -> str:
    text = f", about {words.when(time_s, words.report.begin_s)}"
    if early_s is not None and early_s < time_s - SPREAD_S:
        text += f", hardly before {words.when(early_s, time_s)}"
    return text


def _lost(words: Words, watch: Watch) -> str:
    if watch.lost_m3 is None or watch.lost_m3 <= LEAST_LOST_M3:
        return ""
    lost = words.volume(watch.lost_m3, 0)
    if watch.what == "sap spoils":
        return f"; about {lost} of it"
    return f"; then about {lost} run over"


def is_full_now(words: Words, watch: Watch) -> bool:
    """Tell whether a tank that may get full is so as the plan begins."""
    now = words.report.standing
    held = {
        "sap tank full": [(now.sap_m3, now.sap_capacity_m3)],
        "stock tank full": [(now.stock_m3, now.stock_capacity_m3)],
        "gathering tank full": [
            (each.held_m3, each.capacity_m3) for each in now.gathered if each.name == watch.point
        ],
    }
    return any(held_m3 >= FULL_FRACTION * rim_m3 for held_m3, rim_m3 in held.get(watch.what, []))


def _has_turned(words: Words, watch: Watch) -> bool:
    """Tell whether something has spoiled as the plan begins."""
    if watch.what != "sap spoils" or watch.time_s is None or watch.probability < NEARLY_ALL:
        return False
    return watch.time_s <= words.report.begin_s + AT_ONCE_S


def unseen_frost_texts(words: Words) -> Iterator[str]:
    """Yield a sentence of what likely freezes tonight, nobody being there: whoever plans may be."""
    begin_s = words.report.begin_s
    for watch in words.report.watch:
        likely = watch.what == "frost with nobody there" and watch.probability >= LIKELY
        if likely and watch.time_s is not None and watch.time_s < begin_s + NIGHT_S:
            when = words.when(watch.time_s, begin_s)
            yield f"Frost about {when}, nobody there: {drains_text(watch.drains)} first."
