"""``--chart``: where a command's chart goes. Shared by every command that has one to draw."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.output import note, say
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.cli.charts_data import ChartData

HERE = "-"

ChartOption = Annotated[
    str | None,
    typer.Option(
        "--chart",
        metavar="FILE",
        help="Draw it as well: into a picture whose name ends in .png or .svg, or here, with "
        "letters, when FILE is -.",
    ),
]


def check_chart(name: str | None, *, as_document: bool) -> None:
    """Refuse what cannot be drawn before anything long is reckoned.

    Parameters
    ----------
    name : as typed after ``--chart``; None when it was left out
    as_document : whether stdout is promised to a JSON document

    Raises
    ------
    InputError : see ``charts_file.check_chart_file``, or a drawing that the document leaves no
        room for
    """
    if name is None:
        return
    if name != HERE:
        from sugarwright.cli.charts_file import check_chart_file

        check_chart_file("--chart", name)
    elif as_document:
        raise InputError(
            "--chart", name, "cannot stand beside --json", "a file that ends in .png or .svg"
        )


def draw_chart(name: str | None, make: Callable[[], ChartData]) -> None:
    """Draw a chart where it was asked for.

    Parameters
    ----------
    name : as typed after ``--chart``; None when it was left out
    make : returns the chart; called only if one is wanted

    Raises
    ------
    InputError : the file cannot be written
    """
    if name is None:
        return
    if name == HERE:
        from sugarwright.cli.charts_text import chart_lines

        say("", *chart_lines(make()))
        return
    from sugarwright.cli.charts_file import write_chart

    write_chart(make(), "--chart", name)
    note(f"chart drawn: {name}")
