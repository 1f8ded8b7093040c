"""What the columns of a weather table mean, read from titles that people and loggers write.

``temp (F)``, ``Temperature [°C]``, ``hour_beginning_est``, ``time_utc``, ``Dry-bulb (C)``: titles
are cut into words, and the words say the quantity, the unit and the time zone. A quantity whose
unit is not stated is never guessed.
"""

from __future__ import annotations

import itertools
import re
import unicodedata
from dataclasses import dataclass, field

#: Hours east of UTC of the zone names that titles and cells may carry.
ZONE_HOURS = {
    "utc": 0.0, "gmt": 0.0, "z": 0.0, "zulu": 0.0, "nst": -3.5, "ndt": -2.5, "ast": -4.0,
    "adt": -3.0, "est": -5.0, "edt": -4.0, "cst": -6.0, "cdt": -5.0, "mst": -7.0, "mdt": -6.0,
    "pst": -8.0, "pdt": -7.0, "hnt": -3.5, "hat": -2.5, "hna": -4.0, "haa": -3.0, "hne": -5.0,
    "hae": -4.0, "hnc": -6.0, "hac": -5.0,
}  # fmt: skip

_IN_PASSING = (
    "begin begins beginning start starts starting of the at local obs observation observed valid "
    "iso hh mm ss yyyy yy dd clock"
)
_SAID_IN_PASSING = frozenset(_IN_PASSING.split())
_ENDING = frozenset({"end", "ends", "ending"})
_STAMPS = tuple(
    frozenset(words.split())
    for words in ("datetime", "date time", "timestamp", "time stamp", "dt", "when", "time hour",
                  "date hour")
)  # fmt: skip
_PARTS = ("date", "time", "hour", "year", "month", "day")
_STATIONS = frozenset({"station", "stations", "origin", "site", "stid", "stn"})
_STATION_WORDS = _STATIONS | {"id", "code", "name"}


@dataclass(frozen=True)
class Quantity:
    """How the title of one quantity looks, and its units: name -> (scale, offset) to SI."""

    words: frozenset[str]
    excluded: frozenset[str]
    units: dict[str, tuple[float, float]]


def _of(words: str, excluded: str, units: dict[str, tuple[float, float]]) -> Quantity:
    return Quantity(frozenset(words.split()), frozenset(excluded.split()), units)


_C, _F, _K = (1.0, 0.0), (5.0 / 9.0, -160.0 / 9.0), (1.0, -273.15)
_HPA, _PERCENT, _KMH, _KNOT = (100.0, 0.0), (0.01, 0.0), (1.0 / 3.6, 0.0), (1852.0 / 3600.0, 0.0)

QUANTITIES = {
    "temperature_c": _of(
        "temp temps temperature temperatures drybulb airtemp tair",
        "dew dewpoint dewp wet wetbulb chill heat index feels apparent min max minimum maximum low "
        "high inside indoor indoors soil wood sap water surface ground grass road globe normal",
        {"c": _C, "celsius": _C, "centigrade": _C, "degc": _C, "f": _F, "fahrenheit": _F,
         "degf": _F, "k": _K, "kelvin": _K},
    ),
    "pressure_pa": _of(
        "pressure press barometer baro",
        "sea sealevel msl mslp slp altimeter reduced tendency vapor vapour",
        {"pa": (1.0, 0.0), "hpa": _HPA, "mb": _HPA, "mbar": _HPA, "kpa": (1000.0, 0.0),
         "inhg": (3386.389, 0.0)},
    ),
    "humidity_fraction": _of(
        "humidity rh humid",
        "specific absolute mixing inside indoor",
        {"pct": _PERCENT, "percent": _PERCENT, "fraction": (1.0, 0.0)},
    ),
    "wind_m_s": _of(
        "windspeed wind",
        "dir direction gust gusts max chill power run",
        {"m s": (1.0, 0.0), "ms": (1.0, 0.0), "mps": (1.0, 0.0), "km h": _KMH, "kmh": _KMH,
         "kph": _KMH, "mph": (0.44704, 0.0), "kt": _KNOT, "kts": _KNOT, "kn": _KNOT,
         "knots": _KNOT},
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Column:
    """One column: where it stands, its title, and what the title says."""

    index: int
    title: str
    unit: str = ""
    zone_h: float | None = None
    ending: bool = False


@dataclass(frozen=True)
class Columns:
    """The columns of one table that mean something here.

    ``time`` holds one column (a full stamp), two (date; clock or hour) or four (year, month, day,
    hour). ``found`` holds every candidate of each quantity.
    """

    time: tuple[Column, ...]
    found: dict[str, list[Column]] = field(default_factory=dict)
    station: Column | None = None


_IN_FRENCH = {"heure": "hour", "heures": "hour", "jour": "day", "mois": "month", "annee": "year"}


def words_of(title: str) -> list[str]:
    """Cut a title into lower-case words; a unit glued to "temp" or behind a % is set free."""
    plain = unicodedata.normalize("NFKD", title.strip().lower().replace("°", " "))
    text = "".join(each for each in plain if not unicodedata.combining(each)).replace("%", " pct ")
    text = re.sub(r"(temp(?:erature)?)([cfk])\b", r"\1 \2", text)
    return [_IN_FRENCH.get(word, word) for word in re.split(r"[^a-z0-9]+", text) if word]


def recognise(titles: list[str]) -> Columns:
    """Return what the titles of a table's header mean; parts not found are empty."""
    parts: dict[str, Column] = {}
    stamps: list[Column] = []
    found: dict[str, list[Column]] = {name: [] for name in QUANTITIES}
    station = None
    for index, title in enumerate(titles):
        words = words_of(title)
        column, rest = _time_column(index, title, words)
        name = _quantity(words)
        if rest in _STAMPS:
            stamps.append(column)
        elif len(rest) == 1 and rest <= set(_PARTS):
            parts.setdefault(next(iter(rest)), column)
        elif name:
            found[name].append(Column(index, title.strip(), _unit(name, words)))
        elif set(words) & _STATIONS and set(words) <= _STATION_WORDS:
            station = station or Column(index, title.strip())
    return Columns(_choose_time(stamps, parts), found, station)


def _time_column(index: int, title: str, words: list[str]) -> tuple[Column, frozenset[str]]:
    """Return the column as if it held times, and the words that are left to say so."""
    zone_h = None
    offset = re.search(r"\b(?:utc|gmt)\s*([+-])\s*(\d{1,2})(?::?(\d{2}))?", title.lower())
    if offset:
        hours = int(offset[2]) + int(offset[3] or 0) / 60.0
        zone_h = hours if offset[1] == "+" else -hours
        words = words_of(title[: offset.start()] + " " + title[offset.end() :])
    elif zones := [word for word in words if word in ZONE_HOURS]:
        zone_h = ZONE_HOURS[zones[-1]]
    words = [word for word in words if not word.isdigit()]
    rest = frozenset(words) - _SAID_IN_PASSING - _ENDING - frozenset(ZONE_HOURS)
    return Column(index, title.strip(), "", zone_h, bool(_ENDING & set(words))), rest


def _choose_time(stamps: list[Column], parts: dict[str, Column]) -> tuple[Column, ...]:
    """Prefer a full stamp, the one that states its zone; then date and clock; then figures."""
    if stamps:
        return (next((stamp for stamp in stamps if stamp.zone_h is not None), stamps[0]),)
    clock = parts.get("time") or parts.get("hour")
    if clock and "date" in parts:
        return parts["date"], clock
    if clock and {"year", "month", "day"} <= parts.keys():
        return parts["year"], parts["month"], parts["day"], clock
    alone = clock or parts.get("date")
    return (alone,) if alone else ()


def _quantity(words: list[str]) -> str:
    """Return which quantity a title names, or nothing."""
    said = set(words)
    if {"dry", "bulb"} <= said:
        said = (said - {"dry", "bulb"}) | {"drybulb"}
    if said & {"wind"} and not said & {"speed", "spd", "m", "mph", "kmh", "kph"}:
        said.discard("wind")
    for name, quantity in QUANTITIES.items():
        if said & quantity.words and not said & quantity.excluded:
            return name
    return ""


def _unit(name: str, words: list[str]) -> str:
    """Return the unit that a title states, or nothing."""
    pairs = [" ".join(pair) for pair in itertools.pairwise(words)]
    known = QUANTITIES[name].units
    return next((word for word in pairs + words[::-1] if word in known), "")
