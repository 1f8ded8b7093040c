"""``sugarwright plan``: what to do today."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.record import record_in
from sugarwright.cli.simulate import tell_if_building
from sugarwright.cli.weather_options import (
    WeatherTexts,
    read_weather,
    stands_on_kept,
    tell_standing,
)
from sugarwright.errors import InputError, SugarwrightError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.report import PlanReport
    from sugarwright.planning.rule_card import Card
    from sugarwright.planning.weathers import Belief
    from sugarwright.plant.state import Levels
    from sugarwright.plant.tank_kernel import Floats
    from sugarwright.weather.hours import HourlyWeather
OLD_S = 12 * 3600  # a forecast older than that is not of this morning


@with_groups
def plan(
    weather: WeatherTexts,
    levels: LevelTexts,
    folder: FolderArgument = ".",
    now: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Local time at which the plan begins: "2026-03-19 05:10", or "05:10" of the day '
            "of the forecast. Left out: when the forecast was issued, if the file says so; else "
            "this very moment.",
        ),
    ] = None,
    hours: Annotated[
        int, typer.Option(min=12, max=120, help="How far to plan; the weather must reach so far.")
    ] = 72,
    seed: Annotated[
        int | None, typer.Option(min=0, help="Of the weathers drawn; left out: the hour itself.")
    ] = None,
    explain: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="Show where a number of the plan comes from: syrup, hours, wood, power, permeate, "
            "money, full (the sap tank), or the number of an action.",
        ),
    ] = None,
    calendar: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.ics",
            help="Also write the actions as a calendar file with alarms. A newer file replaces "
            "its actions of the same day; one that is no longer planned, delete by hand.",
        ),
    ] = None,
    text: Annotated[
        bool, typer.Option("--text", help="Print the day in a few hundred letters, to be sent.")
    ] = False,
    keep: Annotated[
        bool,
        typer.Option(
            "--keep/--no-keep",
            help="Keep the plan in the folder: tomorrow's goes on from it unless a new one gains.",
        ),
    ] = True,
    json: JsonOption = False,
) -> None:
    """What should I do today? Plans the day by running your house in many weathers.

    Tell it how the tanks stand now. Every action has a clock time and a gauge to look at; below
    stand what it brings, what may happen, and what your usual way of working would have done.

    Examples:
      sugarwright plan my-sugarhouse --weather forecast.csv --sap "212 gal"
      sugarwright plan --sap "14 in" --sap-brix 1.9 --sap-age "14 h" --pan-brix 12
    """
    if calendar is not None and Path(calendar).suffix.lower() != ".ics":
        raise InputError("--calendar", calendar, "is no calendar file", "a name that ends in .ics")
    house = house_as_learnt(folder)
    start_levels = read_levels(house, levels)
    from sugarwright.planning.plan_store import plan_before

    with record_in(folder, make=keep) as book:
        known, begin_s, belief = _known(
            folder, house, weather, now, hours, book, tell=json or explain is not None
        )
        print_plan(
            house, known, start_levels, begin_s, hours, seed, belief, card=_card(folder),
            before=plan_before(book.plans, house, begin_s), explained=explain, calendar=calendar,
            as_message=text, as_document=json, kept_in=book if keep else None,
        )  # fmt: skip


def _card(folder: str) -> Card | None:
    """Return the rule card kept in the folder, if there is one."""
    from sugarwright.planning.card_file import read_card

    return read_card(folder)


def _known(
    folder: str,
    house: House,
    texts: WeatherTexts,
    now: str | None,
    hours: int,
    book: Logbook,
    *,
    tell: bool,
) -> tuple[HourlyWeather, int, Belief]:
    """Return the weather, when the plan begins, and what is believed of both weather and trees."""
    from sugarwright.logbook.trees import TREES, trees_of
    from sugarwright.planning.belief import believe
    from sugarwright.planning.weathers import Belief
    from sugarwright.plant.tree_knowledge import knowledge_for
    from sugarwright.weather.standing import stand

    trees = knowledge_for(trees_of(book.knowledge(TREES)), house.trees.tapped.year)
    if not stands_on_kept(folder, texts, book):
        weather = read_weather(folder, house, texts)
        return weather, now_s(house, weather, now), Belief(trees=trees)
    begin_s = now_s(house, None, now)
    footing = stand(book.weather, begin_s, begin_s + hours * 3600)
    if tell:  # the text says it itself
        tell_standing(footing, house)
    belief = believe(house, book.weather, footing, begin_s, trees)
    return footing.weather, begin_s, belief


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
) -> None:
    """Plan, and print the plan, or where a number of it comes from, in words or as a document."""
    tell_if_building()
    if sys.stderr.isatty():
        note("planning: about a thousand plans, each in eight weathers")

    from sugarwright.cli.plan_message import message
    from sugarwright.cli.plan_text import plan_lines
    from sugarwright.planning.today import plan_with_grounds
    from sugarwright.plant.assemble import assemble

    report, grounds = plan_with_grounds(
        assemble(house),
        weather,
        levels,
        begin_s,
        hours,
        seed,
        before=before,
        belief=belief,
        card=card,
    )
    if kept_in is not None:
        _keep(kept_in, house, report)
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


def _keep(book: Logbook, house: House, report: PlanReport) -> None:
    """Keep the plan as issued; where that cannot be, say so: the plan itself comes."""
    from sugarwright.planning.plan_store import keep_plan

    try:
        keep_plan(book.plans, house, report)
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


def now_s(house: House, weather: HourlyWeather | None, text: str | None) -> int:
    """UTC s at which a plan begins: as typed, else when the forecast was issued, else now.

    Raises
    ------
    InputError : the text is no time
    """
    if text is None:
        now = int(datetime.now().timestamp())
        if weather is None or weather.issued_s is None:
            return now
        if abs(now - weather.issued_s) > OLD_S:
            issued = datetime.fromtimestamp(weather.issued_s, ZoneInfo(house.site.timezone))
            note(
                f"planning from the forecast's own time, {issued:%Y-%m-%d %H:%M}; --now changes it"
            )
        return weather.issued_s
    issued_s = None if weather is None else weather.issued_s
    today_s = datetime.now().timestamp() if issued_s is None else issued_s
    return read_moment_s("--now", text, house.site.timezone, today_s)
