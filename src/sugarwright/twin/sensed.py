"""What sensors say, as entries that the filter can take: one a quarter hour, beside the log.

They are made anew each time from the readings kept, and no entry of the logbook: what people typed
stays by itself. States and answers that are kept hang on the typed entries alone. A state is
carried on by what sensors said since; readings that come in later, for hours that a kept state has
gone through, are left out until the log is followed from before them.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.sensor_register import Sensor
from sugarwright.plant.house import House
from sugarwright.twin.curves import Outlook
from sugarwright.twin.doubt import SIDE_SDS
from sugarwright.twin.report import Band
from sugarwright.twin.told import Reading, readings_of

QUARTER_S = 900.0
BEFORE_S = 2 * 86400.0  # a log of sensors is followed from so long before the first typed entry
UNHEARD_S = 3 * 3600.0  # so long an answer is told while sensors only say what it foretold
NEAR_SD = 2.0  # a reading so near to the middle of a band no wider than that says nothing new

Levels = Callable[[str, float, float], Sequence[tuple[float, float]]]
"""Of a series, from one UTC s to another: one (UTC s, value) a quarter hour that is over."""


@dataclass(frozen=True, eq=False)
class Sensed:
    """Sensors of a house and what they say.

    Parameters
    ----------
    sensors : as described
    levels : asks the record
    now_s : UTC s up to which they are heard
    """

    sensors: tuple[Sensor, ...]
    levels: Levels
    now_s: float

    @property
    def mark(self) -> str:
        """Tells one set of sensors from another; what they say is not in it."""
        told = [replace(each, token_hash="", topic="") for each in self.sensors]
        return f"{zlib.crc32(repr(told).encode()):08x}" if told else ""

    def first_s(self, typed_s: float) -> float:
        """Return UTC s of the first reading that is heard, before the first typed entry."""
        begin_s = typed_s - BEFORE_S
        firsts = [self.levels(each.series, begin_s, typed_s)[:1] for each in self.sensors]
        return min((row[0] for rows in firsts for row in rows), default=typed_s)

    def since(self, begin_s: float) -> list[Entry]:
        """Return what was said after a time, in order."""
        found = [
            _entry(sensor, *row)
            for sensor in self.sensors
            for row in self.levels(sensor.series, begin_s, self.now_s)
            if row[0] > begin_s
        ]
        return sorted(found, key=place_of)

    def news(self, house: House, outlook: Outlook, made_s: float, deaf: Sequence[str]) -> bool:
        """Tell whether sensors have said anything since an answer that it does not say already.

        Parameters
        ----------
        house : whose tanks they stand in
        outlook : the answer, and when it was made
        made_s : UTC s
        deaf : series that are not believed at the time
        """
        said = self.since(made_s)
        if said and said[-1].at_s > made_s + UNHEARD_S:
            return True
        heard = [each for each in said if each.measures[0].instrument not in deaf]
        readings = [reading for each in heard for reading in readings_of(house, each)]
        return any(_is_new(outlook, each) for each in readings)


def place_of(entry: Entry) -> tuple[float, str]:
    """Where an entry of a sensor stands in the order of all of them."""
    return entry.at_s, entry.key


def _entry(sensor: Sensor, at_s: float, value: float) -> Entry:
    sd = math.hypot(sensor.sd, sensor.resolution)
    measure = Measure(sensor.quantity, value, sd, instrument=sensor.series)
    key = f"sensor {sensor.series} {at_s:.0f}"
    return Entry(
        key, "reading", at_s, at_s, place=sensor.place, measures=(measure,), source="sensor"
    )


def _is_new(outlook: Outlook, reading: Reading) -> bool:
    """Tell whether a reading would move or narrow the band that was told."""
    band = _band(outlook, reading)
    if band is None:
        return False
    near = NEAR_SD * reading.sd
    band_sd = (band.high - band.low) / (2.0 * SIDE_SDS)
    return abs(reading.value - band.middle) > near or band_sd > near


def _band(outlook: Outlook, reading: Reading) -> Band | None:
    curves = {
        "volume": f"{reading.place}.volume_m3",
        "brix": f"{reading.place}.brix",
        "temperature": f"{reading.place}.temperature_c",
        "permeate_flow": "permeate_m3_s",
        "concentrate_brix": "concentrate_brix",
        "wood": "wood",
    }
    name = curves.get(reading.quantity, "")
    return outlook.band(name, reading.at_s) if name in outlook.curves else None
