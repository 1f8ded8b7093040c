"""What the ``sensor`` commands print with ``--json``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SensorToken:
    """A fresh token.

    Parameters
    ----------
    series : name of the sensor
    token : kept nowhere but here
    """

    series: str
    token: str


@dataclass(frozen=True)
class SensorRemoved:
    """A sensor that was taken away.

    Parameters
    ----------
    removed : its name
    """

    removed: str


@dataclass(frozen=True)
class SensorTold:
    """A sensor and what it said last, SI.

    Parameters
    ----------
    series, place, quantity, unit, topic : as described
    sd, offset, resolution : in SI
    from_above : whether it looks down
    last_s, last_value : of the last reading kept; None without one
    """

    series: str
    place: str
    quantity: str
    unit: str
    topic: str
    sd: float
    offset: float
    resolution: float
    from_above: bool
    last_s: float | None
    last_value: float | None


@dataclass(frozen=True)
class SensorReading:
    """One reading kept.

    Parameters
    ----------
    time_s : UTC s
    value : in SI
    """

    time_s: float
    value: float


@dataclass(frozen=True)
class SensorList:
    """All sensors of a house.

    Parameters
    ----------
    sensors : in the order of the alphabet
    """

    sensors: tuple[SensorTold, ...]


@dataclass(frozen=True)
class SensorShown:
    """A sensor with its last readings.

    Parameters
    ----------
    sensor : as described
    readings : of the last day kept, the newest last
    """

    sensor: SensorTold
    readings: tuple[SensorReading, ...]
