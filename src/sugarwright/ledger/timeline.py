"""The record laid out in periods: what moved between one round of readings and the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sugarwright.errors import InputError
from sugarwright.ledger.readings import Value, brix_of, plain_of, volume_of
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House

ROUND_S = 2700.0
"""Readings within three quarters of an hour are one round, unless something moved between them."""
MOST_PERIODS = 400
TANKS = ("sap", "stock", "permeate")
MOVES = (
    *("gather", "sap_bought", "sap_sold", "dump", "spill", "transfer"),
    *("draw", "rinse", "wash"),
)
RUNNING = ("membrane_on", "membrane_off", "setpoint")
FLOWS = ("permeate_flow", "concentrate_flow")
STRENGTHS = ("feed_brix", "concentrate_brix", "permeate_brix")
MOST_FLOW_M3_S = 0.1
RUN_OPEN_S = 86400.0
"""A run whose end was never entered is taken to have ended within a day."""


@dataclass(frozen=True)
class Item:
    """An entry that the balance uses, with its numbers.

    Parameters
    ----------
    entry : as written
    values : by quantity
    """

    entry: Entry
    values: dict[str, Value]


@dataclass(frozen=True)
class LeftOut:
    """An entry that the balance can't use.

    Parameters
    ----------
    key : of the entry
    at_s : its time, UTC s
    reason : why, in a clause
    """

    key: str
    at_s: float
    reason: str


@dataclass
class Period:
    """From one round of readings to the next.

    Parameters
    ----------
    begin_s, end_s : UTC s
    moves : what was poured, drawn or lost, in order
    running : what was read of the membrane while it ran
    readings : the round that ends it
    membrane_s : running time of the membrane; None when no starts and stops were entered
    fire_s : time with a fire; None when none was entered
    fire_ends : a fire went out in it
    """

    begin_s: float
    end_s: float
    moves: list[Item] = field(default_factory=list)
    running: list[Item] = field(default_factory=list)
    readings: list[Item] = field(default_factory=list)
    membrane_s: float | None = None
    fire_s: float | None = None
    fire_ends: bool = False


@dataclass(frozen=True)
class Timeline:
    """The record of a span.

    Parameters
    ----------
    periods : in order, without gaps
    syrup : entries of finished syrup, in order
    left_out : what could not be used
    measured_points : gathering points whose sap was measured as it came in
    """

    periods: tuple[Period, ...]
    syrup: tuple[Item, ...]
    left_out: tuple[LeftOut, ...]
    measured_points: frozenset[str]


def lay_out(
    house: House, entries: Sequence[Entry], begin_s: float | None, end_s: float | None
) -> Timeline:
    """Lay out the entries that stand.

    Parameters
    ----------
    house : tanks and gathering points
    entries : in any order
    begin_s, end_s : the span, UTC s; None: all

    Raises
    ------
    InputError : more rounds of readings than can be balanced at once
    """
    inside = sorted(
        (each for each in entries if _inside(each, begin_s, end_s)),
        key=lambda each: (each.at_s, each.made_s, each.key),
    )
    left_out: list[LeftOut] = []
    periods = _periods(house, inside, left_out)
    if len(periods) > MOST_PERIODS:
        raise InputError(
            "entries", f"{len(periods)} rounds of readings", "are too many for one balance",
            f"up to {MOST_PERIODS}", "Name a shorter span with --from and --to",
        )  # fmt: skip
    _fill_runs(periods, inside)
    _fill_running(house, periods, inside, left_out)
    syrup = [_item(house, each, left_out) for each in inside if each.kind == "syrup"]
    points = {each.place for each in inside if each.kind == "gather"}
    return Timeline(
        tuple(periods),
        tuple(each for each in syrup if each is not None),
        tuple(left_out),
        frozenset(points),
    )


def _inside(entry: Entry, begin_s: float | None, end_s: float | None) -> bool:
    late = end_s is not None and entry.at_s > end_s
    return not late and (begin_s is None or entry.at_s >= begin_s)


def _periods(house: House, entries: Sequence[Entry], left_out: list[LeftOut]) -> list[Period]:
    """Cut the record: a round ends with time, with a move, or when a place is read anew."""
    if not entries:
        return []
    now = Period(entries[0].at_s, entries[0].at_s)
    done: list[Period] = []

    def cut(at_s: float) -> Period:
        now.end_s = max(now.begin_s, at_s)
        done.append(now)
        return Period(now.end_s, now.end_s)

    for entry in entries:
        is_round = entry.kind == "reading" and entry.place in TANKS
        is_move = entry.kind in MOVES
        item = _item(house, entry, left_out) if is_round or is_move else None
        if item is None or not (item.values or is_move):
            continue
        if now.readings and (is_move or _new_round(now, item)):
            now = cut(now.readings[-1].entry.at_s)
        (now.readings if is_round else now.moves).append(item)
        now.end_s = max(now.end_s, entry.at_s)
    if now.readings or now.moves:
        cut(max(now.end_s, entries[-1].at_s))
    return done


def _new_round(period: Period, item: Item) -> bool:
    first = period.readings[0].entry
    seen = {(each.entry.place, name) for each in period.readings for name in each.values}
    again = any((item.entry.place, name) in seen for name in item.values)
    return again or item.entry.at_s - first.at_s > ROUND_S


def _item(house: House, entry: Entry, left_out: list[LeftOut]) -> Item | None:
    """Return an entry with its numbers; what cannot be is told, and the rest of it used."""
    if "ice" in entry.flags and entry.kind == "reading":
        left_out.append(LeftOut(entry.key, entry.at_s, "ice in the tank: the volume says little"))
        return None
    if entry.place == "permeate" and house.permeate_tank is None:
        left_out.append(LeftOut(entry.key, entry.at_s, "the house has no permeate tank"))
        return None
    if entry.place == "stock" and house.stock_tank is None:
        left_out.append(LeftOut(entry.key, entry.at_s, "the house has no stock tank"))
        return None
    values: dict[str, Value] = {}
    for name in ("volume", "brix", *FLOWS, *STRENGTHS):
        try:
            value = _value(house, entry, name)
        except InputError as error:
            left_out.append(LeftOut(entry.key, entry.at_s, f"{error.field}: {error.problem}"))
            continue
        if value is not None:
            values[name] = value
    return Item(entry, values)


def _value(house: House, entry: Entry, name: str) -> Value | None:
    """Return one quantity of an entry."""
    if name == "volume":
        return volume_of(house, entry)
    return plain_of(entry, name, MOST_FLOW_M3_S) if name in FLOWS else brix_of(entry, name)


def _fill_runs(periods: list[Period], entries: Sequence[Entry]) -> None:
    """Say of each period how long membrane and fire ran in it."""
    membrane = _runs(entries, ("membrane_on",), ("membrane_off",))
    fire = _runs(entries, ("fire_lit", "stoke"), ("fire_out",))
    for period in periods:
        if membrane is not None:
            period.membrane_s = _overlap_s(membrane, period)
        if fire is not None:
            period.fire_s = _overlap_s(fire, period)
            period.fire_ends = any(period.begin_s < end <= period.end_s for _, end in fire)


def _fill_running(
    house: House, periods: list[Period], entries: Sequence[Entry], left_out: list[LeftOut]
) -> None:
    """Give what was read of the running membrane to the period in which it ran."""
    for entry in entries:
        at_membrane = entry.kind == "reading" and entry.place == "membrane"
        if not (at_membrane or entry.kind in RUNNING):
            continue
        item = _item(house, entry, left_out)
        if item is None or not item.values:
            continue
        near = [each for each in periods if _near(each, entry.at_s) and each.membrane_s != 0.0]
        if near:
            min(near, key=lambda each: _apart_s(each, entry.at_s)).running.append(item)
        else:
            left_out.append(LeftOut(entry.key, entry.at_s, "the membrane did not run then"))


def _apart_s(period: Period, at_s: float) -> float:
    return max(period.begin_s - at_s, at_s - period.end_s, 0.0)


def _near(period: Period, at_s: float) -> bool:
    return _apart_s(period, at_s) <= ROUND_S


def _runs(
    entries: Sequence[Entry], starts: tuple[str, ...], ends: tuple[str, ...]
) -> list[tuple[float, float]] | None:
    """Return from when to when something ran; None when nothing was entered of it."""
    runs: list[tuple[float, float]] = []
    begun: float | None = None
    told = False
    for entry in entries:
        if entry.kind in starts:
            told = True
            if begun is None:
                begun = entry.at_s
            elif entry.at_s - begun > RUN_OPEN_S:
                runs.append((begun, begun + RUN_OPEN_S))
                begun = entry.at_s
        elif entry.kind in ends:
            told = True
            began = entry.begin_s if begun is None else begun
            if began is not None:
                runs.append((began, min(entry.at_s, began + 7 * RUN_OPEN_S)))
            begun = None
    if begun is not None:
        runs.append((begun, min(begun + RUN_OPEN_S, max(each.at_s for each in entries))))
    return runs if told else None


def _overlap_s(runs: list[tuple[float, float]], period: Period) -> float:
    return sum(max(0.0, min(end, period.end_s) - max(begin, period.begin_s)) for begin, end in runs)
