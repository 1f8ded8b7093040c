"""``sugarwright sensor``: sensors that post readings, and their tokens."""

from __future__ import annotations

import typer

from sugarwright.cli.lazy import HELP_SETTINGS, LazyCommands


class SensorCommands(LazyCommands):
    """The commands for sensors."""

    table = {  # noqa: RUF012  the base class declares it
        "add": "sugarwright.cli.sensor_add:add",
        "list": "sugarwright.cli.sensor_show:listed",
        "show": "sugarwright.cli.sensor_show:show",
        "token": "sugarwright.cli.sensor_add:token",
        "remove": "sugarwright.cli.sensor_add:remove",
        "listen": "sugarwright.cli.sensor_listen:listen",
    }


app = typer.Typer(
    cls=SensorCommands,
    name="sensor",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings=HELP_SETTINGS,
    help="""Which sensors post readings, and what do they say?

A level or temperature sensor may send what it reads. It never replaces a look into the tank.

\b
Examples:
  sugarwright sensor add --help
  sugarwright sensor show sap-level
  sugarwright sensor token sap-level
""",
)


@app.callback()
def _sensor() -> None:
    """Stand for the group, whose help is given above."""
