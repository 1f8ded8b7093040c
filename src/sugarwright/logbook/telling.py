"""An entry in words that a person reads: what it was understood as, and the line in the book."""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import FLAGS, GATHERING
from sugarwright.logbook.clock import clock_text, local_of
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.logbook.vocabulary import LEVELS, kind_of_quantity
from sugarwright.plant.house import House
from sugarwright.plant.tanks import volume_at_depth_m3
from sugarwright.units import VOLUME, show

_KIND_WORDS = {
    "membrane_on": "membrane on",
    "membrane_off": "membrane off",
    "setpoint": "membrane set",
    "rinse": "membrane rinsed",
    "wash": "membrane washed",
    "clean_water_test": "clean water test",
    "new_membrane": "new membrane element",
    "fire_lit": "fire lit",
    "stoke": "wood put on",
    "fire_out": "fire out",
    "draw": "syrup drawn",
    "syrup": "finished syrup",
    "transfer": "moved",
    "filter_change": "filter changed",
    "dump": "thrown away",
    "spill": "lost",
    "sap_bought": "sap bought",
    "sap_sold": "sap sold",
    "syrup_sold": "syrup sold",
    "wood_in": "wood brought in",
    "tapped": "tapped",
    "pulled": "taps pulled",
    "gather": "gathered",
    "note": "note",
    "withdrawn": "taken back",
}
_READING_AT = {
    "sap": "sap tank",
    "stock": "stock tank",
    "permeate": "permeate tank",
    "membrane": "membrane running",
    "pan": "pan",
    "air": "air",
    "woodpile": "wood on hand",
    "lines": "lines",
    "water": "held in clean water",
}
_STREAMS = ("feed", "concentrate", "permeate")


def tell(entry: Entry, house: House) -> str:
    """Return an entry in one sentence: "sap tank: 14 in on the stick (109 gal), 1.9 Brix"."""
    begins = _begins(entry)
    said = [*(_measure(each, entry, house) for each in entry.measures), *_words(entry)]
    said += [FLAGS.get(flag, flag).partition(",")[0] for flag in entry.flags if flag != "doubtful"]
    said += ["doubtful"] if "doubtful" in entry.flags else []
    return f"{begins}: {', '.join(said)}" if said else begins


def when_words(entry: Entry, house: House) -> str:
    """Return when it was, on the clock of the house: "06:30", or "06:00 to 06:40" of a span."""
    zone = ZoneInfo(house.site.timezone)
    end = local_of(entry.at_s, zone)
    if entry.begin_s is None:
        return clock_text(end)
    begin = local_of(entry.begin_s, zone)
    if begin.date() == end.date() and f"{begin:%H:%M} {end:%H:%M}" == "00:00 23:59":
        return "all day"
    day = "" if begin.date() == end.date() else f"{begin.day} {begin:%B} "
    return f"{day}{clock_text(begin)} to {clock_text(end)}"


def day_words(entry: Entry, house: House) -> str:
    """Return the day of an entry: "Thursday 19 March 2026"."""
    local = local_of(entry.at_s, ZoneInfo(house.site.timezone))
    return f"{local:%A} {local.day} {local:%B %Y}"


def hints(entry: Entry, house: House) -> Iterator[str]:
    """Yield what a person should know of what was just entered."""
    tank = tank_at(house, entry.place)
    if entry.measure("depth") is not None and tank is not None and tank.shape == "plain":
        yield (
            f"Only the volume of the {_place(entry.place)} is known, so a depth in it says little: "
            "describe its shape in sugarhouse.toml."
        )
    heads = {"sap", "stock", "permeate", "wash", "rinse", "lit", "filter", "pan", "air", "lines"}
    named = [each.name for each in house.gathering if each.name.casefold() in heads]
    first = entry.typed.split()[0].casefold() if entry.typed else ""
    for name in named:
        if first == name.casefold() and not entry.place.startswith(GATHERING):
            yield f'"{name}" is a gathering of yours too; for that write "gather {name} ...".'


def _begins(entry: Entry) -> str:
    if entry.kind == "reading":
        return _READING_AT.get(entry.place) or _place(entry.place)
    words = _KIND_WORDS[entry.kind]
    if entry.kind == "transfer":
        return f"{words} from the {_place(entry.place)} to the {_place(entry.to_place)}"
    if entry.kind in ("dump", "spill") and entry.place:
        return f"{words} from the {_place(entry.place)}"
    if entry.kind == "filter_change" and entry.place:
        return f"{entry.place} {words}"
    if entry.place.startswith(GATHERING):
        name = entry.place.removeprefix(GATHERING)
        return f"{words} {'from' if entry.kind == 'gather' else 'at'} {name}"
    return words


def _place(place: str) -> str:
    if place.startswith(GATHERING):
        return f"tank of {place.removeprefix(GATHERING)}"
    return f"{place} tank" if place in ("sap", "stock", "permeate") else place


def _measure(measure: Measure, entry: Entry, house: House) -> str:
    text = _value(measure, house)
    quantity = measure.quantity
    stream, _, rest = quantity.partition("_")
    if stream in _STREAMS and rest:
        text = f"{stream} {text}"
    elif quantity == "depth":
        text += " on the stick" + _as_volume(measure, entry, house)
    elif quantity == "light":
        text = f"light {text} %"
    elif quantity == "volume" and measure.typed in LEVELS:
        text = f"{measure.typed} ({text})"
    elif quantity == "count" and text.replace(".", "").isdigit():
        text = f"{text} {'taps' if entry.kind in ('tapped', 'pulled') else 'pieces'}"
    elif quantity == "money":
        text = f"{'got' if entry.kind.endswith('_sold') else 'paid'} {text}"
    return text + (f" read with {measure.instrument}" if measure.instrument else "")


def _value(measure: Measure, house: House) -> str:
    """Return a value as it was typed, or in the units of the house."""
    kind = kind_of_quantity(measure.quantity)
    if measure.quantity == "money":
        return show(measure.value, kind, currency=house.site.currency) if kind else ""
    if measure.typed and measure.typed not in LEVELS:
        return measure.typed
    return f"{measure.value:g}" if kind is None else show(measure.value, kind, house.site.units)


def _as_volume(measure: Measure, entry: Entry, house: House) -> str:
    tank = tank_at(house, entry.place)
    if tank is None:
        return ""
    try:
        return f" ({show(volume_at_depth_m3(tank, measure.value), VOLUME, house.site.units)})"
    except InputError:  # above the rim, or of a tank whose shape is not known
        return ""


def _words(entry: Entry) -> Iterator[str]:
    for key, text in entry.words.items():
        if key == "note":
            yield text if entry.kind == "note" else f"note: {text}"
        elif key in ("colour", "taste"):
            yield f"{key} {text}"
        else:
            yield f"{key.replace('_', '-')} {text}"
