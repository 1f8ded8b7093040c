"""What a plan had to break or do without, in words: the first thing to read of it."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.beginning import WashDue
from sugarwright.saying.plan_fire_ends import poured
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import DURATION, VOLUME, WOOD

DUMP = "dump what has spoiled"
LEAST_LOST_M3 = 0.01
LEAST_MONEY = 1.0  # worth less than this is worth nothing
_BROKEN = {
    "no weather": "no weather is known: this plan is for what is in the tanks, as if the air "
    "stayed just above freezing. Look at the sky, and plan again once you have a forecast",
    "membrane frozen out": "the membrane stands outdoors, and whenever somebody is there it "
    "freezes: it is not run, and the pan has only the stock that is there",
    "membrane out of order": "the membrane cannot be used in these hours: the pan has only the "
    "stock that is there",
    "pan out of order": "no fire in these hours: what waits, waits",
}


def broken_texts(words: Words) -> Iterator[str]:
    """Yield a sentence for each thing that the plan had to break, and for whom it counts on."""
    report = words.report
    for what in report.broken:
        said = _SAID.get(what)
        yield _BROKEN[what] if said is None else said(words)
    if report.wash_due is not None:
        yield _wash_due(words, report.wash_due)
    if report.counted_until_s is not None:
        until = words.when(report.counted_until_s, report.begin_s)
        kept = any(each.else_stay_s is not None for day in report.days for each in day.actions)
        sooner = ", or let the fire go now if you can't stay so long" if kept else ""
        yield (
            "by sugarhouse.toml nobody stays there long enough for what runs now. Since you "
            f"tell of it, one person is counted there until {until} at the latest: stay until it "
            f"has ended{sooner}. Outside the hours of sugarhouse.toml nothing new is begun"
        )


def _wash_due(words: Words, due: WashDue) -> str:
    run, takes = words.show(due.run_s, DURATION), words.show(due.takes_m3, VOLUME)
    begin_s = words.report.begin_s
    has = "none" if due.has_m3 <= LEAST_LOST_M3 else f"only {words.volume(due.has_m3, 0)}"
    text = (
        f"the membrane has run {run} since its last wash and needs one now. That takes {takes} of "
        f"permeate, and there is {has}: "
    )
    if due.planned_s is not None:
        return f"{text}this plan washes it {words.when(due.planned_s, begin_s)}. Keep what comes"
    if due.possible_s is None:
        return f"{text}by the forecast there won't be enough in these hours. Keep what comes"
    possible = words.when(due.possible_s, begin_s)
    return f"{text}by the forecast it can be washed from {possible} on. Keep what comes until then"


def _nobody(words: Words) -> str:
    return f"nobody is there in these hours: nothing is planned that needs hands{_lost(words)}"


def _lost(words: Words) -> str:
    """What runs over or spoils in the plan's hours, where that is worth a word.

    What has turned as they begin is lost whatever is done.
    """
    lost_m3 = words.report.plan.lost_m3 - _turned_m3(words)
    if lost_m3 < LEAST_LOST_M3:
        return ""
    until = words.day(words.report.end_s)
    return f", and about {words.volume(lost_m3, 0)} run over or spoil by {until}"


def _turned_m3(words: Words) -> float:
    """What has turned as the plan begins, and is dumped within its hours."""
    report, turned_m3 = words.report, 0.0
    due = [each for day in report.days for each in day.actions if each.kind == DUMP]
    for tank in ("sap", "stock"):
        dumped = (a.trigger.at_least_m3 for a in due if a.trigger and a.trigger.tank == tank)
        if f"{tank} spoiled" in report.broken:
            turned_m3 += next(dumped, 0.0)
    return turned_m3


def _no_wood(words: Words) -> str:
    now = words.report.standing
    new = "new " if now.is_hot else ""
    return (
        f"{words.show(now.wood_m3, WOOD, 2)} of wood on hand, and the shortest boil takes "
        f"{words.show(now.boil_wood_m3, WOOD, 2)}: no {new}fire is planned{_lost(words)}"
        f"{_wood_helps(words)}"
    )


def _wood_helps(words: Words) -> str:
    """Ask for wood, unless more of it would be worth nothing in the plan's hours."""
    worth = [each.money for each in words.report.limits if each.what == "wood"]
    needless = bool(worth) and worth[0] < LEAST_MONEY
    return "" if needless else ". Bring wood, tell of it, and plan again"


def _alone(words: Words) -> str:
    if words.report.standing.fire_dies_s is not None:
        return (
            "the fire is not dead yet, and this plan cannot keep somebody at it until it is: stay, "
            "or call somebody who can"
        )
    if words.report.standing.fire_burns:
        return (
            "a fire burns, and this plan cannot keep somebody at it until it has died: stop "
            "stoking, stay, or call somebody who can"
        )
    return "in some weather this plan cannot keep somebody at the fire: don't light"


def _short(words: Words) -> str:
    if words.report.standing.fire_dies_s is not None:
        return (
            f"the fire is not dead yet, and its feed may not last until it is: {poured(words)} "
            "before the pan is bare, draw the coals if you must, and stay"
        )
    if words.report.standing.fire_burns:
        return (
            f"a fire burns, and its feed may not last until it has died: stop stoking, "
            f"{poured(words)} before the pan is bare, draw the coals if you must, and stay"
        )
    return "in some weather this plan cannot keep the hot pan in feed: don't light"


def _sap_spoiled(words: Words) -> str:
    return _spoiled(words, "the sap in the tank", "sap", words.report.standing.sap_logged_age_s)


def _stock_spoiled(words: Words) -> str:
    return _spoiled(words, "the concentrate", "stock", words.report.standing.stock_logged_age_s)


def _spoiled(words: Words, what: str, tank: str, logged_age_s: float | None) -> str:
    """Say what has turned, by whose word of its age, and how to tell otherwise."""
    then = (
        "it is dumped when somebody is there, and none of it is counted on. Your nose and a "
        "taste decide"
    )
    if logged_age_s is None:
        return f"{what} has turned by what you tell of its age: {then}"
    old = words.show(logged_age_s, DURATION)
    return (
        f"{what} has turned, since by the log it is {old} old: {then}. If it is fresher, plan "
        f"again with --{tank}-age"
    )


def _taps(words: Words) -> str:
    tapped_s = words.report.tapped_s or words.report.end_s
    day = words.local(tapped_s)
    said = f"{day.strftime('%A')} {day.day} {day.strftime('%B')}"
    text = f"the taps aren't set yet: by sugarhouse.toml you tap on {said}"
    if tapped_s >= words.report.end_s:
        return f"{text}, after the plan's end, and no sap is counted on"
    return f"{text}, and no sap comes before"


_SAID = {
    "fire alone": _alone,
    "pan short of feed": _short,
    "sap spoiled": _sap_spoiled,
    "stock spoiled": _stock_spoiled,
    "nobody there": _nobody,
    "no wood for a boil": _no_wood,
    "taps not set": _taps,
}
