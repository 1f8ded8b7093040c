"""A sensor from the words that describe it, checked against the house."""

from __future__ import annotations

from sugarwright.errors import InputError
from sugarwright.logbook.meaning import tank_at
from sugarwright.logbook.sensor_register import Sensor
from sugarwright.plant.house import House
from sugarwright.plant.tanks import full_depth_m
from sugarwright.units import from_unit, parse

_AT_TANKS = ("sap", "stock", "permeate", "gathering")


def described(
    house: House, series: str, place: str, quantity: str, unit: str, sd: str,
    offset: float, from_above: bool, resolution: float, topic: str,
) -> Sensor:  # fmt: skip
    """Return a sensor; ``offset`` and ``resolution`` in its unit, ``sd`` with one of its own.

    Raises
    ------
    InputError : something does not fit the house, or is no unit of what is measured
    """
    bare = Sensor(series, place, quantity, unit, 1.0)
    _fits(house, place, quantity)
    zero = from_unit(0.0, bare.kind, unit)  # a step of degrees has no zero of its own

    def step(value: float) -> float:
        return from_unit(value, bare.kind, unit) - zero

    unsure = _unsure(sd, bare, unit)
    return Sensor(
        series, place, quantity, unit, unsure, step(offset), from_above, step(resolution), topic
    )


def _unsure(text: str, sensor: Sensor, unit: str) -> float:
    """Return an uncertainty; of degrees it is a difference."""
    if sensor.quantity == "temperature":
        from sugarwright.units.kinds import kind_of

        kind = kind_of("difference_k")
        if kind is not None:
            return parse(text, kind, "--sd")
    return parse(text, sensor.kind, "--sd", unit)


def _fits(house: House, place: str, quantity: str) -> None:
    if place.partition(":")[0] not in _AT_TANKS:
        return
    tank = tank_at(house, place)
    if tank is None:
        raise InputError("--place", place, "is no tank of this house")
    if quantity == "depth":
        try:
            full_depth_m(tank)
        except InputError:
            fix = "Describe its shape in sugarhouse.toml, or let the sensor send a volume"
            raise InputError("--measures", quantity, "has no known shape", fix=fix) from None
