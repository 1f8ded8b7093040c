"""What a plan had to break or do without, in words: the first thing to read of it."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import WOOD

LEAST_LOST_M3 = 0.01
_BROKEN = {
    "no weather": "no weather is known: this plan is for what is in the tanks, as if the air "
    "stayed just above freezing. Look at the sky, and plan again once you have a forecast",
    "fire alone": "in some weather this plan cannot keep somebody at the fire: don't light",
    "pan short of feed": "in some weather this plan cannot keep the hot pan in feed: don't light",
    "sap spoiled": "the sap in the tank has turned by what you tell of its age: it is dumped when "
    "somebody is there, and none of it is counted on. Your nose and a taste decide",
    "stock spoiled": "the concentrate has turned by what you tell of its age: it is dumped when "
    "somebody is there, and none of it is counted on. Your nose and a taste decide",
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
    if report.counted_until_s is not None:
        until = words.when(report.counted_until_s, report.begin_s)
        yield (
            "by sugarhouse.toml nobody stays there long enough for what runs now. Since you "
            f"tell of it, one person is counted there until {until}: stay so long"
        )


def _nobody(words: Words) -> str:
    text = "nobody is there in these hours: nothing is planned that needs hands"
    lost_m3 = words.report.plan.lost_m3
    if lost_m3 < LEAST_LOST_M3:
        return text
    return f"{text}, and about {words.volume(lost_m3, 0)} run over or spoil"


def _no_wood(words: Words) -> str:
    now = words.report.standing
    return (
        f"{words.show(now.wood_m3, WOOD, 2)} of wood on hand, and the shortest boil takes "
        f"{words.show(now.boil_wood_m3, WOOD, 2)}: no fire is planned"
    )


def _taps(words: Words) -> str:
    tapped_s = words.report.tapped_s or words.report.end_s
    day = words.local(tapped_s)
    said = f"{day.strftime('%A')} {day.day} {day.strftime('%B')}"
    text = f"the taps aren't set yet: by sugarhouse.toml you tap on {said}"
    if tapped_s >= words.report.end_s:
        return f"{text}, after the plan's end, and no sap is counted on"
    return f"{text}, and no sap comes before"


_SAID = {"nobody there": _nobody, "no wood for a boil": _no_wood, "taps not set": _taps}
