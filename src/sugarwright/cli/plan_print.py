"""Plan, and print the plan, or where a number of it comes from."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.simulate import tell_if_building
from sugarwright.errors import InputError, SugarwrightError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.forced import Settled
    from sugarwright.planning.report import PlanReport
    from sugarwright.planning.rule_card import Card
    from sugarwright.planning.weathers import Belief
    from sugarwright.plant.assemble import Plant
    from sugarwright.plant.state import Levels
    from sugarwright.plant.tank_kernel import Floats
    from sugarwright.weather.hours import HourlyWeather


def print_plan(
    house: House,
    weather: HourlyWeather,
    levels: Levels,
    begin_s: int,
    hours: int = 72,
    seed: int | None = None,
    belief: Belief | None = None,
    *,
    card: Card | None = None,
    explained: str | None = None,
    calendar: str | None = None,
    before: Floats | None = None,
    as_message: bool = False,
    as_document: bool = False,
    kept_in: Logbook | None = None,
    tomorrow_from: Logbook | None = None,
    read_s: float | None = None,
) -> None:
    """Plan, and print the plan, or where a number of it comes from, in words or as a document."""
    tell_if_building()
    if sys.stderr.isatty():
        note("planning: about a thousand plans, each in eight weathers")

    from sugarwright.cli.plan_message import message
    from sugarwright.cli.plan_text import plan_lines
    from sugarwright.planning.today import plan_with_grounds
    from sugarwright.plant.assemble import assemble

    plant = assemble(house)
    settled, carried_out = None, ""
    if tomorrow_from is not None:
        settled, carried_out = _today_settled(tomorrow_from, plant, begin_s)
    report, grounds = plan_with_grounds(
        plant,
        weather,
        levels,
        begin_s,
        hours,
        seed,
        before=before,
        belief=belief,
        card=card,
        settled=settled,
        carried_out=carried_out,
    )
    report = replace(report, standing=replace(report.standing, read_s=read_s))
    if kept_in is not None:
        keep_as_issued(kept_in, house, report, grounds.state)
    if calendar is not None:
        _write_calendar(calendar, report)
    if explained is not None:
        from sugarwright.cli.plan_explain_text import explanation_lines
        from sugarwright.planning.explain import explain

        found = explain(grounds, report, explained)
        say(*([as_json(found)] if as_document else explanation_lines(report, found)))
    elif as_document:
        say(as_json(report))
    elif as_message:
        say(message(report))
    else:
        say(*plan_lines(report))


def _today_settled(book: Logbook, plant: Plant, begin_s: int) -> tuple[Settled, str]:
    """What today goes by until midnight: the plan kept, else the habit."""
    from sugarwright.planning.choices import habit_rows
    from sugarwright.planning.morning import today_by
    from sugarwright.planning.plan_store import plan_before

    kept = plan_before(book.plans, plant.house, begin_s)
    if kept is None:
        return today_by(habit_rows(plant, 1)[0]), "habit"
    return today_by(kept[0]), "before"


def keep_as_issued(book: Logbook, house: House, report: PlanReport, state: Floats) -> None:
    """Keep the plan as issued; where that cannot be, say so: the plan itself comes."""
    from sugarwright.planning.plan_store import keep_plan

    try:
        keep_plan(book.plans, house, report, state)
    except SugarwrightError as problem:
        note(f"the plan is not kept: {problem}")


def _write_calendar(name: str, report: PlanReport) -> None:
    """Write the plan's actions as a calendar file.

    Raises
    ------
    InputError : the file cannot be written
    """
    from sugarwright.cli.plan_calendar import calendar_file

    try:
        Path(name).write_bytes(calendar_file(report))
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("--calendar", name, f"cannot be written: {reason}") from None
