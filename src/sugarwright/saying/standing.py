"""Where everything stands, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.saying.clock import clock_of
from sugarwright.saying.fire import lit_text
from sugarwright.saying.words import valve_text
from sugarwright.twin.fire_told import BURNS, NONE, OLD, fire_told
from sugarwright.units import (
    BRIX,
    DURATION,
    FLOW,
    FRACTION,
    LENGTH,
    TEMPERATURE,
    VOLUME,
    WOOD,
    Kind,
    show,
    to_unit,
)

if TYPE_CHECKING:
    from sugarwright.twin.doubt import Doubt
    from sugarwright.twin.report import (
        Band,
        Departure,
        MembraneNow,
        NowReport,
        PanNow,
        TankNow,
        Telling,
        When,
    )

LIKELY = 0.1  # what is less likely is not told
SURE = 0.95
FULL_FRACTION = 0.99  # of a rim: as full as anybody can read
AT_ONCE_S = 60.0  # what comes so soon is so now
IF_LEFT = "if nothing is done"
OLD_DAYS = 3.0  # sap is spoiled and tanks have changed by then
_QUANTITIES = {"volume": "level", "brix": "Brix", "permeate_flow": "permeate flow"}
_INSTRUMENTS = {"depth": "stick", "volume": "level", "sensor": "sensor"}


def stands_on_text(report: NowReport) -> str:
    """Return from how many entries it is told, and what is known of the weather."""
    if not report.entries or report.last_s is None:
        if any(tank.read for tank in report.tanks):
            return "Nothing is logged yet: this stands on what sensors say, and on nothing else."
        return "Nothing is logged yet, so a tank may hold anything. Read them and log it."
    entries = "1 entry" if report.entries == 1 else f"{report.entries} entries"
    told = f"From {entries}, the last at {clock_of(report, report.last_s)}.{_weather(report)}"
    sensed_s = [read.at_s for tank in report.tanks for read in tank.read]
    days = (report.now_s - max([report.last_s, *sensed_s])) / 86400.0
    if days < OLD_DAYS:
        return told
    return (
        f"{told} Nothing was entered for {days:.0f} days, so what follows is a guess: read the "
        "tanks and log them."
    )


def _weather(report: NowReport) -> str:
    if report.weather_known_s is None:
        return ""
    source = report.weather_source or "measured hours"
    if report.now_s - report.weather_known_s < 5400.0:
        return f" Weather: {source}."
    return f" Weather: {source}; known up to {clock_of(report, report.weather_known_s)}."


# --- tanks ---------------------------------------------------------------------------------------


def brix_text(band: Band) -> str:
    """Return a strength with its range."""
    low, high = round(band.low, 1), round(band.high, 1)
    return f"{low:.1f}" if low == high else f"{low:.1f} to {high:.1f}"


def age_text(tank: TankNow) -> str:
    """Return how old the liquid of a tank is."""
    hours = tank.age_s.middle / 3600.0
    return f"{hours:.0f} h" if hours >= 1.0 else "fresh"


def last_read_text(tank: TankNow, report: NowReport) -> str:
    """Return when the level of a tank was read last."""
    levels = [each for each in tank.read if each.quantity == "volume"]
    if not levels:
        return "never"
    ago = _ago(report.now_s - levels[0].at_s)
    return f"{_INSTRUMENTS.get(levels[0].measured, 'level')} {ago}"


def _ago(since_s: float) -> str:
    if since_s < 90.0:
        return "now"
    if since_s < 5400.0:
        return f"{since_s / 60.0:.0f} min ago"
    if since_s < 2 * 86400.0:
        return f"{since_s / 3600.0:.0f} h ago"
    return f"{since_s / 86400.0:.0f} d ago"


def range_text(band: Band, kind: Kind, system: str) -> str:
    """Return both ends in one unit, that of the upper one."""
    unit = kind.display_unit(band.high, system)
    return f"{_number(band.low, kind, unit)} to {show(band.high, kind, system, unit=unit)}"


def _number(value: float, kind: Kind, unit: str) -> str:
    number = to_unit(value, kind, unit)
    return f"{number:.0f}" if abs(number) >= 10.0 or number == 0.0 else f"{number:.2g}"


def place_name(place: str) -> str:
    """Return what a place is called."""
    if place.startswith("gathering:"):
        return f"{place.partition(':')[2]} tank"
    return f"{place} tank" if place in ("sap", "stock", "permeate") else place


# --- what comes ----------------------------------------------------------------------------------


def coming_texts(report: NowReport) -> list[str]:
    """Return what comes: sap; tanks full, empty or spoiled now; and what will be if all is left."""
    us, band = report.units, report.coming_m3
    said = f"Sap of the next 24 hours: {show(band.middle, VOLUME, us)}"
    now, later = list[str](), list[str]()
    for tank in report.tanks:
        for word, when in (("full", tank.full), ("empty", tank.empty), ("spoiled", tank.spoiled)):
            if word == "full" and is_perhaps_full(tank, report):
                now.append(f"{place_name(tank.place).capitalize()} perhaps full already.")
            else:
                told = now if is_now(when, report) else later
                told += _when(report, f"{place_name(tank.place)} {word}", when)
    left = [f"{IF_LEFT[:1].upper()}{IF_LEFT[1:]}, and what runs runs on:", *later] if later else []
    return [f"{said} ({range_text(band, VOLUME, us)}).", *now, *left]


def is_now(when: When | None, report: NowReport) -> bool:
    """Tell whether something has come already."""
    return when is not None and when.middle_s <= report.now_s + AT_ONCE_S


def is_perhaps_full(tank: TankNow, report: NowReport) -> bool:
    """Tell whether only the band of a tank reaches its rim: its middle says that it is not full."""
    when = tank.full
    if when is None or when.probability < LIKELY or not is_now(when, report):
        return False
    return tank.volume_m3.middle < FULL_FRACTION * tank.capacity_m3


def _when(report: NowReport, what: str, when: When | None) -> list[str]:
    """Tell when something comes; what is so already, as such."""
    if when is None or when.probability < LIKELY:
        return []
    if is_now(when, report):
        return [f"{what.capitalize()} now."] if when.probability >= 0.5 else []
    early, late = clock_of(report, max(when.early_s, report.now_s)), clock_of(report, when.late_s)
    likely = "" if when.probability > SURE else f", {100.0 * when.probability:.0f} % likely"
    return [f"{what.capitalize()} {clock_of(report, when.middle_s)} ({early} to {late}){likely}."]


# --- machines ------------------------------------------------------------------------------------


def machine_texts(report: NowReport) -> list[str]:
    """Return how membrane, pan and wood stand."""
    us = report.units
    lines = [] if report.membrane is None else [_membrane(report.membrane, report)]
    lines += [_pan(report.pan, report)]
    if report.membrane is not None:
        lines += _stops(report, report.membrane)
    if fire_told(report) == BURNS:
        lines += _when(report, "feed of the fire down to its reserve", report.pan.reserve)
    wood = f"Wood: {show(report.wood_m3.middle, WOOD, us)}."
    return [*lines, wood]


def _stops(report: NowReport, membrane: MembraneNow) -> list[str]:
    """Tell when the membrane's run ends; where nothing ends it by itself, who must."""
    if membrane.stops_itself:
        return _when(report, "membrane stops", membrane.stops)
    lines = _when(report, "membrane to be stopped by hand", membrane.stops)
    why = "The stock tank is full then or the sap tank down, and it does not stop itself."
    return [*lines, why] if lines else []


def _membrane(membrane: MembraneNow, report: NowReport) -> str:
    us = report.units
    parts = []
    if membrane.on_probability > 0.5:
        since = "" if membrane.started_s is None else f" since {_at(report, membrane.started_s)}"
        parts.append(f"runs{since}, set to {valve_text(membrane.flow_m3_s, us)}")
        if membrane.permeate_m3_s is not None and membrane.concentrate_brix is not None:
            flow = show(membrane.permeate_m3_s.middle, FLOW, us)
            parts.append(f"{flow} of permeate ({range_text(membrane.permeate_m3_s, FLOW, us)})")
            parts.append(f"makes {brix_text(membrane.concentrate_brix)} Brix")
    else:
        parts.append("stands")
        if membrane.unrinsed_s is not None:
            parts.append(unrinsed_text(membrane.unrinsed_s, report))
    low, high = 100.0 * membrane.condition.low, 100.0 * membrane.condition.high
    parts.append(f"lets through {low:.0f} to {high:.0f} % of what it did new")
    parts.append(f"{show(membrane.run_since_wash_s.middle, DURATION, us)} run since its wash")
    return f"Membrane: {'; '.join(parts)}."


def unrinsed_text(stopped_s: float, report: NowReport) -> str:
    """Return that a stop has no rinse in the log: to be done, or to be logged."""
    at = _at(report, stopped_s)
    return f"by the log not rinsed since it stopped at {at}: rinse it, or log that it was"


def _pan(pan: PanNow, report: NowReport) -> str:
    parts = _fire(pan, report)
    if pan.filled_probability > SURE:
        parts.append(f"holds {brix_text(pan.brix)} Brix on average")
    elif pan.filled_probability < 1.0 - SURE:
        parts.append("empty")
    else:
        parts.append("nobody logged whether it is full")
    return f"Pan: {'; '.join(parts)}."


def _fire(pan: PanNow, report: NowReport) -> list[str]:
    """Return what is said of the fire; one that nobody logged to be out is not told as out."""
    us, told = report.units, fire_told(report)
    if told == NONE and pan.died_s is not None:
        return [dying_text(pan.died_s, report)]
    if told == NONE:
        return ["no fire"]
    if told == OLD:
        return [f"{lit_text(report)}; taken to be out, log when it was"]
    if told != BURNS:
        return [f"{lit_text(report)}: look at the pan now"]
    since = "" if pan.lit_s is None else f" since {_at(report, pan.lit_s)}"
    unsure = "" if pan.fire_probability > SURE else " (if nobody let it go)"
    parts = [f"fire burns{since}{unsure}"]
    parts.append(f"boils {show(pan.boil_m3_s.middle, FLOW, us)} at full fire")
    if pan.drawn_m3 is not None and pan.drawn_m3.high > 0.0:
        parts.append(f"{range_text(pan.drawn_m3, VOLUME, us)} of syrup drawn since")
    return parts


def dying_text(died_s: float, report: NowReport) -> str:
    """Return that a fire that was let go is still too hot to be left, and until when."""
    return f"the fire dies down: stay until it has, about {clock_of(report, died_s)}"


def _at(report: NowReport, time_s: float) -> str:
    return clock_of(report, time_s)


# --- what to do about it -------------------------------------------------------------------------


def read_next_text(report: NowReport) -> str:
    """Return which readings would tell most; nothing where none would."""
    said = [_telling(each, first=n == 0) for n, each in enumerate(report.telling)]
    return f"Would tell most now: {'; '.join(said)}." if said else ""


def _telling(telling: Telling, *, first: bool) -> str:
    what = _QUANTITIES.get(telling.quantity, telling.quantity)
    where = f"{what} of the {place_name(telling.place)}"
    share = show(telling.share, FRACTION, digits=0)
    return f"{where} ({share} of what is unsure of the sugar)" if first else f"{where} ({share})"


def departure_text(departure: Departure, report: NowReport) -> str:
    """Return how a tank stands otherwise than planned."""
    us, place = report.units, place_name(departure.place)
    return (
        f"The {place} holds {show(departure.volume_m3, VOLUME, us)}; the plan of "
        f"{clock_of(report, departure.plan_s)} led to expect about "
        f"{show(departure.planned_m3.middle, VOLUME, us)} "
        f"({range_text(departure.planned_m3, VOLUME, us)})."
    )


def doubt_text(doubt: Doubt, report: NowReport) -> str:
    """Return what is said of a questioned reading."""
    kind = _kind(doubt)
    value = doubt.typed or show(doubt.measured[1], kind, report.units)
    said = f"{place_name(doubt.place)} {value} at {clock_of(report, doubt.at_s)}"
    if doubt.sensor:
        return _sensor_doubt_text(doubt, said, report)
    if doubt.state == "believed":
        return f"{said}: questioned at first, and believed since a second reading agreed."
    if doubt.state == "not believed":
        return f"{said}: questioned, and a later reading spoke against it. Not used."
    return f"{said} is questioned: {_why(doubt, report)}{_perhaps(doubt)} Read it again and log it."


def _sensor_doubt_text(doubt: Doubt, said: str, report: NowReport) -> str:
    """Return what is said of a sensor that went astray: one look into the tank decides."""
    of_it = f"Sensor {doubt.sensor} ({said})"
    if doubt.state == "believed":
        return f"{of_it}: questioned at first, and believed since another reading agreed."
    if doubt.state == "not believed":
        return (
            f"{of_it}: questioned, and what was read since speaks against it. It counts again "
            "when for an hour it says what is to be expected."
        )
    return (
        f"{of_it} is not believed: {_why(doubt, report)} Look for yourself and log what you read: "
        "if that agrees with the sensor, it is believed."
    )


def _why(doubt: Doubt, report: NowReport) -> str:
    us = report.units
    if doubt.allowed_high is not None:
        return f"the tank holds {show(doubt.allowed_high, VOLUME, us)}."
    kind = {"volume": VOLUME, "brix": BRIX}.get(doubt.quantity)
    if kind is None:
        return "nothing that was logged leads to it."
    low, high = show(doubt.expected_low, kind, us), show(doubt.expected_high, kind, us)
    return f"by what was logged it would be {low} to {high}."


def _perhaps(doubt: Doubt) -> str:
    if not doubt.perhaps:
        return ""
    if doubt.perhaps[0].isdigit():
        return f" {doubt.perhaps}?"
    return f" Was it the {place_name(doubt.perhaps)}?"


def _kind(doubt: Doubt) -> Kind:
    kinds = {
        **{"volume": VOLUME, "brix": BRIX, "depth": LENGTH, "temperature": TEMPERATURE},
        **{"permeate_flow": FLOW, "concentrate_brix": BRIX, "wood": WOOD},
    }
    return kinds[doubt.measured[0]]
