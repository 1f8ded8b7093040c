"""``sugarwright weather``: getting, taking in and looking at the weather."""

from __future__ import annotations

from sugarwright.cli.lazy import LazyCommands, command_group


class WeatherCommands(LazyCommands):
    """The commands of the weather."""

    table = {  # noqa: RUF012  the base class declares it
        "fetch": "sugarwright.cli.weather_fetch:fetch",
        "import": "sugarwright.cli.weather_import:import_",
        "show": "sugarwright.cli.weather_show:show",
        "skill": "sugarwright.cli.weather_skill:skill",
    }


app = command_group(
    WeatherCommands,
    "weather",
    """Where does the weather come from? Fetch it, take it in from a file, or type it.

Forecasts are kept in the logbook as they were issued, and measured hours beside them.
Without a signal everything else goes on with what is kept, and says how old it is.

\b
Examples:
  sugarwright weather fetch my-sugarhouse --contact you@example.org
  sugarwright weather import logger.csv my-sugarhouse
  sugarwright weather import --low 24F --high 45F --low 28F --high 50F
  sugarwright weather show
""",
)
