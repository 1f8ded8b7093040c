"""``sugarwright sensor list`` and ``show``."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.cli.folder import JsonOption, house_in
from sugarwright.cli.output import as_json, columns, say
from sugarwright.cli.record import record_in
from sugarwright.cli.sensor_add import FolderOption, SeriesArgument
from sugarwright.cli.sensor_document import SensorList, SensorReading, SensorShown, SensorTold

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.logbook.sensor_register import Sensor

DAY_S = 86400.0
_LINES = 24


def listed(folder: FolderOption = ".", json: JsonOption = False) -> None:
    """Which sensors are there, and what did each say last?

    Examples:
      sugarwright sensor list
    """
    from sugarwright.logbook.sensor_register import sensors_in

    house = house_in(folder)
    with record_in(folder, make=False) as book:
        sensors = sensors_in(book)
        told = [_told(each, book) for each in sensors.values()]
    if json:
        say(as_json(SensorList(tuple(told))))
        return
    if not told:
        say("No sensors. `sugarwright sensor add --help` says how one is described.")
        return
    zone = ZoneInfo(house.site.timezone)
    rows = [["", "measures", "last"]]
    for each in told:
        last = "nothing yet"
        if each.last_s is not None and each.last_value is not None:
            value = _shown(sensors[each.series], each.last_value)
            last = f"{value} at {_clock(each.last_s, zone)}"
        rows.append([each.series, f"{each.place} {each.quantity}", last])
    say(*columns(rows, left=3))


def show(series: SeriesArgument, folder: FolderOption = ".", json: JsonOption = False) -> None:
    """What did a sensor say in its last day?

    Examples:
      sugarwright sensor show sap-level
    """
    from sugarwright.logbook.sensor_register import sensor_of

    house = house_in(folder)
    with record_in(folder, make=False) as book:
        sensor = sensor_of(book, series)
        told = _told(sensor, book)
        last_s = told.last_s
        rows = () if last_s is None else book.sensor(series, last_s - DAY_S, last_s + 1.0)
    if json:
        say(as_json(SensorShown(told, tuple(SensorReading(*row) for row in rows))))
        return
    above = ", looks from above" if sensor.from_above else ""
    topic = f", topic {sensor.topic}" if sensor.topic else ""
    say(f"{series}: {sensor.place} {sensor.quantity} in {sensor.unit}{above}{topic}")
    zone = ZoneInfo(house.site.timezone)
    say(*(f"  {_clock(time_s, zone)}  {_shown(sensor, value)}" for time_s, value in rows[-_LINES:]))
    say(f"{len(rows)} readings kept of its last day.")


def _told(sensor: Sensor, book: Logbook) -> SensorTold:
    last = book.newest_sensor(sensor.series)
    last_s, last_value = (None, None) if last is None else last
    return SensorTold(
        sensor.series, sensor.place, sensor.quantity, sensor.unit, sensor.topic,
        sensor.sd, sensor.offset, sensor.resolution, sensor.from_above, last_s, last_value,
    )  # fmt: skip


def _shown(sensor: Sensor, value: float) -> str:
    from sugarwright.units import to_unit

    return f"{to_unit(value, sensor.kind, sensor.unit):.4g} {sensor.unit}"


def _clock(time_s: float, zone: ZoneInfo) -> str:
    return f"{datetime.fromtimestamp(time_s, zone):%Y-%m-%d %H:%M}"
