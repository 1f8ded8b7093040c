"""The twin's state as readings from which a plan can start."""

from __future__ import annotations

from sugarwright.plant.house import House
from sugarwright.plant.state import MOST_BRIX, Contents, Levels
from sugarwright.twin.report import NowReport, TankNow

_LEAST_CONDITION = 0.05
_UNKNOWN_FRACTION = 0.75  # of a tank between 5 and 95 %: as good as never read
_OLD_S = 4 * 86400.0
_LEAST_PAN_BRIX = 0.5


def levels_of(house: House, report: NowReport) -> Levels:
    """Return the medians of everything as levels.

    Parameters
    ----------
    house : as described
    report : where everything stands

    Returns
    -------
    Levels. A membrane or a fire runs where more than half of the members say so; one that the log
    has let go gives what heat it still has, until it may be left. A tank of which next to nothing
    is known is taken to be empty.
    """
    tanks = {tank.place: tank for tank in report.tanks}
    empty = Levels()
    membrane, pan = report.membrane, report.pan
    lasting = 1.0 if house.membrane is None else house.membrane.condition_fraction
    pan_brix = pan.brix.middle if pan.filled_probability > 0.5 else 0.0
    fire = pan.fire_probability > 0.5
    heat_fraction = 0.0 if fire else pan.heat_fraction
    return Levels(
        sap=_contents(tanks["sap"]),
        stock=_contents(tanks["stock"]) if "stock" in tanks else empty.stock,
        permeate=_contents(tanks["permeate"]) if "permeate" in tanks else empty.permeate,
        gathered=tuple(
            _contents(tanks[f"gathering:{g.name}"])
            if f"gathering:{g.name}" in tanks
            else Contents(brix=house.trees.sap_brix)
            for g in house.gathering
        ),
        pan_brix=max(pan_brix, _LEAST_PAN_BRIX) if fire or heat_fraction > 0.0 else pan_brix,
        wood_m3=max(0.0, report.wood_m3.middle),
        condition=1.0
        if membrane is None
        else min(1.0, max(_LEAST_CONDITION, membrane.condition.middle / lasting)),
        run_since_wash_s=0.0 if membrane is None else membrane.run_since_wash_s.middle,
        membrane_on=membrane is not None and membrane.on_probability > 0.5,
        fire_on=fire,
        heat_fraction=heat_fraction,
    )


def sap_read_s(report: NowReport) -> float | None:
    """Return when the sap tank was last read, UTC s; None if it was not in the last days."""
    return _last_read_s(report, ("sap",))


def tanks_read_s(report: NowReport) -> float | None:
    """Return when sap or stock tank was last read, UTC s; None if neither was in the last days."""
    return _last_read_s(report, ("sap", "stock"))


def _last_read_s(report: NowReport, places: tuple[str, ...]) -> float | None:
    tanks = [tank for tank in report.tanks if tank.place in places]
    times = [each.at_s for tank in tanks for each in tank.read if each.quantity == "volume"]
    return max((each for each in times if each > report.now_s - _OLD_S), default=None)


def _contents(tank: TankNow) -> Contents:
    volume = tank.volume_m3
    known = volume.high - volume.low < _UNKNOWN_FRACTION * tank.capacity_m3
    return Contents(
        min(max(0.0, volume.middle), tank.capacity_m3) if known else 0.0,
        min(max(0.0, tank.brix.middle), MOST_BRIX),
        max(0.0, tank.age_s.middle),
        tank.temperature_c.middle,
    )
