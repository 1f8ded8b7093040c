"""``sugarwright plan``: what to do today."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from sugarwright.answering.house import learnt_in
from sugarwright.answering.plan import (
    AGED,
    LEAST_HOURS,
    USUAL_HOURS,
    Basis,
    Forward,
    run_forward,
    weather_known,
)
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import note
from sugarwright.cli.plan_asked import print_missed, print_what_if
from sugarwright.cli.plan_checks import check
from sugarwright.cli.plan_print import print_plan
from sugarwright.cli.record import record_in
from sugarwright.cli.weather_options import WeatherTexts, tell_standing
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.planning.beginning import Questioned
    from sugarwright.planning.rule_card import Card
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
        int,
        typer.Option(
            min=LEAST_HOURS, max=120, help="How far to plan; the weather must reach so far."
        ),
    ] = USUAL_HOURS,
    seed: Annotated[
        int | None, typer.Option(min=0, help="Of the weathers drawn; left out: the hour itself.")
    ] = None,
    explain: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="Show where a number of the plan comes from: syrup, draws, sap (to come), "
            "permeate, lost, hours, wood, power, stock, full (the sap tank), stock full, spoil, "
            "brix (of the concentrate), money, habit, slack, more (of each limit), work (of the "
            "day), watch (what may happen), if (what would change it), or the number of an action.",
        ),
    ] = None,
    supposed: Annotated[
        list[str] | None,
        typer.Option(
            "--if",
            metavar="WORDS",
            help='Also plan as if something were otherwise, side by side: "home 18:00", "away '
            'tomorrow", "membrane down till noon", "no fire today", "light 17:00", "gather '
            '18:00", "set-point 20 gal/h", "wood 0.5 cord", "warmer 2 F", "hour $0". May be '
            "repeated; what is joined by ; is supposed together.",
        ),
    ] = None,
    missed: Annotated[
        str | None,
        typer.Option(
            metavar="ACTION",
            help='An action of the plan kept was missed, by its number or words ("light 17:00"): '
            "what that costs, and what to do now.",
        ),
    ] = None,
    day: Annotated[
        str,
        typer.Option(
            "--for",
            metavar="today|tomorrow",
            help="For which day. Tomorrow's plan lets the rest of today go by the plan kept, or by "
            "your habit.",
        ),
    ] = "today",
    calendar: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.ics",
            help="Also write the actions as a calendar file with alarms. A newer file replaces "
            "its actions of the same day; one that is no longer planned, delete by hand. None is "
            "written where nothing is to be done at an hour.",
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
      sugarwright plan --sap "14 in" --if "home 18:00" --if "warmer by 2 F"
      sugarwright plan --sap "14 in" --missed "light 17:00"
    """
    check(supposed or [], missed, day, explain, calendar, as_message=text, as_document=json)
    house = house_as_learnt(folder)
    with record_in(folder, make=keep, needed=False) as book:
        told = None if book.newest(1) else read_levels(house, levels)
        known = weather_known(
            folder, house, book, lambda file: now_s(house, file, now), weather.wanted(), hours
        )
        if known.footing is not None and (json or supposed or explain is not None):
            tell_standing(known.footing, house)  # the text of a plan says it itself
        forward, read_s = None, None
        if told is None:
            forward = run_forward(folder, house, known.begin_s, book)
            told = read_levels(house, levels, None if forward is None else forward.levels)
            if forward is not None:
                known = known.with_run(forward.run)
                read_s = None if levels.sap else forward.read_s
        learnt = learnt_in(folder, house, book)
        basis = Basis(house, known, told, _card(folder), book, seed, read_s, learnt)
        if forward is not None:
            basis = by_the_log(basis, forward, levels)
        if supposed:
            print_what_if(basis, supposed, as_document=json)
        elif missed is not None:
            print_missed(basis, missed, keep=keep, as_document=json)
        else:
            print_plan(
                basis, explained=explain, calendar=calendar, as_message=text, as_document=json,
                kept_in=book if keep else None, tomorrow=day == "tomorrow",
            )  # fmt: skip


def by_the_log(basis: Basis, forward: Forward, levels: LevelTexts) -> Basis:
    """Return what a plan is made from, with what of it stands as the log has it."""
    return replace(
        basis,
        unrinsed_s=forward.unrinsed_s,
        aged_by_log=tuple(each for each in AGED if getattr(levels, f"{each}_age") is None),
        questioned=tuple(
            each for each in forward.questioned if getattr(levels, _told_as(each), None) is None
        ),
    )


def _told_as(questioned: Questioned) -> str:
    """Return the option by which a reading of the same is told, which then stands for it."""
    brix = "_brix" if questioned.quantity == "brix" else ""
    return "gathered" if ":" in questioned.place else f"{questioned.place}{brix}"


def _card(folder: str) -> Card | None:
    """Return the rule card kept in the folder, if there is one."""
    from sugarwright.planning.card_file import read_card

    return read_card(folder)


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
