"""The demo's folder: its files, and its half season of log taken in as any table is."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

from sugarwright.answering.folder import HOUSE_FILE, description_in
from sugarwright.answering.invented import is_invented_file
from sugarwright.answering.weather import WEATHER_FILE
from sugarwright.cli.record import record_in
from sugarwright.errors import InputError
from sugarwright.plant.house import House

LOG, FORECASTS = "log.csv", "forecasts.csv"
SHIPPED = files("sugarwright") / "demo"


def write_missing(folder: Path) -> None:
    """Put the demo's files where they are missing; refuse where another's would be meant.

    Raises
    ------
    InputError : the folder is no demo's, or cannot be written to
    """
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("folder", str(folder), "is a file", fix="Name another: demo FOLDER")
        for name in (HOUSE_FILE, WEATHER_FILE):
            if (folder / name).exists() and not is_invented_file(folder / name):
                raise InputError(
                    "folder",
                    str(folder),
                    f"has a {name} that is not the demo's, which is left alone",
                    fix="Name another folder: sugarwright demo FOLDER",
                )
        folder.mkdir(parents=True, exist_ok=True)
        for name in (HOUSE_FILE, WEATHER_FILE):
            if not (folder / name).exists():
                (folder / name).write_bytes((SHIPPED / name).read_bytes())
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("folder", str(folder), f"cannot be written to: {reason}") from None


def fill_logbook(folder: str, house: House, now_s: int) -> None:
    """Take the demo's log, forecasts and measured hours in, unless the logbook holds anything.

    Parameters
    ----------
    folder, house : of the demo
    now_s : UTC s of the demo's morning

    Raises
    ------
    LogbookError : the logbook cannot be used
    """
    from sugarwright.logbook.tables_csv import take_in_table
    from sugarwright.logbook.taking import take_in
    from sugarwright.weather.files import read_weather_csv

    with record_in(folder) as book:
        if book.newest(1):
            return
        weather = read_weather_csv(Path(folder) / WEATHER_FILE)
        book.weather.keep_observed([weather.between(weather.first_s, now_s - now_s % 3600)])
        book.keep_house(description_in(folder), now_s)
        with as_file(SHIPPED / FORECASTS) as path:
            take_in_table(folder, path, "forecasts")
        with as_file(SHIPPED / LOG) as path:  # last: with an entry in it the logbook is whole
            take_in(path, house, now_s, book)
