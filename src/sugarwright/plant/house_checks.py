"""What must hold between the keys of a house, each check with its name.

A check yields :class:`Fault` values; the reader adds the line. What is odd but possible is no
fault: ``house_notes`` warns of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sugarwright.plant.house import Chore, Gathering, House, Keeping, Membrane, Pan, Site, Tank
from sugarwright.plant.house_site import Normals
from sugarwright.plant.tanks import capacity_m3, usable_m3

LENGTHS = {
    "plain": ("volume",),
    "upright cylinder": ("diameter", "height"),
    "lying cylinder": ("diameter", "length"),
    "box": ("length", "width", "height"),
    "cone bottom": ("diameter", "height", "cone_height"),
    "table": ("depth_table",),
}
"""The keys that each shape of tank needs, and the only ones of them that it may have."""
MONTHS = ("January", "February", "March", "April", "May")
DAILY_RANGE_K = (3.0, 30.0)  # of a month's mean; the generator of springs holds to it too
_SUFFIX = {"volume": "_m3", "depth_table": ""}


class Fault(NamedTuple):
    """A contradiction: at which key of the section, what it is, what to do."""

    path: tuple[str | int, ...]
    problem: str
    fix: str = ""


def faults_of(section: object) -> Iterator[Fault]:
    """Yield what contradicts itself in one section."""
    for check in _CHECKS.get(type(section), ()):
        yield from check(section)


def lows_lie_below_highs(normals: Normals) -> Iterator[Fault]:
    """A month whose low isn't well below its high shows rows that slipped, or units mixed up."""
    for month, high_c, low_c in zip(MONTHS, normals.highs_c, normals.lows_c, strict=True):
        if not DAILY_RANGE_K[0] <= high_c - low_c <= DAILY_RANGE_K[1]:
            problem = f"{month}'s low is not 5 to 54 F (3 to 30 K) below its high"
            yield Fault(("lows",), problem, "Write both lists from January to May.")


def tank_has_the_lengths_of_its_shape(tank: Tank) -> Iterator[Fault]:
    """A shape needs its lengths; another length shows that a different shape was meant."""
    for name in sorted({name for names in LENGTHS.values() for name in names}):
        given = getattr(tank, name + _SUFFIX.get(name, "_m")) is not None
        if given and name not in LENGTHS[tank.shape]:
            yield Fault((name,), f'a tank of shape "{tank.shape}" has none', "Check its shape.")
        elif not given and name in LENGTHS[tank.shape]:
            yield Fault((name,), f'is missing: a tank of shape "{tank.shape}" needs it')


def depth_table_rises(tank: Tank) -> Iterator[Fault]:
    """Both depth and volume rise from row to row."""
    rows = tank.depth_table or ()
    for number, (below, above) in enumerate(pairwise(rows), start=2):
        if not (below[0] < above[0] and below[1] < above[1]):
            problem = f"row {number} is not deeper and fuller than the row before it"
            yield Fault(("depth_table",), problem, "Write the rows from low to high.")
    if rows and rows[0][1] == 0 and rows[0][0] > 0:
        yield Fault(("depth_table",), "the first row is empty at some depth above zero")


def dead_volume_is_inside(tank: Tank) -> Iterator[Fault]:
    """Something must be left to take out."""
    complete = not any(tank_has_the_lengths_of_its_shape(tank))
    if complete and not usable_m3(tank) > 0:
        yield Fault(("dead_volume",), "is as much as the tank holds")


def gathering_has_what_its_way_needs(gathering: Gathering) -> Iterator[Fault]:
    """A pump or trips start from a tank; a section that is not used was meant to be."""
    needed = {"gravity": (), "pump": ("tank", "pump"), "trips": ("tank", "trips")}[gathering.way]
    for name in ("tank", "pump", "trips"):
        given = getattr(gathering, name) is not None
        if given and name not in needed:
            problem = f'is not used when way = "{gathering.way}"'
            yield Fault((name,), problem, "Delete it or correct way.")
        elif not given and name in needed:
            problem = f'is missing: way = "{gathering.way}" needs it'
            yield Fault((name,), problem, f"Write a section [gathering.{name}].")


def gathering_starts_before_its_tank_is_full(gathering: Gathering) -> Iterator[Fault]:
    """A start volume above the tank's would never come."""
    for name in ("pump", "trips"):
        mover = getattr(gathering, name)
        if mover and gathering.tank and mover.start_volume_m3 > capacity_m3(gathering.tank):
            yield Fault((name, "start_volume"), "is more than the gathering tank holds")


def membrane_ranges_agree(membrane: Membrane) -> Iterator[Fault]:
    """Least below most; nobody stands at a wash for longer than it lasts; a pump is all there."""
    if membrane.least_flow_m3_s > membrane.most_flow_m3_s:
        yield Fault(("least_flow",), "is more than most_flow")
    if membrane.wash_hands_s > membrane.wash_duration_s:
        yield Fault(("wash_hands",), "is longer than wash_duration")
    if membrane.pump_shutoff_pa is not None and membrane.pump_flow_m3_s is None:
        yield Fault(("pump_shutoff",), "says nothing without pump_flow", "Give both or neither.")


def pan_shares_are_all_the_heat(pan: Pan) -> Iterator[Fault]:
    """One share for each compartment, together the whole."""
    if len(pan.heat_share) != len(pan.compartments_m3):
        problem = f"has {len(pan.heat_share)} shares for {len(pan.compartments_m3)} compartments"
        yield Fault(("heat_share",), problem)
    elif abs(sum(pan.heat_share) - 1.0) > 1e-6:
        yield Fault(("heat_share",), f"is together {100 * sum(pan.heat_share):.6g} %, not 100 %")


def draw_comes_out_of_the_last_compartment(pan: Pan) -> Iterator[Fault]:
    """One draw cannot take more than the compartment it is taken from holds."""
    if pan.draw_volume_m3 > pan.compartments_m3[-1]:
        yield Fault(("draw_volume",), "is more than the last compartment holds")


def chore_by_volume_says_how_much(chore: Chore) -> Iterator[Fault]:
    """``per`` belongs to "per syrup volume" and to nothing else."""
    by_volume = chore.when == "per syrup volume"
    if by_volume and chore.per_m3 is None:
        yield Fault(("per",), f'is missing: when = "{chore.when}" needs it', 'Write per = "1 gal".')
    if not by_volume and chore.per_m3 is not None:
        yield Fault(("per",), f'is not used when = "{chore.when}"', "Delete it or correct when.")


def warning_comes_before_spoiling(keeping: Keeping) -> Iterator[Fault]:
    """A warning after the loss is none."""
    if keeping.warn_log > keeping.spoiled_log:
        yield Fault(("warn_log",), "is more than spoiled_log")


def place_and_clock_agree(site: Site) -> Iterator[Fault]:
    """The sun is near the south at noon of the zone's clock; a lost minus is the usual reason.

    Universal time is let alone: it is chosen on purpose.
    """
    offset_h = standard_offset_h(site.timezone)
    if offset_h == 0.0 and not is_place(site.timezone):
        return
    zone_deg = 15.0 * offset_h
    if _apart_deg(site.longitude_deg, zone_deg) <= MOST_APART_DEG:
        return
    east, west = f"{abs(site.longitude_deg):.6g} east", f"{abs(site.longitude_deg):.6g} west"
    here, there = (west, east) if site.longitude_deg < 0.0 else (east, west)
    fix = "Correct longitude (west is negative) or timezone."
    if _apart_deg(-site.longitude_deg, zone_deg) <= MOST_APART_DEG:
        fix = f"Did you mean {-site.longitude_deg:.6g}, {there}?"
    yield Fault(("longitude",), f"is {here}, far from where clocks show {site.timezone}", fix)


def is_place(timezone: str) -> bool:
    """Tell whether a zone is that of a place, not of an offset (EST, UTC, Etc/GMT+5)."""
    area, place, _ = timezone.partition("/")
    return bool(place) and area != "Etc"


def standard_offset_h(timezone: str) -> float:
    """Return how many hours a zone's standard time is ahead of UTC (the lesser of two seasons)."""
    zone = ZoneInfo(timezone)
    seasons = (datetime(2026, 1, 1, tzinfo=zone), datetime(2026, 7, 1, tzinfo=zone))
    return min((each.utcoffset() or timedelta()).total_seconds() for each in seasons) / 3600.0


def _apart_deg(one_deg: float, other_deg: float) -> float:
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def names_differ(house: House) -> Iterator[Fault]:
    """Plans and logs speak of gatherings, people and chores by name."""
    lists: dict[str, tuple[Any, ...]] = {
        "gathering": house.gathering,
        "people": house.people,
        "chore": house.chores,
    }
    for section, items in lists.items():
        seen: Counter[str] = Counter()
        for number, item in enumerate(items):
            seen[item.name.casefold()] += 1
            if seen[item.name.casefold()] == 2:
                yield Fault((section, number, "name"), "is the name of another one too")


def membrane_has_its_tanks(house: House) -> Iterator[Fault]:
    """Concentrate and permeate need a tank each; without a membrane neither comes."""
    for name, tank in (("stock", house.stock_tank), ("permeate", house.permeate_tank)):
        if house.membrane and tank is None:
            problem = "is missing: a membrane needs it"
            yield Fault(("tank", name), problem, f"Write a section [tank.{name}].")
        elif tank and not house.membrane:
            yield Fault(("tank", name), "is not used without a [membrane]", "Delete one or add it.")


def membrane_fits_its_tanks(house: House) -> Iterator[Fault]:
    """Wash water must find room; the sap tank must hold more than where the membrane stops."""
    membrane, permeate = house.membrane, house.permeate_tank
    if membrane and permeate:
        for name in ("wash_volume", "rinse_volume"):
            if getattr(membrane, f"{name}_m3") > usable_m3(permeate):
                yield Fault(("membrane", name), "is more than the permeate tank can give")
    if membrane and membrane.least_sap_m3 >= capacity_m3(house.sap_tank):
        yield Fault(("membrane", "least_sap"), "is as much as the sap tank holds")


def habit_is_possible(house: House) -> Iterator[Fault]:
    """The baseline must be something the machines can do."""
    flow = house.habit.concentrate_flow_m3_s
    if house.membrane and not (
        house.membrane.least_flow_m3_s <= flow <= house.membrane.most_flow_m3_s
    ):
        problem = "is outside least_flow to most_flow of the membrane"
        yield Fault(("habit", "concentrate_flow"), problem)
    if house.membrane and house.habit.membrane_sap_m3 > capacity_m3(house.sap_tank):
        yield Fault(("habit", "membrane_sap"), "is more than the sap tank holds")
    if house.habit.fire_stock_m3 > capacity_m3(feed_tank(house)):
        yield Fault(("habit", "fire_stock"), "is more than the tank that feeds the pan holds")


def feed_outlasts_the_fire(house: House) -> Iterator[Fault]:
    """A reserve that the feed tank cannot hold would never let a fire be lit."""
    if house.pan.reserve_m3 >= usable_m3(feed_tank(house)):
        yield Fault(("pan", "reserve"), "is as much as the tank that feeds the pan can give")


def chores_have_hands(house: House) -> Iterator[Fault]:
    """A chore for more people than there are is never done."""
    for number, chore in enumerate(house.chores):
        if chore.people > len(house.people):
            problem = f"there are {len(house.people)} [[people]] in this house"
            yield Fault(("chore", number, "people"), problem)


def feed_tank(house: House) -> Tank:
    """Return the tank that feeds the pan: stock with a membrane, sap without."""
    return house.stock_tank or house.sap_tank


MOST_APART_DEG = 45.0
"""Three hours: clocks of no place that people live in are further from their sun (from memory)."""

_CHECKS: dict[type, tuple[Callable[[Any], Iterator[Fault]], ...]] = {
    Normals: (lows_lie_below_highs,),
    Site: (place_and_clock_agree,),
    Tank: (tank_has_the_lengths_of_its_shape, depth_table_rises, dead_volume_is_inside),
    Gathering: (gathering_has_what_its_way_needs, gathering_starts_before_its_tank_is_full),
    Membrane: (membrane_ranges_agree,),
    Pan: (pan_shares_are_all_the_heat, draw_comes_out_of_the_last_compartment),
    Chore: (chore_by_volume_says_how_much,),
    Keeping: (warning_comes_before_spoiling,),
    House: (
        names_differ,
        membrane_has_its_tanks,
        membrane_fits_its_tanks,
        habit_is_possible,
        feed_outlasts_the_fire,
        chores_have_hands,
    ),
}
