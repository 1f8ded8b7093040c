"""``sugarwright finish``: the bench where syrup is judged, corrected and packed."""

from __future__ import annotations

from typing import Any

from sugarwright.cli.lazy import LazyCommands, command_group
from sugarwright.errors import InputError

OPTIONS = {name: f"--{name}" for name in ("with", "to", "sap", "drum", "light", "loss", "law")}
"""What the bench calls a value -> the option that it came from."""


class FinishCommands(LazyCommands):
    """The commands of the finish bench."""

    table = {  # noqa: RUF012  the base class declares it
        "check": "sugarwright.cli.finish_measure:check",
        "boil": "sugarwright.cli.finish_measure:boil",
        "adjust": "sugarwright.cli.finish_batch:adjust",
        "blend": "sugarwright.cli.finish_batch:blend",
        "ratio": "sugarwright.cli.finish_batch:ratio",
        "grade": "sugarwright.cli.finish_sell:grade",
        "pack": "sugarwright.cli.finish_sell:pack",
        "law": "sugarwright.cli.finish_sell:law",
    }

    def invoke(self, ctx: Any) -> Any:
        """Run a command; what the bench refuses is told by the name of its option."""
        try:
            return super().invoke(ctx)
        except InputError as error:
            raise error.at(OPTIONS.get(error.field, error.field), error.place) from None


app = command_group(
    FinishCommands,
    "finish",
    """Is it syrup, and what do I do with it? The bench beside the pan.

Every answer says how sure it is: "give or take" holds 19 times in 20. Needs no sugarhouse.toml;
name a FOLDER and it takes elevation, units and strength of your syrup from there.

\b
Examples:
  sugarwright finish check --hydrometer "59 Brix" --temperature 211F
  sugarwright finish boil --barometer "29.4 inHg"
  sugarwright finish adjust --volume "6 gal" --brix 68.2 --to 66.9
  sugarwright finish pack --volume "10 gal" --temperature 186F --into quart
""",
)
