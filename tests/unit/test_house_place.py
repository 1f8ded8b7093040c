"""Longitude and clock belong together: places of known longitude and zone, with and without minus.

Longitudes of cities to a degree, from any atlas; offsets from the IANA time zone database.
"""

from __future__ import annotations

import pytest

from house_files import MINIMAL, with_line
from sugarwright.errors import InputError
from sugarwright.plant.house_checks import standard_offset_h
from sugarwright.plant.house_notes import describe, warnings
from sugarwright.plant.read_house import parse_house

CITIES = (
    (-73, "America/New_York"),
    (-88, "America/New_York"),  # the western end of Michigan
    (-71, "America/Toronto"),
    (-67, "America/Halifax"),
    (-53, "America/St_Johns"),
    (-93, "America/Chicago"),
    (-150, "America/Anchorage"),
    (140, "Asia/Tokyo"),
    (-6, "Europe/Dublin"),  # whose winter is the one put back
    (76, "Asia/Shanghai"),  # the far west of a wide zone
    (-171, "Pacific/Apia"),  # on the other side of the date line
    (0, "UTC"),
    (-72, "UTC"),
    (-72, "Etc/GMT+5"),
)


def house_at(longitude_deg: float, timezone: str) -> str:
    text = with_line(MINIMAL, "longitude", f"longitude = {longitude_deg}")
    return with_line(text, "timezone", f'timezone = "{timezone}"')


@pytest.mark.parametrize(("longitude_deg", "timezone"), CITIES)
def test_places_that_are(longitude_deg: float, timezone: str) -> None:
    assert parse_house(house_at(longitude_deg, timezone), "invented").site.timezone == timezone


@pytest.mark.parametrize(
    ("longitude_deg", "timezone"),
    [case for case in CITIES if abs(case[0]) > 25 and case[1][0] in "AP" and case[0] > -170],
)
def test_a_lost_minus_is_asked_about(longitude_deg: float, timezone: str) -> None:
    side = "west" if longitude_deg < 0 else "east"
    meant = rf"Did you mean {longitude_deg}, {abs(longitude_deg)} {side}\?"
    with pytest.raises(InputError, match=meant):
        parse_house(house_at(-longitude_deg, timezone), "invented")


def test_a_place_that_is_neither_is_no_lost_minus() -> None:
    with pytest.raises(InputError, match="Correct longitude") as caught:
        parse_house(house_at(8.0, "America/New_York"), "invented")
    assert "line 4" in str(caught.value)


@pytest.mark.parametrize(
    ("timezone", "offset_h"),
    [("America/New_York", -5.0), ("America/St_Johns", -3.5), ("Europe/Dublin", 0.0)],
)
def test_standard_time(timezone: str, offset_h: float) -> None:
    assert standard_offset_h(timezone) == offset_h


def test_what_was_understood_names_place_hours_prices_and_what_may_run_alone() -> None:
    told = " ".join(describe(parse_house(MINIMAL, "invented")))
    for words in (
        "44.10 N, 71.90 W, 1,000 ft above the sea; clocks of America/New_York",
        "weekdays 06:00-08:00 and 17:00-21:30, weekends 07:00-21:30",
        "at $15/h",
        "syrup $50/gal, wood $150/cord",
        "nothing may run with nobody there; a lit pan never may",
    ):
        assert words in told


@pytest.mark.parametrize("timezone", ["EST", "Etc/GMT+5"])
def test_a_lost_minus_is_asked_about_by_the_offset_alone(timezone: str) -> None:
    with pytest.raises(InputError, match=r"Did you mean -72, 72 west\?"):
        parse_house(house_at(72, timezone), "invented")


@pytest.mark.parametrize(
    ("longitude_deg", "timezone", "meant"),
    [
        (-72, "EST", "America/New_York"),
        (-72, "Etc/GMT+5", "America/New_York"),
        (-110, "MST", "America/Denver"),
        (-155, "HST", "name a place"),
    ],
)
def test_a_zone_without_summer_time_is_doubted(
    longitude_deg: float, timezone: str, meant: str
) -> None:
    (doubt,) = (
        each
        for each in warnings(parse_house(house_at(longitude_deg, timezone), "invented"))
        if "timezone" in each
    )
    assert doubt.startswith(f"timezone {timezone} has no summer time")
    assert meant in doubt


@pytest.mark.parametrize(
    ("longitude_deg", "timezone"),
    [(-73, "America/New_York"), (-73, "EST5EDT"), (-112, "America/Phoenix"), (0, "UTC")],
)
def test_other_zones_are_not_doubted(longitude_deg: float, timezone: str) -> None:
    house = parse_house(house_at(longitude_deg, timezone), "invented")
    assert not any("timezone" in each for each in warnings(house))
