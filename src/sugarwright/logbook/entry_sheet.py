"""Entries as a table: one row an entry, a column a quantity; and back, exactly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from zoneinfo import ZoneInfo

from sugarwright.logbook.catalogue import QUANTITIES
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.looking import histories_of
from sugarwright.logbook.sheet_times import time_cell
from sugarwright.logbook.sheets import safe_cell

FIRST = ("key", "kind", "time", "begin", "place", "to_place")
LAST = ("flags", "who", "typed", "source", "entered", "replaces", "stands", "measured")
PARTS = ("typed", "sd", "instrument")
WORD = "word_"
LIST_SIGN = "; "


def value_title(quantity: str) -> str:
    """Return the title over the values of a quantity: its name with its SI unit.

    >>> value_title("volume"), value_title("brix"), value_title("wood")
    ('volume_m3', 'brix', 'wood_m3')
    """
    suffix = QUANTITIES[quantity].suffix
    if f"_{quantity}".endswith(suffix):
        return quantity
    return f"_{quantity}{suffix}".replace(f"_{quantity}_{quantity}", f"_{quantity}")[1:]


def entry_table(newest: Sequence[Entry], zone: ZoneInfo) -> tuple[list[str], Iterator[list[str]]]:
    """Return titles and rows of all entries, in the order in which they were entered.

    Parameters
    ----------
    newest : all entries, the one entered last first, replaced ones among them
    zone : of the house; times are local, with their offset
    """
    entries = list(reversed(newest))
    used = {measure.quantity for entry in entries for measure in entry.measures}
    quantities = [quantity for quantity in QUANTITIES if quantity in used]
    words = sorted({key for entry in entries for key in entry.words})
    titles = [*FIRST, *(title for each in quantities for title in _titles(each))]
    titles += [*(WORD + key for key in words), *LAST]
    stands = _standing(newest)
    return titles, (_row(entry, quantities, words, stands, zone) for entry in entries)


def _titles(quantity: str) -> list[str]:
    return [value_title(quantity), *(f"{quantity}_{part}" for part in PARTS)]


def _standing(newest: Sequence[Entry]) -> dict[str, str]:
    """Return for each key "yes", "replaced" or "taken back"."""
    out: dict[str, str] = {}
    for versions in histories_of(newest):
        last = versions[-1]
        back = last.kind == "withdrawn"
        out |= {each.key: "taken back" if back else "replaced" for each in versions}
        out[last.key] = "no" if back else "yes"
    return out


def _row(
    entry: Entry,
    quantities: Iterable[str],
    words: Iterable[str],
    stands: dict[str, str],
    zone: ZoneInfo,
) -> list[str]:
    cells = [safe_cell(entry.key), entry.kind, time_cell(entry.at_s, zone)]
    cells += ["" if entry.begin_s is None else time_cell(entry.begin_s, zone)]
    cells += [entry.place, entry.to_place]
    for quantity in quantities:
        measure = entry.measure(quantity)
        if measure is None:
            cells += [""] * (1 + len(PARTS))
        else:
            sd = "" if measure.sd is None else repr(measure.sd)
            typed, instrument = safe_cell(measure.typed), safe_cell(measure.instrument)
            cells += [repr(measure.value), typed, sd, instrument]
    cells += [_word(entry.words.get(key)) for key in words]
    cells += [LIST_SIGN.join(entry.flags), safe_cell(entry.who), safe_cell(entry.typed)]
    cells += [entry.source, time_cell(entry.made_s, zone), safe_cell(entry.replaces or "")]
    return [*cells, stands[entry.key], LIST_SIGN.join(each.quantity for each in entry.measures)]


def _word(text: str | None) -> str:
    """A word that is there but empty is an apostrophe: an empty cell is one that is not there."""
    return "" if text is None else safe_cell(text) or "'"
