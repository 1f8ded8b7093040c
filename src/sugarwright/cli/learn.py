"""``sugarwright learn``: what your own records teach the program."""

from __future__ import annotations

import typer

from sugarwright.cli.lazy import HELP_SETTINGS, LazyCommands


class LearnCommands(LazyCommands):
    """The commands that learn."""

    table = {  # noqa: RUF012  the base class declares it
        "trees": "sugarwright.cli.learn_trees:trees",
    }


app = typer.Typer(
    cls=LearnCommands,
    name="learn",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings=HELP_SETTINGS,
    help="""What do my own records say? Fits the program to your sugarhouse.

Nothing is overwritten: what was learnt can be taken back.

\b
Examples:
  sugarwright learn trees --gatherings gatherings.csv
""",
)


@app.callback()
def _learn() -> None:
    """Stand for the group, whose help is given above."""
