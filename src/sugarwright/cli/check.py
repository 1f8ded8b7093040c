"""``sugarwright check``: the plant as it was understood."""

from __future__ import annotations

from sugarwright.answering.description import Checked, checked
from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, heading, say, wrapped


def check(folder: FolderArgument = ".", json: JsonOption = False) -> None:
    """Is my sugarhouse described right? Shows it as it was understood.

    Reads sugarhouse.toml, says everything that is wrong with it, each with its line, and what is
    possible but odd. Changes nothing.

    Example:
      sugarwright check my-sugarhouse
    """
    found = checked(house_in(folder))
    if json:
        say(as_json(found))
    else:
        show_checked(found)


def show_checked(found: Checked) -> None:
    """Print a house as it was understood."""
    first, *others = found.understood
    heading(first)
    for sentence in others:
        say(wrapped(sentence, "  ", "      "))
    say("")
    if not found.warnings:
        say("Nothing looks odd. If a line is not so at your place, correct sugarhouse.toml.")
        return
    heading("Look at this again")
    for sentence in found.warnings:
        say(wrapped(sentence, "  ! "))
