"""Of what the work of a day consists, and when people are there for it, as lines."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import Stay, WorkPart
from sugarwright.saying.words import counted
from sugarwright.units import DURATION

_WIDTH = 46
_PARTS = {
    "fire": "at the lit pan",
    "membrane started": "starting the membrane",
    "membrane stopped": "stopping and rinsing the membrane",
    "emptied": "emptying a tank that spoiled",
    "stopped and emptied": "stopping the membrane, emptying what spoiled",
    "membrane washed": "washing the membrane",
    "trips": "fetching sap",
    "draining": "draining before the frost",
}


def work_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield the parts of a day's work, their sum, and the hours that people give."""
    day, values = words.report.days[words.report.main_day], found.by_weather
    middle, mean, least, most = (
        words.show(each or 0.0, DURATION)
        for each in (found.middle, found.mean, min(map(_value, values)), max(map(_value, values)))
    )
    if not found.work:
        yield hanging("", f"{words.day(day.begin_s)} asks for no work.")
        yield hanging("", _given(words, found.given))
        return
    two = "in the mean of the two weathers on either side of it"
    which = "in that weather" if len(values) % 2 else two
    yield hanging(
        "",
        f"Work of {words.day(day.begin_s)}, all hands together: {middle} in the middle of "
        f"{len(values)} weathers ({mean} in the mean, {least} to {most}). Its parts, {which}:",
    )
    for part in found.work:
        yield _row(words, _name(part), part.duration_s)
    yield _row(words, "together", sum(each.duration_s for each in found.work))
    yield hanging("", _given(words, found.given))


def _value(value: float | None) -> float:
    return value or 0.0


def _row(words: Words, name: str, duration_s: float) -> str:
    return f"  {name:<{_WIDTH}}{words.show(duration_s, DURATION):>12}"


def _name(part: WorkPart) -> str:
    name = part.chore or _PARTS[part.what]
    many = part.what != "fire" and part.times not in (0.0, 1.0) and part.times == int(part.times)
    return f"{name}, {counted(int(part.times))} times" if many else name


def _given(words: Words, stays: tuple[Stay, ...]) -> str:
    if not stays:
        return "Nobody is there that day."
    all_s = sum((each.end_s - each.begin_s) * each.people for each in stays)
    spans = ", ".join(
        f"{words.clock(each.begin_s)} to {words.clock(each.end_s)} {counted(int(each.people))}"
        for each in stays
    )
    return f"You give {words.show(all_s, DURATION)}: {spans}."
