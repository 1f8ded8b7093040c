"""``sugarwright learn``: what your own records teach the program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sugarwright.cli.lazy import LazyCommands, command_group


class LearnCommands(LazyCommands):
    """The commands that learn."""

    table = {  # noqa: RUF012  the base class declares it
        "all": "sugarwright.cli.learn_all:everything",
        "trees": "sugarwright.cli.learn_trees:trees",
        "membrane": "sugarwright.cli.learn_membrane:membrane",
    }

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the words; without the name of a command they are those of ``all``."""
        first = args[0] if args else ""
        named = first in (*self.table, "-h", "--help")
        is_folder = bool(first) and not first.startswith("-") and Path(first).exists()
        if not args or is_folder or (first.startswith("-") and not named):
            args = ["all", *args]
        if args[-1] == "--undo" and args[0] == "all":
            args = [*args, "all"]
        parsed: list[str] = super().parse_args(ctx, args)
        return parsed


app = command_group(
    LearnCommands,
    "learn",
    """What do my own records say? Fits the program to your sugarhouse.

Without a further word it learns all at once. Nothing is overwritten: what was kept can be taken
back.

\b
Examples:
  sugarwright learn my-sugarhouse
  sugarwright learn --keep
  sugarwright learn --undo pan
  sugarwright learn trees --gatherings gatherings.csv
  sugarwright learn membrane --keep
""",
    alone_is_help=False,
)
