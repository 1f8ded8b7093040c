"""What a phone must know of the house to answer at the bench by its tables."""

from __future__ import annotations

from typing import Any

from sugarwright.bench.water_point import from_elevation
from sugarwright.plant.house import House
from sugarwright.units import MASS, TEMPERATURE, VOLUME, Kind, from_unit
from sugarwright.web.offline.bench_tables import SURE

_UNITS = {
    "us": {"temperature": "°F", "volume": "gal", "small": "fl oz", "mass": "lb"},
    "metric": {"temperature": "°C", "volume": "L", "small": "mL", "mass": "kg"},
}
_KINDS = {"temperature": TEMPERATURE, "volume": VOLUME, "small": VOLUME, "mass": MASS}


def bench_terms(house: House) -> dict[str, Any]:
    """Return units with what one of them is in SI, the finish, and where water boils on average.

    Parameters
    ----------
    house : as learnt
    """
    water = from_elevation(house.site.elevation_m)
    units = _UNITS[house.site.units]
    return {
        "system": house.site.units,
        "finish_brix": house.pan.finish_brix,
        "water_boils_c": round(water.boiling_c, 3),
        "water_sure_k": round(SURE * water.sd_k, 2),
        "units": {name: _unit(unit, _KINDS[name]) for name, unit in units.items()},
    }


def _unit(name: str, kind: Kind) -> dict[str, Any]:
    offset = from_unit(0.0, kind, name)
    return {"name": name, "offset": offset, "factor": from_unit(1.0, kind, name) - offset}
