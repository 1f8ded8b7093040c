"""A plan in words, in 80 columns: what to do, what to expect, what may happen instead."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_action_text import action_lines
from sugarwright.cli.plan_words import Words, entry, hanging
from sugarwright.planning.action import Action
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import Day, PlanReport
from sugarwright.saying import plan_parts as parts
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_fire_ends import pan_left_text
from sugarwright.saying.plan_folding import folded
from sugarwright.saying.plan_found import found_texts
from sugarwright.saying.plan_ifs import idle_text, if_texts, limits_text
from sugarwright.saying.plan_next import next_text
from sugarwright.saying.plan_watches import watch_texts
from sugarwright.saying.plan_work import chores_text, overwork_text


def plan_lines(report: PlanReport) -> Iterator[str]:
    """Yield the lines of a plan, none longer than 80 columns where words allow."""
    for paragraph in _paragraphs(report):
        yield from paragraph.split("\n")


def _paragraphs(report: PlanReport) -> Iterator[str]:
    words = Words(report)
    main = report.days[report.main_day]
    yield hanging("", f"{words.date(report.begin_s)}, {report.house}")
    yield from _entries("!", broken_texts(words))
    yield from _heading(words)
    yield ""
    yield from _to_do(words, main)
    yield ""
    yield from _later(words, main)
    yield from _entries("next", [next_text(words)])
    label = "today" if main is report.days[0] else words.day(main.begin_s)[:3].lower()
    yield entry(label, parts.expected_text(words, main))
    yield from _entries("pan", [pan_left_text(words)])
    yield from _entries("chores", [chores_text(words, main)])
    yield from _entries("", [overwork_text(words, main)])
    yield from _entries("watch", watch_texts(words, main))
    yield from _entries("if", if_texts(words, main))
    yield from _entries("more", [limits_text(words)])
    yield entry("habit", parts.habit_text(words))
    yield from _cautions(report, [*report.tonight, *main.actions])


def _entries(label: str, texts: Iterator[str] | list[str]) -> Iterator[str]:
    return (entry(label, text) for text in texts if text)


def _heading(words: Words) -> Iterator[str]:
    report = words.report
    yield entry("weather", parts.forecast_text(words))
    for caution in report.forecast_cautions:
        yield entry("", caution)
    yield entry(f"at {words.clock(report.begin_s)}", parts.standing_text(words))
    yield from _entries("", [parts.run_forward_text(words)])
    yield from _entries("!", parts.questioned_texts(words))
    yield from _entries("learnt", [parts.learnt_text(words)])
    yield from _entries("plan", found_texts(report))
    if report.morning is not None:
        yield entry("until", parts.CARRIED_OUT[report.morning.carried_out])
        yield entry("morning", parts.morning_text(words, report.morning))


def _to_do(words: Words, main: Day) -> Iterator[str]:
    today = words.report.days[0]
    yield from _tonight(words)
    if words.report.morning is not None and main.actions:
        yield f"{words.day(main.begin_s)}:"
    elif main is not today or not main.actions:
        yield "Nothing to do today."
        if today.idle is not None:
            yield hanging("", idle_text(words, today.idle))
        if not main.actions:
            return
        yield f"{words.day(main.begin_s)}:"
    numbered = list(enumerate(main.actions, 1))
    for (number, action), end in folded(numbered, lambda each: each[1].kind):
        yield from action_lines(words, number, action, end, day_s=main.begin_s)


def _tonight(words: Words) -> Iterator[str]:
    """Yield what a plan for tomorrow still asks for today: without a number, it is not its day."""
    heading = parts.tonight_text(words)
    if heading:
        yield f"{heading}:"
    for action in words.report.tonight:
        yield from action_lines(words, None, action, day_s=words.report.begin_s)


def _later(words: Words, main: Day) -> Iterator[str]:
    """Say the days after in a line each: they will be planned anew."""
    later = list(parts.later_texts(words, main))
    for number, (day, text) in enumerate(later, 1):
        said = "(all planned anew)" if number > 1 else "(planned anew)"
        yield entry(day[:3].lower(), f"{text} {said}" if number == len(later) else text)


def _cautions(report: PlanReport, actions: list[Action]) -> Iterator[str]:
    keys = dict.fromkeys(action.caution for action in actions if action.caution)
    keys |= {} if report.pan_left is None else {"fire": None}  # it is to be finished over one
    if keys:
        yield ""
    for key in keys:
        yield hanging("!  ", CAUTIONS[key])
