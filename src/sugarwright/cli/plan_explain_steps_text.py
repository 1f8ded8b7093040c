"""The steps and starts of an explanation, as tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sugarwright.cli.plan_action_text import short_when
from sugarwright.cli.plan_words import Words
from sugarwright.planning.explanation import Explanation, Step
from sugarwright.units import FLOW, MONEY, TEMPERATURE, VOLUME

_WHAT = {
    "look": "look", "begin": "begins", "end": "ends", "first draw": "first draw",
    "again": "stock again", "own hour": "own hour", "latest": "latest", "frost": "frost",
    "out": "fire let go", "leave": "died down",
}  # fmt: skip
_HOUR_S = 3600.0
_STEP_WIDTHS = (9, 5, 9, 5, 7, 6)
_MADE_WIDTHS = (14, 10, 12, 10, 18)


def step_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield a row for each step that an action's numbers are read from."""
    heads = ("sap", "used", "stock", "used", "keep", "air")
    yield f"  {'':<21}{_joined(heads, _STEP_WIDTHS)}  runs"
    day_s = words.report.days[words.report.main_day].begin_s
    for step in found.steps:
        when = short_when(words, step.time_s, day_s)
        cells = _joined(_cells(words, step), _STEP_WIDTHS)
        yield f"  {_WHAT[step.what]:<11} {when:<9}{cells}  {_runs(step)}".rstrip()


def _joined(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))


def _cells(words: Words, step: Step) -> list[str]:
    return [
        words.volume(step.sap_m3, 0),
        f"{step.sap_life_used:.0%}",
        words.volume(step.stock_m3, 0),
        f"{step.stock_life_used:.0%}",
        words.volume(step.reserve_m3, 0),
        words.show(step.air_c, TEMPERATURE),
    ]


def _runs(step: Step) -> str:
    return ", ".join(["membrane"] * step.membrane_on + ["fire"] * step.fire_on)


def made_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield a row for each run of the membrane: what it begins on, and what it makes of that."""
    heads = ("set to", "sap", "membrane", "makes", "and of permeate")
    yield f"  {'':<9}{_joined(heads, _MADE_WIDTHS)}"
    for step in found.steps:
        permeate = words.show((step.permeate_m3_s or 0.0) * _HOUR_S, VOLUME)
        cells = (
            words.show(step.flow_m3_s or 0.0, FLOW),
            f"{step.sap_brix:.1f} Brix",
            f"{step.condition:.0%}",
            f"{step.concentrate_brix or 0.0:.1f} Brix",
            f"{permeate} an hour",
        )
        clock = f"{words.day(step.time_s)[:3]} {words.clock(step.time_s)}"
        yield f"  {clock:<9}{_joined(cells, _MADE_WIDTHS)}"


def start_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield each start's times in a row each, with what they cost."""
    told = ""
    for start in found.starts:
        head = f"{words.day(start.time_s)}, {start.kind}"
        if head != told:
            told = head
            yield head
        cost = "breaks a rule: a hot pan short of feed, or left alone"
        if not start.breaks_rule:
            cost = words.show(start.costs_money, MONEY, 2)
        planned = "  as planned" if start.planned else ""
        yield f"  {words.clock(start.time_s):<7}{planned or f'  costs {cost}'}"
