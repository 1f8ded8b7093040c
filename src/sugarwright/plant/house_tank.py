"""Tanks."""

from __future__ import annotations

from sugarwright.plant.fields import choice, pairs, quantity, section, whole
from sugarwright.units import LENGTH, VOLUME

PLACES = ("outdoors", "indoors")
SHAPES = ("plain", "upright cylinder", "lying cylinder", "box", "cone bottom", "table")
PRACTICE = "common practice, no source"


@section("A tank")
class Tank:
    """One tank, or several alike that are plumbed together at the bottom.

    "plain": only the volume is known, so a depth on a stick cannot be read as gallons.
    "upright cylinder": diameter, height. "lying cylinder": diameter, length (flat ends).
    "box": length, width, height. "cone bottom": diameter, height of the straight part,
    cone_height. "table": depth_table, measured by filling the tank a known pail at a time.
    """

    shape: str = choice(SHAPES, default="plain", help="Form of the inside; see above.")
    volume_m3: float | None = quantity(
        VOLUME,
        default=None,
        example="400 gal",
        least="1 gal",
        greatest="50000 gal",
        help='All one tank can hold up to its overflow. For shape "plain" only.',
    )
    diameter_m: float | None = quantity(
        LENGTH,
        default=None,
        example="60 in",
        least="2 in",
        greatest="40 ft",
        help="Inside diameter of a cylinder or cone-bottom tank.",
    )
    height_m: float | None = quantity(
        LENGTH,
        default=None,
        example="48 in",
        least="1 in",
        greatest="40 ft",
        help="Inside height of the straight part, from the floor (or top of the cone) to the "
        "overflow.",
    )
    length_m: float | None = quantity(
        LENGTH,
        default=None,
        example="72 in",
        least="2 in",
        greatest="80 ft",
        help="Inside length of a lying cylinder or a box.",
    )
    width_m: float | None = quantity(
        LENGTH,
        default=None,
        example="36 in",
        least="2 in",
        greatest="40 ft",
        help="Inside width of a box.",
    )
    cone_height_m: float | None = quantity(
        LENGTH,
        default=None,
        example="18 in",
        least="1 in",
        greatest="20 ft",
        help="Inside height of the cone below the straight part.",
    )
    depth_table: tuple[tuple[float, float], ...] | None = pairs(
        (LENGTH, "0 in", "40 ft"),
        (VOLUME, "0 gal", "50000 gal"),
        default=None,
        example=[["10 in", "95 gal"], ["20 in", "210 gal"], ["36 in", "400 gal"]],
        most=60,
        help="Depth on the stick and volume below it, one tank, from low to high; the last line "
        "is the overflow.",
    )
    count: int = whole(
        default=1,
        least=1,
        greatest=20,
        help="Tanks of this kind plumbed together; they fill alike.",
    )
    dead_volume_m3: float = quantity(
        VOLUME,
        default="0 gal",
        least="0 gal",
        greatest="5000 gal",
        help="What one tank keeps below its outlet and a pump or pan can't take.",
    )
    place: str = choice(
        PLACES,
        default="outdoors",
        help="Outdoors it follows the air; indoors it does not freeze.",
    )
