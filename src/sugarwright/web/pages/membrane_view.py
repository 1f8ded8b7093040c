"""The membrane's map and the course of its condition, laid out for the pages' drawings."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sugarwright.answering.membrane import MembraneToday
from sugarwright.bench.membrane_machine import Setting
from sugarwright.learning.membrane_lesson import MembraneLesson, Range
from sugarwright.saying.membrane import flow_text
from sugarwright.saying.words import Words, valve_text
from sugarwright.web.drawing import BOTTOM, HEIGHT, Frame, Mark, Picture

LEAST_SPAN_BRIX = 1.0


def map_of(today: MembraneToday) -> Picture:
    """Draw strength of the concentrate over the valve's flow, each step as many times the last."""
    system = today.report.units
    marked = [
        *((each.setting, "night" if each.by_night else "plan") for each in today.planned),
        *((each.setting, "pan") for each in today.report.answers),
        (today.as_set, "set"),
    ]
    shown = sorted(
        [*today.report.settings, *(each for each, _ in marked)],
        key=lambda each: each.concentrate_flow_m3_s,
    )
    strengths = [each.concentrate_brix for each in shown]
    low, high = math.floor(min(strengths)), math.ceil(max(strengths))
    frame = Frame((_log(shown[0]), _log(shown[-1])), (low, max(high, low + LEAST_SPAN_BRIX)))
    ends = [today.report.settings[0], today.report.settings[3], today.report.settings[-1]]
    return Picture(
        frame.path([(_log(each), each.concentrate_brix) for each in shown]),
        tuple(_mark(frame, each, kind) for each, kind in _once(marked)),
        "",
        tuple(
            Mark(frame.x(_log(each)), HEIGHT - BOTTOM, _short(each, system)) for each in ends
        ),
        frame.y_ticks(_step(high - low), "{:g}"),
    )  # fmt: skip


def _once(marked: Sequence[tuple[Setting, str]]) -> list[tuple[Setting, str]]:
    """Return each kind of mark at each flow once."""
    return list(
        {(each.concentrate_flow_m3_s, kind): (each, kind) for each, kind in marked}.values()
    )


def _log(each: Setting) -> float:
    return math.log(each.concentrate_flow_m3_s)


def _mark(frame: Frame, each: Setting, kind: str) -> Mark:
    return Mark(frame.x(_log(each)), frame.y(each.concentrate_brix), "", kind)


def _short(each: Setting, system: str) -> str:
    return valve_text(each.concentrate_flow_m3_s, system)


def _step(span: float) -> float:
    return next((each for each in (0.5, 1.0, 2.0, 5.0) if span / each <= 5.0), 10.0)


def course_of(lesson: MembraneLesson, words: Words) -> Picture:
    """Draw the condition through the season: the course as learnt, and what readings said."""
    times = [each.at_s for each in lesson.course]
    times += [each.at_s for each in lesson.measured]
    shares = [each.condition_fraction for each in lesson.course]
    for read in lesson.measured:
        shares += [read.condition_fraction.low, read.condition_fraction.high]
    low = math.floor(10.0 * max(0.0, min(shares))) * 10.0
    high = math.ceil(10.0 * min(1.5, max(shares))) * 10.0
    frame = Frame((min(times), max(times)), (low, max(high, low + 10.0)))
    top = frame.y_ends[1]
    bars = "".join(
        f"M{frame.x(each.at_s)} {frame.y(100.0 * each.condition_fraction.low)}"
        f"V{frame.y(min(top, 100.0 * each.condition_fraction.high))}"
        for each in lesson.measured
    )
    marks = [
        Mark(
            frame.x(each.at_s),
            frame.y(100.0 * each.condition_fraction.middle),
            kind="water" if each.clean_water else "read",
        )
        for each in lesson.measured
    ]
    marks += [
        Mark(frame.x(each.at_s), frame.y(100.0 * each.after_fraction), kind="wash")
        for each in lesson.cleanings
        if each.kind == "wash"
    ]
    return Picture(
        frame.path([(each.at_s, 100.0 * each.condition_fraction) for each in lesson.course]),
        tuple(marks),
        bars,
        frame.days(words),
        frame.y_ticks(_ten(high - low), "{:g} %"),
    )


def _ten(span: float) -> float:
    return 10.0 if span <= 60.0 else 20.0


def course_rows(lesson: MembraneLesson, words: Words) -> list[tuple[str, str, str]]:
    """Return the same as rows: when, what, and the condition in percent with its range."""
    rows = [
        (
            each.at_s,
            "clean-water test" if each.clean_water else "reading",
            _range(each.condition_fraction),
        )
        for each in lesson.measured
    ]
    rows += [
        (
            each.at_s,
            each.kind,
            f"{100 * each.before_fraction:.0f} % before, {100 * each.after_fraction:.0f} % after",
        )
        for each in lesson.cleanings
    ]
    return [
        (f"{words.local(at):%a} {words.local(at).day} {words.local(at):%b %H:%M}", what, told)
        for at, what, told in sorted(rows, reverse=True)
    ]


def _range(share: Range) -> str:
    middle, low, high = (100.0 * each for each in (share.middle, share.low, share.high))
    return f"{middle:.0f} % ({low:.0f} to {high:.0f})"


def setting_texts(today: MembraneToday, words: Words) -> list[tuple[str, str, str]]:
    """Return the marks of the map in words: kind, what it is, and what it gives."""
    system = today.report.units
    told = "As it is set" if today.runs else "As it was set last"
    found = [("set", told, _gives(today.as_set, system))]
    clocks: dict[tuple[bool, float], list[str]] = {}
    for each in today.planned:
        key = each.by_night, each.setting.concentrate_flow_m3_s
        clocks.setdefault(key, []).append(words.clock(each.time_s))
    for setting, kind in _once(
        [(e.setting, "night" if e.by_night else "plan") for e in today.planned]
    ):
        times = " and ".join(clocks[kind == "night", setting.concentrate_flow_m3_s])
        name = f"The plan, from {times}" + (", by night" if kind == "night" else "")
        found.append((kind, name, _gives(setting, system)))
    return found


def _gives(each: Setting, system: str) -> str:
    valve = valve_text(each.concentrate_flow_m3_s, system)
    permeate = flow_text(each.permeate_flow_m3_s, system)
    return f"{valve}: {each.concentrate_brix:.1f} Brix, {permeate} of permeate"
