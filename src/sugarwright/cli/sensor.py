"""``sugarwright sensor``: sensors that post readings, and their tokens."""

from __future__ import annotations

from sugarwright.cli.lazy import LazyCommands, command_group


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


app = command_group(
    SensorCommands,
    "sensor",
    """Which sensors post readings, and what do they say?

A level or temperature sensor may send what it reads. It never replaces a look into the tank.

\b
Examples:
  sugarwright sensor add --help
  sugarwright sensor show sap-level
  sugarwright sensor token sap-level
""",
)
