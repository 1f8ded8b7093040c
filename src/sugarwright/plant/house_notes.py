"""The plant as it was understood, in sentences, and what looks odd in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.plant.house import Gathering, House, Membrane, Person, Tank
from sugarwright.plant.house_checks import feed_tank, is_place, standard_offset_h
from sugarwright.plant.house_membrane import may_run_alone
from sugarwright.plant.tanks import capacity_m3, depth_at_volume_m, usable_m3
from sugarwright.units import (
    AREA,
    CURRENT,
    DURATION,
    ENERGY_PER_WOOD,
    FLOW,
    LENGTH,
    PRICE_PER_ENERGY,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
    VOLUME,
    WOOD,
    Kind,
    format_clock,
    parse,
    show,
)

WATER_HEAT_J_M3 = 2.65e9
"""Heat that warms a cubic metre of water from 4 C and boils it off: 2.257 MJ/kg by IAPWS-95 and
96 K of 4.19 kJ/(kg K), rounded. Only for saying how long the wood lasts."""
_PLACES = {
    -3.5: "America/St_Johns", -4.0: "America/Halifax", -5.0: "America/New_York",
    -6.0: "America/Chicago", -7.0: "America/Denver", -8.0: "America/Los_Angeles",
    -9.0: "America/Anchorage",
}  # fmt: skip
"""Standard time, hours ahead of UTC -> a zone of it whose clocks change."""
USUAL_BOIL = ("0.75 gal/h", "4 gal/h")
"""Boiled off per square foot of pan floor: flat pans to flue pans with forced draft (memory)."""


def describe(house: House) -> tuple[str, ...]:
    """Return the plant as understood, one sentence a line, in the house's units."""
    return tuple(_sentences(house))


def warnings(house: House) -> tuple[str, ...]:
    """Return what is possible but odd, unsafe to count on, or probably mistyped."""
    found = (
        _clocks(house.site.timezone),
        _circuit(house),
        _unattended(house.membrane),
        _boil_rate(house),
        _permeate(house),
        _hours(house),
        _one_boil(house),
    )
    return tuple(text for text in found if text)


def _clocks(timezone: str) -> str:
    """Doubt a zone that is an offset: hardly a place with maples keeps winter time all year."""
    zone = ZoneInfo(timezone)
    offsets = {datetime(2026, month, 1, tzinfo=zone).utcoffset() for month in (1, 7)}
    offset_h = standard_offset_h(timezone)
    if is_place(timezone) or len(offsets) > 1 or offset_h == 0.0:
        return ""
    near = _PLACES.get(offset_h)
    meant = f"write {near}." if near else "name a place, such as America/New_York."
    return (
        f"timezone {timezone} has no summer time: where clocks go forward in March, they are an "
        f"hour ahead of it from then on, and so of all that is planned. If yours do, {meant}"
    )


def attendance_s_week(person: Person) -> float:
    """Return the time that a person gives in a week."""
    days = [(5, person.weekdays), (2, person.weekends)]
    return 60.0 * sum(n * (end - start) for n, spans in days for start, end in spans)


def wood_lasts_s(house: House) -> float:
    """Return how long the wood on hand feeds the pan at full fire, light-ups not counted."""
    useful_j = house.fire.wood_on_hand_wood_m3 * house.fire.heat_j_m3
    useful_j *= house.fire.efficiency_fraction
    return useful_j / (house.pan.boil_rate_m3_s * WATER_HEAT_J_M3)


def shared_current_a(house: House) -> float:
    """Return the current when membrane, blower and the sugarhouse's pumps all run."""
    pumps = sum(each.pump.current_a for each in house.gathering if each.pump)
    membrane = house.membrane.motor_current_a if house.membrane else 0.0
    return pumps + membrane + house.fire.blower_current_a


def _sentences(house: House) -> Iterator[str]:
    system = house.site.units
    taps = sum(gathering.taps for gathering in house.gathering)
    yield f"{house.site.name}: {taps:,} taps, tapped {house.trees.tapped}."
    yield _place(house)
    for gathering in house.gathering:
        yield _gathering(gathering, system)
    yield _tank("sap tank", house.sap_tank, system)
    if house.membrane:
        yield _membrane(house.membrane, system)
    for name, tank in (("stock tank", house.stock_tank), ("permeate tank", house.permeate_tank)):
        if tank:
            yield _tank(name, tank, system)
    pan = house.pan
    held = show(sum(pan.compartments_m3), VOLUME, system)
    yield (
        f"pan: boils off {_per_hour(pan.boil_rate_m3_s, system)} at full fire, holds {held} in "
        f"{len(pan.compartments_m3)} compartments, draws at {pan.finish_brix:.1f} Brix."
    )
    yield _wood(house, system)
    for person in house.people:
        yield _person(person, house)
    yield _prices(house)
    yield _alone(house.membrane)


def _place(house: House) -> str:
    site = house.site
    north = f"{abs(site.latitude_deg):.2f} {'S' if site.latitude_deg < 0 else 'N'}"
    east = f"{abs(site.longitude_deg):.2f} {'W' if site.longitude_deg < 0 else 'E'}"
    height = show(site.elevation_m, LENGTH, unit="m" if site.units == "metric" else "ft", digits=0)
    return f"place: {north}, {east}, {height} above the sea; clocks of {site.timezone}."


def _person(person: Person, house: House) -> str:
    hours = show(attendance_s_week(person), DURATION, unit="h")
    worth = _price(person.hour_money_s, PRICE_PER_TIME, house)
    week, end = (_spans(each) for each in (person.weekdays, person.weekends))
    return f"{person.name}: weekdays {week}, weekends {end}, {hours} a week, at {worth}."


def _spans(spans: tuple[tuple[int, int], ...]) -> str:
    return " and ".join(f"{format_clock(a)}-{format_clock(b)}" for a, b in spans) or "never"


def _prices(house: House) -> str:
    prices, power = house.prices, house.electricity.price_money_j
    syrup = _price(prices.syrup_money_m3, PRICE_PER_VOLUME, house)
    wood = _price(prices.wood_money_wood_m3, PRICE_PER_WOOD, house)
    return f"prices: syrup {syrup}, wood {wood}, power {_price(power, PRICE_PER_ENERGY, house)}."


def _price(value: float, kind: Kind, house: House) -> str:
    return show(value, kind, house.site.units, currency=house.site.currency)


def _alone(membrane: Membrane | None) -> str:
    """What may run while nobody is there; what the pan may is no question."""
    machine = "the membrane" if membrane and may_run_alone(membrane) else "nothing"
    return f"unattended: {machine} may run with nobody there; a lit pan never may."


def _per_hour(flow_m3_s: float, system: str) -> str:
    return show(flow_m3_s, FLOW, unit="L/h" if system == "metric" else "gal/h")


def _gathering(gathering: Gathering, system: str) -> str:
    text = f"gathering {gathering.name}: {gathering.taps:,} taps by {gathering.way}"
    if gathering.tank is None:
        return f"{text}."
    return f"{text} from {show(capacity_m3(gathering.tank), VOLUME, system)}."


def _tank(name: str, tank: Tank, system: str) -> str:
    """Capacity, and the depth at half, by which a person can see whether a length is mistyped."""
    full = capacity_m3(tank)
    number = "" if tank.count == 1 else f" in {tank.count} alike"
    text = f"{name}: holds {show(full, VOLUME, system)}{number}, {tank.shape}"
    if tank.dead_volume_m3:
        text += f", {show(usable_m3(tank), VOLUME, system)} of it can be taken"
    if tank.shape == "plain":
        return f"{text}; describe its shape and a depth on the stick can be read as volume."
    half = show(depth_at_volume_m(tank, full / 2), LENGTH, system)
    return f"{text}; half full at {half} on the stick."


def _membrane(membrane: Membrane, system: str) -> str:
    elements = membrane.in_series * membrane.in_parallel
    area = show(elements * membrane.element_area_m2, AREA, system)
    low, high = membrane.least_flow_m3_s, membrane.most_flow_m3_s
    alone = "may run alone" if may_run_alone(membrane) else "runs only while somebody is there"
    return (
        f"membrane: {elements} element{'s' if elements > 1 else ''}, {area}; concentrate "
        f"{_per_hour(low, system)} to {_per_hour(high, system)}; {alone}."
    )


def _wood(house: House, system: str) -> str:
    wood = show(house.fire.wood_on_hand_wood_m3, WOOD, system)
    heat = show(house.fire.heat_j_m3, ENERGY_PER_WOOD, system)
    hours = wood_lasts_s(house) / 3600
    return f"wood: {wood} of {heat}, some {hours:,.0f} hours of full fire."


def _circuit(house: House) -> str:
    together, breaker = shared_current_a(house), house.electricity.circuit_a
    if together <= breaker:
        return ""
    return (
        f"membrane, blower and pumps together draw {show(together, CURRENT)} from a circuit of "
        f"{show(breaker, CURRENT)}: they cannot all run at once. Ask an electrician, not a fuse."
    )


def _unattended(membrane: Membrane | None) -> str:
    if membrane is None or not membrane.unattended or may_run_alone(membrane):
        return ""
    names = ("low_flow_cutout", "full_tank_cutout", "frost_cutout")
    lacking = ", ".join(name for name in names if not getattr(membrane, name))
    return f"membrane.unattended is true without {lacking}: it is planned with somebody there."


def _boil_rate(house: House) -> str:
    least, greatest = (
        parse(text, FLOW) / parse("1 ft2", AREA) * house.pan.floor_area_m2 for text in USUAL_BOIL
    )
    if least <= house.pan.boil_rate_m3_s <= greatest:
        return ""
    system = house.site.units
    return (
        f"a pan of {show(house.pan.floor_area_m2, AREA, system)} usually boils off "
        f"{_per_hour(least, system)} to {_per_hour(greatest, system)}, this one "
        f"{_per_hour(house.pan.boil_rate_m3_s, system)}: check boil_rate and floor_area."
    )


def _permeate(house: House) -> str:
    if not house.membrane or not house.permeate_tank:
        return ""
    needed = house.membrane.rinse_volume_m3 + house.membrane.wash_volume_m3
    if needed <= usable_m3(house.permeate_tank):
        return ""
    return (
        f"a rinse and a wash take {show(needed, VOLUME, house.site.units)} of permeate, more than "
        "the permeate tank gives: one must wait for the other."
    )


def _hours(house: House) -> str:
    if any(attendance_s_week(person) > 0 for person in house.people):
        return ""
    return "nobody gives any hours: nothing can be planned that needs hands."


def _one_boil(house: House) -> str:
    """A feed tank below the reserve and an hour of boiling makes only light-ups."""
    feed, pan = feed_tank(house), house.pan
    if usable_m3(feed) - pan.reserve_m3 >= pan.boil_rate_m3_s * 3600:
        return ""
    return "the tank that feeds the pan holds less than an hour of boiling beyond the reserve."
