"""What stands behind each line that says what would change a plan, as lines."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import (
    FireGauge,
    IfMark,
    IfSide,
    OffAir,
    OffCourse,
    Tried,
)
from sugarwright.planning.report import Day
from sugarwright.saying.plan_ifs import (
    change_text,
    no_fire_texts,
    off_air_texts,
    off_course_texts,
)
from sugarwright.saying.words import sentence
from sugarwright.units import MONEY, TEMPERATURE


def if_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield each line of the plan that says what would change it, and what it is read from."""
    main = words.report.days[words.report.main_day]
    paragraphs = [
        *(list(_gauge(words, main, each)) for each in found.fire_gauges),
        *(list(_mark(words, each)) for each in found.marks),
        list(_off_course(words, main, found.off_course)),
        list(_off_air(words, main, found.off_air)),
    ]
    told = [each for each in paragraphs if each]
    if not told:
        yield "Nothing that could be seen would change this plan."
    for k, each in enumerate(told):
        yield from [""] * (k > 0)
        yield from each


def _gauge(words: Words, main: Day, gauge: FireGauge) -> Iterator[str]:
    for text in no_fire_texts(words, main.actions[gauge.number - 1]):
        yield hanging("", f"{sentence(text)}.")
        level, latest = words.volume(gauge.at_least_m3, 0), words.clock(gauge.latest_s)
        yield hanging(
            "  ",
            f"No two plans are compared for this: {level} is the gauge of action {gauge.number} "
            f"(--explain {gauge.number}), and the simulator lights no fire later than {latest}: "
            "then too little is left of its hours for the shortest burn, or of somebody's stay for "
            f"that and the burn-down. A fire is lit that day in {gauge.lit:.0%} of the weathers.",
        )


def _mark(words: Words, mark: IfMark) -> Iterator[str]:
    yield hanging("", f"{sentence(change_text(words, mark.change))}.")
    yield hanging(
        "  ",
        f"With tanks as read it comes to that in {mark.weathers} of {words.report.weathers} "
        "weathers. From how things then stand in each, with tanks also begun a quarter fuller or "
        "emptier, the plan is run on beside the other way. The mark is found in one half of the "
        "weathers and told of the other half. What both are worth there in the mean:",
    )
    yield f"  {'':<20}{'runs':>6}{'plan':>13}{'other way':>13}{'gains':>13}{'wins in':>9}"
    yield from _side("beyond the mark", words, mark.beyond)
    yield from _side("not beyond it", words, mark.within)
    yield from _side("where it was found", words, mark.found)
    if len(mark.tried) > 1:
        tried = "; ".join(_tried(words, mark, each) for each in mark.tried)
        yield hanging(
            "  ",
            "Marks tried in that half, each with the gain of all runs beyond it together; the most "
            f"is taken: {tried}.",
        )


def _side(name: str, words: Words, side: IfSide) -> Iterator[str]:
    if not side.runs:
        yield f"  {name:<20}{0:>6}"
        return
    cells = (side.plan_money, side.other_money, side.other_money - side.plan_money)
    shown = "".join(f"{words.show(each, MONEY, 2):>13}" for each in cells)
    yield f"  {name:<20}{side.runs:>6}{shown}{side.wins:>9}"


def _tried(words: Words, mark: IfMark, tried: Tried) -> str:
    """Return a mark and its gain."""
    level = (
        words.show(tried.mark, TEMPERATURE)
        if mark.change.what == "coldest"
        else words.volume(tried.mark, 0)
    )
    side = "over" if mark.change.over else "under"
    return f"{side} {level} ({tried.runs} runs) {words.money(tried.gain_money)}"


def _off_course(words: Words, main: Day, off: OffCourse | None) -> Iterator[str]:
    for text in off_course_texts(words, main):
        yield hanging("", f"{sentence(text)}.")
        if off is not None:
            yield hanging("  ", _held(words, off))


def _off_air(words: Words, main: Day, off: OffAir | None) -> Iterator[str]:
    if off is None:
        return
    for text in off_air_texts(words, main):
        least, most = (words.show(each(off.by_weather), TEMPERATURE) for each in (min, max))
        yield hanging("", f"{sentence(text)}.")
        yield hanging(
            "  ",
            f"No two plans are compared for this. In the {len(off.by_weather)} weathers it is "
            f"{least} to {most} then. A mark is where one in ten is beyond it, or as far off the "
            "middle as a thermometer may err where that is further; "
            f"{off.weathers_under} are under the lower, {off.weathers_over} over the upper.",
        )


def _held(words: Words, off: OffCourse) -> str:
    held, count = off.mark.held_m3, len(off.by_weather)
    low, middle, high, least, most = (
        words.volume(each, 0)
        for each in (held.low, held.middle, held.high, min(off.by_weather), max(off.by_weather))
    )
    text = (
        f"No two plans are compared for this. In the {count} weathers that tank then holds {least} "
        f"to {most}, {middle} in the middle one; one in ten has less than {low}, one in ten more "
        f"than {high}. A mark is there, or a tenth of the tank off the middle where that is further"
    )
    ends = ((off.under_m3, off.weathers_under, "under"), (off.over_m3, off.weathers_over, "over"))
    for level_m3, beyond, side in ends:
        if level_m3 is None:
            text += f"; none {side} it, too near {'empty' if side == 'under' else 'full'}"
        else:
            text += f"; {side} {words.volume(level_m3, 0)} are {beyond}"
    return f"{text}."
