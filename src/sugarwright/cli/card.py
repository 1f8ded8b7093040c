"""``sugarwright card``: the rule card for a day on which the computer is off."""

from __future__ import annotations

import sys
from datetime import datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sugarwright.answering.house import trees_learnt
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.record import record_in
from sugarwright.cli.simulate import tell_if_building

FEWEST, USUAL, MOST = 4, 16, 200


def card(
    folder: FolderArgument = ".",
    seasons: Annotated[
        int,
        typer.Option(min=FEWEST, max=MOST, help="How many springs to tune it on; time grows so."),
    ] = USUAL,
    seed: Annotated[int, typer.Option(min=0, help="Another number tunes it on other springs.")] = 1,
    habit: Annotated[
        bool, typer.Option("--habit", help="Also print it as a [habit] for sugarhouse.toml.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Also keep its numbers in the folder, as card.json.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What do I do when the computer is off? Prints a card of rules to hang up.

    Clock times, gauges and settings that hold every day, tuned to your house over made-up springs
    of your place. Then it is judged beside your usual way in other springs. Takes about half a
    minute.

    Examples:
      sugarwright card my-sugarhouse
      sugarwright card --seasons 40 --habit
    """
    house = house_as_learnt(folder)
    tell_if_building()
    if sys.stderr.isatty():
        note("tuning: some hundred cards, each through whole springs")

    from sugarwright.cli.card_text import card_lines, habit_lines
    from sugarwright.planning.card_file import write_card
    from sugarwright.planning.card_today import Amount, make_card
    from sugarwright.planning.rule_card import Card
    from sugarwright.plant.assemble import assemble

    with record_in(folder, make=False) as book:
        trees = trees_learnt(book, house)
    made = datetime.now(ZoneInfo(house.site.timezone)).date()
    found = make_card(assemble(house), seed, made, Amount(tuned=seasons), trees)
    if keep:
        write_card(folder, Card(found.rows))
    if json:
        say(as_json(found))
    else:
        for text in found.notes:
            note(text)
        say(*card_lines(found))
        if habit:
            say("", *habit_lines(found))
