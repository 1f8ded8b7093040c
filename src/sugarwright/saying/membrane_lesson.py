"""What was learnt about the membrane, in sentences."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.units import DURATION, MONEY, VOLUME, show, to_unit

if TYPE_CHECKING:
    from sugarwright.learning.membrane_lesson import Cleaning, MembraneLesson, Range
    from sugarwright.plant.house import House

_WHY = {
    "money": "from then on the permeate lost is worth more than a wash",
    "manual": "a tenth of the permeate is gone by then, and what stays on a membrane sets",
}
_NEXT = {
    "one reading": "one more reading while it runs",
    "a day of readings": "a day of readings as before",
    "a day with a better thermometer": "a day of readings with a thermometer good to {}",
    "a clean-water test": "a clean-water test",
    "a wash, then a clean-water test": "a wash, and a clean-water test right after it",
    "a wash, then a reading": "a wash, and a reading right after it",
}
_AS_MUCH = 0.02  # difference of the spread's share that no two readings are told apart by
_MONTH_DAYS = 30


class LessonWords:
    """Values in the units, the money and the time of the house."""

    def __init__(self, house: House) -> None:
        self.system, self.currency = house.site.units, house.site.currency
        self._zone = ZoneInfo(house.site.timezone)
        self.house = house

    def day(self, time_s: float) -> str:
        """Return a day of the house."""
        day = datetime.fromtimestamp(time_s, self._zone)
        return f"{day.day} {day:%B}"

    def moment(self, time_s: float) -> str:
        """Return a day and clock time of the house."""
        return f"{self.day(time_s)} {datetime.fromtimestamp(time_s, self._zone):%H:%M}"

    def volume(self, value_m3: float) -> str:
        """Return a volume to two digits: it is not known to the gallon."""
        unit = "L" if self.system == "metric" else "gal"
        value = to_unit(value_m3, VOLUME, unit)
        tens = 10.0 ** max(math.floor(math.log10(max(value, 1.0))) - 1, 0)
        return f"{tens * round(value / tens):.0f} {unit}"

    def money(self, value: float) -> str:
        """Return an amount in the currency of the house."""
        return show(value, MONEY, self.system, 2, currency=self.currency)


def percent(share: float, digits: int = 0) -> str:
    """Return a share in percent."""
    return f"{100.0 * share:.{digits}f} %"


def stands_on_text(lesson: MembraneLesson, words: LessonWords) -> str:
    """Return what the lesson stands on."""
    first, last = words.day(lesson.begin_s), words.day(lesson.end_s)
    span = f"on {first}" if first == last else f"from {first} to {last}"
    new = " (a new element)" if lesson.since_new else ""
    return f"The membrane {span}{new}: {_counts(lesson)}."


def _counts(lesson: MembraneLesson) -> str:
    counted = [
        (lesson.readings, "reading"),
        (lesson.clean_water_tests, "clean-water test"),
        (lesson.washes, "wash"),
        (lesson.rinses, "rinse"),
    ]
    parts = [_many(count, name) for count, name in counted if count]
    return f"{', '.join(parts)}, {lesson.run_h:.0f} h of running"


def _many(count: int, name: str) -> str:
    plural = "es" if name.endswith("sh") else "s"
    return f"{count} {name}{'' if count == 1 else plural}"


def lesson_table(lesson: MembraneLesson, words: LessonWords) -> list[tuple[str, ...]]:
    """Return what was learnt beside what is described, a row of titles first."""
    membrane = words.house.membrane
    described = ("", "") if membrane is None else (
        percent(membrane.condition_fraction), percent(membrane.loss_per_hour_fraction, 1)
    )  # fmt: skip
    metric = words.system == "metric"
    step_m3, step = (1.0, "1000 L") if metric else (_us_100_gal_m3(), "100 gal")
    at = "25 °C" if metric else "77 °F"
    fall = lesson.fall_per_day_fraction
    return [
        ("", "described", "learnt", "9 chances in 10"),
        (f"of new at {at}, just washed", described[0], *_row(lesson.lasting_fraction, 0)),
        (f"of new at {at}, as it is now", "", *_row(lesson.now_fraction, 0)),
        ("lost in an hour of running", described[1], *_row(lesson.loss_per_hour_fraction, 1)),
        (f"  in {step} of sap", "", percent(lesson.loss_per_m3_fraction * step_m3, 1), ""),
        ("lost for good in a day", "", *_row(fall, 1)),
    ]


def _us_100_gal_m3() -> float:
    return 100.0 / to_unit(1.0, VOLUME, "gal")


def _row(each: Range, digits: int) -> tuple[str, str]:
    span = f"{100.0 * each.low:.{digits}f} to {100.0 * each.high:.{digits}f} %"
    return percent(each.middle, digits), span


def verdict_text(lesson: MembraneLesson) -> str:
    """Return whether it falls for good."""
    fall = lesson.fall_per_day_fraction
    if lesson.verdict == "falls":
        ahead = lesson.lasting_fraction.middle * (1.0 - fall.middle) ** _MONTH_DAYS
        return (
            f"It falls for good, {percent(fall.middle, 1)} a day that no wash brings back. At that "
            f"pace it is at {percent(ahead)} of new in {_MONTH_DAYS} days. Look for the cause: "
            "cleaner, iron, chlorine, heat, pressure."
        )
    if lesson.verdict == "steady":
        return f"No fall for good worth naming: less than {percent(max(fall.high, 0.0), 1)} a day."
    text = "Cannot tell yet whether it falls for good"
    if lesson.days_to_tell is None:
        without = "" if lesson.washes else ", without a wash"
        return f"{text}; with readings as now{without} it will not be told within six weeks."
    days = "day" if lesson.days_to_tell == 1 else "days"
    from sugarwright.learning.membrane_lesson import WORTH_NAMING_PER_DAY

    told = percent(max(fall.middle, WORTH_NAMING_PER_DAY), 1)
    return (
        f"{text}. With readings as now, a fall of {told} a day would be told from none in "
        f"{lesson.days_to_tell} {days}."
    )


def cleanings_text(cleanings: tuple[Cleaning, ...], words: LessonWords) -> str:
    """Return what the last wash and the last rinse brought back."""
    parts = []
    for kind in ("wash", "rinse"):
        last = next((each for each in reversed(cleanings) if each.kind == kind), None)
        if last is not None:
            share = last.recovery_fraction
            parts.append(
                f"the last {kind} ({words.day(last.at_s)}) brought back {percent(share.middle)} of "
                f"what fouling had taken ({percent(share.low)} to {percent(share.high)}): "
                f"{percent(last.before_fraction)} before, {percent(last.after_fraction)} after"
            )
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def wash_text(lesson: MembraneLesson, words: LessonWords) -> str:
    """Return when to wash next, and why then."""
    wash = lesson.wash
    if wash.why == "never":
        return "Wash when the season ends, or when you would anyway: none pays before that."
    why = _WHY[wash.why]
    every = show(3600.0 * wash.interval_h, DURATION)
    if wash.left_h.middle <= 0.0:
        return f"Wash now: a wash every {every} of running; {why}."
    sap, left_h = words.volume(wash.left_m3), wash.left_h
    if left_h.low <= 0.0:
        return (
            "The readings do not tell yet when to wash: it may be due now, or not for "
            f"{left_h.high:.0f} hours of running ({why}). Wash as you are used to."
        )
    low, high = f"{left_h.low:.0f}", f"{left_h.high:.0f}"
    span = "" if low == high else f" ({low} to {high})"
    return (
        f"Wash after {left_h.middle:.0f} more hours of running{span}, some {sap} of sap: {why}. "
        f"That is a wash every {every}."
    )


def replacement_text(lesson: MembraneLesson, words: LessonWords) -> str:
    """Return what a new element would save."""
    of = lesson.replacement
    text = (
        f"Against a new element you lose permeate worth {words.money(of.lost_money_h)} an hour of "
        f"running, {words.money(of.lost_money_day)} a day as you run it."
    )
    if of.price_money is None:
        return f"{text} Log its price with the next one (new membrane) to see when one pays."
    price = words.money(of.price_money)
    if of.pays_back_days is None:
        return f"{text} A new one ({price}) would save nothing."
    return f"{text} A new one ({price}) pays in {of.pays_back_days:.0f} such days."


def next_text(lesson: MembraneLesson, words: LessonWords) -> str:
    """Return which reading would tell most."""
    best = lesson.next_readings[0]
    as_good = [
        each for each in lesson.next_readings[1:] if each.sd_ratio < best.sd_ratio + _AS_MUCH
    ]
    finest = "0.1 °C" if words.system == "metric" else "0.2 °F"
    also = f"; nearly as much {_NEXT[as_good[0].what].format(finest)}" if as_good else ""
    return (
        f"What would tell most tomorrow of the fall for good: {_NEXT[best.what].format(finest)} "
        f"(its spread would shrink by {100.0 * (1.0 - best.sd_ratio):.0f} %){also}."
    )
