"""Plan, and print the plan, or where a number of it comes from."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.answering.plan import Basis, make_plan
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.simulate import tell_if_building
from sugarwright.errors import InputError, SugarwrightError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.report import PlanReport
    from sugarwright.plant.tank_kernel import Floats


def print_plan(
    basis: Basis,
    *,
    explained: str | None = None,
    calendar: str | None = None,
    as_message: bool = False,
    as_document: bool = False,
    kept_in: Logbook | None = None,
    tomorrow: bool = False,
) -> None:
    """Plan, and print the plan, or where a number of it comes from, in words or as a document."""
    tell_if_building()
    if sys.stderr.isatty():
        from sugarwright.saying.plan_found import search_text

        note(search_text())

    report, planned = make_plan(basis, tomorrow=tomorrow)
    if kept_in is not None:
        keep_as_issued(kept_in, basis.house, report, planned.state)
    if calendar is not None:
        _write_calendar(calendar, report)
    if explained is not None:
        from sugarwright.cli.plan_explain_text import explanation_lines
        from sugarwright.planning.explain import explain

        found = explain(planned, report, explained)
        say(*([as_json(found)] if as_document else explanation_lines(report, found)))
    elif as_document:
        say(as_json(report))
    elif as_message:
        from sugarwright.cli.plan_message import message

        say(message(report))
    else:
        from sugarwright.cli.plan_text import plan_lines

        say(*plan_lines(report))


def keep_as_issued(book: Logbook, house: House, report: PlanReport, state: Floats) -> None:
    """Keep the plan as issued; where that cannot be, say so: the plan itself comes."""
    from sugarwright.planning.plan_store import keep_plan

    try:
        keep_plan(book.plans, house, report, state)
    except SugarwrightError as problem:
        note(f"the plan is not kept: {problem}")


def _write_calendar(name: str, report: PlanReport) -> None:
    """Write the plan's actions as a calendar file; where nothing is to ring, say so.

    Alarms of an earlier plan must not go on ringing from a file of that name: it is removed then.

    Raises
    ------
    InputError : the file cannot be written
    """
    from sugarwright.saying.plan_calendar import OURS, calendar_file

    events, file = calendar_file(report), Path(name)
    try:
        if events is not None:
            file.write_bytes(events)
        elif file.is_file() and OURS.encode() in file.read_bytes():
            file.unlink()
            note(
                f'nothing is to be done at an hour: "{name}" of an earlier plan is removed. What '
                "your calendar took from it, delete there"
            )
        else:
            note(f'nothing is to be done at an hour: "{name}" is not written')
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("--calendar", name, f"cannot be written: {reason}") from None
