"""Which sensors a house has: what each measures, in which unit, how sure; and its token's hash.

The register is one piece of knowledge of the logbook ("sensors"): every version of it stays.
"""

from __future__ import annotations

import hashlib
import hmac
import math
import re
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Protocol

from sugarwright.errors import InputError, RangeError
from sugarwright.logbook.catalogue import KINDS, QUANTITIES, place_problem
from sugarwright.units import from_unit
from sugarwright.units.kind import Kind
from sugarwright.units.kinds import kind_of

SENSORS = "sensors"
SERIES_FORM = "1 to 40 of small letters, digits and hyphens, a letter first"
_SERIES = re.compile(r"[a-z][a-z0-9-]{0,39}")
_LEVELS = ("depth", "volume")


@dataclass(frozen=True)
class Sensor:
    """One sensor.

    Parameters
    ----------
    series : its name: "sap-level"
    place, quantity : what it measures, in the names of the logbook
    unit : of what it sends
    sd : standard uncertainty in SI; a lasting error is most of it
    offset : added to what it sends, in SI; where it looks down, the height of its face
    from_above : it sends the distance down to the liquid, so that the level is offset less that
    resolution : step in SI below which it tells nothing
    topic : of an MQTT broker, where it posts to one
    token_hash : SHA-256 of its token
    """

    series: str
    place: str
    quantity: str
    unit: str
    sd: float
    offset: float = 0.0
    from_above: bool = False
    resolution: float = 0.0
    topic: str = ""
    token_hash: str = ""

    def __post_init__(self) -> None:
        if not _SERIES.fullmatch(self.series):
            raise InputError("SERIES", self.series, "is no name of a sensor", SERIES_FORM)
        _check_measured(self.place, self.quantity)
        from_unit(0.0, self.kind, self.unit)
        for name, value in (("uncertainty", self.sd), ("resolution", self.resolution)):
            if not (math.isfinite(value) and value >= 0.0):
                raise InputError(name, None, "is less than nothing, or no number", "0 or more")
        if self.sd == 0.0:
            raise RangeError("uncertainty", self.sd, "is none: no sensor is quite sure", "above 0")
        if not math.isfinite(self.offset):
            raise RangeError("offset", self.offset, "is no number")
        if self.from_above and self.quantity != "depth":
            raise InputError("from above", self.quantity, "is no depth", "depth")
        if any(each in self.topic for each in "+#\0"):
            raise InputError("topic", self.topic, "names many topics", "one topic without + and #")

    @property
    def kind(self) -> Kind:
        """Of its unit."""
        return _kind(self.quantity)

    def in_si(self, value: float, unit: str = "") -> float:
        """Return what a number sent means, in SI.

        Raises
        ------
        InputError : no number, or a unit of something else
        """
        if not math.isfinite(value):
            raise RangeError("value", value, "is no number")
        sent = from_unit(value, self.kind, unit or self.unit)
        found = self.offset - sent if self.from_above else sent + self.offset
        if not self.kind.least <= found <= self.kind.greatest and self.quantity not in _LEVELS:
            raise RangeError("value", value, "cannot be")
        if self.quantity in _LEVELS and not -1e3 < found < 1e3:
            raise RangeError("value", value, "cannot be")
        return found

    def admits(self, token: str) -> bool:
        """Tell whether this is its token, in a time that says nothing of it."""
        return bool(self.token_hash) and hmac.compare_digest(hash_of(token), self.token_hash)


class Knowing(Protocol):
    """Whoever keeps what is known: the logbook."""

    def knowledge(self, name: str) -> dict[str, Any] | None:
        """Return the newest version."""

    def keep_knowledge(self, name: str, document: dict[str, Any], now_s: float) -> None:
        """Keep a version."""


def _kind(quantity: str) -> Kind:
    kind = kind_of(f"value{QUANTITIES[quantity].suffix}")
    if kind is None:
        raise InputError("quantity", quantity, "has no unit that a sensor could send")
    return kind


def _check_measured(place: str, quantity: str) -> None:
    reading = KINDS["reading"]
    if problem := place_problem(place):
        raise InputError("place", place, problem[0], problem[1])
    if place.partition(":")[0] not in reading.places:
        raise InputError("place", place, "has nothing to read", ", ".join(reading.places))
    if quantity not in reading.quantities:
        allowed = ", ".join(reading.quantities)
        raise InputError("quantity", quantity, "is none that is read", allowed)
    _kind(quantity)


def hash_of(token: str) -> str:
    """Return what is kept of a token. It has 256 bits of chance, so that no salt is needed."""
    return hashlib.sha256(token.encode()).hexdigest()


def with_new_token(sensor: Sensor) -> tuple[Sensor, str]:
    """Return a sensor with a fresh token, and the token, which is kept nowhere."""
    token = secrets.token_urlsafe(32)
    return replace(sensor, token_hash=hash_of(token)), token


def sensors_in(book: Knowing) -> dict[str, Sensor]:
    """Return the sensors of a house by their series."""
    document = book.knowledge(SENSORS) or {}
    return {each["series"]: Sensor(**each) for each in document.get("sensors", [])}


def keep_sensors(book: Knowing, sensors: Mapping[str, Sensor], now_s: float) -> None:
    """Keep these sensors, and no others."""
    rows = [asdict(sensors[name]) for name in sorted(sensors)]
    book.keep_knowledge(SENSORS, {"sensors": rows}, now_s)


def sensor_of(book: Knowing, series: str) -> Sensor:
    """Return one sensor.

    Raises
    ------
    InputError : the house has none of that name
    """
    found = sensors_in(book)
    if series not in found:
        fix = "`sugarwright sensor add` describes one"
        raise InputError("SERIES", series, "is no sensor of this house", ", ".join(found), fix)
    return found[series]
